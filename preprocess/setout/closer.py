"""Closing jacks up within an area, the layout around it left as it is.

The lines of the layout next around the area bound a block. Within it rows and columns are divided anew, so that
jacks stand at most as far apart as asked; outside it no jack moves.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from preprocess.setout.chains import spaced
from preprocess.setout.ground import TOLERANCE, Floats, Ground
from preprocess.setout.measure import Closer, farthest
from preprocess.setout.overhang import edge_points, overhangs
from preprocess.setout.places import MARGIN
from preprocess.setout.repair import covered
from preprocess.setout.symmetry import keeps
from preprocess.setout.trial import Symmetry, Trial

WIDER: Final = 3
"""How many times a block grows by a line all round where it does not do."""

EDGE: Final = 1e-3
"""Jacks this near to a block's border stand on it, m."""


def closed_up(ground: Ground, symmetry: Symmetry, now: Trial, areas: Closer) -> Floats:
    """(n, 2) the jacks of a layout with those in each area closed up, in the frame of the layout.

    symmetry: with motions that leave the areas alike too.
    """
    xy = now.xy
    for area, spacing in areas:
        part = area.intersection(ground.plan)
        tries = [_block(ground, Trial(xy, now.rows, now.columns), part, spacing, wider) for wider in range(WIDER)]
        filled = [
            covered(ground, symmetry, Trial(tried, now.rows, now.columns), part, spacing / np.sqrt(2))[0]
            for tried in (xy, *tries)
        ]
        filled = [
            covered(ground, symmetry, Trial(tried, now.rows, now.columns), ground.reachable, ground.reach)[0]
            for tried in filled
        ]
        far = [_excess(ground, tried, part, spacing) for tried in filled]
        xy = min(zip(far, map(len, filled), range(len(filled)), filled, strict=True), key=lambda found: found[:3])[3]
    return xy


def _excess(ground: Ground, xy: Floats, part: BaseGeometry, spacing: float) -> float:
    """By how much a layout passes the limits of reach, in the area and elsewhere, and of overhang, m."""
    edge = edge_points(ground)
    over = (
        farthest(part, xy, spacing / np.sqrt(2)).excess,
        farthest(ground.reachable, xy, ground.reach).excess,
        float(np.max(overhangs(ground, xy, edge.at) - edge.limit)),
    )
    return round(sum(max(excess - TOLERANCE / 2, 0.0) for excess in over), 4)


def closer_motions(symmetry: Symmetry, areas: Closer) -> Symmetry:
    """The motions of a layout that leave the areas in which jacks stand closer alike too."""
    marks: dict[float, list[Floats]] = {}
    for area, spacing in areas:
        marks.setdefault(round(spacing, 4), []).append(shapely.get_coordinates(area))
    sets = [np.concatenate(points) for points in marks.values()]
    return Symmetry(tuple(motion for motion in symmetry.motions if keeps(motion, sets)))


def _block(ground: Ground, now: Trial, part: BaseGeometry, spacing: float, wider: int) -> Floats:
    """The jacks with those of a block round an area on lines divided anew."""
    if part.is_empty:
        return now.xy
    low_x, low_y, high_x, high_y = part.bounds
    west, east = _bounds(now.columns, low_x, high_x, wider)
    south, north = _bounds(now.rows, low_y, high_y, wider)
    counts = _gaps(east - west, north - south, spacing, ground.rules.least_spacing, ground.rules.greatest_spacing)
    if counts is None:
        return now.xy
    across, along = np.linspace(west, east, counts[0] + 1), np.linspace(south, north, counts[1] + 1)
    fresh = np.round(np.stack(np.meshgrid(across, along), axis=-1).reshape(-1, 2), 3)
    fresh = fresh[ground.allows(fresh)]
    inside = np.all((now.xy >= [west - EDGE, south - EDGE]) & (now.xy <= [east + EDGE, north + EDGE]), axis=1)
    for line in ground.rules.lines:
        inside &= ~np.asarray(shapely.dwithin(shapely.LineString(line.path), shapely.points(now.xy), 0.005))
    return spaced(np.concatenate([now.xy[~inside], fresh]), ground.rules.least_spacing)


def _bounds(lines: Floats, low: float, high: float, wider: int) -> tuple[float, float]:
    """The lines next below and above a stretch, or further out by some; the outermost where there is none."""
    if len(lines) < 2:
        return low, high
    first = max(int(np.searchsorted(lines, low + EDGE, side="right")) - 1 - wider, 0)
    last = min(int(np.searchsorted(lines, high - EDGE, side="left")) + wider, len(lines) - 1)
    return float(lines[first]), float(lines[max(last, first + 1) if first + 1 < len(lines) else last])


def _gaps(width: float, depth: float, spacing: float, least: float, most: float) -> tuple[int, int] | None:
    """The fewest gaps along and up a block whose rectangles are no larger across than squares at the spacing."""
    found = []
    for along in range(1, int(width / (least + MARGIN)) + 1):
        for up in range(1, int(depth / (least + MARGIN)) + 1):
            gaps = width / along, depth / up
            if max(gaps) <= most + 1e-9 and gaps[0] ** 2 + gaps[1] ** 2 <= 2 * spacing**2 + 1e-9:
                found.append(((along + 1) * (up + 1), abs(gaps[0] - gaps[1]), along, up))
    return min(found)[2:] if found else None
