"""Fewer points of a history, without losing its extremes."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def kept_points(values: Floats, most: int) -> NDArray[np.int64]:
    """Indices, ascending, of at most about `most` of t points that show a history (t,) or histories (t, k).

    The points are cut into even blocks; of each block the least and the greatest value of every history stay, and
    so do the first and the last point. All points stay where they are no more than `most`.
    """
    columns = values.reshape(len(values), -1)
    count, width = columns.shape
    if count <= most or width == 0:
        return np.unique(np.linspace(0, count - 1, min(count, most)).round().astype(np.int64))
    blocks = max(1, (most - 2) // (2 * width))
    edges = np.linspace(0, count, blocks + 1).astype(np.int64)
    kept = [np.array([0, count - 1])]
    for first, last in pairwise(edges):
        part = columns[first:last]
        kept.append(first + np.concatenate([part.argmin(axis=0), part.argmax(axis=0)]))
    return np.unique(np.concatenate(kept)).astype(np.int64)
