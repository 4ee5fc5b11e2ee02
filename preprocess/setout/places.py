"""Places for one more jack near a point, clear of edges, zones and the other jacks, with their mirror images."""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely
from scipy.spatial import cKDTree

from preprocess.setout.ground import ARC_CHORDS, Bools, Floats, Ground
from preprocess.setout.trial import Symmetry, Trial

CANDIDATES: Final = 0.05
"""Grid of the places that are tried for a jack, m."""


SPECK: Final = 1e-6
"""Room smaller than this, m2, is none."""

MARGIN: Final = 0.001
"""Kept beyond the least spacing, for rounding, m."""


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
        line = step * np.arange(np.ceil((middle - radius) / step), np.floor((middle + radius) / step) + 1)
        axes.append(np.unique(np.round(np.concatenate([line, values[np.abs(values - middle) <= radius]]), 4)))
    places = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 2)
    projected = [
        (places + motion(places)) / 2
        for motion in symmetry.motions[1:]
        if np.linalg.norm(motion(point[None])[0] - point) / 2 <= 2.5 * radius
    ]
    places = np.round(np.concatenate([places, point[None], *projected]), 4)
    places = places[np.sum((places - point) ** 2, axis=1) <= (radius + 1e-4) ** 2]
    least = ground.rules.least_spacing + MARGIN
    near = now.xy[np.linalg.norm(now.xy - point, axis=1) < radius + 2 * least]
    if len(near) and len(places):
        places = places[np.asarray(cKDTree(near).query(places, distance_upper_bound=least)[0]) >= least]
    places = np.unique(places[ground.allows(places)], axis=0)
    for motion in symmetry.motions[1:]:
        moved = np.linalg.norm(motion(places) - places, axis=1)
        places = places[(moved < 1e-4) | (moved >= least)]
    return places


def has_room(ground: Ground, now: Trial, point: Floats, radius: float) -> bool:
    """Whether anywhere within a radius, m, of a point a jack may stand, its images left aside."""
    disc = shapely.Point(point).buffer(radius, quad_segs=ARC_CHORDS)
    near = now.xy[np.linalg.norm(now.xy - point, axis=1) < radius + ground.rules.least_spacing]
    taken = shapely.union_all(shapely.buffer(shapely.points(near), ground.rules.least_spacing, quad_segs=ARC_CHORDS))
    return bool(ground.permitted.intersection(disc).difference(taken).area > SPECK)


def grid(point: Floats, radius: float, step: float) -> Floats:
    """(n, 2) points of a square grid about a point, as far as a radius each way, m."""
    offsets = step * np.arange(-np.floor(radius / step), np.floor(radius / step) + 1)
    return np.stack(np.meshgrid(point[0] + offsets, point[1] + offsets), axis=-1).reshape(-1, 2)


def images_of(ground: Ground, symmetry: Symmetry, xy: Floats, places: Floats) -> tuple[Floats, Bools]:
    """(n, k, 2) images of (n, 2) places under each motion, and (n, k) at which of them nothing is in the way.

    The first is the place itself; the same image may come twice.
    """
    images = np.stack([motion(places) for motion in symmetry.motions], axis=1)
    clear = ground.allows(images.reshape(-1, 2)).reshape(images.shape[:2])
    if len(xy):
        nearest = np.asarray(cKDTree(xy).query(images)[0])
        clear &= nearest >= ground.rules.least_spacing + MARGIN - 1e-9
    clear[:, 0] = True
    return images, clear


def on_lines(now: Trial, places: Floats) -> Floats:
    """(n,) 1 for places on a row, half for those on a column."""
    score = np.zeros(len(places))
    for values, index, worth in ((now.rows, 1, 1.0), (now.columns, 0, 0.5)):
        if len(values):
            score += worth * (np.abs(places[:, index][:, None] - values[None]).min(axis=1) < 1e-3)
    return score
