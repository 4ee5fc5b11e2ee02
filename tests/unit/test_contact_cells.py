"""Contact cells: they cover the plan once, keep its symmetry and leave no slivers.

Areas, centroids and overlaps are those of shapely, computed on the plan as a whole or between pairs of cells.
"""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from shapely import Point, Polygon, box
from shapely.affinity import rotate, translate

from preprocess.contact import LEAST_SHARE, ContactCells, contact_cells

Floats = NDArray[np.float64]

SIZE = 0.35
ANGLE = Polygon([(0, 0), (11.3, 0), (11.3, 5.1), (6.2, 5.1), (6.2, 9.9), (0, 9.9)])
JACKS = np.array([(x, y) for x in np.arange(0.5, 11, 1.3) for y in np.arange(0.5, 9.8, 1.3)])
TEE = Polygon([(0, 0), (9, 0), (9, 4.1), (6.33, 4.1), (6.33, 7.77), (2.67, 7.77), (2.67, 4.1), (0, 4.1)])

PLANS = {
    "rectangle": box(0, 0, 11.5, 8),
    "angle with opening": ANGLE - box(2.03, 3.01, 2.9, 4.4),
    "turned": rotate(ANGLE, 23),
    "far from the datum": translate(rotate(ANGLE, 31), 900, -800),
    "round": Point(3, 2).buffer(5, quad_segs=64),
    "small holes": box(0, 0, 11.5, 9.9) - shapely.union_all(shapely.buffer(shapely.points(JACKS[:60]), 0.08)),
    "strip": box(0, 0, 5, 0.05).union(box(5, 0, 9, 4)),
    "smaller than a cell": box(0, 0, 0.1, 0.12),
}


def no_jacks() -> Floats:
    return np.empty((0, 2))


@pytest.mark.parametrize("near", [None, 0.3])
@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS.keys())
def test_cells_cover_the_plan_once(plan: Polygon, near: float | None) -> None:
    """Areas add up and none overlap: rounding of coordinates near 1000 m, 1e-13 m, along some 1000 m of edges."""
    cells = contact_cells(plan, JACKS, SIZE, near=near)
    polygons = np.array(cells.polygons)
    assert cells.area.sum() == pytest.approx(plan.area, abs=1e-9)
    np.testing.assert_allclose(cells.area, shapely.area(polygons), rtol=1e-15)
    first, second = shapely.STRtree(polygons).query(polygons, predicate="intersects")
    other = first < second
    assert shapely.area(shapely.intersection(polygons[first[other]], polygons[second[other]])).sum() < 1e-9
    assert shapely.symmetric_difference(shapely.union_all(polygons), plan).area < 1e-9
    assert shapely.is_valid(polygons).all()
    assert {polygon.geom_type for polygon in cells.polygons} == {"Polygon"}


@pytest.mark.parametrize("plan", PLANS.values(), ids=PLANS.keys())
def test_points_stand_on_their_own_cells(plan: Polygon) -> None:
    cells = contact_cells(plan, no_jacks(), SIZE)
    assert shapely.contains_xy(np.array(cells.polygons), *cells.xy.T).all()
    assert shapely.contains_xy(plan, *cells.xy.T).all()


@pytest.mark.parametrize("plan", [PLANS["rectangle"], PLANS["angle with opening"], PLANS["turned"]])
def test_first_moment_of_the_cells_is_that_of_the_plan(plan: Polygon) -> None:
    """Area times centroid of the whole plan by shapely: a centroid for each cell, none moved. Rounding."""
    cells = contact_cells(plan, no_jacks(), SIZE)
    centroid = shapely.get_coordinates(plan.centroid)[0]
    np.testing.assert_allclose(cells.area @ cells.xy / plan.area, centroid, atol=1e-9)


@pytest.mark.parametrize("name", [name for name in PLANS if name != "smaller than a cell"])
def test_no_slivers_and_widths_as_asked(name: str) -> None:
    """A fifth of a square at least. Bounds are divided evenly, into eleven at least on these plans, so that rounding
    their number changes the width by up to half of an eleventh, and joined pieces add to the mean: 8 % in all.
    """
    plan = PLANS[name]
    cells = contact_cells(plan, no_jacks(), SIZE)
    assert cells.area.min() > LEAST_SHARE * (0.93 * SIZE) ** 2
    assert np.sqrt(plan.area / len(cells)) == pytest.approx(SIZE, rel=0.08)
    width = np.ptp(np.array([polygon.bounds for polygon in cells.polygons])[:, [0, 2]], axis=1)
    assert width.max() < 2.1 * SIZE


def test_a_notch_leaves_a_point_on_the_slab() -> None:
    """A cell cut to a thin angle, whose centroid lies off it: the point is on the angle."""
    plan = box(0, 0, 1, 1) - box(0.2, 0.2, 1, 1)
    cells = contact_cells(plan, no_jacks(), 1.0)
    assert len(cells) == 1
    assert not plan.contains(plan.centroid)
    assert plan.contains(Point(cells.xy[0]))
    assert plan.boundary.distance(Point(cells.xy[0])) >= 0.049


def test_a_small_piece_goes_to_the_neighbour_with_the_longest_shared_edge() -> None:
    """In the corner of a square of 3 m a strip of 1.0 × 0.1 m is left: 1 m long below it, 0.1 m long to its left."""
    cells = contact_cells(box(0, 0, 3, 3) - box(2, 2.1, 3, 3), no_jacks(), 1.0)
    assert sorted(cells.area.round(9)) == [1, 1, 1, 1, 1, 1, 1, 1.1]
    [joined] = [polygon for polygon in cells.polygons if polygon.area > 1.05]
    assert joined.bounds == (2, 1, 3, 2.1)


def mirrored(cells: ContactCells, axis: int, middle: float) -> Floats:
    xy = cells.xy.copy()
    xy[:, axis] = 2 * middle - xy[:, axis]
    return xy


@pytest.mark.parametrize(
    ("plan", "axis", "middle"),
    [
        (PLANS["rectangle"], 0, 5.75),
        (PLANS["rectangle"], 1, 4),
        (TEE, 0, 4.5),
        (PLANS["round"], 0, 3),
        (PLANS["round"], 1, 2),
    ],
)
@pytest.mark.parametrize("size", [0.35, 0.41, 0.2])
def test_symmetric_plans_have_symmetric_cells(plan: Polygon, axis: int, middle: float, size: float) -> None:
    """Each mirrored point meets another, with the same area. Rounding."""
    cells = contact_cells(plan, no_jacks(), size)
    found, distance = shapely.STRtree(shapely.points(cells.xy)).query_nearest(
        shapely.points(mirrored(cells, axis, middle)), return_distance=True, all_matches=False
    )
    assert distance.max() < 1e-9
    assert sorted(found[1]) == list(range(len(cells)))
    np.testing.assert_allclose(cells.area[found[1]], cells.area, rtol=1e-9)


def test_cells_are_half_as_wide_near_jacks() -> None:
    """On a square of 6 m with cells of 0.5 m: those that come within 0.3 m of the jack have 0.25 m, no others."""
    jack = np.array([[3.25, 3.25]])
    cells = contact_cells(box(0, 0, 6, 6), jack, 0.5, near=0.3)
    polygons = np.array(cells.polygons)
    fine = np.isclose(cells.area, 0.0625)
    assert np.isclose(cells.area[~fine], 0.25).all()
    assert fine.sum() == 4 * 5  # the jack's own cell and the four across its edges, 0.25 m away; corners are at 0.354 m
    assert shapely.distance(polygons[~fine], Point(jack[0])).min() >= 0.3
    assert len(contact_cells(box(0, 0, 6, 6), jack, 0.5)) == 144
