"""Nested dissection: an order of elimination that keeps the factors of a plane mesh sparse.

The triangles are halved again and again across the longer side of their bounding box. Unknowns that both halves
share are eliminated after those of either half (A. George, SIAM J. Numer. Anal. 10, 1973, 345-363). Triangles below
one jack stay together, since its spring couples all their unknowns.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from fem.sampling import Footprints
from fem.space import PlateSpace

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def elimination_order(space: PlateSpace, jacks: Footprints) -> Ints:
    """(unknowns,) numbers of the unknowns in the order in which they are best eliminated."""
    group = _groups(len(space.mesh.triangles), jacks)
    size = np.bincount(group)
    sums = [np.bincount(group, weights=middle) for middle in space.mesh.corners.mean(axis=1).T]
    levels = max(1, int(np.ceil(np.log2(len(size)))))
    cell = _halvings(np.column_stack(sums) / size[:, None], levels)[group]
    first = np.full(space.unknowns, 2**levels, dtype=np.int64)
    last = np.full(space.unknowns, -1, dtype=np.int64)
    cells = np.repeat(cell, space.numbers.shape[1])
    np.minimum.at(first, space.numbers.ravel(), cells)
    np.maximum.at(last, space.numbers.ravel(), cells)
    height = np.frexp((first ^ last).astype(float))[1].astype(np.int64)  # levels above a single cell that are shared
    end = ((last >> height) + 1) << height
    return np.lexsort((height, end))


def _groups(triangles: int, jacks: Footprints) -> Ints:
    """(m,) number of the group of each triangle: one a triangle, but for those that jacks join."""
    bonds = sparse.csr_array(
        (np.ones(len(jacks.piece_row)), (jacks.piece_row, jacks.piece_triangle)), shape=(jacks.count, triangles)
    )
    return np.asarray(connected_components(bonds.T @ bonds, directed=False)[1], dtype=np.int64)


def _halvings(middles: Floats, levels: int) -> Ints:
    """(m,) number of the smallest cell of each point (m, 2) after `levels` halvings; its bits tell the halves."""
    cell = np.zeros(len(middles), dtype=np.int64)
    for _ in range(levels):
        count = int(cell.max()) + 1
        low, high = np.full((count, 2), np.inf), np.full((count, 2), -np.inf)
        np.minimum.at(low, cell, middles)
        np.maximum.at(high, cell, middles)
        axis = np.argmax(high - low, axis=1)[cell]
        order = np.lexsort((np.take_along_axis(middles, axis[:, None], axis=1)[:, 0], cell))
        size = np.bincount(cell, minlength=count)
        start = np.cumsum(size) - size
        rank = np.empty_like(cell)
        rank[order] = np.arange(len(cell)) - start[cell[order]]
        cell = 2 * cell + (2 * rank >= size[cell])
    return cell
