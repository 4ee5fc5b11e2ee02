"""Patterns of the imposed load: what they cover, how they follow jacks and outline, and how many there are."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Point, Polygon, box
from shapely.affinity import rotate, scale, translate

from preprocess.patterns import LEAST_PIECE, MOST_SIDES, Pattern, imposed_patterns, main_direction

Floats = NDArray[np.float64]

LENGTH = 2.4
"""Characteristic length of a usual slab on its springs, m."""


def grid(columns: int, rows: int, spacing: float = 1.3, first: float = 0.3) -> Floats:
    x, y = np.meshgrid(first + spacing * np.arange(columns), first + spacing * np.arange(rows))
    return np.column_stack([x.ravel(), y.ravel()])


def rectangle(columns: int, rows: int) -> Polygon:
    """Jacks as `grid` gives them stand 0.3 m inside its edges."""
    return box(0, 0, 0.6 + 1.3 * (columns - 1), 0.6 + 1.3 * (rows - 1))


RECTANGLE = rectangle(9, 7)
HOLED = RECTANGLE - box(3.2, 3.2, 4.9, 5.4)
L_SHAPE = RECTANGLE - box(5, 4, 20, 20)
ROUND = Point(5, 5).buffer(5, quad_segs=50)
SAWTOOTH = Polygon([(0, 0), (300, 0), *((300 - 1.5 * k, 12 + 1.5 * (k % 2)) for k in range(201))])
PLANS = {
    "rectangle": (RECTANGLE, grid(9, 7)),
    "holed": (HOLED, grid(9, 7)),
    "L": (L_SHAPE, grid(9, 7)),
    "round": (ROUND, grid(7, 7, first=1.1)),
    "turned": (
        rotate(HOLED, 31, origin=(0, 0)),
        shapely.get_coordinates(rotate(shapely.multipoints(grid(9, 7)), 31, origin=(0, 0))),
    ),
    "sawtooth": (SAWTOOTH, grid(230, 9)),
    "tiny": (rectangle(2, 2), grid(2, 2)),
}


def turned(xy: Floats, degrees: float) -> Floats:
    return shapely.get_coordinates(rotate(shapely.multipoints(xy), degrees, origin=(0, 0)))


def named(patterns: tuple[Pattern, ...], start: str) -> list[Pattern]:
    return [pattern for pattern in patterns if pattern.name.startswith(start)]


def same(a: Polygon | MultiPolygon, b: Polygon | MultiPolygon, plan: Polygon) -> bool:
    """Whether one is the other or its complement in the plan, to 1e-6 of the plan."""
    different = a.symmetric_difference(b).area / plan.area
    return bool(different < 1e-6 or different > 1 - 1e-6)


@pytest.mark.parametrize("name", PLANS)
def test_shapes_are_sound_parts_of_the_plan(name: str) -> None:
    """Valid polygons in the plan (openings cut); what is loaded and what is left add up to the slab (rounding)."""
    plan, jacks = PLANS[name]
    patterns = imposed_patterns(plan, jacks, LENGTH)
    assert patterns
    for pattern in patterns:
        assert pattern.shape.is_valid, pattern.name
        assert all(isinstance(part, Polygon) for part in shapely.get_parts(pattern.shape))
        assert min(part.area for part in shapely.get_parts(pattern.shape)) > LEAST_PIECE
        assert pattern.shape.difference(plan).area < 1e-9
        assert pattern.shape.area + plan.difference(pattern.shape).area == pytest.approx(plan.area, rel=1e-9)


@pytest.mark.parametrize("name", PLANS)
def test_number_is_bounded_and_nothing_is_there_twice(name: str) -> None:
    """Never more than 39; none is empty, all, another or the complement of another; names differ."""
    plan, jacks = PLANS[name]
    patterns = imposed_patterns(plan, jacks, LENGTH)
    assert len(patterns) <= 39
    assert len({pattern.name for pattern in patterns}) == len(patterns)
    shapes = [Polygon(), plan, *(pattern.shape for pattern in patterns)]
    pairs = [(i, j) for j in range(2, len(shapes)) for i in range(j)]
    assert not [(i, j) for i, j in pairs if same(shapes[i], shapes[j], plan)]


def test_bays_run_from_row_to_row() -> None:
    """On a 9 × 7 grid the limits of the bays are inner rows; the strip beyond the outer row goes with its bay."""
    along_x, along_y, board = (p.shape for p in imposed_patterns(RECTANGLE, grid(9, 7), LENGTH)[:3])
    expected = shapely.union_all(
        [box(0, 0, 1.6, 8.4), box(2.9, 0, 4.2, 8.4), box(5.5, 0, 6.8, 8.4), box(8.1, 0, 9.4, 8.4)]
    )
    assert along_x.symmetric_difference(expected).area < 1e-9
    expected = shapely.union_all([box(0, 0, 11, 1.6), box(0, 2.9, 11, 4.2), box(0, 5.5, 11, 6.8)])
    assert along_y.symmetric_difference(expected).area < 1e-9
    assert board.symmetric_difference(along_x.symmetric_difference(along_y)).area < 1e-9


def test_a_wide_gap_between_rows_is_shared_evenly() -> None:
    """Without the column at 5.5 m a gap of 2.6 m stays, which is cut into two bays: nothing changes."""
    jacks = grid(9, 7)
    [pattern] = named(
        imposed_patterns(RECTANGLE, jacks[np.abs(jacks[:, 0] - 5.5) > 0.1], LENGTH), "alternate bays along x"
    )
    [expected] = named(imposed_patterns(RECTANGLE, jacks, LENGTH), "alternate bays along x")
    assert pattern.shape.symmetric_difference(expected.shape).area < 1e-9


def test_jacks_without_rows_give_even_bays() -> None:
    """Eighteen jacks on a circle 1.3 m apart: bays of 10 m / 8, from the plan's own bounds."""
    angles = 2 * np.pi * np.arange(18) / 18
    radius = 1.3 / (2 * np.sin(np.pi / 18))
    jacks = np.column_stack([5 + radius * np.cos(angles + 0.1), 5 + radius * np.sin(angles + 0.1)])
    pattern = imposed_patterns(box(0, 0, 10, 10), jacks, LENGTH)[0]
    bounds = sorted(part.bounds[::2] for part in shapely.get_parts(pattern.shape))
    np.testing.assert_allclose(bounds, [(2.5 * k, 2.5 * k + 1.25) for k in range(4)], atol=1e-9)


def test_a_strip_along_each_side() -> None:
    """One spacing wide along the six sides of an L; a side shorter than half a spacing has none."""
    found = named(imposed_patterns(L_SHAPE, grid(9, 7), LENGTH), "the strip")
    assert sorted(round(p.shape.area, 6) for p in found) == sorted(
        round(1.3 * length, 6) for length in (11, 4, 6, 4.4, 5, 8.4)
    )
    chamfered = Polygon([(0.4, 0), (11, 0), (11, 8.4), (0, 8.4), (0, 0.4)])  # 0.57 m
    assert len(named(imposed_patterns(chamfered, grid(9, 7), LENGTH), "the strip")) == 4


def test_a_curve_of_chords_is_one_side() -> None:
    """Half a circle of 200 chords on a straight edge: two sides; the ring along the arc is π(5² − 3.7²)/2."""
    arc = np.pi * np.arange(201) / 200
    plan = Polygon(np.column_stack([5 * np.cos(arc), 5 * np.sin(arc)]))
    found = named(imposed_patterns(plan, grid(7, 3, first=-3.9), LENGTH), "the strip")
    assert len(found) == 2
    ring = max(found, key=lambda pattern: pattern.shape.area)
    assert ring.shape.area == pytest.approx(np.pi * (25 - 3.7**2) / 2, rel=1e-3)  # chords cut off 4e-5; round joins
    assert [p.name for p in named(imposed_patterns(ROUND, grid(7, 7, first=1.1), LENGTH), "the strip")] == [
        "the strip along the whole outline"
    ]


def test_a_strip_does_not_reach_over_a_notch() -> None:
    """Beside a slot of 0.4 m the strip stays on its own side of the slot."""
    plan = RECTANGLE - box(5, 3, 5.4, 20)
    for pattern in named(imposed_patterns(plan, grid(9, 7), LENGTH), "the strip along the edge from (5.00"):
        assert pattern.shape.bounds[2] <= 5.4 + 1e-9 or pattern.shape.bounds[0] >= 3.7 - 1e-9
        assert isinstance(pattern.shape, Polygon)


def test_many_sides() -> None:
    """Of the two hundred sides of a sawtooth only the longest have a strip."""
    found = named(imposed_patterns(SAWTOOTH, grid(230, 9), LENGTH), "the strip")
    assert len(found) == MOST_SIDES
    assert any("(0.00, 0.00) to (300.00, 0.00)" in pattern.name for pattern in found)


@pytest.mark.parametrize("plan", [RECTANGLE, box(0, 0, 31.8, 26.6)], ids=["small", "large"])
def test_strips_follow_the_springs(plan: Polygon) -> None:
    """A strip is πℓ/√2 wide, or half of the plan where that is less; on a large plan its gaps are twice as wide."""
    columns, rows = round((plan.bounds[2] - 0.6) / 1.3) + 1, round((plan.bounds[3] - 0.6) / 1.3) + 1
    for length, width in ((LENGTH, np.pi * LENGTH / np.sqrt(2)), (100.0, plan.bounds[2] / 2)):
        found = named(imposed_patterns(plan, grid(columns, rows), length), f"strips of {width:.2f} m along x")
        starts = {round(part.bounds[0], 6) for p in found for part in shapely.get_parts(p.shape)}
        inner = [p.bounds for f in found for p in shapely.get_parts(f.shape)]
        inner = [b for b in inner if b[0] > 1e-6 and b[2] < plan.bounds[2] - 1e-6]
        assert len(starts) >= 2
        np.testing.assert_allclose([b[2] - b[0] for b in inner], width, rtol=1e-9)
    if plan is not RECTANGLE:
        position = named(imposed_patterns(plan, grid(columns, rows), LENGTH), "strips of 5.33 m along x, position 1")[0]
        parts = sorted(part.bounds[::2] for part in shapely.get_parts(position.shape))
        assert parts[1][0] - parts[0][1] == pytest.approx(2 * np.pi * LENGTH / np.sqrt(2), rel=1e-9)


def test_symmetric_plan_has_symmetric_patterns() -> None:
    """Mirrored about either middle, every pattern of a U-like symmetric slab is one of the list or a complement."""
    plan = RECTANGLE - box(4.2, 4.2, 6.8, 20)
    jacks = grid(9, 7)
    patterns = imposed_patterns(plan, jacks, LENGTH)
    for pattern in patterns:
        mirrored = scale(pattern.shape, -1, 1, origin=(5.5, 0))
        assert any(same(mirrored, other.shape, plan) for other in patterns), pattern.name


@pytest.mark.parametrize("angle", [12.0, 31.0, -40.0, 90.0])
def test_patterns_turn_with_the_slab(angle: float) -> None:
    """Slab and jacks turned: the patterns turn with them, to rounding."""
    plan, jacks = HOLED, grid(9, 7)
    whole = imposed_patterns(plan, jacks, LENGTH)
    round_about = rotate(plan, angle, origin=(0, 0))
    found = imposed_patterns(round_about, turned(jacks, angle), LENGTH)
    assert len(found) == len(whole)
    back = [rotate(pattern.shape, -angle, origin=(0, 0)) for pattern in found]
    for pattern in whole:
        assert any(same(pattern.shape, other, plan) for other in back), pattern.name


@pytest.mark.parametrize(("angle", "expected"), [(0, 0), (90, 0), (180, 0), (30, 30), (-30, -30), (60, -30), (45, 45)])
def test_main_direction(angle: float, expected: float) -> None:
    """That of the longest edge, folded into a right angle; a corner in the middle of the edge changes nothing."""
    corners = [(0, 0), (5.5, 0), (11, 0), (11, 2), (7, 2.5), (0, 2)]
    assert main_direction(rotate(Polygon(corners), angle, origin=(0, 0))) == pytest.approx(expected, abs=1e-9)


def test_order_of_jacks_does_not_matter() -> None:
    """Bit by bit the same patterns from a shuffled jack list."""
    shuffled = np.random.default_rng(3).permutation(grid(9, 7))
    assert imposed_patterns(HOLED, shuffled, LENGTH) == imposed_patterns(HOLED, grid(9, 7), LENGTH)


def test_one_bay() -> None:
    """A slab on four jacks is one bay: no alternate bays, but halves and edge strips that are less than all."""
    plan = rectangle(2, 2)
    patterns = imposed_patterns(plan, grid(2, 2), LENGTH)
    assert not named(patterns, "alternate")
    assert not named(patterns, "bays")
    assert any(same(pattern.shape, box(0, 0, 0.95, 1.9), plan) for pattern in patterns)
    assert any(same(pattern.shape, box(0, 0, 1.9, 1.3), plan) for pattern in patterns)


def test_equal_patterns_are_left_out() -> None:
    """On two bays the alternate bays are the halves that the strips give again: each is listed once."""
    plan = translate(box(0, 0, 3.2, 3.2), 5, 7)
    patterns = imposed_patterns(plan, grid(3, 3) + np.array([5, 7]), LENGTH)
    half = box(5, 7, 6.6, 10.2)
    assert [pattern.name for pattern in patterns if same(pattern.shape, half, plan)] == ["alternate bays along x, odd"]
