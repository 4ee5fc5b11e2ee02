"""The habit of tributary areas: every part of a load goes to the nearest jack.

The slab is stiff against its springs, so real jack loads do not follow it; the schedule shows both.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import Voronoi
from shapely import Polygon
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]

ASIDE = 1e-6
"""A line is looked at from either side, m: one midway between jacks is then shared evenly between them."""


def nearest_cells(plan: Polygon, jack_xy: Floats) -> NDArray[np.object_]:
    """(n,) the part of the plane that is nearer to each jack than to any other; together they hold `plan`.

    Four far points close the cells of the outer jacks. Qhull finds the cells (Barber, Dobkin and Huhdanpaa, ACM
    Trans. Math. Softw. 22, 1996); each is convex, so its corners are put in order by their bearing from the jack.
    """
    low, high = np.array(plan.bounds).reshape(2, 2)
    middle, reach = (low + high) / 2, 10 * float(np.max(high - low))
    far = middle + reach * np.array([[-1, 0], [1, 0], [0, -1], [0, 1]])
    diagram = Voronoi(np.vstack([jack_xy, far]))
    cells = np.empty(len(jack_xy), dtype=object)
    for jack, centre in enumerate(jack_xy):
        corners = diagram.vertices[diagram.regions[diagram.point_region[jack]]]
        bearing = np.arctan2(*(corners - centre).T[::-1])
        cells[jack] = Polygon(corners[np.argsort(bearing)])
    return cells


def tributary_loads(plan: Polygon, jack_xy: Floats, loads: Iterable[tuple[BaseGeometry, float]]) -> Floats:
    """(n,) N at each jack (n, 2) from loads given as a shape in m and the force in N spread evenly over it."""
    cells = nearest_cells(plan, jack_xy)
    tree = shapely.STRtree(cells)
    result = np.zeros(len(cells))
    for shape, force in _halves(loads):
        near = tree.query(shape, predicate="intersects")
        parts = shapely.intersection(cells[near], shape)
        measure = shapely.area(parts) if shape.area else shapely.length(parts)
        result[near] += force * measure / measure.sum()
    return result


def _halves(loads: Iterable[tuple[BaseGeometry, float]]) -> Iterator[tuple[BaseGeometry, float]]:
    """Areas as they are; each line as two lines of half its force, a little to one side and to the other."""
    for shape, force in loads:
        if shape.area:
            yield shape, force
        else:
            yield translate(shape, ASIDE, ASIDE / 2), force / 2
            yield translate(shape, -ASIDE, -ASIDE / 2), force / 2
