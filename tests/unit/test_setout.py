"""Setting out jacks: the rules, measured independently on many plans, and what makes a layout a good one."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from shapely import Polygon, affinity, box
from shapely.ops import unary_union

from preprocess.case import SetOutRules
from preprocess.setout.layout import JackLayout, set_out
from preprocess.setout.measure import kept
from preprocess.setout.names import row_letters
from tests.unit.setout_plans import (
    CIRCLE,
    FURNISHED,
    MILLIMETRE,
    OTHERS,
    RECTILINEAR,
    U_SHAPE,
    measured,
    overhang_excess,
    slab_points,
    some_rules,
)

RULES = some_rules()
PLANS = {**RECTILINEAR, **OTHERS}


@cache
def the_layout(name: str) -> JackLayout:
    """Each plan is set out once for all tests."""
    return set_out(*FURNISHED) if name == "furnished" else set_out(PLANS[name], RULES)


def assert_safe(plan: Polygon, rules: SetOutRules, layout: JackLayout) -> None:
    """Rules 1 and 3, which hold on every plan, to the rounding of jacks to millimetres."""
    found = measured(plan, layout.xy, step=0.2)
    assert found.apart >= rules.least_spacing - MILLIMETRE
    assert found.edge >= rules.least_edge - MILLIMETRE
    for zone in rules.zones:
        assert not np.any(shapely.contains_xy(zone.area.buffer(-MILLIMETRE), layout.xy[:, 0], layout.xy[:, 1]))


@pytest.mark.parametrize("name", PLANS)
def test_every_rule_is_kept_by_brute_force(name: str) -> None:
    """Reach on a grid of 40 mm and along edges, which finds at most the true reach.

    In the sharp corner the slab is between 0.9 m wide, the most that one row holds, and 1.07 m, the least at which
    jacks 0.9 m apart stand in turn along both edges: there the overhang is said to be greater.
    """
    plan, layout = PLANS[name], the_layout(name)
    assert_safe(plan, RULES, layout)
    if name == "sharp":
        assert [problem.where for problem in layout.problems] == ["setout.greatest_overhang_mm"]
        assert measured(plan, layout.xy).reach <= RULES.greatest_spacing / np.sqrt(2) + MILLIMETRE
        return
    assert not layout.problems
    assert measured(plan, layout.xy).reach <= RULES.greatest_spacing / np.sqrt(2) + MILLIMETRE
    assert overhang_excess(plan, layout.xy, RULES) <= MILLIMETRE


@pytest.mark.parametrize("name", PLANS)
def test_measured_figures_agree_with_brute_force(name: str) -> None:
    """Grid points lie within 0.04/√2 m of any point, so the brute-force reach is that much less at most."""
    plan, layout = PLANS[name], the_layout(name)
    own, brute = kept(plan, RULES, layout.xy), measured(plan, layout.xy)
    assert own.least_spacing.value == pytest.approx(brute.apart, abs=1e-9)
    assert own.least_edge.value == pytest.approx(brute.edge, abs=1e-9)
    assert brute.reach - 1e-6 <= own.reach.value <= brute.reach + 0.04 / np.sqrt(2)


@pytest.mark.parametrize("name", sorted(set(RECTILINEAR) - {"columns", "ring"}))
def test_jacks_of_square_plans_stand_on_common_lines(name: str) -> None:
    """No more rows than fit at the least spacing, and every jack on a row and a column."""
    layout = the_layout(name)
    size = np.ptp(shapely.get_coordinates(PLANS[name]), axis=0)
    for coordinate in (0, 1):
        lines = np.unique(layout.xy[:, coordinate])
        assert len(lines) <= (size[coordinate] - 2 * RULES.least_edge) / RULES.least_spacing + 1 + 1e-9
    assert sum(map(len, layout.rows)) == len(layout) or len(layout.columns) == 0


@pytest.mark.parametrize("name", PLANS)
def test_few_jacks(name: str) -> None:
    """A square grid at the greatest spacing s with overhang o covers a × b with ⌈(a−2o)/s+1⌉·⌈(b−2o)/s+1⌉ jacks: more
    than ab/s² by the share of the perimeter, about (s−2o)/2 of its length, and by rounding up to whole gaps, half a
    row each way on average: 1.15 times area/s² and a jack for each spacing of the perimeter bound both."""
    plan = PLANS[name]
    spacing = RULES.greatest_spacing
    assert len(the_layout(name)) <= 1.15 * plan.area / spacing**2 + plan.length / spacing


def test_rectangle_takes_the_fewest_rows_and_columns() -> None:
    """9.3 − 0.9 = 8.4 = 6 gaps of 1.4, 6.2 − 0.9 = 5.3 m takes 4 gaps: 7 × 5 jacks; fewer would break a spacing."""
    assert len(the_layout("rectangle")) == 35


def test_ring_leaves_out_lines_that_an_opening_alone_asks_for() -> None:
    """Straight lines through the whole ring: 8 rows, 2 of them and 11 − 8 columns only for the opening's edges, take
    8 · 11 jacks less the 2 · 3 in the opening. A layout without some of them is preferred if it saves over 12 %."""
    layout = the_layout("ring")
    assert len(layout) < (8 * 11 - 6) / 1.12
    on_rows = sum(len(row) for row in layout.rows if len(row) >= 4)
    assert on_rows >= 0.9 * len(layout)


MIRRORS = {
    "rectangle": ((4.65, 3.1), [(-1, 1), (1, -1)]),
    "square": ((4, 4), [(-1, 1), (1, -1)]),
    "T": ((5.5, 0), [(-1, 1)]),
    "ring": ((6, 5), [(-1, 1), (1, -1)]),
    "cross": ((6, 6), [(-1, 1), (1, -1)]),
    "H": ((5.5, 5.1), [(-1, 1)]),
    "columns": ((7, 4.7), [(-1, 1)]),
    "trapezium": ((5, 0), [(-1, 1)]),
    "arched": ((0, 0), [(-1, 1)]),
    "circle": ((0, 0), [(-1, 1), (1, -1)]),
    "Z": ((6, 4.5), [(-1, -1)]),
}


@pytest.mark.parametrize("name", MIRRORS)
def test_symmetry_of_the_plan_is_kept(name: str) -> None:
    """Mirrors and half-turns as signs of x and y about a centre; 1 mm of rounding on either side of a mirror."""
    centre, signs = MIRRORS[name]
    xy = the_layout(name).xy - centre
    for sign in signs:
        gaps = np.linalg.norm((xy * sign)[:, None] - xy[None], axis=2).min(axis=1)
        assert gaps.max() <= 0.002, sign


def test_diagonal_mirror_is_kept() -> None:
    xy = the_layout("square").xy
    assert np.linalg.norm(xy[:, None, ::-1] - xy[None], axis=2).min(axis=1).max() <= 0.002


def test_lines_and_zones() -> None:
    """Jacks on each line at its spacing, from the first to the last; none in a zone."""
    plan, rules = FURNISHED
    layout = the_layout("furnished")
    assert_safe(plan, rules, layout)
    assert not layout.problems
    for line in rules.lines:
        along = line.path[1] - line.path[0]
        length = float(np.linalg.norm(along))
        offset = layout.xy - line.path[0]
        aside = np.abs(offset @ np.array([-along[1], along[0]])) / length
        places = np.sort((offset @ along / length)[aside <= 0.005])
        places = places[(places >= 0) & (places <= length)]
        assert len(places) >= 2
        assert np.diff(places).max() <= line.spacing + MILLIMETRE
        assert max(places[0], length - places[-1]) <= line.spacing / 2 + MILLIMETRE
    assert measured(plan, layout.xy).reach <= rules.greatest_spacing / np.sqrt(2) + MILLIMETRE


@pytest.mark.parametrize(("plan", "area", "spacing"), [
    (box(0, 0, 12, 8), box(4, 3, 6, 5), 1.1),
    (U_SHAPE, box(0, 0, 2.5, 2.5), 1.0),
])
def test_jacks_close_up_where_asked(plan: Polygon, area: Polygon, spacing: float) -> None:
    """Within the area the reach of the closer spacing; most of the jacks more than two spacings away do not move."""
    before = set_out(plan, RULES)
    after = set_out(plan, RULES, [(area, spacing)])
    assert not after.problems
    assert_safe(plan, RULES, after)
    points = slab_points(area, 0.02)
    far = np.linalg.norm(points[:, None] - after.xy[None], axis=2).min(axis=1).max()
    assert far <= spacing / np.sqrt(2) + MILLIMETRE
    assert np.linalg.norm(points[:, None] - before.xy[None], axis=2).min(axis=1).max() > far
    away = before.xy[shapely.distance(area, shapely.points(before.xy)) > 2 * RULES.greatest_spacing]
    assert len(away) > 10
    assert np.linalg.norm(away[:, None] - after.xy[None], axis=2).min(axis=1).max() < 1e-9


def test_same_layout_again() -> None:
    again = set_out(PLANS["slanted"], RULES)
    assert again.ids == the_layout("slanted").ids
    assert np.array_equal(again.xy, the_layout("slanted").xy)


@pytest.mark.parametrize("name", PLANS)
def test_names_are_unique_and_go_from_south_west(name: str) -> None:
    layout = the_layout(name)
    assert len(set(layout.ids)) == len(layout) == len(layout.xy)
    assert layout.ids[0] == "A1"
    assert np.array_equal(layout.xy, np.round(layout.xy, 3))


def test_letters_after_z() -> None:
    assert [row_letters(number) for number in (0, 25, 26, 52, 701, 702)] == ["A", "Z", "AA", "BA", "ZZ", "AAA"]


def test_turned_plan_has_turned_straight_rows() -> None:
    """Rows along the plan's own long side, 17° from x; jacks rounded to millimetres leave a line by 1 mm at most."""
    layout = the_layout("turned by 17°")
    assert layout.angle == pytest.approx(17, abs=0.01)
    back = shapely.get_coordinates(affinity.rotate(shapely.multipoints(layout.xy), -17, origin=(0, 0)))
    for row in layout.rows:
        assert np.ptp(back[list(row), 1]) <= 0.003
    assert sum(map(len, layout.rows)) == len(layout)


def test_a_plan_that_forces_an_overhang_says_so() -> None:
    """A strip 1.0 m wide: one row leaves 0.5 m on one side at least, and two rows need 0.9 + 2 · 0.25 m."""
    layout = set_out(box(0, 0, 8, 1.0), RULES)
    assert_safe(box(0, 0, 8, 1.0), RULES, layout)
    assert any(problem.where == "setout.greatest_overhang_mm" for problem in layout.problems)


def test_large_hall() -> None:
    """100 × 100 m: on a regular grid, ⌈(100 − 0.9)/1.4⌉ + 1 = 72 lines each way."""
    layout = set_out(box(0, 0, 100, 100), RULES)
    assert len(layout) == 72**2
    assert kept(box(0, 0, 100, 100), RULES, layout.xy).all_kept


@st.composite
def square_cornered(draw: st.DrawFn) -> Polygon:
    """Two or three overlapping rectangles, on steps of 0.1 m."""
    boxes = [box(0, 0, draw(st.integers(30, 80)) / 10, draw(st.integers(30, 80)) / 10)]
    for _ in range(draw(st.integers(1, 2))):
        x, y = draw(st.integers(0, 25)) / 10, draw(st.integers(0, 25)) / 10
        boxes.append(box(x, y, x + draw(st.integers(25, 80)) / 10, y + draw(st.integers(25, 80)) / 10))
    return unary_union(boxes).simplify(0.001)


@st.composite
def convex(draw: st.DrawFn) -> Polygon:
    """An ellipse of 3 to 6 m half axes with four to nine corners."""
    number = draw(st.integers(4, 9))
    angles = 2 * np.pi * (np.arange(number) + np.array([draw(st.integers(0, 5)) for _ in range(number)]) / 10) / number
    width, height = draw(st.integers(30, 60)) / 10, draw(st.integers(30, 60)) / 10
    return Polygon(np.stack([width * np.cos(angles), height * np.sin(angles)], axis=1))


@settings(max_examples=16, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(plan=st.one_of(square_cornered(), convex()))
def test_random_plans(plan: Polygon) -> None:
    """Spacing, edges and reach are kept on any plan; overhang is kept, or the place where it is not is said."""
    layout = set_out(plan, RULES)
    assert_safe(plan, RULES, layout)
    assert measured(plan, layout.xy).reach <= RULES.greatest_spacing / np.sqrt(2) + MILLIMETRE
    if overhang_excess(plan, layout.xy, RULES) > MILLIMETRE:
        assert any(problem.where == "setout.greatest_overhang_mm" for problem in layout.problems)


def test_circle_follows_its_edge() -> None:
    """Chords of 6° count as a curve: jacks stand all round it, no more than the greatest spacing apart."""
    layout = the_layout("circle")
    inset = shapely.distance(CIRCLE.boundary, shapely.points(layout.xy))
    edge = layout.xy[inset <= RULES.greatest_overhang + MILLIMETRE]
    angles = np.sort(np.arctan2(edge[:, 1], edge[:, 0]))
    steps = np.diff(np.concatenate([angles, angles[:1] + 2 * np.pi]))
    assert steps.max() * np.linalg.norm(edge, axis=1).max() <= RULES.greatest_spacing * 1.02  # arc over chord
