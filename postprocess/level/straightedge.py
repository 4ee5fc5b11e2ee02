"""The straightedge on the slab: where it is laid, and the gaps under it.

BS 8204 judges the regularity of a surface by the greatest gap under a straightedge of 2 m laid on it anywhere, in any
direction (limits of 3, 5 and 10 mm for SR1 to SR3). Here it is laid from every point of a lattice in eight directions,
wherever it lies on the slab over its whole length, and looked under at five stations. For stations 1, 2, 3 in a row
with heights h and shares λ, 1 − λ of the chord from 1 to 3 at station 2, its gap is λ h1 + (1 − λ) h3 − h2:
- in a hollow it rests on 1 and 3, and the gap is at 2; the greatest over all triples is that under the upper hull;
- on a hump it rocks on 2; balanced, with equal gaps at 1 and 3, each of them is the same with the other sign.
So either sign of every triple has to keep the limit. A slab bends in waves that are long against the distance of the
stations, so those between them matter little: a hump of one sine wave over two straightedges loses less than 4 %.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from math import sqrt

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STATIONS = 5
DIRECTIONS = 8
"""Along x, along y and along both diagonals, to and fro, so that straightedges begin and end beside all edges."""
MOST_STARTS = 300
"""Largest number of lattice points, about; on larger slabs they lie farther apart."""
EDGE = 0.05
"""The outermost straightedges lie this far from the edge of the slab, m."""


@dataclass(frozen=True, eq=False)
class Straightedges:
    """Straightedges on m points of a slab: xy (m, 2) m. triples: (t, 3) points in a row on one straightedge. share:
    (t,) of the first of them in the chord at the middle one."""

    xy: Floats
    triples: Ints
    share: Floats

    @classmethod
    def on_plan(cls, plan: Polygon, length: float) -> Straightedges:
        """Straightedges of `length`, m, all over `plan`; none where it is too small for one."""
        step = max(length / (STATIONS - 1), sqrt(plan.area / MOST_STARTS))
        starts = _lattice(plan, step)
        angle = np.arange(DIRECTIONS) * 2 * np.pi / DIRECTIONS
        along = np.column_stack([np.cos(angle), np.sin(angle)])
        place = length * np.linspace(0.0, 1.0, STATIONS)
        stations = starts[:, None, None] + along[None, :, None] * place[:, None]
        stations = stations.reshape(-1, STATIONS, 2)
        ground = shapely.buffer(plan, 1e-6)
        shapely.prepare(ground)
        stations = stations[shapely.covers(ground, shapely.linestrings(stations[:, [0, -1]]))]
        xy, number = np.unique(np.round(stations.reshape(-1, 2), 6), axis=0, return_inverse=True)
        return cls(xy, *_triples(number.reshape(-1, STATIONS)))

    def gaps(self, heights: Floats) -> Floats:
        """(t, ...) gaps, m, under the heights (m, ...) of the points, up positive: hollows positive, humps negative."""
        first, middle, last = (heights[self.triples[:, part]] for part in range(3))
        share = self.share.reshape(-1, *[1] * (heights.ndim - 1))
        return np.asarray(share * first + (1 - share) * last - middle)

    def part(self, chosen: Ints) -> Straightedges:
        """The same with the triples `chosen` only."""
        return Straightedges(self.xy, self.triples[chosen], self.share[chosen])


def _lattice(plan: Polygon, step: float) -> Floats:
    """(p, 2) points about `step` apart that reach to the edges of the plan's bounds, m."""
    x0, y0, x1, y1 = plan.bounds
    lines = [
        np.linspace(low + EDGE, high - EDGE, max(int(np.ceil((high - low) / step)), 1) + 1)
        for low, high in ((x0, x1), (y0, y1))
    ]
    xy = np.stack(np.meshgrid(*lines), axis=-1).reshape(-1, 2)
    return np.asarray(xy[shapely.contains_xy(plan, *xy.T)])


def _triples(stations: Ints) -> tuple[Ints, Floats]:
    """Triples (t, 3) and shares (t,) of all straightedges with their points (s, STATIONS)."""
    chosen = np.array(list(combinations(range(STATIONS), 3)))
    share = (chosen[:, 2] - chosen[:, 1]) / (chosen[:, 2] - chosen[:, 0])
    return stations[:, chosen].reshape(-1, 3), np.tile(share, len(stations))
