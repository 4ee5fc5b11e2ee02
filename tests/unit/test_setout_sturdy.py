"""Setting out on plans that are awkward for geometry, and its kernels against formulations of their own."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import shapely
from shapely import Point, Polygon, affinity, box

from preprocess.case import SetOutRules
from preprocess.setout.division import EVENNESS, TOO_FAR, Line, divide
from preprocess.setout.ground import Ground
from preprocess.setout.layout import set_out
from preprocess.setout.measure import far_points
from preprocess.setout.overhang import edge_points, overhangs, overhangs_after
from tests.unit.setout_plans import (
    MILLIMETRE,
    OTHERS,
    RECTILINEAR,
    measured,
    overhang_excess,
    slab_points,
    some_rules,
)

RULES = some_rules()
REACH = RULES.greatest_spacing / np.sqrt(2)


def _notched() -> Polygon:
    """Notches of 3 and 8 mm in a wall, which corners of their own make edges of millimetres."""
    return box(0, 0, 7, 5).difference(box(3, -1, 3.003, 0.004)).difference(box(5, 4.992, 5.008, 6))


def _nearly_straight() -> Polygon:
    """Corners every 0.6 m along straight walls, each up to 2 mm off."""
    corners = shapely.get_coordinates(shapely.segmentize(RECTILINEAR["L"].exterior, 0.6))[:-1]
    return Polygon(corners + np.random.default_rng(3).uniform(-0.002, 0.002, corners.shape))


AWKWARD: dict[str, Polygon] = {
    "round ring": Point(0, 0).buffer(6).difference(Point(0, 0).buffer(3)),
    "sixteen corners with an opening": Point(0, 0).buffer(4, quad_segs=4).difference(Point(0, 0).buffer(1.2)),
    "notches": _notched(),
    "nearly straight": _nearly_straight(),
    "star": Polygon([(5, 0), (1.9, 1.4), (1.5, 4.8), (-0.7, 2.2), (-4, 2.9), (-2.3, 0), (-4, -2.9), (-0.7, -2.2),
                     (1.5, -4.8), (1.9, -1.4)]),
    "far away": affinity.translate(OTHERS["slanted"], 500_000.25, -20_000.5),
    "mirrored": affinity.scale(OTHERS["corner cut off"], -1, 1),
    "one jack": box(0, 0, 0.8, 0.8),
}


@pytest.mark.parametrize("name", AWKWARD)
def test_awkward_plans(name: str) -> None:
    """Spacing and edges always; reach and overhang too, or the problem is said. Cells of jacks on a circle share
    corners that differ by rounding alone."""
    plan = AWKWARD[name]
    layout = set_out(plan, RULES)
    said = {problem.where for problem in layout.problems}
    found = measured(plan, layout.xy, step=0.1)
    assert found.apart >= RULES.least_spacing - MILLIMETRE
    assert found.edge >= RULES.least_edge - MILLIMETRE
    assert found.reach <= REACH + MILLIMETRE or "setout.greatest_spacing_mm" in said
    assert overhang_excess(plan, layout.xy, RULES) <= MILLIMETRE or "setout.greatest_overhang_mm" in said
    assert name in {"star", "sixteen corners with an opening"} or not said


def test_run_of_no_length() -> None:
    """Insets that meet between two slanted edges leave a stretch of edge of no length, still a place for a jack."""
    corners = [(-2.616, 1.954), (-3.068, 1.205), (-3.625, 0.149), (4.151, 5.03), (1.229, 6.215), (0.37, 3.798)]
    layout = set_out(Polygon(corners), RULES)
    assert measured(Polygon(corners), layout.xy).apart >= RULES.least_spacing - MILLIMETRE


def test_overhang_wider_than_reach_allows() -> None:
    """A jack 0.597 m from both edges of a corner would be 0.844 m from its tip, beyond 1.018/√2 = 0.720 m."""
    rules = SetOutRules(1.018, 0.412, 0.335, 0.597, (), ())
    plan = Polygon([(0, 0), (6.114, 0), (6.114, 3.023), (10.27, 3.023), (10.27, 10.874), (2.28, 10.874), (2.28, 4.855),
                    (0, 4.855)])
    layout = set_out(plan, rules)
    assert not layout.problems
    assert measured(plan, layout.xy).reach <= rules.greatest_spacing / np.sqrt(2) + MILLIMETRE


@pytest.mark.parametrize("name", ["rectangle", "L"])
def test_moved_plan_has_the_moved_layout(name: str) -> None:
    """By whole spans of 5 mm, on which places lie; coordinates of 5e5 m carry 1e-10 m."""
    offset = np.array([500_000.0, -20_000.0])
    moved = set_out(affinity.translate(RECTILINEAR[name], *offset), RULES)
    assert np.abs(moved.xy - offset - set_out(RECTILINEAR[name], RULES).xy).max() < 1e-6


def test_no_place_for_a_jack_is_said() -> None:
    layout = set_out(box(0, 0, 5, 0.4), RULES)
    assert len(layout) == 0
    assert [problem.where for problem in layout.problems] == ["slab.outline_mm"]


@pytest.mark.parametrize("name", ["ring", "columns", "sharp", "circle"])
def test_far_points_against_a_grid(name: str) -> None:
    """The farthest point of a grid is at most as far as the farthest corner of a cell, and step/√2 less at most; on
    jacks at random and on jacks on common circles, where many cells meet in one corner."""
    plan = {**RECTILINEAR, **OTHERS}[name]
    angles = np.arange(12) * np.pi / 6
    centre = shapely.get_coordinates(plan.centroid)[0]
    circles = centre + np.concatenate([r * np.stack([np.cos(angles), np.sin(angles)], axis=1) for r in (1.5, 3.0)])
    for xy in (np.random.default_rng(5).uniform(0, 9, (25, 2)), circles, circles[:1]):
        points = slab_points(plan, 0.05)
        grid = np.linalg.norm(points[:, None] - xy[None], axis=2).min(axis=1).max()
        assert grid - 1e-6 <= far_points(plan, xy)[1].max() <= grid + 0.05 / np.sqrt(2)


def test_overhang_after_a_change_is_that_measured_anew() -> None:
    ground = Ground(RECTILINEAR["U"], RULES)
    edge = edge_points(ground)
    xy = set_out(RECTILINEAR["U"], RULES).xy
    random = np.random.default_rng(2)
    before = overhangs(ground, xy, edge.at)
    for _ in range(8):
        jacks = random.choice(len(xy), 3, replace=False)
        left = np.delete(xy, jacks, axis=0)
        after = overhangs_after(ground, edge, before, left, xy[jacks])
        assert np.abs(after - overhangs(ground, left, edge.at)).max() < 1e-9
        assert np.abs(overhangs_after(ground, edge, after, xy, xy[jacks]) - before).max() < 1e-9


def _price(line: Line, steps: tuple[int, ...]) -> float:
    """The price of a division as the fields of Line and Demand state it, for one part."""
    places = 0.005 * np.array(steps)
    gaps, limit = np.diff(places), line.limit
    if np.any(gaps < line.least - 1e-9):
        return float("inf")
    total = len(steps) + line.price[list(steps)].sum()
    for gap, one, other in zip(gaps, steps[:-1], steps[1:], strict=True):
        share = gap / min(limit[one], limit[other])
        total += EVENNESS * share**2 + (TOO_FAR * share if share > 1 + 1e-9 else 0)
    for gap, end in ((places[0], steps[0]), (0.005 * (len(limit) - 1) - places[-1], steps[-1])):
        share = gap / limit[end]
        total += TOO_FAR * share if share > 1 + 1e-9 else 0
    return float(total)


@pytest.mark.parametrize("chance", range(12))
def test_division_against_every_choice(chance: int) -> None:
    """All subsets of eleven permitted steps of a line; limits change along it. The cheapest is found."""
    random = np.random.default_rng(chance)
    size = int(random.integers(300, 1400))
    permitted = np.sort(random.choice(size, 11, replace=False))
    allowed = np.zeros(size, dtype=bool)
    allowed[permitted] = True
    limit = np.full(size, 1.4)
    limit[: size // 3] = random.uniform(1.0, 1.4)
    line = Line(0.0, allowed, random.uniform(0, 0.3, size), limit, np.zeros(size, dtype=int), (), 0.9, folded=False)
    best = min(
        _price(line, steps) for number in range(1, 8) for steps in combinations(permitted.tolist(), number)
    )
    found = tuple(int(step) for step in np.round(divide(line) / 0.005))
    assert _price(line, found) == pytest.approx(best, abs=1e-9)
