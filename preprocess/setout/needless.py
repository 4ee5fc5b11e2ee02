"""Leaving out jacks that nothing needs: neither the reach nor the overhang of the others, nor a jack line."""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_matrix
from scipy.spatial import cKDTree

from preprocess.setout.ground import TOLERANCE, Floats, Ground, on_jack_lines
from preprocess.setout.overhang import EdgePoints, edge_points, overhangs, overhangs_after
from preprocess.setout.trial import Symmetry

SPOTS: Final = 0.1
MOST_SPOTS: Final = 400_000
"""Grid of the points of the slab that jacks serve, m, coarser where it would have more points."""


def without_needless(ground: Ground, symmetry: Symmetry, xy: Floats) -> Floats:
    """The jacks without those that neither reach nor overhang nor a jack line needs, in symmetric groups."""
    edge = edge_points(ground)
    served, count = _service(ground, edge, xy)
    alone = np.array([count[own].min(initial=9) for own in served])
    free = (alone >= 2) & ~on_jack_lines(ground, xy)
    if not free.any():
        return xy
    over = overhangs(ground, xy, edge.at)
    gone = np.zeros(len(xy), dtype=bool)
    for jack in _order(symmetry, xy):
        if not free[jack] or gone[jack]:
            continue
        group = symmetry.orbit(xy, int(jack))
        spots, times = np.unique(np.concatenate([served[member] for member in group]), return_counts=True)
        if np.any(count[spots] <= times) or not free[group].all() or gone[group].any():
            continue
        left = ~gone
        left[group] = False
        if left.sum() < 2:
            continue
        after = overhangs_after(ground, edge, over, xy[left], xy[group])
        if np.all((after <= edge.limit + TOLERANCE / 2) | (after <= over + 1e-6)):
            gone[group] = True
            count[spots] -= times
            over = after
    return xy[~gone]


def _service(ground: Ground, edge: EdgePoints, xy: Floats) -> tuple[list[NDArray[np.int32]], Floats]:
    """Which points of the slab each jack serves, and how many jacks serve each point."""
    low_x, low_y, high_x, high_y = ground.plan.bounds
    step = max(SPOTS, float(np.sqrt(ground.plan.area / MOST_SPOTS)))
    grid = np.stack(np.meshgrid(np.arange(low_x, high_x, step), np.arange(low_y, high_y, step)), axis=-1).reshape(-1, 2)
    spots = np.concatenate([grid[shapely.intersects_xy(ground.plan, grid)], edge.at[::5]])
    pairs = cKDTree(spots).sparse_distance_matrix(cKDTree(xy), ground.reach - step / 2, output_type="coo_matrix")
    serves = coo_matrix((np.ones(pairs.nnz), (pairs.row, pairs.col)), shape=pairs.shape).tocsc()
    served = [serves.indices[serves.indptr[jack] : serves.indptr[jack + 1]] for jack in range(len(xy))]
    return served, np.asarray(serves.sum(axis=1)).ravel()


def _order(symmetry: Symmetry, xy: Floats) -> NDArray[np.intp]:
    """The jacks in the order in which they are looked at: those nearest to another first, then from the centre."""
    nearest = np.asarray(cKDTree(xy).query(xy, k=2)[0])[:, 1]
    spread = np.linalg.norm(xy - symmetry.centre, axis=1)
    return np.lexsort((xy[:, 0], xy[:, 1], np.round(spread, 3), np.round(nearest, 3)))
