"""Mending a layout: jacks added where the slab is too far from one, those left out that nothing needs.

A point further from every jack than the reach is also further than the least spacing, so a jack fits there unless an
edge or a zone is in the way; so adding always ends.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from scipy.sparse import coo_matrix
from scipy.spatial import cKDTree
from shapely.geometry.base import BaseGeometry

from preprocess.setout.ground import Bools, Floats, Ground
from preprocess.setout.measure import TOLERANCE, EdgePoints, edge_points, far_points, overhangs
from preprocess.setout.trial import Symmetry, Trial

CANDIDATES: Final = 0.05
"""Grid of the places that are tried for a jack, m."""

SAMPLES: Final = 0.1
"""Grid of the points of the slab by which places are compared, m."""

MARGIN: Final = 0.001
"""Kept beyond the least spacing, for rounding, m."""

TRIES: Final = 16
"""Places along edges that are mended before giving up."""


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
    xy, edge = _edges_mended(ground, symmetry, Trial(xy, start.rows, start.columns))
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
        places = candidates(ground, symmetry, now, point, reach, step=CANDIDATES / 5)  # the only room may be small
    if not len(places):
        return None
    spots = _grid(point, 2 * reach, SAMPLES)
    spots = np.concatenate([spots[shapely.intersects_xy(area, spots)], point[None]])
    near = now.xy[np.linalg.norm(now.xy - point, axis=1) < 4 * reach]
    bare = spots[cKDTree(near).query(spots)[0] > reach] if len(near) else spots
    served = np.linalg.norm(places[:, None] - bare[None], axis=2) <= reach + 1e-9
    gain = served.sum(axis=1) * SAMPLES**2
    gain += 0.15 * _on_lines(now, places)
    gain -= 0.02 * np.linalg.norm(places - point, axis=1)
    helps = served[:, -1]
    if not helps.any():
        return None
    best = places[np.argmax(np.where(helps, np.round(gain, 6), -np.inf))]
    return with_images(ground, symmetry, now.xy, best)


def with_images(ground: Ground, symmetry: Symmetry, xy: Floats, place: Floats) -> Floats:
    """(k, 2) a place and those of its images at which nothing is in the way."""
    images = symmetry.images(place)
    clear = ground.allows(images)
    if len(xy):
        clear &= np.asarray(cKDTree(xy).query(images)[0]) >= ground.rules.least_spacing + MARGIN - 1e-9
    clear[0] = True
    return images[clear]


def candidates(
    ground: Ground, symmetry: Symmetry, now: Trial, point: Floats, radius: float, *, step: float = CANDIDATES
) -> Floats:
    """(n, 2) places within a radius, m, of a point where a jack may stand together with its images."""
    axes = []
    for values, middle in ((now.columns, point[0]), (now.rows, point[1])):
        grid = step * np.arange(np.ceil((middle - radius) / step), np.floor((middle + radius) / step) + 1)
        axes.append(np.unique(np.round(np.concatenate([grid, values[np.abs(values - middle) <= radius]]), 4)))
    places = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 2)
    projected = [(places + motion(places)) / 2 for motion in symmetry.motions[1:]]
    places = np.concatenate([places, point[None], *projected])
    places = places[np.linalg.norm(places - point, axis=1) <= radius + 1e-9]
    places = np.unique(np.round(places, 4), axis=0)
    places = places[ground.allows(places)]
    least = ground.rules.least_spacing + MARGIN
    near = now.xy[np.linalg.norm(now.xy - point, axis=1) < radius + 2 * least]
    if len(near) and len(places):
        places = places[cKDTree(near).query(places)[0] >= least]
    for motion in symmetry.motions[1:]:
        moved = np.linalg.norm(motion(places) - places, axis=1)
        places = places[(moved < 1e-4) | (moved >= least)]
    return places


def _on_lines(now: Trial, places: Floats) -> Floats:
    """(n,) 1 for places on a row, half for those on a column."""
    score = np.zeros(len(places))
    for values, index, worth in ((now.rows, 1, 1.0), (now.columns, 0, 0.5)):
        if len(values):
            score += worth * (np.abs(places[:, index][:, None] - values[None]).min(axis=1) < 1e-3)
    return score


def _grid(point: Floats, radius: float, step: float) -> Floats:
    offsets = step * np.arange(-np.floor(radius / step), np.floor(radius / step) + 1)
    return np.stack(np.meshgrid(point[0] + offsets, point[1] + offsets), axis=-1).reshape(-1, 2)


def _edges_mended(ground: Ground, symmetry: Symmetry, start: Trial) -> tuple[Floats, int]:
    """The jacks with some added or moved until overhang is kept, as far as places allow; how many were added."""
    edge = edge_points(ground)
    xy = start.xy
    given_up = np.zeros(len(edge.at), dtype=bool)
    for _ in range(TRIES):
        excess = overhangs(ground, xy, edge.at) - edge.limit
        excess[given_up] = 0
        worst = int(np.argmax(np.round(excess, 6)))
        if excess[worst] <= TOLERANCE / 2:
            break
        point = edge.at[worst]
        better = _edge_step(ground, symmetry, Trial(xy, start.rows, start.columns), edge, point)
        if better is None:
            given_up |= np.linalg.norm(edge.at - point, axis=1) < 0.3
        else:
            xy = better
    return xy, len(xy) - len(start.xy)


def _edge_step(ground: Ground, symmetry: Symmetry, now: Trial, edge: EdgePoints, point: Floats) -> Floats | None:
    """The jacks with one added near a point of the edge, or else one moved, with images; None if nothing helps."""
    window = edge.near(point[None], 1.6)
    before = penalty(ground, now.xy, window, point)
    options = [
        np.concatenate([now.xy, with_images(ground, symmetry, now.xy, place)])
        for place in _thin(candidates(ground, symmetry, now, point, ground.rules.greatest_spacing), point)
    ]
    best, least = _cheapest(ground, options, window, point)
    if best is not None and least < before - 1e-3:
        return best
    on_line = _on_jack_lines(ground, now.xy)
    options = []
    distance = np.linalg.norm(now.xy - point, axis=1)
    for jack in np.argsort(np.round(distance, 6), kind="stable")[:4]:
        if on_line[jack] or distance[jack] > 1.5 * ground.rules.greatest_spacing:
            continue
        others = np.delete(now.xy, symmetry.orbit(now.xy, int(jack)), axis=0)
        left = Trial(others, now.rows, now.columns)
        for place in _thin(candidates(ground, symmetry, left, now.xy[jack], 0.5), now.xy[jack]):
            options.append(np.concatenate([others, with_images(ground, symmetry, others, place)]))
    best, least = _cheapest(ground, options, window, point)
    return best if best is not None and least < before - 1e-3 else None


def _thin(places: Floats, point: Floats) -> Floats:
    """Every second place each way where there are many."""
    if len(places) <= 50:
        return places
    cells = np.floor(places / (3.01 * CANDIDATES)).astype(int)
    _, first = np.unique(cells, axis=0, return_index=True)
    return places[np.sort(first)]


def _cheapest(ground: Ground, options: list[Floats], window: EdgePoints, point: Floats) -> tuple[Floats | None, float]:
    best, least = None, np.inf
    for option in options:
        cost = round(penalty(ground, option, window, point), 6)
        if cost < least:
            best, least = option, cost
    return best, least


def penalty(ground: Ground, xy: Floats, window: EdgePoints, point: Floats) -> float:
    """How far overhang and reach pass their limits near a point, summed over its surroundings, m·m."""
    near = xy[cKDTree(window.at).query(xy)[0] < 3.0]
    if len(near) < 2:
        return np.inf
    step = 0.02
    over = np.maximum(overhangs(ground, near, window.at[::4]) - window.limit[::4], 0).sum() * 4 * step
    spots = _grid(point, 2.0, 0.2)
    spots = spots[shapely.intersects_xy(ground.plan, spots)]
    far = np.maximum(cKDTree(near).query(spots)[0] - ground.reach, 0).sum() * 0.04
    corners = shapely.get_coordinates(ground.outer)
    corners = corners[np.linalg.norm(corners - point, axis=1) < 3.0]
    if len(corners):
        far += np.maximum(cKDTree(near).query(corners)[0] - ground.reach, 0).sum()
    return float(over + 4 * far)


def _on_jack_lines(ground: Ground, xy: Floats) -> Bools:
    """(n,) whether each jack stands on a jack line."""
    on = np.zeros(len(xy), dtype=bool)
    for line in ground.rules.lines:
        on |= np.asarray(shapely.dwithin(shapely.LineString(line.path), shapely.points(xy), 0.005))
    return on


def without_needless(ground: Ground, symmetry: Symmetry, xy: Floats, kept: Bools | None = None) -> Floats:
    """The jacks without those that neither reach nor overhang nor a jack line needs, in symmetric groups.

    kept: (n,) jacks that stay in any case.
    """
    low_x, low_y, high_x, high_y = ground.plan.bounds
    step = max(SAMPLES, float(np.sqrt(ground.plan.area / 400_000)))
    grid = np.stack(np.meshgrid(np.arange(low_x, high_x, step), np.arange(low_y, high_y, step)), axis=-1).reshape(-1, 2)
    spots = np.concatenate([grid[shapely.intersects_xy(ground.plan, grid)], edge_points(ground).at[::5]])
    pairs = cKDTree(spots).sparse_distance_matrix(cKDTree(xy), ground.reach - step / 2, output_type="coo_matrix")
    serves = coo_matrix((np.ones(pairs.nnz), (pairs.row, pairs.col)), shape=pairs.shape).tocsc()
    count = np.asarray(serves.sum(axis=1)).ravel()
    served = [serves.indices[serves.indptr[jack] : serves.indptr[jack + 1]] for jack in range(len(xy))]
    alone = np.array([count[own].min(initial=9) for own in served])
    free = (alone >= 2) & ~_on_jack_lines(ground, xy)
    if kept is not None:
        free &= ~kept
    edge = edge_points(ground)
    gone = np.zeros(len(xy), dtype=bool)
    nearest = np.asarray(cKDTree(xy).query(xy, k=2)[0])[:, 1]
    middle = symmetry.centre
    spread = np.linalg.norm(xy - middle, axis=1)
    for jack in np.lexsort((xy[:, 0], xy[:, 1], np.round(spread, 3), np.round(nearest, 3))):
        if not free[jack] or gone[jack]:
            continue
        group = symmetry.orbit(xy, int(jack))
        lost = np.zeros(len(spots))
        for member in group:
            lost[served[member]] += 1
        if np.any((count - lost < 1) & (lost > 0)) or not free[group].all():
            continue
        left = ~gone
        left[group] = False
        if _edge_keeps(ground, edge, xy[~gone], xy[left], xy[group]):
            gone[group] = True
            count = count - lost
    return xy[~gone]


def _edge_keeps(ground: Ground, edge: EdgePoints, before: Floats, after: Floats, taken: Floats) -> bool:
    """Whether overhang near the jacks taken away stays within its limit, or no worse where it was not."""
    window = edge.near(taken, 2 * ground.rules.greatest_spacing)
    if not len(window.at):
        return True
    near = cKDTree(taken)
    before = before[near.query(before)[0] < 4 * ground.rules.greatest_spacing]
    after = after[near.query(after)[0] < 4 * ground.rules.greatest_spacing]
    if len(after) < 2:
        return False
    then = overhangs(ground, after, window.at)
    return bool(np.all((then <= window.limit + TOLERANCE / 2) | (then <= overhangs(ground, before, window.at) + 1e-6)))
