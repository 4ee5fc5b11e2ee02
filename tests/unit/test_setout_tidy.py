"""Tidying of layouts: more jacks on lines to snap, every rule kept, square plans untouched."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from shapely import Polygon, box

from preprocess.case import SetOutRules
from preprocess.reader import read_draft
from preprocess.setout import layout as layouts
from preprocess.setout.ground import Ground
from preprocess.setout.layout import JackLayout, set_out
from preprocess.setout.measure import kept
from preprocess.setout.nudge import nudge_from
from preprocess.setout.shared_lines import AXES, shared_lines
from preprocess.setout.symmetry import motions
from preprocess.setout.tidy import FURTHEST, tidied
from preprocess.setout.trial import Symmetry
from tests.unit.setout_plans import (
    FURNISHED,
    MILLIMETRE,
    OTHERS,
    RECTILINEAR,
    Floats,
    measured,
    on_shared_lines,
    overhang_excess,
    some_rules,
)

RULES = some_rules()
STUDIO = read_draft(Path(__file__).parents[2] / "cases" / "studio", "plan")
PLANS: dict[str, tuple[Polygon, SetOutRules]] = {
    **{name: (plan, RULES) for name, plan in {**RECTILINEAR, **OTHERS}.items()},
    "furnished": FURNISHED,
    "studio": (STUDIO.plan, STUDIO.setout),
}


def set_out_untidied(plan: Polygon, rules: SetOutRules) -> JackLayout:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(layouts, "tidied", lambda ground, symmetry, xy: xy)
        return set_out(plan, rules)


@cache
def both(name: str) -> tuple[JackLayout, JackLayout]:
    """A plan's layout without and with tidying."""
    return set_out_untidied(*PLANS[name]), set_out(*PLANS[name])


def lines_of_each(name: str) -> tuple[Floats, Floats]:
    """On how many shared lines each jack stands, without and with tidying."""
    before, after = (on_shared_lines(*PLANS[name], found.angle, found.xy) for found in both(name))
    return before, after


@pytest.mark.parametrize("name", RECTILINEAR)
def test_square_plans_are_left_alone(name: str) -> None:
    before, after = both(name)
    assert np.array_equal(before.xy, after.xy)
    assert (before.ids, before.rows, before.columns) == (after.ids, after.rows, after.columns)


@pytest.mark.parametrize("name", [*OTHERS, "furnished", "studio"])
def test_no_fewer_jacks_stand_on_shared_lines(name: str) -> None:
    before, after = lines_of_each(name)
    assert len(after) == len(before)
    assert (after == 0).sum() <= (before == 0).sum()
    assert after.sum() >= before.sum()


@pytest.mark.parametrize(("name", "most"), [("slanted", 2), ("sharp", 3), ("steps", 0), ("Z", 0), ("furnished", 0),
                                            ("trapezium", 0), ("studio", 2)])
def test_few_jacks_stand_off_every_line(name: str, most: int) -> None:
    """Bounds from looking at the drawings: the jacks that are left have a neighbour or an edge in the way."""
    assert (lines_of_each(name)[1] == 0).sum() <= most


@pytest.mark.parametrize(("name", "share"), [("sharp", 0.5), ("studio", 0.5)])
def test_jacks_off_every_line_become_fewer(name: str, share: float) -> None:
    before, after = lines_of_each(name)
    assert (before == 0).sum() >= 4
    assert (after == 0).sum() <= share * (before == 0).sum()


@pytest.mark.parametrize("name", ["slanted", "sharp", "trapezium", "corner cut off", "studio"])
def test_more_jacks_stand_where_lines_cross(name: str) -> None:
    before, after = lines_of_each(name)
    assert (after >= 2).sum() > (before >= 2).sum()


def test_studio_keeps_its_rules_by_brute_force() -> None:
    plan, rules = PLANS["studio"]
    layout = both("studio")[1]
    found = measured(plan, layout.xy)
    assert not layout.problems
    assert found.apart >= rules.least_spacing - MILLIMETRE
    assert found.edge >= rules.least_edge - MILLIMETRE
    assert found.reach <= rules.greatest_spacing / np.sqrt(2) + MILLIMETRE
    assert overhang_excess(plan, layout.xy, rules) <= MILLIMETRE


def test_sharp_is_no_worse_where_its_rule_cannot_be_kept() -> None:
    plan, rules = PLANS["sharp"]
    before, after = (overhang_excess(plan, found.xy, rules) for found in both("sharp"))
    assert after <= max(before, 0.0) + MILLIMETRE


@pytest.mark.parametrize("name", ["slanted", "sharp", "trapezium", "corner cut off", "furnished", "studio"])
def test_lines_to_snap_are_straight(name: str) -> None:
    """Every listed line within 2 mm of the straight line through its ends, its jacks in order along it."""
    layout = both(name)[1]
    for line in (*layout.rows, *layout.columns):
        places = layout.xy[list(line)]
        along = (places[-1] - places[0]) / np.linalg.norm(places[-1] - places[0])
        off = (places - places[0]) @ np.array([-along[1], along[0]])
        assert np.abs(off).max() <= 0.003
        assert np.all(np.diff((places - places[0]) @ along) > 0)


def test_walls_of_the_studio_have_lines_along_them() -> None:
    """Each of the six walls, none square to another: three or more jacks listed on one line parallel to it, at most
    as far from it as the overhang allows (0.2° between directions: 2 mm across the least length of such a line)."""
    plan, rules = PLANS["studio"]
    layout = both("studio")[1]
    lines = [line for line in (*layout.rows, *layout.columns) if len(line) >= 3]
    corners = shapely.get_coordinates(plan.exterior)
    for start, end in pairwise(corners):
        wall = shapely.LineString([start, end])
        direction = (end - start) / np.linalg.norm(end - start)
        beside = 0
        for line in lines:
            places = layout.xy[list(line)]
            chord = (places[-1] - places[0]) / np.linalg.norm(places[-1] - places[0])
            parallel = abs(direction[0] * chord[1] - direction[1] * chord[0]) < np.sin(np.radians(0.2))
            near = shapely.distance(wall, shapely.points(places)).max() <= rules.greatest_overhang + MILLIMETRE
            beside += bool(parallel and near)
        assert beside == 1


def test_a_square_grid_has_no_slanted_lines() -> None:
    """On a grid cut off at 45° only the jacks along that edge are on a slanted line, not the grid's diagonals."""
    layout = both("corner cut off")[1]
    slanted = [line for line in layout.columns if np.ptp(layout.xy[list(line)], axis=0).min() > 0.01]
    assert len(slanted) == 1
    edge = shapely.LineString([(11, 5), (7, 9)])
    assert shapely.distance(edge, shapely.points(layout.xy[list(slanted[0])])).max() <= 0.45 + MILLIMETRE


def test_a_jack_beside_a_row_is_put_on_it() -> None:
    """A grid of 1.2 m with one jack inside moved by 120 mm each way: back where row and column cross; the outline has
    one slanted edge, far from it, since square plans on rows are left alone."""
    plan = Polygon([(0, 0), (7.2, 0), (8.0, 7.2), (0, 7.2)])
    grid = np.stack(np.meshgrid(0.4 + 1.2 * np.arange(6), 0.4 + 1.2 * np.arange(6)), axis=-1).reshape(-1, 2)
    moved = grid.copy()
    moved[14] += 0.12
    assert np.allclose(tidied(Ground(plan, RULES), Symmetry(motions(plan, RULES)), moved)[14], grid[14])


def test_tidying_again_moves_nothing_more() -> None:
    """What is tidied has no jack left that could move; a second pass is another start from the same jacks."""
    plan, rules = PLANS["trapezium"]
    ground, symmetry = Ground(plan, rules), Symmetry(motions(plan, rules))
    once = tidied(ground, symmetry, both("trapezium")[0].xy)
    assert np.allclose(tidied(ground, symmetry, once), once, atol=1e-9)


def test_lines_of_a_grid_by_counting() -> None:
    """4 × 3 jacks have three rows of four and four columns of three; one 5 mm off its row and column breaks two."""
    xy = np.stack(np.meshgrid(np.arange(4.0), np.arange(3.0)), axis=-1).reshape(-1, 2)
    assert sorted(len(line.jacks) for line in shared_lines(AXES, xy, 3.0).lines) == [3, 3, 3, 3, 4, 4, 4]
    xy[5] += 0.005
    assert sorted(len(line.jacks) for line in shared_lines(AXES, xy, 3.0).lines) == [3, 3, 3, 3, 4, 4]


@pytest.mark.parametrize("name", ["corner cut off", "studio"])
def test_moves_are_judged_as_the_whole_layout_would_be(name: str) -> None:
    """200 random moves under rules looser than those of the layout, so that only the move can break one: made if every
    rule of the layout measured as a whole is kept, apart from figures within 2 mm of a limit, the allowances for
    rounding. Without symmetry, so that one jack moves at a time."""
    plan, _ = PLANS[name]
    rules = SetOutRules(1.45, 0.85, 0.24, 0.47, (), ())
    xy = both(name)[0].xy
    nudge, now = nudge_from(Ground(plan, rules), Symmetry(motions(plan, rules)[:1]), xy)
    random = np.random.default_rng(7)
    made = {True: 0, False: 0}
    for _ in range(200):
        jack, tried = int(random.integers(len(xy))), xy.copy()
        tried[jack] += random.uniform(-FURTHEST, FURTHEST, 2)
        whole = kept(plan, rules, tried)
        short = [-whole.least_spacing.excess, -whole.least_edge.excess, whole.reach.excess, whole.overhang.excess]
        after = nudge.moved(now, jack, tried[jack])
        if abs(max(short)) > 0.002:
            assert (after is not None) == (max(short) < 0)
            made[after is not None] += 1
        assert after is None or np.allclose(after.xy, tried, atol=1e-9)
    assert min(made.values()) > 20


@pytest.mark.parametrize("seed", range(4))
def test_random_slanted_plans(seed: int) -> None:
    """Four walls, none along another: as many jacks as before, no more off every line, rules by brute force."""
    shifts = np.random.default_rng(seed).uniform(-0.8, 0.8, (4, 2))
    plan = Polygon(shapely.get_coordinates(box(0, 0, 8, 6).exterior)[:-1] + shifts)
    before, after = set_out_untidied(plan, RULES), set_out(plan, RULES)
    assert len(after) == len(before)
    off = [(on_shared_lines(plan, RULES, found.angle, found.xy) == 0).sum() for found in (before, after)]
    assert off[1] <= off[0]
    found = measured(plan, after.xy, step=0.1)
    assert found.apart >= RULES.least_spacing - MILLIMETRE
    assert found.edge >= RULES.least_edge - MILLIMETRE
    assert found.reach <= RULES.greatest_spacing / np.sqrt(2) + MILLIMETRE
    excess = [overhang_excess(plan, layout.xy, RULES) for layout in (before, after)]
    assert excess[1] <= max(excess[0], 0.0) + MILLIMETRE
