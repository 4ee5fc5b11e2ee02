"""Named orders of turning, and the way that a crew walks."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import Polygon, affinity, box, contains_xy

from fem.errors import ModelError
from postprocess.key_moments import span_pairs
from postprocess.lift.orders import ORDER_WORDS, order_named, walking_distance, ways_between

Floats = NDArray[np.float64]
NAMES = [name for name in ORDER_WORDS if name != "search"]
SPACING = 1.2
RECTANGLE = box(0, 0, 7.2, 4.8)
L_SHAPE = Polygon([(0, 0), (8.4, 0), (8.4, 3.6), (3.6, 3.6), (3.6, 6.0), (0, 6.0)])
U_SHAPE = Polygon([(0, 0), (9.6, 0), (9.6, 6.0), (7.2, 6.0), (7.2, 2.4), (2.4, 2.4), (2.4, 6.0), (0, 6.0)])
WITH_HOLE = box(0, 0, 6, 6).difference(box(1.8, 1.8, 4.2, 4.2))
PLANS = {"rectangle": RECTANGLE, "L": L_SHAPE, "U": U_SHAPE, "hole": WITH_HOLE}


def jacks_on(plan: Polygon) -> Floats:
    """A grid of jacks, 0.6 m from the edges, in a shuffled list."""
    x, y = np.meshgrid(np.arange(0.6, 12, SPACING), np.arange(0.6, 12, SPACING))
    xy = np.column_stack([x.ravel(), y.ravel()])
    xy = xy[contains_xy(plan, xy)]
    return np.asarray(np.random.default_rng(3).permutation(xy))


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS)
@pytest.mark.parametrize("angle", [0, 17, 90])
def test_every_jack_once(name: str, plan: Polygon, angle: float) -> None:
    turned = affinity.rotate(plan, angle, origin=(0, 0))
    xy = jacks_on(plan) @ _rotation(angle).T
    order = order_named(name, xy, turned)
    assert sorted(order) == list(range(len(xy)))
    np.testing.assert_array_equal(order, order_named(name, xy, turned))


@pytest.mark.parametrize("plan", [RECTANGLE, L_SHAPE, U_SHAPE])
@pytest.mark.parametrize("angle", [0, 17, -33])
def test_rows_run_to_and_fro(plan: Polygon, angle: float) -> None:
    """Whole rows along the longer side, each the other way than the one before, whichever way the slab lies."""
    flat = jacks_on(plan)
    xy = flat @ _rotation(angle).T
    walked = flat[order_named("rows", xy, affinity.rotate(plan, angle, origin=(0, 0)))]
    rows = np.split(walked, np.flatnonzero(np.diff(walked[:, 1].round(6))) + 1)
    heights = [row[0, 1].round(6) for row in rows]
    assert len(set(heights)) == len(heights)  # no row is taken up again
    assert (np.diff(heights) > 0).all() or (np.diff(heights) < 0).all()
    ways = [np.sign(np.diff(row[:, 0])) for row in rows]
    assert all((way == ways[0][0] * (-1) ** number).all() for number, way in enumerate(ways))


def test_rows_that_are_not_straight_stay_whole() -> None:
    """Jacks up to a quarter of the spacing off their row."""
    flat = jacks_on(RECTANGLE)
    off = np.random.default_rng(4).uniform(0, 0.2 * SPACING, len(flat))
    walked = flat[order_named("rows", flat + np.column_stack([np.zeros(len(flat)), off]), RECTANGLE)]
    assert (np.diff(walked[:, 1]) >= -1e-9).all()


def test_from_the_middle_outwards() -> None:
    """Never back by more than a ring, the first jack in the middle, the last at the edge."""
    xy = jacks_on(L_SHAPE)
    radius = np.hypot(*(xy - np.array(L_SHAPE.centroid.coords[0])).T)
    walked = radius[order_named("from-middle", xy, L_SHAPE)]
    assert (np.maximum.accumulate(walked) - walked).max() < SPACING
    assert walked[0] < SPACING
    assert walked[-1] > radius.max() - SPACING


def test_a_ring_goes_round() -> None:
    """Eight jacks on a circle about the middle: each beside the one before."""
    angle = np.radians(np.random.default_rng(5).permutation(np.arange(8) * 45.0))
    xy = 2 + np.column_stack([np.cos(angle), np.sin(angle)])
    walked = angle[order_named("from-middle", xy, box(0, 0, 4, 4))]
    np.testing.assert_allclose(np.mod(np.diff(walked), 2 * np.pi), np.pi / 4)


def test_from_the_edges_is_the_reverse() -> None:
    xy = jacks_on(U_SHAPE)
    np.testing.assert_array_equal(order_named("from-edges", xy, U_SHAPE), order_named("from-middle", xy, U_SHAPE)[::-1])


def test_as_listed() -> None:
    np.testing.assert_array_equal(order_named("listed", jacks_on(U_SHAPE), U_SHAPE), np.arange(len(jacks_on(U_SHAPE))))


@pytest.mark.parametrize("name", ["search", "spiral"])
def test_other_names_are_refused(name: str) -> None:
    with pytest.raises(ModelError, match=f'listed, rows, from-middle, from-edges, not "{name}"'):
        order_named(name, jacks_on(L_SHAPE), L_SHAPE)


def test_way_round_an_opening() -> None:
    """Straight where slab lies between, else past a neighbour: 3 m and 4 m instead of 5 m across the corner."""
    plan = Polygon([(-0.5, -0.5), (4.5, -0.5), (4.5, 0.5), (0.5, 0.5), (0.5, 3.5), (-0.5, 3.5)])
    xy = np.array([[0.0, 3.0], [0.0, 0.0], [4.0, 0.0]])
    ways = ways_between(xy, plan, np.array([[0, 1], [1, 2]]))
    np.testing.assert_allclose(ways, [[0, 3, 7], [3, 0, 4], [7, 4, 0]])
    assert walking_distance(ways, np.array([0, 1, 2])) == pytest.approx(14)


def test_rows_are_a_shorter_way_than_a_shuffled_list() -> None:
    xy = jacks_on(RECTANGLE)
    ways = ways_between(xy, RECTANGLE, span_pairs(RECTANGLE, xy))
    rows, listed = (walking_distance(ways, order_named(name, xy, RECTANGLE)) for name in ("rows", "listed"))
    assert rows < listed / 2


def _rotation(angle: float) -> Floats:
    cos, sin = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    return np.array([[cos, -sin], [sin, cos]])
