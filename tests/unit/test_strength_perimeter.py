"""Control perimeters at edges, corners and openings, against lengths by hand.

Tolerance, where none is given: arcs are drawn with 64 chords a quarter, shorter by 25 parts in a million.
"""

from __future__ import annotations

from dataclasses import replace
from math import asin, atan2, hypot, pi

import numpy as np
import pytest
from shapely import Point, Polygon, affinity, box

from postprocess.strength.materials import Materials
from postprocess.strength.perimeter import Perimeter, control_perimeters
from postprocess.strength.punching import punching

D = 0.1
SIZE = 0.15
R = SIZE / 2 + 2 * D
CLOSED = 2 * pi * R
SLAB = box(0, 0, 9, 6)
CHORDS = 3e-5


def one(slab: Polygon, x: float, y: float) -> Perimeter:
    (perimeter,) = control_perimeters(slab, np.array([[x, y]]), SIZE, "disc", D)
    return perimeter


def test_interior() -> None:
    perimeter = one(SLAB, 4, 3)
    assert perimeter.position == "interior"
    assert perimeter.length == pytest.approx(CLOSED, rel=CHORDS)
    assert perimeter.face == pytest.approx(pi * SIZE, rel=1e-12)
    assert perimeter.ineffective.is_empty


@pytest.mark.parametrize("gap", [0.08, 0.2, 0.3, 0.4])
def test_set_back_from_an_edge(gap: float) -> None:
    """Figure 6.15: a half circle and two lines square to the edge, πR + 2a, shorter than the closed circle for
    a < πR/2 = 0.43 m.
    """
    perimeter = one(SLAB, 4, gap)
    assert perimeter.position == "edge"
    assert perimeter.length == pytest.approx(pi * R + 2 * gap, rel=CHORDS)
    side = pi * SIZE / 4
    assert perimeter.face == pytest.approx(min(side + 3 * D, 3 * side), rel=1e-12)


def test_far_enough_from_an_edge() -> None:
    """a = 0.45 m > πR/2: the closed circle is shorter."""
    assert one(SLAB, 4, 0.45).position == "interior"
    assert one(SLAB, 4, 0.45).length == pytest.approx(CLOSED, rel=CHORDS)


def test_corner() -> None:
    """A quarter circle and two lines: πR/2 + a + b."""
    perimeter = one(SLAB, 0.2, 0.3)
    assert perimeter.position == "corner"
    assert perimeter.length == pytest.approx(pi / 2 * R + 0.5, rel=CHORDS)
    assert perimeter.face == pytest.approx(min(3 * D, pi * SIZE / 2), rel=1e-12)


def test_narrow_strip() -> None:
    """Between two parallel edges 0.4 m apart the slab shears off along two lines across it, 0.8 m."""
    assert one(box(0, 0, 9, 0.4), 4, 0.2).length == pytest.approx(0.8, rel=CHORDS)


@pytest.mark.parametrize("angle", [10, 37, 90, 123])
def test_turned_plans(angle: float) -> None:
    """Slanted walls: the plan and the place turned together change nothing; chords fall elsewhere."""
    for place, length in (((4, 0.2), pi * R + 0.4), ((0.2, 0.3), pi / 2 * R + 0.5)):
        point = affinity.rotate(Point(place), angle, origin=(0, 0))
        assert one(affinity.rotate(SLAB, angle, origin=(0, 0)), point.x, point.y).length == pytest.approx(
            length, rel=2 * CHORDS
        )


def test_direction_of_the_outline_does_not_matter() -> None:
    assert one(SLAB.reverse(), 4, 0.2).length == pytest.approx(one(SLAB, 4, 0.2).length, rel=1e-12)


@pytest.mark.parametrize("gap", [0.2, 0.4, 0.5])
def test_opening_casts_a_shadow(gap: float) -> None:
    """6.4.2(3): the part between the tangents from the centre to a square opening of 200 mm is not effective."""
    opening = box(4 + gap, 2.9, 4.2 + gap, 3.1)
    perimeter = one(SLAB.difference(opening), 4, 3)
    shadow = 2 * atan2(0.1, gap)
    assert perimeter.length == pytest.approx(CLOSED - R * shadow, rel=2 * CHORDS)
    assert perimeter.ineffective.length == pytest.approx(R * shadow, rel=1e-3)
    assert perimeter.position == "interior"


def test_distant_opening_counts_no_more() -> None:
    """Beyond 6d = 0.6 m from the loaded area, whose edge lies 75 mm from its centre."""
    for gap, counts in ((0.67, True), (0.68, False)):
        opening = box(4 + gap, 2.9, 4.2 + gap, 3.1)
        assert (one(SLAB.difference(opening), 4, 3).length < 0.99 * CLOSED) == counts


def test_long_opening_counts_wider() -> None:
    """Figure 6.14 (from memory): l1 = 400 mm along the ray, l2 = 100 mm across it counts as √(l1 l2) = 200 mm."""
    opening = box(4.4, 2.95, 4.8, 3.05)
    shadow = 2 * atan2(0.1, 0.4)
    assert one(SLAB.difference(opening), 4, 3).length == pytest.approx(CLOSED - R * shadow, rel=2 * CHORDS)


def test_opening_on_three_sides() -> None:
    """An opening that reaches round the place leaves what is seen through its mouth, 2 atan(0.2/0.6)."""
    around = box(3.7, 2.7, 4.6, 3.3).difference(box(3.8, 2.8, 4.7, 3.2))
    assert one(SLAB.difference(around), 4, 3).length == pytest.approx(2 * R * atan2(0.2, 0.6), rel=2 * CHORDS)


def test_two_openings_that_overlap_are_not_counted_twice() -> None:
    near, behind = box(4.3, 2.9, 4.4, 3.1), box(4.5, 2.95, 4.55, 3.05)
    both = one(SLAB.difference(near).difference(behind), 4, 3)
    assert both.length == pytest.approx(one(SLAB.difference(near), 4, 3).length, rel=1e-9)


def test_re_entrant_corner() -> None:
    """Both edges of a re-entrant corner 0.1414 m away: the circle meets them, and what is left turns about 270°.

    By hand: the full circle less the part beyond the corner's two edges, each 0.1 m from the centre; 90° of the
    void and asin(0.1/R) on either side of it towards the centre's own axes.
    """
    plan = Polygon([(0, 0), (6, 0), (6, 2), (2, 2), (2, 6), (0, 6)])
    perimeter = one(plan, 1.9, 1.9)
    assert perimeter.position == "edge"
    assert perimeter.length == pytest.approx(R * (2 * pi - (pi / 2 - 2 * asin(0.1 / R))), rel=2 * CHORDS)
    assert one(plan, 1.7, 1.7).position == "interior"


def test_round_a_corner_is_out_of_sight() -> None:
    """What lies behind a re-entrant corner, seen from the centre, is ineffective and is kept for the drawing.

    The sight is looked at in steps of d/20, so the cut is true to one step.
    """
    plan = Polygon([(0, 0), (6, 0), (6, 2), (2, 2), (2, 6), (0, 6)])
    perimeter = one(plan, 1.9, 2.1)
    assert perimeter.ineffective.length > 0.05
    for part in np.asarray(perimeter.effective.segmentize(0.01).coords):
        ray = Polygon([(1.9, 2.1), part, part + 1e-9]).exterior
        assert plan.buffer(D / 20).covers(ray)


def test_many_places_and_sizes() -> None:
    """Pads of several sizes at once, in order; a square's perimeter is 4c + 4πd."""
    centres = np.array([[2.0, 2.0], [4.0, 3.0], [6.0, 4.0]])
    sizes = np.array([0.1, 0.2, 0.3])
    found = control_perimeters(SLAB, centres, sizes, "square", D)
    for perimeter, size, centre in zip(found, sizes, centres, strict=True):
        assert perimeter.length == pytest.approx(4 * size + 4 * pi * D, rel=CHORDS)
        assert hypot(perimeter.loaded.centroid.x - centre[0], perimeter.loaded.centroid.y - centre[1]) < 1e-12


def test_next_to_no_perimeter_left_is_not_a_pass() -> None:
    """A place ringed by openings but for two bridges of 1 mm: far over full use; without force 0. And a perimeter of
    no length at all is infinitely overused.
    """
    ring = Point(4, 3).buffer(0.35).difference(Point(4, 3).buffer(0.2))
    slots = ring.difference(box(3, 2.9995, 5, 3.0005))
    perimeters = control_perimeters(SLAB.difference(slots), np.array([[4.0, 3.0]] * 2), SIZE, "disc", D)
    result = punching(np.array([10e3, 0.0]), perimeters, D, 0.005, Materials(30e6, 500e6))
    assert result.use[0] > 100
    assert result.use[1] == 0
    gone = [replace(perimeter, length=0.0) for perimeter in perimeters]
    assert punching(np.array([10e3, 0.0]), gone, D, 0.005, Materials(30e6, 500e6)).use.tolist() == [np.inf, 0]


@pytest.mark.parametrize(("first", "second"), [(0.41, 0.41), (0.50, 0.50), (0.30, 0.45), (0.35, 0.70)])
def test_two_edges_that_matter_only_together(first: float, second: float) -> None:
    """A disc of 150 mm, d 90 mm, R 255 mm, whose edges are farther than πR/2 = 0.40 m or one of them is: to both it is
    πR/2 + a1 + a2 long, shorter than the closed 2πR and than πR + 2a to one of them. Chords, 25 in a million.
    """
    R = 0.255
    assert np.pi * R / 2 + first + second < min(2 * np.pi * R, np.pi * R + 2 * min(first, second))
    (found,) = control_perimeters(box(0, 0, 6, 6), np.array([[first, second]]), 0.15, "disc", 0.09)
    assert found.position == "corner"
    assert found.length == pytest.approx(np.pi * R / 2 + first + second, rel=1e-4)
