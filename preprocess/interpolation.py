"""Heights between spot heights."""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import ConvexHull
from shapely import Polygon

INWARD: Final = 1e-9
"""How far places on the hull are moved towards the middle, as a share: rounding must not put them outside."""


def interpolated(
    xy: NDArray[np.float64], height: NDArray[np.float64], points: NDArray[np.float64]
) -> NDArray[np.float64]:
    """(p,) heights at (p, 2) points, linear on the triangles between the spots (q, 2) with heights (q,).

    A point beyond the spots has the height of the nearest place on their convex hull. The spots are three at least and
    not in one line. Triangles: Delaunay's, of the Qhull library in scipy.
    """
    middle = xy.mean(axis=0)
    hull = Polygon((xy - middle)[ConvexHull(xy - middle).vertices])
    places = points - middle
    outside = ~np.asarray(shapely.contains_xy(hull, places))
    ring = hull.exterior
    edge = shapely.line_interpolate_point(ring, shapely.line_locate_point(ring, shapely.points(places[outside])))
    places[outside] = (1 - INWARD) * shapely.get_coordinates(edge)
    return np.asarray(LinearNDInterpolator(xy - middle, height)(places), dtype=np.float64)
