"""Points and outlines of the files, in mm, as arrays and polygons in m."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from preprocess.plan import open_ring


def fixed(array: NDArray[np.float64]) -> NDArray[np.float64]:
    """The array, from now on read-only."""
    array.setflags(write=False)
    return array


def metres(points_mm: Sequence[tuple[float, float]]) -> NDArray[np.float64]:
    """(n, 2) points in m, read-only."""
    return fixed(np.array(points_mm, dtype=np.float64).reshape(-1, 2) / 1000)


def area_within(corners_mm: Sequence[tuple[float, float]] | None) -> Polygon | None:
    """The polygon of these corners in m, None for the whole slab, which has none."""
    return None if corners_mm is None else Polygon(open_ring(metres(corners_mm)))
