"""The habit of tributary areas: every part of a load goes to the nearest jack.

The slab is stiff against its springs, so real jack loads do not follow it; the schedule shows both.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]


def nearest_cells(plan: Polygon, jack_xy: Floats) -> NDArray[np.object_]:
    """(n,) the part of the plane that is nearer to each jack than to any other, wide enough to hold `plan`."""
    cells = shapely.get_parts(shapely.voronoi_polygons(MultiPoint(jack_xy), extend_to=plan.buffer(1.0)))
    cell, jack = shapely.STRtree(np.asarray(shapely.points(jack_xy))).query(cells, predicate="contains")
    ordered = np.empty(len(jack_xy), dtype=object)
    ordered[jack] = cells[cell]
    return ordered


def tributary_loads(plan: Polygon, jack_xy: Floats, loads: Iterable[tuple[BaseGeometry, float]]) -> Floats:
    """(n,) N at each jack (n, 2) from loads given as a shape in m and the force in N spread evenly over it."""
    cells = nearest_cells(plan, jack_xy)
    tree = shapely.STRtree(cells)
    result = np.zeros(len(cells))
    for shape, force in loads:
        near = tree.query(shape, predicate="intersects")
        parts = shapely.intersection(cells[near], shape)
        measure = shapely.area(parts) if shape.area else shapely.length(parts)
        result[near] += force * measure / measure.sum()
    return result
