"""Plan geometry."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely import Point, Polygon, affinity, box

from preprocess.plan import re_entrant_corners, ring_problems, slab_plan

RECTANGLE = [(0, 0), (9, 0), (9, 6), (0, 6)]
L_SHAPE = [(0, 0), (6, 0), (6, 2), (2, 2), (2, 5), (0, 5)]


def ring(corners: Sequence[tuple[float, float]]) -> NDArray[np.float64]:
    return np.array(corners, dtype=float)


def faults(corners: list[tuple[float, float]]) -> list[str]:
    return [str(problem) for problem in ring_problems(ring(corners), "case.toml", "slab.outline_mm")]


@pytest.mark.parametrize("corners", [RECTANGLE, RECTANGLE[::-1], [*RECTANGLE, RECTANGLE[0]], L_SHAPE])
def test_sound_rings_either_direction_closed_or_not(corners: list[tuple[float, float]]) -> None:
    assert faults(corners) == []


@pytest.mark.parametrize(
    ("corners", "expected"),
    [
        ([], "slab.outline_mm: got 0 corners: at least three"),
        ([(0, 0), (1, 0)], "got 2 corners: at least three"),
        ([(0, 0), (1, 0), (0, 0)], "got 2 corners: at least three"),
        (
            [(0, 0), (9, 6), (9, 0), (0, 6)],
            "edges 1 and 3 crossing at (4500, 3000) mm: edges that do not cross",
        ),
        (
            [(0, 0), (9, 0), (9, 0), (9, 6)],
            "outline_mm, corner 3: got (9000, 0) mm, as corner 2: each corner once",
        ),
        ([(0, 0), (4, 0), (9, 0), (4, 0), (4, 3)], "outline_mm, corner 4: got (4000, 0) mm, as corner 2"),
        ([(0, 0), (4, 0), (9, 0)], "got all corners in one line, area 0: corners that enclose an area"),
        (
            [(0, 0), (9, 0), (9, 6), (4, 0), (0, 6)],
            "corner 4 touching edge 1 at (4000, 0) mm: edges that do not touch",
        ),
        ([(0, 0), (9, 0), (9, 6), (9, 2), (0, 6)], "corner 4 touching edge 2 at (9000, 2000) mm"),
    ],
)
def test_rings_that_are_no_polygon(corners: list[tuple[float, float]], expected: str) -> None:
    [message] = faults(corners)
    assert expected in message


def test_many_crossings_are_counted_not_listed() -> None:
    star = [(float(np.cos(2.4 * np.pi * k / 3)), float(np.sin(2.4 * np.pi * k / 3))) for k in range(5)]
    [message] = faults(star)  # a pentagram has five crossings
    assert "and 4 more crossings" in message


def test_openings_become_holes_and_the_outline_runs_anticlockwise() -> None:
    openings = [("opening 1", ring([(1, 1), (2, 1), (2, 2), (1, 2)]))]
    plan, problems = slab_plan(ring(RECTANGLE[::-1]), openings, "case.toml", "slab.outline_mm")
    assert problems == []
    assert plan is not None
    assert plan.area == pytest.approx(9 * 6 - 1, rel=1e-14)
    assert plan.exterior.is_ccw
    assert not plan.interiors[0].is_ccw


@pytest.mark.parametrize(
    ("opening", "expected"),
    [
        ([(10, 1), (11, 1), (11, 2)], "outside the outline near"),
        ([(8, 1), (11, 1), (11, 2), (8, 2)], "on or across the outline near (10000, 1500) mm"),
        ([(8, 1), (9, 1), (9, 2), (8, 2)], "on or across the outline"),
        (
            [(4, 4), (5, 4), (5, 5), (4, 5)],
            "on or touching opening 1 near (4500, 4500) mm: openings 1 mm or more",
        ),
        ([(5, 4), (6, 4), (6, 5), (5, 5)], "on or touching opening 1"),
        ([(2.9, 2.9), (6, 2.9), (6, 5.5), (2.9, 5.5)], "on or touching opening 1"),
        ([(1, 1), (2, 2), (2, 1), (1, 2)], "opening 2: got edges 1 and 3 crossing at (1500, 1500) mm"),
    ],
)
def test_openings_that_clash(opening: list[tuple[float, float]], expected: str) -> None:
    openings = [("opening 1", ring([(3, 3), (5, 3), (5, 5), (3, 5)])), ("opening 2", ring(opening))]
    plan, [problem] = slab_plan(ring(RECTANGLE), openings, "case.toml", "slab.outline_mm")
    assert expected in str(problem)
    assert plan is not None
    assert len(plan.interiors) == 1  # the sound opening stays


def test_openings_are_checked_against_each_other_without_an_outline() -> None:
    openings = [("opening 1", ring([(3, 3), (5, 3), (5, 5)])), ("opening 2", ring([(3, 3), (5, 3), (5, 5)]))]
    plan, problems = slab_plan(None, openings, "case.toml", "slab.outline_mm")
    assert plan is None
    assert len(problems) == 1


@settings(max_examples=100, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 6), st.integers(0, 6)), min_size=3, max_size=8))
def test_a_ring_is_refused_exactly_when_shapely_calls_it_invalid(corners: list[tuple[float, float]]) -> None:
    """On a lattice of 1 m, where no gap is as small as 1 mm, our rules and the OGC's (in GEOS) must agree.

    Collinear neighbours are sound; a ring closed by its own first corner is the same ring.
    """
    closed = corners[:-1] if corners[0] == corners[-1] else corners
    valid = len(closed) >= 3 and len(set(closed)) == len(closed) and Polygon(closed).is_valid
    assert (faults(corners) == []) == valid


def test_re_entrant_corner_of_an_l() -> None:
    assert re_entrant_corners(Polygon(L_SHAPE)).tolist() == [[2, 2]]
    assert re_entrant_corners(Polygon(L_SHAPE[::-1])).tolist() == [[2, 2]]


def test_every_corner_of_a_rectangular_opening_is_re_entrant() -> None:
    plan = Polygon(RECTANGLE, [[(3, 3), (5, 3), (5, 5), (3, 5)]])
    assert sorted(re_entrant_corners(plan).tolist()) == [[3, 3], [3, 5], [5, 3], [5, 5]]


def test_rectangle_has_no_re_entrant_corner() -> None:
    assert re_entrant_corners(box(0, 0, 9, 6)).shape == (0, 2)


@pytest.mark.parametrize(("chords", "expected"), [(12, 12), (16, 0), (32, 0)])
def test_round_openings_have_none_when_drawn_with_enough_chords(chords: int, expected: int) -> None:
    """A chord of n turns by 360°/n: 30° counts, 22.5° does not; the threshold is 25°."""
    angles = 2 * np.pi * np.arange(chords) / chords
    hole = np.column_stack([4 + np.cos(angles), 3 + np.sin(angles)])
    assert len(re_entrant_corners(Polygon(RECTANGLE, [hole]))) == expected


@pytest.mark.parametrize("angle", [0, 17, 90, 211])
def test_re_entrant_corners_turn_with_the_plan(angle: float) -> None:
    turned = affinity.rotate(Polygon(L_SHAPE), angle, origin=(0, 0))
    [corner] = re_entrant_corners(turned)
    expected = affinity.rotate(Point(2, 2), angle, origin=(0, 0))
    assert corner == pytest.approx([expected.x, expected.y], abs=1e-12)  # rounding of a rotation
