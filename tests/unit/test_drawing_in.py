"""What a sound drawing holds: shapes against geometry, units, blocks in any position, jacks and equipment."""

from __future__ import annotations

from itertools import pairwise
from math import cos, hypot, pi, radians, sin

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.interpolate import BSpline
from shapely import LineString, Point, Polygon

from preprocess.cad.drawn import DrawnRing
from preprocess.cad.rules import DEFAULT_LAYERS, DrawingRules
from tests.unit.drawn_plans import (
    EQUIPMENT,
    INCHES,
    JACKS,
    METRES,
    OPENINGS,
    OUTLINE,
    OUTLINE_ONLY,
    ROOM,
    UNITLESS,
    content,
    empty,
    read,
    room,
    square,
)

Floats = NDArray[np.float64]

WITH_OPENINGS = DrawingRules(layers={"outline": "OUTLINE", "openings": "OPENINGS"})
WITH_JACKS = DrawingRules(layers={"outline": "OUTLINE", "jacks": "JACKS"})
WITH_EQUIPMENT = DrawingRules(layers={"outline": "OUTLINE", "equipment": "EQUIPMENT"})

ROUNDING_MM = 1e-6
"""Doubles of a few thousand mm turned and scaled a few times keep nine digits behind the point."""


def polygon(ring: DrawnRing | None) -> Polygon:
    assert ring is not None
    return Polygon(ring.corners)


def needed_chords(curve: Floats) -> float:
    """Chords that leave a curve through close points by 1 mm: one of length l leaves a bend of radius r by l²/8r."""
    steps = np.diff(curve, axis=0)
    lengths = np.hypot(*steps.T)
    turns = np.abs(np.diff(np.unwrap(np.arctan2(steps[:, 1], steps[:, 0]))))
    return float(np.sum(np.sqrt(turns * lengths[1:] / 8.0)))


def test_outline_is_read_as_it_is_drawn() -> None:
    plan, remarks = read(room())
    assert plan.outline is not None
    assert plan.outline.corners == ROOM
    assert remarks == ""


@pytest.mark.parametrize(
    ("code", "size"), [(METRES, 1000.0), (INCHES, 25.4), (2, 304.8), (5, 10.0), (21, 1200e3 / 3937)]
)
def test_units_of_the_file(code: int, size: float) -> None:
    """The international inch is 25.4 mm, the US survey foot 1200/3937 m: NIST Special Publication 811, appendix B.6."""
    document = empty(code)
    sides = (7000 / size, 3000 / size)
    document.modelspace().add_lwpolyline([(0, 0), (sides[0], 0), sides, (0, sides[1])], close=True, dxfattribs=OUTLINE)
    plan, _ = read(document)
    np.testing.assert_allclose(polygon(plan.outline).bounds, (0, 0, 7000, 3000), atol=ROUNDING_MM)


def test_units_of_the_case_where_the_file_has_none() -> None:
    document = empty(UNITLESS)
    document.modelspace().add_lwpolyline([(0, 0), (7, 0), (7, 3)], close=True, dxfattribs=OUTLINE)
    plan, _ = read(document, DrawingRules("m", {"outline": "OUTLINE"}))
    assert polygon(plan.outline).bounds == (0, 0, 7000, 3000)


@pytest.mark.parametrize("chord", [0.1, 1.0, 20.0])
def test_circle_is_left_by_its_chords_by_no_more_than_the_tolerance(chord: float) -> None:
    """A polygon of n corners on a circle has the area n r² sin(2π/n)/2 and leaves it by r (1 − cos(π/n))."""
    document = room()
    document.modelspace().add_circle((3000, 2000), 900, dxfattribs=OPENINGS)
    plan, remarks = read(document, DrawingRules(None, WITH_OPENINGS.layers, chord))
    (ring,) = plan.openings
    number = len(ring.corners)
    assert 900 * (1 - cos(pi / number)) <= chord
    assert 900 * (1 - cos(pi / (number - 1))) > chord or number == 18  # no turn over 20 degrees, however coarse
    assert polygon(ring).area == pytest.approx(number * 900**2 * sin(2 * pi / number) / 2, rel=1e-12)
    assert f"{number} corners with its arcs and curves, which chords leave by {chord:g} mm" in remarks


def test_bulges_are_arcs() -> None:
    """A slab with half-round ends: bulge 1 is a half circle (DXF reference, LWPOLYLINE, group code 42)."""
    document = empty()
    corners = [(0, 0, 0), (6000, 0, 1), (6000, 4000, 0), (0, 4000, -1)]
    document.modelspace().add_lwpolyline(corners, format="xyb", close=True, dxfattribs=OUTLINE)
    plan, _ = read(document)
    shape = polygon(plan.outline)
    assert shape.bounds == pytest.approx((0, 0, 8000, 4000), abs=1)
    for x, y in np.array(shape.exterior.coords):
        if x > 6000:
            assert hypot(x - 6000, y - 2000) == pytest.approx(2000, abs=ROUNDING_MM)
    # the bulge outward and the one inward have the same area
    assert shape.area == pytest.approx(6000 * 4000, rel=1e-9)


def test_ellipse_is_left_by_its_chords_by_no_more_than_the_tolerance() -> None:
    """Every point (a cos t, b sin t), turned, lies within 1 mm of the chords; the area is π a b but for a strip."""
    document = room()
    turn, long, ratio = radians(30), 1200.0, 0.25
    axis = (long * cos(turn), long * sin(turn))
    document.modelspace().add_ellipse((3000, 2000), axis, ratio, dxfattribs=OPENINGS)
    plan, _ = read(document, WITH_OPENINGS)
    shape = polygon(plan.openings[0])
    for t in np.linspace(0, 2 * pi, 721):
        u, v = long * cos(t), ratio * long * sin(t)
        spot = Point(3000 + u * cos(turn) - v * sin(turn), 2000 + u * sin(turn) + v * cos(turn))
        assert shape.exterior.distance(spot) <= 1.0
    full = pi * long**2 * ratio
    assert full - 1.0 * shape.exterior.length < shape.area < full


def test_spline_is_left_by_its_chords_by_no_more_than_the_tolerance() -> None:
    """A cubic spline of four controls is the Bézier curve of these, by Bernstein's polynomials (Farin, from memory)."""
    controls = np.array([(6000.0, 0.0), (9000.0, 500.0), (4000.0, 3500.0), (6000.0, 4000.0)])
    document = empty()
    space = document.modelspace()
    space.add_open_spline([(x, y, 0) for x, y in controls], dxfattribs=OUTLINE)
    space.add_lwpolyline([(6000, 4000), (0, 4000), (0, 0), (6000, 0)], dxfattribs=OUTLINE)
    plan, remarks = read(document)
    assert plan.outline is not None
    t = np.linspace(0, 1, 501)[:, None]
    curve = (1 - t) ** 3 * controls[0] + 3 * t * (1 - t) ** 2 * controls[1]
    curve += 3 * t**2 * (1 - t) * controls[2] + t**3 * controls[3]
    edge = polygon(plan.outline).exterior
    assert max(edge.distance(Point(spot)) for spot in curve) <= 1.0
    on_curve = [Point(spot) for spot in plan.outline.corners if 0 < spot[1] < 4000]
    assert max(LineString(curve).distance(spot) for spot in on_curve) < 0.05  # but for the chords of this test itself
    assert len(on_curve) < 2 * needed_chords(curve)
    assert "arcs and curves" in remarks


@pytest.mark.parametrize("degree", [2, 3])
@pytest.mark.parametrize("layer", ["OUTLINE", "EQUIPMENT"])
def test_closed_periodic_spline_is_read_where_it_exists(degree: int, layer: str) -> None:
    """Uniform knots, the first corners again at the end, flags 11 (DXF reference, SPLINE: closed, periodic, planar).

    The curve exists between the knots `degree` from either end. scipy's B-splines on that stretch are the independent
    evaluation; the chords depart by 1 mm at most, so areas by that much along the curve.
    """
    angles = np.arange(8) * pi / 4
    ring = np.column_stack([3000 + 2000 * np.cos(angles), 2000 + 1200 * np.sin(angles)])
    controls = np.concatenate([ring, ring[:degree]])
    knots = np.arange(len(controls) + degree + 1.0)
    true = Polygon(BSpline(knots, controls, degree)(np.linspace(knots[degree], knots[-degree - 1], 4001)))
    document = empty() if layer == "OUTLINE" else room()
    spline = document.modelspace().add_spline(dxfattribs={"layer": layer})
    spline.dxf.degree, spline.dxf.flags = degree, 11
    spline.control_points, spline.knots = [(x, y, 0) for x, y in controls], knots
    plan, _ = read(document, WITH_EQUIPMENT if layer == "EQUIPMENT" else OUTLINE_ONLY)
    shape = polygon(plan.outline) if layer == "OUTLINE" else Polygon(plan.equipment[0].outline_mm)
    assert abs(shape.area - true.area) < 1.0 * true.length
    assert shape.hausdorff_distance(true) <= 1.0
    assert shape.is_valid


def test_departure_is_that_of_the_loop_after_corners_are_merged() -> None:
    """A circle of 60 mm with chords shorter than 1 mm: every other corner goes, and what is said is still true."""
    document = room()
    document.modelspace().add_circle((3000, 2000), 60, dxfattribs=OPENINGS)
    plan, remarks = read(document, DrawingRules(None, WITH_OPENINGS.layers, 0.002))
    corners = np.array(plan.openings[0].corners)
    longest = np.hypot(*(corners - np.roll(corners, 1, axis=0)).T).max()
    departure = 60 - (60**2 - (longest / 2) ** 2) ** 0.5
    said = float(remarks.split("chords leave by ")[1].split(" mm")[0])
    assert 0.002 < departure <= said < 1.5 * departure  # the sum of the two steps is a bound a little above it


def test_lines_and_arcs_in_any_order_and_direction_are_one_loop() -> None:
    document = empty()
    space = document.modelspace()
    space.add_line((0, 4000), (0, 0), dxfattribs=OUTLINE)
    space.add_line((5000, 4000), (0, 4000), dxfattribs=OUTLINE)
    space.add_line((0, 0), (5000, 0), dxfattribs=OUTLINE)
    space.add_arc((5000, 2000), 2000, -90, 90, dxfattribs=OUTLINE)
    plan, remarks = read(document, DrawingRules(layers={"outline": "OUTLINE"}, chord_mm=0.01))
    assert polygon(plan.outline).area == pytest.approx(5000 * 4000 + pi * 2000**2 / 2, rel=1e-5)
    assert "gap" not in remarks


def test_short_lines_of_a_curve_in_pieces_are_joined_end_to_end() -> None:
    """Pieces shorter than the closing tolerance: the ends that meet are joined, not the two ends of one piece."""
    document = empty()
    space = document.modelspace()
    spots = [(700 * cos(t), 700 * sin(t)) for t in np.linspace(0, 2 * pi, 401)]
    pieces = list(pairwise(spots))
    for start, end in [*pieces[::2], *pieces[1::2]]:
        space.add_line(start, end, dxfattribs=OUTLINE)
    plan, remarks = read(document, DrawingRules(layers={"outline": "OUTLINE"}, closing_mm=15))
    assert polygon(plan.outline).area == pytest.approx(200 * 700**2 * sin(2 * pi / 400), rel=1e-9)
    assert "gap" not in remarks


def test_gaps_within_the_tolerance_are_closed_and_said() -> None:
    document = empty()
    space = document.modelspace()
    first = space.add_lwpolyline([(3, 4), (6000, 0), (6000, 4000)], dxfattribs=OUTLINE)
    second = space.add_lwpolyline([(6000, 4000), (0, 4000), (0, 0)], dxfattribs=OUTLINE)
    plan, remarks = read(document)
    assert plan.outline is not None
    assert len(plan.outline.corners) == 5
    handles = f"{second.dxf.handle} and {first.dxf.handle}"
    assert f"closed over a gap of 5 mm between handles {handles} at (0, 0) mm" in remarks
    assert "layer OUTLINE" in remarks


def test_corners_on_one_spot_are_merged_and_said() -> None:
    plan, remarks = read(room([(0, 0), (0.4, 0.3), (6000, 0), (6000, 4000), (6000, 4000), (0, 4000), (0, 0)]))
    assert plan.outline is not None
    assert plan.outline.corners == ROOM
    assert "3 corners less than 1 mm from the one before left out" in remarks


def test_plan_in_a_block_that_is_turned_scaled_and_mirrored() -> None:
    """Against the same map by hand: mirror in x, scale by 1.5, turn by 30°, move; inside it a block in another one."""
    document = empty()
    inner = document.blocks.new("Walls")
    inner.add_lwpolyline([(0, 0, 0), (4000, 0, 0.3), (4000, 2000, 0), (0, 2000, 0)], format="xyb", close=True)
    outer = document.blocks.new("Floor")
    outer.add_blockref("Walls", (100, 200), dxfattribs={"layer": "0"})
    attributes = {"xscale": -1.5, "yscale": 1.5, "zscale": 1.5, "rotation": 30, **OUTLINE}
    insert = document.modelspace().add_blockref("Floor", (10_000, 5_000), dxfattribs=attributes)
    plan, _ = read(document)
    plain = empty()
    plain.modelspace().add_lwpolyline(
        [(0, 0, 0), (4000, 0, 0.3), (4000, 2000, 0), (0, 2000, 0)], format="xyb", close=True, dxfattribs=OUTLINE
    )
    expected = polygon(read(plain, DrawingRules(layers=OUTLINE_ONLY.layers, chord_mm=1 / 1.5))[0].outline)
    turn = radians(30)
    x, y = 1.5 * -(np.array(expected.exterior.xy[0]) + 100), 1.5 * (np.array(expected.exterior.xy[1]) + 200)
    mapped = Polygon(np.column_stack([x * cos(turn) - y * sin(turn) + 10_000, x * sin(turn) + y * cos(turn) + 5000]))
    assert plan.outline is not None
    assert polygon(plan.outline).symmetric_difference(mapped).area < ROUNDING_MM * mapped.length
    assert plan.outline.source.handles == (insert.dxf.handle,)


def test_arcs_in_a_block_of_unequal_scales_are_ellipses() -> None:
    document = room()
    block = document.blocks.new("Round")
    block.add_circle((0, 0), 100)
    scales = {"xscale": 8, "yscale": 3, **OPENINGS}
    document.modelspace().add_blockref("Round", (3000, 2000), dxfattribs=scales)
    plan, _ = read(document, DrawingRules(None, WITH_OPENINGS.layers, 0.01))
    assert polygon(plan.openings[0]).area == pytest.approx(pi * 800 * 300, rel=1e-4)


def test_origin_becomes_the_datum() -> None:
    document = room([(x + 4e8, y - 5.7e9) for x, y in ROOM])
    plan, _ = read(document, DrawingRules(layers=OUTLINE_ONLY.layers, origin_mm=(4e8, -5.7e9)))
    assert plan.outline is not None
    np.testing.assert_allclose(plan.outline.corners, ROOM, atol=1e-5)  # 5.7e9 mm has six digits behind the point


def test_jacks_are_insertions_circles_and_points() -> None:
    document = room()
    space = document.modelspace()
    document.blocks.new("JACK").add_circle((0, 0), 75)
    insert = space.add_blockref("JACK", (1000, 500), dxfattribs=JACKS)
    insert.add_attrib("id", "A1")
    insert.add_attrib("Spring", "E16")
    insert.add_attrib("ADVANCE_MM", "1.5")
    space.add_circle((2500, 3000), 75, dxfattribs=JACKS)
    space.add_circle((-500, 3010), 75, dxfattribs={"extrusion": (0, 0, -1), **JACKS})  # seen from below: at x = 500
    space.add_point((2500, 510), dxfattribs=JACKS)
    plan, remarks = read(document, WITH_JACKS)
    found = {jack.id: (jack.x_mm, jack.y_mm, jack.spring, jack.advance_mm) for jack in plan.jacks}
    assert found == {
        "A1": (1000, 500, "E16", 1.5),
        "J1": (2500, 510, None, 0),
        "J2": (500, 3010, None, 0),
        "J3": (2500, 3000, None, 0),
    }
    assert "3 jacks without an id, numbered J1 to J3" in remarks
    assert plan.jacks[0].source.handles == (insert.dxf.handle,)


def test_equipment_has_feet_or_an_outline() -> None:
    document = room()
    rack = document.blocks.new("Rack")
    for x in (0, 1000):
        square(rack, x, 0, 100, "FEET")
    platform = document.blocks.new("Platform")
    square(platform, 0, 0, 800, "0")
    square(platform, 100, 0, 200, "0")
    platform.add_text("any words")
    space = document.modelspace()
    mirrored = {"xscale": -1, "rotation": 90, **EQUIPMENT}
    space.add_blockref("Rack", (1000, 2000), dxfattribs=mirrored).add_attrib("MASS_KG", "650")
    named = space.add_blockref("Rack", (3000, 500), dxfattribs=EQUIPMENT)
    named.add_attrib("NAME", 'Tall "rack" at 20%%d')
    space.add_blockref("Platform", (5000, 3000), dxfattribs=EQUIPMENT)
    rules = DrawingRules(layers=WITH_EQUIPMENT.layers, masses_kg={"platform": 420.0})
    plan, _ = read(document, rules)
    first, second, third = plan.equipment
    assert (first.name, first.mass_kg, first.foot_mm) == ("Rack", 650, pytest.approx(100, abs=ROUNDING_MM))
    # (1000, 0) of the block: mirrored to (-1000, 0), turned by 90 degrees to (0, -1000)
    np.testing.assert_allclose(sorted(first.feet_mm or ()), [(1000, 1000), (1000, 2000)], atol=ROUNDING_MM)
    assert (second.name, second.mass_kg) == ('Tall "rack" at 20°', None)
    assert (third.name, third.mass_kg, third.feet_mm) == ("Platform", 420, None)
    assert Polygon(third.outline_mm).bounds == (4600, 2600, 5400, 3400)


def test_rows_and_columns_of_one_insertion_are_items_with_names_of_their_own() -> None:
    document = room()
    square(document.blocks.new("Rack"), 0, 0, 400, "0")
    grid = {"row_count": 2, "row_spacing": 1000, "column_count": 2, "column_spacing": 1500, **EQUIPMENT}
    document.modelspace().add_blockref("Rack", (1000, 1000), dxfattribs=grid)
    square(document.modelspace(), 4500, 3000, 500, "EQUIPMENT")
    plan, remarks = read(document, WITH_EQUIPMENT)
    assert [item.name for item in plan.equipment][:4] == ["Rack 1", "Rack 2", "Rack 3", "Rack 4"]
    assert plan.equipment[4].name.startswith("Item ")
    centroids = [Polygon(item.outline_mm).centroid for item in plan.equipment[:4]]
    middles = sorted((spot.x, spot.y) for spot in centroids)
    np.testing.assert_allclose(middles, [(1000, 1000), (1000, 2000), (2500, 1000), (2500, 2000)], atol=ROUNDING_MM)
    assert '"Rack 1" to "Rack 4"' in remarks


def test_round_feet_stand_as_squares_of_the_same_area() -> None:
    document = room()
    block = document.blocks.new("Machine")
    for x in (0, 700):
        block.add_circle((x, 0), 60, dxfattribs={"layer": "FEET"})
    document.modelspace().add_blockref("Machine", (1000, 1000), dxfattribs=EQUIPMENT)
    plan, remarks = read(document, DrawingRules(None, WITH_EQUIPMENT.layers, 0.01))
    assert plan.equipment[0].foot_mm == pytest.approx(60 * pi**0.5, rel=1e-3)
    np.testing.assert_allclose(plan.equipment[0].feet_mm, [(1000, 1000), (1700, 1000)], atol=ROUNDING_MM)
    assert "squares of the same area" in remarks


def test_layers_are_told_apart_without_regard_to_case_and_hidden_ones_are_read_with_a_word() -> None:
    document = room()
    document.layers.add("OUTLINE").off()
    plan, remarks = read(document, DrawingRules(layers={"outline": "Outline"}))
    assert plan.outline is not None
    assert "layer Outline: is off, but was read" in remarks


def test_what_cannot_be_used_is_left_out_with_a_word() -> None:
    document = room()
    space = document.modelspace()
    text = space.add_text("note", dxfattribs=OUTLINE)
    space.add_hatch(dxfattribs=OUTLINE)
    _, remarks = read(document)
    assert f"layer OUTLINE: 1 TEXT not read (the first has handle {text.dxf.handle})" in remarks
    assert "1 HATCH not read" in remarks


def test_optional_layers_may_lack() -> None:
    rules = DrawingRules(layers=DEFAULT_LAYERS, may_lack=frozenset(("openings", "jacks", "equipment")))
    plan, remarks = read(room(), rules)
    assert (plan.openings, plan.jacks, plan.equipment) == ((), (), ())
    assert "layer JACKS: nothing on it, so no jacks read" in remarks


def test_bytes_of_the_drawing_are_plain_dxf() -> None:
    """The files of these tests are what any program would write: tags of two lines each."""
    assert content(room()).split(b"\n")[1].strip() == b"SECTION"
