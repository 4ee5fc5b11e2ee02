"""Mending overhang: jacks added or moved near the places where an edge is too far from the ties."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from scipy.spatial.distance import cdist

from preprocess.setout.ground import TOLERANCE, Bools, Floats, Ground, on_jack_lines
from preprocess.setout.overhang import EDGE_STEP, EdgePoints, edge_points, overhangs, overhangs_after
from preprocess.setout.places import CANDIDATES, candidates, grid, images_of, on_lines, with_images
from preprocess.setout.trial import Symmetry, Trial

TRIES: Final = 16
STRETCH: Final = 2.5
"""Places along edges that are mended before giving up: at least so many, and one for each such length of edge, m."""

NEAR: Final = 3.0
"""Jacks further than this from the edge that is looked at do not count, m."""

LIKED: Final = 1e-3
"""What a place on a row is preferred by over one that serves as well, m·m; on a column half of it."""

COARSER: Final = 4
"""Every so many points of the edge are enough to compare places."""


@dataclass(frozen=True)
class _Window:
    """What a change near a point of the edge is judged by: overhang at (p, 2) points and reach at (q, 2) spots.

    limit: (p,) the overhang allowed, m. weight: (q,) what a metre beyond reach counts for.
    """

    edge: Floats
    limit: Floats
    spots: Floats
    weight: Floats


def edges_mended(ground: Ground, symmetry: Symmetry, start: Trial) -> tuple[Floats, int]:
    """The jacks with some added or moved until overhang is kept, as far as places allow; how many were added."""
    edge = edge_points(ground)
    xy, over = start.xy, overhangs(ground, start.xy, edge.at)
    given_up = np.zeros(len(edge.at), dtype=bool)
    for _ in range(max(TRIES, int(EDGE_STEP * len(edge.at) / STRETCH))):
        excess = np.where(given_up, 0.0, over - edge.limit)
        worst = int(np.argmax(np.round(excess, 6)))
        if excess[worst] <= TOLERANCE / 2:
            break
        point = edge.at[worst]
        better = _edge_step(ground, symmetry, Trial(xy, start.rows, start.columns), edge, point)
        if better is None:
            given_up |= np.linalg.norm(edge.at - point, axis=1) < 0.3
        else:
            over = overhangs_after(ground, edge, over, better, _changed(xy, better))
            xy = better
    return xy, len(xy) - len(start.xy)


def _changed(before: Floats, after: Floats) -> Floats:
    """(k, 2) jacks of one layout that the other does not have."""
    gone = np.asarray(cKDTree(after).query(before)[0]) > 1e-9
    come = np.asarray(cKDTree(before).query(after)[0]) > 1e-9
    return np.concatenate([before[gone], after[come]])


def _edge_step(ground: Ground, symmetry: Symmetry, now: Trial, edge: EdgePoints, point: Floats) -> Floats | None:
    """The jacks with one added near a point of the edge, or else one moved, with images; None if nothing helps."""
    window = _window(ground, edge, point)
    before = float(_penalties(ground, window, now.xy, np.empty((1, 0, 2)), np.empty((1, 0), dtype=bool))[0])
    found = [_best_added(ground, symmetry, now, window, point=point, radius=ground.rules.greatest_spacing)]
    if found[0][0] >= before - 1e-3:
        on_line = on_jack_lines(ground, now.xy)
        distance = np.linalg.norm(now.xy - point, axis=1)
        for jack in np.argsort(np.round(distance, 6), kind="stable")[:4]:
            if not on_line[jack] and distance[jack] <= 1.5 * ground.rules.greatest_spacing:
                others = np.delete(now.xy, symmetry.orbit(now.xy, int(jack)), axis=0)
                left = Trial(others, now.rows, now.columns)
                found.append(_best_added(ground, symmetry, left, window, point=now.xy[jack], radius=0.5))
        found = found[1:]
    if not found:
        return None
    least, best = min(found, key=lambda pair: pair[0])
    return best if least < before - 1e-3 else None


def _best_added(
    ground: Ground, symmetry: Symmetry, now: Trial, window: _Window, *, point: Floats, radius: float
) -> tuple[float, Floats]:
    """The least penalty with a jack, and its images, added within a radius of a point, and the jacks then."""
    places = _thin(candidates(ground, symmetry, now, point, radius))
    if not len(places):
        return np.inf, now.xy
    images, clear = images_of(ground, symmetry, now.xy, places)
    penalties = np.round(_penalties(ground, window, now.xy, images, clear), 6)
    best = int(np.argmin(penalties - LIKED * on_lines(now, places)))
    return float(penalties[best]), np.concatenate([now.xy, with_images(ground, symmetry, now.xy, places[best])])


def _thin(places: Floats) -> Floats:
    """Every third place each way where there are many."""
    if len(places) <= 50:
        return places
    cells = np.floor(places / (3.01 * CANDIDATES)).astype(int)
    _, first = np.unique(cells, axis=0, return_index=True)
    return places[np.sort(first)]


def _window(ground: Ground, edge: EdgePoints, point: Floats) -> _Window:
    near = edge.near(point[None], 1.6)
    spots = grid(point, 2.0, 0.2)
    spots = spots[shapely.intersects_xy(ground.plan, spots)]
    corners = shapely.get_coordinates(ground.outer)
    corners = corners[np.linalg.norm(corners - point, axis=1) < NEAR]
    weight = np.concatenate([np.full(len(spots), 0.2**2), np.ones(len(corners))])
    return _Window(near.at[::COARSER], near.limit[::COARSER], np.concatenate([spots, corners]), weight)


def _penalties(ground: Ground, window: _Window, xy: Floats, images: Floats, clear: Bools) -> Floats:
    """(n,) how far overhang and reach pass their limits with (n, k, 2) jacks added, those that are clear, m·m."""
    near = xy[cdist(xy, window.edge).min(axis=1) < NEAR] if len(xy) else xy
    number = len(images)
    if not len(near):
        return np.full(number, np.inf)
    over = np.broadcast_to(overhangs(ground, near, window.edge), (number, len(window.edge))).copy()
    far = np.broadcast_to(cdist(window.spots, near).min(axis=1), (number, len(window.spots))).copy()
    if images.size:
        at_edge = clear & (cdist(images.reshape(-1, 2), window.edge).min(axis=1).reshape(clear.shape) < NEAR)
        owner, _ = np.nonzero(at_edge)
        new = images[at_edge]
        _lower(over, owner, cdist(new, window.edge))
        _lower(far, owner, cdist(new, window.spots))
        owner, ends = _new_ties(ground, near, owner, new)
        _lower(over, owner, _from_segments(window.edge, ends))
    over_sum = np.maximum(over - window.limit, 0).sum(axis=1) * COARSER * EDGE_STEP
    found = over_sum + 4 * (np.maximum(far - ground.reach, 0) @ window.weight)
    return np.where(len(near) + clear.sum(axis=1) < 2, np.inf, found)


def _lower(values: Floats, owner: NDArray[np.intp], distance: Floats) -> None:
    """Lowers (n, p) values to (m, p) distances where these are less; owner: (m,) the row of each, ascending."""
    if len(owner):
        rows, starts = np.unique(owner, return_index=True)
        values[rows] = np.minimum(values[rows], np.minimum.reduceat(distance, starts, axis=0))


def _new_ties(
    ground: Ground, near: Floats, owner: NDArray[np.intp], new: Floats
) -> tuple[NDArray[np.intp], Floats]:
    """(t,) owner, ascending, and (t, 2, 2) ends of the ties of new jacks to those near and to others of their owner."""
    most = ground.rules.greatest_spacing + TOLERANCE
    first, second = np.nonzero(cdist(new, near) <= most)
    one, other = np.nonzero((cdist(new, new) <= most) & (owner[:, None] == owner))
    fresh = one < other
    ends = np.concatenate([
        np.stack([new[first], near[second]], axis=1),
        np.stack([new[one[fresh]], new[other[fresh]]], axis=1),
    ])
    whose = np.concatenate([owner[first], owner[one[fresh]]])
    shapely.prepare(ground.outer)
    inside = np.asarray(shapely.covers(ground.outer, shapely.linestrings(ends)), dtype=bool)
    order = np.argsort(whose[inside], kind="stable")
    return whose[inside][order], ends[inside][order]


def _from_segments(points: Floats, ends: Floats) -> Floats:
    """(t, p) distances of (p, 2) points from (t, 2, 2) straight lines."""
    along = ends[:, 1] - ends[:, 0]
    square = np.maximum(np.sum(along**2, axis=1), 1e-12)[:, None]
    x = points[:, 0] - ends[:, 0, 0][:, None]
    y = points[:, 1] - ends[:, 0, 1][:, None]
    share = np.clip((x * along[:, :1] + y * along[:, 1:]) / square, 0, 1)
    return np.asarray(np.hypot(x - share * along[:, :1], y - share * along[:, 1:]))
