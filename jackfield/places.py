"""Places all over the slab at which drops fall and its motion is looked at: cells of a square grid, and its edges."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]

PLACES = 110
"""About so many cells."""


@dataclass(frozen=True, eq=False)
class Places:
    """cells: (p, 2) middles of the square cells of side `spacing`, m. xy: (p, 2) the place that stands for each."""

    cells: Floats
    xy: Floats
    spacing: float


def places_of(plan: Polygon, inset: float, count: int = PLACES) -> Places:
    """One place in each cell that has any, at least `inset` m from every edge.

    In the middle of cells that lie wholly there; in others on the line at `inset` itself, at a corner of it if the cell
    has one: what moves most, moves at edges and corners.
    """
    spacing = float(np.sqrt(plan.area / count))
    low_x, low_y, high_x, high_y = plan.bounds
    axes = (_middles(low_x, high_x, spacing), _middles(low_y, high_y, spacing))
    middles = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)
    half = np.array([axis[1] - axis[0] if len(axis) > 1 else spacing for axis in axes]) / 2
    room = plan.buffer(-inset, join_style="mitre")
    boxes = shapely.box(*(middles - half).T, *(middles + half).T)
    shapely.prepare(room)
    kept = np.asarray(shapely.intersects(room, boxes))
    whole = np.asarray(shapely.covers(room, boxes))
    corners = shapely.get_coordinates(room)
    xy = np.array(
        [
            middle if inside else _on_line(room.boundary, corners, middle, half)
            for middle, inside in zip(middles[kept], whole[kept], strict=True)
        ]
    ).reshape(-1, 2)
    return Places(middles[kept], xy, spacing)


def _on_line(line: BaseGeometry, corners: Floats, middle: Floats, half: Floats) -> Floats:
    """The corner (c, 2) in a cell that is farthest from its middle, else the middle of the line through the cell."""
    inside = corners[np.all(np.abs(corners - middle) <= half + 1e-9, axis=1)]
    if len(inside):
        return np.asarray(inside[np.argmax(np.sum((inside - middle) ** 2, axis=1))])
    through = line.intersection(shapely.box(*(middle - half), *(middle + half)))
    spot = through.interpolate(0.5, normalized=True) if through.geom_type == "LineString" else through.centroid
    return np.array(shapely.get_coordinates(line.interpolate(line.project(spot)))[0])


def _middles(low: float, high: float, spacing: float) -> Floats:
    """Middles of equal parts of about `spacing`."""
    parts = max(1, round((high - low) / spacing))
    return np.asarray(low + (np.arange(parts) + 0.5) * (high - low) / parts)
