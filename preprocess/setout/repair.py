"""Mending a layout: jacks added where the slab is too far from one, those left out that nothing needs.

A point further from every jack than the reach is also further than the least spacing, so a jack fits there unless an
edge or a zone is in the way; so adding always ends.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely.geometry.base import BaseGeometry

from preprocess.setout.edge_repair import edges_mended
from preprocess.setout.ground import TOLERANCE, Floats, Ground
from preprocess.setout.measure import far_points
from preprocess.setout.needless import without_needless
from preprocess.setout.places import CANDIDATES, candidates, grid, has_room, on_lines, with_images
from preprocess.setout.trial import Symmetry, Trial

SAMPLES: Final = 0.1
"""Grid of the points of the slab by which places are compared, m."""


@dataclass(frozen=True)
class Mended:
    """xy: (n, 2) jacks, m. added_reach, added_edge: how many were added within the slab and along edges; removed."""

    xy: Floats
    added_reach: int
    added_edge: int
    removed: int


def mended(ground: Ground, symmetry: Symmetry, start: Trial) -> Mended:
    """The layout with jacks added and left out until reach and overhang are kept, as far as places allow."""
    xy, first = covered(ground, symmetry, start, ground.reachable, ground.reach)
    xy, edge = edges_mended(ground, symmetry, Trial(xy, start.rows, start.columns))
    xy, second = covered(ground, symmetry, Trial(xy, start.rows, start.columns), ground.reachable, ground.reach)
    pruned = without_needless(ground, symmetry, xy)
    final, third = covered(ground, symmetry, Trial(pruned, start.rows, start.columns), ground.reachable, ground.reach)
    return Mended(final, first + second + third, edge, len(xy) - len(pruned))


def covered(ground: Ground, symmetry: Symmetry, start: Trial, area: BaseGeometry, reach: float) -> tuple[Floats, int]:
    """The jacks and those added so that no point of an area is further than reach, m, from one; how many were added."""
    xy = start.xy
    hopeless = np.empty((0, 2))
    while len(xy):
        points, distance = far_points(area, xy)
        far = distance > reach + TOLERANCE / 2
        points, distance = points[far], distance[far]
        if len(hopeless) and len(points):
            open_ = cKDTree(hopeless).query(points)[0] > 0.02
            points, distance = points[open_], distance[open_]
        if not len(points):
            return xy, len(xy) - len(start.xy)
        order = np.lexsort((points[:, 1], points[:, 0], -np.round(distance, 3)))
        for point in points[order]:
            if np.linalg.norm(xy - point, axis=1).min() <= reach:
                continue
            now = Trial(xy, start.rows, start.columns)
            new = _best_place(ground, symmetry, now, point=point, reach=reach, area=area)
            if new is None:
                hopeless = np.concatenate([hopeless, point[None]])
            else:
                xy = np.concatenate([xy, new])
    return xy, 0


def _best_place(
    ground: Ground, symmetry: Symmetry, now: Trial, *, point: Floats, reach: float, area: BaseGeometry
) -> Floats | None:
    """(k, 2) the new jack, with its images, that brings most of the slab near a point within reach."""
    places = candidates(ground, symmetry, now, point, reach)
    if not len(places) or not np.any(np.linalg.norm(places - point, axis=1) <= reach):
        if not has_room(ground, now, point, reach):
            return None
        places = candidates(ground, symmetry, now, point, reach, step=CANDIDATES / 5)  # the only room may be small
    if not len(places):
        return None
    spots = grid(point, 2 * reach, SAMPLES)
    spots = np.concatenate([spots[shapely.intersects_xy(area, spots)], point[None]])
    near = now.xy[np.linalg.norm(now.xy - point, axis=1) < 4 * reach]
    bare = spots[cKDTree(near).query(spots)[0] > reach] if len(near) else spots
    served = np.linalg.norm(places[:, None] - bare[None], axis=2) <= reach + 1e-9
    gain = served.sum(axis=1) * SAMPLES**2
    gain += 0.15 * on_lines(now, places)
    gain -= 0.02 * np.linalg.norm(places - point, axis=1)
    helps = served[:, -1]
    if not helps.any():
        return None
    best = places[np.argmax(np.where(helps, np.round(gain, 6), -np.inf))]
    return with_images(ground, symmetry, now.xy, best)
