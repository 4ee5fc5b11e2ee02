"""Re-entrant corners: moments across the corner's bisector, averaged over a strip, and diagonal trimmer bars.

Thin-plate moments are singular at a re-entrant corner, so no value at the corner means anything; the mean over a
stated width does. Cracks start at the corner and run into the slab along the bisector; trimmers lie across it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon

from fem.quadrature import line_rule
from postprocess.strength.wood_armer import normal_moment

Floats = NDArray[np.float64]

STRIP_DEGREE: Final = 31
"""Sixteen points along a strip, crowded towards the corner."""


@dataclass(frozen=True, eq=False)
class CornerStrips:
    """Sections from c corners along their bisectors into the slab.

    xy: (c, 2) corners, m. across: (c,) direction across the bisector, rad from the x axis: that of the trimmers.
    widths: (c,) lengths of the sections, m. points: (c, p, 2) where moments are wanted. weights: (p,) that make
    their mean.
    """

    xy: Floats
    across: Floats
    widths: Floats
    points: Floats
    weights: Floats

    def means(self, values: Floats) -> Floats:
        """(c, ...) means along each strip of values (c, p, ...) at its points."""
        return np.asarray(np.tensordot(values, self.weights, axes=([1], [0])))

    def across_bisector(self, mean: Floats) -> Floats:
        """(c,) or (c, s) normal moment across each bisector, N·m/m, of mean triples (c, 3) or (c, 3, s)."""
        angle = self.across.reshape(-1, *[1] * (mean.ndim - 2))
        return normal_moment(np.moveaxis(mean, 1, -1), angle)

    def mean_moments(self, triples: Floats) -> Floats:
        """(c,) or (c, s) mean normal moment across each bisector, N·m/m, from (c, p, 3) or (c, p, 3, s) triples."""
        return self.across_bisector(self.means(triples))


def corner_strips(plan: Polygon, xy: Floats, width: Floats | float, turn: float = 0.0) -> CornerStrips:
    """Strips of `width` m at the re-entrant corners (c, 2) of `plan`, m, each a vertex of its rings.

    width: (c,) or one for all. turn: of the strips from the bisector, rad anticlockwise. A strip ends where the slab
    ends. ValueError for a point that is no vertex. With s = t³ along the strip the moment's singularity, a power of s
    above −1/2, becomes smooth in t.
    """
    inward = np.array([_bisector(plan, corner) for corner in xy]).reshape(-1, 2)
    t, weight = line_rule(STRIP_DEGREE)
    start = np.asarray(xy, dtype=float)
    across = np.arctan2(inward[:, 1], inward[:, 0]) + pi / 2
    inward = inward @ np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
    wanted = np.broadcast_to(np.asarray(width, dtype=float), len(start))
    widths = np.array([_reach(plan, *each) for each in zip(start, inward, wanted, strict=True)])
    points = start[:, None] + (widths[:, None] * t**3)[:, :, None] * inward[:, None]
    return CornerStrips(start, across, widths, points, 3 * t**2 * weight)


def _reach(plan: Polygon, corner: Floats, inward: Floats, width: float) -> float:
    """How far the slab goes on from a corner along its bisector, m, `width` at most."""
    ray = LineString([corner, corner + width * inward])
    nearest = min(shapely.get_parts(ray.intersection(plan)), key=lambda part: float(part.distance(Point(corner))))
    return float(nearest.length)


def _bisector(plan: Polygon, corner: Floats) -> Floats:
    """(2,) unit vector from a corner along the bisector of the slab's own angle."""
    for ring in (plan.exterior, *plan.interiors):
        vertices = shapely.get_coordinates(ring)[:-1]
        found = np.flatnonzero(np.hypot(*(vertices - corner).T) < 1e-9)
        if len(found):
            sides = np.array([vertices[found[0] - 1], vertices[(found[0] + 1) % len(vertices)]]) - vertices[found[0]]
            towards = np.sum(sides / np.hypot(*sides.T)[:, None], axis=0)  # into the void, opposite to the slab
            return np.asarray(-towards / np.hypot(*towards))
    raise ValueError(f"({corner[0]:g}, {corner[1]:g}) m is no corner of the plan")
