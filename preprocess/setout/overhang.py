"""Overhang: how far the edges of the slab are from the ties, the straight lines between neighbouring jacks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from scipy.spatial import cKDTree

from preprocess.plan import RE_ENTRANT_TURN
from preprocess.setout.ground import TOLERANCE, Floats, Ground

EDGE_STEP: Final = 0.02
"""Distance, m, between the points of an edge at which its overhang is measured."""


@dataclass(frozen=True)
class EdgePoints:
    """Points along the edges, (n, 2) m, and the overhang allowed at each, (n,) m.

    That is the greatest overhang. Around a corner it is what a jack at the greatest overhang from both edges leaves
    to the tip: √2 times it at a right angle, overhang/sin(half the angle) where the corner is sharper.
    """

    at: Floats
    limit: Floats

    def near(self, points: Floats, distance: float) -> EdgePoints:
        """Those within a distance, m, of any of (k, 2) points."""
        close, _ = cKDTree(points).query(self.at, distance_upper_bound=distance)
        chosen = np.isfinite(close)
        return EdgePoints(self.at[chosen], self.limit[chosen])


def edge_points(ground: Ground) -> EdgePoints:
    """Points every EDGE_STEP along the outline and the openings that count."""
    rules = ground.rules
    at, limit = [], []
    for ring in (ground.outer.exterior, *ground.outer.interiors):
        corners = np.asarray(ring.coords)[:-1, :2]
        points = shapely.get_coordinates(shapely.segmentize(ring, EDGE_STEP))[:-1]
        allowed = np.full(len(points), rules.greatest_overhang)
        for corner, half in _corners(corners):
            wide = rules.greatest_overhang / min(np.sin(half), np.sqrt(0.5))
            about = max(rules.greatest_overhang, wide * np.cos(half))
            near = np.linalg.norm(points - corner, axis=1) <= about + 1e-9
            allowed[near] = np.maximum(allowed[near], wide)
        at.append(points)
        limit.append(allowed)
    return EdgePoints(np.concatenate(at), np.concatenate(limit))


def ties(ground: Ground, xy: Floats) -> Floats:
    """(m, 2, 2) straight lines between jacks at most the greatest spacing apart that leave the slab nowhere."""
    pairs = cKDTree(xy).query_pairs(ground.rules.greatest_spacing + TOLERANCE, output_type="ndarray")
    ends = xy[pairs]
    if not len(ends):
        return np.empty((0, 2, 2))
    shapely.prepare(ground.outer)
    return ends[np.asarray(shapely.covers(ground.outer, shapely.linestrings(ends)))]


def overhangs(ground: Ground, xy: Floats, points: Floats) -> Floats:
    """(n,) distances, m, of (n, 2) points of the edges from the nearest tie, or jack without one."""
    lines = np.concatenate([shapely.points(xy), shapely.linestrings(ties(ground, xy))])
    tree = shapely.STRtree(lines)
    _, distance = tree.query_nearest(shapely.points(points), return_distance=True, all_matches=False)
    return np.asarray(distance)


def overhangs_after(ground: Ground, edge: EdgePoints, before: Floats, xy: Floats, changed: Floats) -> Floats:
    """(n,) overhangs of all edge points once the jacks stand at xy, measured anew only where it can matter.

    before: (n,) overhangs of the layout before. changed: (k, 2) jacks that have come or gone; only ties to these
    differ, and they end at most a greatest spacing from them.
    """
    spacing = ground.rules.greatest_spacing + TOLERANCE
    far = np.asarray(cKDTree(changed).query(edge.at)[0])
    touched = np.flatnonzero(far <= before + spacing)
    after = before.copy()
    if len(touched):
        local = xy[cKDTree(edge.at[touched]).query(xy)[0] <= 4 * spacing]
        found = overhangs(ground, local, edge.at[touched]) if len(local) else np.full(len(touched), np.inf)
        whole = bool(np.any(found > 3 * spacing))
        after[touched] = overhangs(ground, xy, edge.at[touched]) if whole else found
    return after


def _corners(corners: Floats) -> list[tuple[Floats, float]]:
    """The corners and half of the slab's angle at each; the chords of a curve have none."""
    before = corners - np.roll(corners, 1, axis=0)
    after = np.roll(corners, -1, axis=0) - corners
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.arctan2(cross, np.sum(before * after, axis=1))
    sharp = np.flatnonzero(np.abs(turn) >= RE_ENTRANT_TURN)
    return [(corners[index], float(np.pi - abs(turn[index])) / 2 if turn[index] > 0 else np.pi / 4) for index in sharp]
