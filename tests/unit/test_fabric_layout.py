"""Sheets of fabric over plans of any shape: every wire can be followed from edge to edge through laps long enough."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import LineString, Polygon, affinity, box
from shapely.geometry.base import BaseGeometry

from postprocess.fabric.lap import Laps
from postprocess.fabric.layer import covered_region, fabric_layer, lapped_areas
from postprocess.fabric.lists import fabric_json, piece_table, total_table
from postprocess.fabric.views import FabricLayer
from postprocess.strength.fabric import Fabric
from preprocess.reader import read_case

DEMOS = Path(__file__).parents[2] / "cases"
A252 = Fabric("A252", 0.008, 0.2, 0.008, 0.2)
SHEET = (4.8, 2.4)
COVER = 0.025
LINES = 12
"""Wires that are followed in each direction."""
ROUNDING = 1e-6
"""m, of coordinates in floating point after a few intersections."""


def laid(
    plan: Polygon, laps: tuple[float, float] = (0.425, 0.425), sheet: tuple[float, float] = SHEET
) -> list[FabricLayer]:
    """Both layers of a plan."""
    rule = Laps(laps, laps, "", ())
    bottom = fabric_layer("bottom", plan, A252, rule, cover=COVER, sheet=sheet, made_up=False)
    return [bottom, fabric_layer("top", plan, A252, rule, cover=COVER, sheet=sheet, made_up=False, below=bottom)]


def random_plan(seed: int) -> Polygon:
    """A rectangle with corners bitten off (L, U, Z), one corner cut askew, openings, some of them turned."""
    rng = np.random.default_rng(seed)
    width, height = rng.uniform(3, 16, 2)
    plan = box(0, 0, width, height)
    for _ in range(rng.integers(0, 4)):
        x, y = rng.uniform(0, width), rng.uniform(0, height)
        bite = box(x, y, x + rng.uniform(0.4, 0.5) * width, y + rng.uniform(0.4, 0.6) * height)
        plan = largest(plan.difference(bite))
    cut = rng.uniform(0.2, 0.6, 2) * (width, height)
    plan = largest(plan.difference(Polygon([(0, 0), (cut[0], 0), (0, cut[1])])))
    for _ in range(rng.integers(0, 3)):
        x, y = rng.uniform(0.2, 0.8) * width, rng.uniform(0.2, 0.8) * height
        opening = affinity.rotate(box(x, y, x + rng.uniform(0.3, 2), y + rng.uniform(0.3, 2)), rng.uniform(0, 90))
        plan = largest(plan.difference(opening))
    return plan


def largest(shape: BaseGeometry) -> Polygon:
    return max(shapely.get_parts(shape), key=lambda part: float(part.area))


def spans(shape: BaseGeometry, line: LineString, axis: int) -> list[tuple[float, float]]:
    """From and to of each stretch of a line within a shape."""
    parts = [part.bounds for part in shapely.get_parts(shape.intersection(line)) if part.length > ROUNDING]
    return sorted((bounds[axis], bounds[axis + 2]) for bounds in parts)


def wires(region: BaseGeometry, axis: int, rng: np.random.Generator) -> Iterator[LineString]:
    """Lines along x (0) or y (1) through a region."""
    low, high = region.bounds[1 - axis], region.bounds[3 - axis]
    for across in rng.uniform(low, high, LINES):
        ends = [(-100.0, across), (100.0, across)]
        yield LineString(ends if axis == 0 else [point[::-1] for point in ends])


def breaks(layer: FabricLayer, plan: Polygon) -> list[tuple[int, float]]:
    """Axis and place of every wire that ends before it has lapped with another one, or that is not there."""
    region = covered_region(plan, COVER)
    outlines = [piece.outline for piece in layer.pieces]
    rng, found = np.random.default_rng(0), []
    for axis in (0, 1):
        for line in wires(region, axis, rng):
            steel = [span for outline in outlines for span in spans(outline, line, axis)]
            for start, end in spans(region, line, axis):
                reach = max((b for a, b in steel if a <= start + ROUNDING and b > start), default=start)
                while reach < end - ROUNDING:
                    lap = layer.laps[axis]
                    further = max((b for a, b in steel if a <= reach - lap + ROUNDING), default=reach)
                    if further <= reach + ROUNDING:
                        found.append((axis, reach))
                        break
                    reach = further
    return found


def check(layer: FabricLayer, plan: Polygon) -> None:
    """All of the plan covered, nothing beyond it, wires lapped, no piece larger than a sheet, areas that add up."""
    region = covered_region(plan, COVER)
    outlines = [piece.outline for piece in layer.pieces]
    covered = shapely.union_all(outlines)
    assert region.difference(covered).area < ROUNDING
    assert covered.difference(plan.buffer(-COVER + ROUNDING, join_style="mitre", mitre_limit=50)).area < ROUNDING
    assert breaks(layer, plan) == []
    assert all(
        size <= side + ROUNDING for piece in layer.pieces for size, side in zip(piece.size, layer.sheet, strict=True)
    )
    assert layer.net_area <= layer.laid_area <= layer.bought_area
    assert layer.laid_area == pytest.approx(sum(outline.area for outline in outlines), rel=1e-12)


@pytest.mark.parametrize("name", ["weights-room", "roof-deck", "studio"])
def test_demo_plans(name: str) -> None:
    """That of revision B of the weights room is the same."""
    plan = read_case(DEMOS / name).slab.plan
    for layer in laid(plan, (0.525, 0.625)):
        check(layer, plan)


@pytest.mark.parametrize("seed", range(4))
def test_random_plans(seed: int) -> None:
    plan = random_plan(seed)
    for layer in laid(plan):
        check(layer, plan)


def test_the_check_notices_short_laps_and_gaps() -> None:
    """The same sheets would not do for a longer lap, nor with one of them left out."""
    plan = box(0, 0, 9, 6)
    layer = laid(plan)[0]
    assert breaks(layer, plan) == []
    assert breaks(replace(layer, laps=(0.9, 0.9)), plan)
    assert breaks(replace(layer, pieces=layer.pieces[1:]), plan)


@pytest.mark.parametrize("seed", [0, 3])
def test_four_sheets_never_meet(seed: int) -> None:
    plan = random_plan(seed)
    points = shapely.points(np.random.default_rng(1).uniform(plan.bounds[:2], plan.bounds[2:], (3000, 2)))
    for layer in laid(plan):
        depth = np.sum([shapely.contains(piece.outline, points) for piece in layer.pieces], axis=0)
        assert depth.max() <= 3


def test_joints_of_the_layers_lie_apart() -> None:
    """Wires along x of both layers lap in the same place over a small part of the laps only."""
    bottom, top = laid(box(0, 0, 14, 9))
    for mine, other in zip(lapped_areas(bottom.pieces), lapped_areas(top.pieces), strict=True):
        assert mine.area > 1
        assert mine.intersection(other).area < 0.25 * mine.area


def test_one_sheet_is_enough() -> None:
    """2.3 × 4.7 m and the cover: one whole sheet, laid along y, none to cut; rounding of the plan's corners."""
    plan = box(0, 0, 2.4 + 2 * COVER, 4.8 + 2 * COVER)
    layer = laid(plan)[0]
    assert [(piece.mark, piece.whole) for piece in layer.pieces] == [("B1", True)]
    assert (layer.sheet, layer.bought) == ((2.4, 4.8), 1)
    assert layer.net_area == pytest.approx(2.4 * 4.8, rel=1e-12)
    assert layer.sheet_mass == pytest.approx(3.95 * 2.4 * 4.8, rel=0.005 / 3.95)  # BS 4483: A252 3.95 kg/m2


def test_marks_count_on() -> None:
    for layer in laid(box(0, 0, 9, 6)):
        letter = layer.face[0].upper()
        assert [piece.mark for piece in layer.pieces] == [f"{letter}{n + 1}" for n in range(len(layer.pieces))]


def test_lists_say_what_the_layers_hold() -> None:
    """Totals by hand from the pieces: laps are laid less net, offcuts bought less laid; both together are the waste."""
    layers = laid(box(0, 0, 9, 6))
    pieces, totals = piece_table(layers), total_table(layers)
    assert [row[0] for row in pieces.rows] == [piece.mark for layer in layers for piece in layer.pieces]
    for layer, found in zip(layers, fabric_json(layers), strict=True):
        assert found["waste_area_m2"] == pytest.approx(found["sheets_to_buy"] * 11.52 - 8.95 * 5.95, rel=1e-12)
        as_laid = sum(piece.outline.area for piece in layer.pieces)
        assert found["lap_area_m2"] == pytest.approx(as_laid - 8.95 * 5.95, rel=1e-9)
        assert found["offcut_area_m2"] == pytest.approx(found["sheets_to_buy"] * 11.52 - as_laid, rel=1e-9)
        shares = found["lap_percent"] + found["offcut_percent"]
        assert shares == pytest.approx(found["waste_percent"], rel=1e-12)
        assert shares == pytest.approx(100 * found["waste_area_m2"] / (8.95 * 5.95), rel=1e-12)
        assert found["mass_to_buy_kg"] == pytest.approx(found["sheets_to_buy"] * 11.52 * 3.95, rel=0.005 / 3.95)
        assert found["pieces"] == len(layer.pieces)
    keys = [column.key for column in totals.columns]
    assert totals.totals[0][keys.index("sheets_to_buy")] == sum(layer.bought for layer in layers)
    headings = [column.heading for column in totals.columns]
    assert {"Laps, m²", "Laps, % of net", "Offcuts, m²", "Offcuts, % of net"} <= set(headings)
    for key in ("lap_area_m2", "offcut_area_m2"):
        total = totals.totals[0][keys.index(key)]
        assert total == pytest.approx(sum(row[keys.index(key)] for row in totals.rows), rel=1e-12)  # type: ignore[misc]


def test_cover_that_leaves_nothing() -> None:
    with pytest.raises(ValueError, match="nothing is left"):
        fabric_layer(
            "top", box(0, 0, 1, 1), A252, Laps((0.4, 0.4), (0.4, 0.4), "", ()), cover=0.6, sheet=SHEET, made_up=False
        )
