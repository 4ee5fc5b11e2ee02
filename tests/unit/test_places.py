"""Places all over a slab: every cell has one, edges and corners are among them."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import Polygon

from jackfield.places import places_of

PLANS = {
    "rectangle": Polygon([(0, 0), (9, 0), (9, 6), (0, 6)]),
    "L with a hole": Polygon([(0, 0), (9, 0), (9, 4), (4, 4), (4, 9), (0, 9)], [[(1, 1), (2, 1), (2, 2.5), (1, 2.5)]]),
    "slanted": Polygon([(0, 0), (5.9, -0.35), (7.15, 2.5), (6.3, 5.45), (1.2, 6.15), (-0.65, 3.1)]),
    "strip": Polygon([(0, 0), (30, 0), (30, 1), (0, 1)]),
}


@pytest.mark.parametrize("name", PLANS)
@pytest.mark.parametrize("inset", [0.001, 0.225])
def test_places(name: str, inset: float) -> None:
    plan = PLANS[name]
    found = places_of(plan, inset)
    spots = shapely.points(found.xy)
    assert shapely.distance(plan.boundary, spots).min() >= inset - 1e-6
    assert shapely.covers(plan, spots).all()
    corners = shapely.get_coordinates(plan.buffer(-inset, join_style="mitre"))
    nearest = np.linalg.norm(corners[:, None] - found.xy, axis=2).min(axis=1)
    # a cell has one place: of two corners in it the nearer to its middle is left out
    assert nearest.max() < found.spacing
    assert np.sum(nearest < 1e-6) >= min(4, len(np.unique(corners, axis=0)))
    assert np.abs(found.cells - found.xy).max() <= 0.75 * found.spacing
    inside = shapely.points(np.random.default_rng(1).uniform(plan.bounds[:2], plan.bounds[2:], (500, 2)))
    inside = inside[shapely.covers(plan.buffer(-inset), inside)]
    reach = np.linalg.norm(shapely.get_coordinates(inside)[:, None] - found.xy, axis=2).min(axis=1)
    assert reach.max() < 1.5 * found.spacing, "no part of the slab is far from a place"


def test_slab_no_larger_than_the_footprint() -> None:
    """Nothing is left of a plan smaller than the inset: no place, and no fault."""
    assert len(places_of(Polygon([(0, 0), (1, 0), (1, 0.2), (0, 0.2)]), 0.15).xy) == 0
