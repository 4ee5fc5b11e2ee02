"""Bending moments where a slab on jacks is judged: averaged over a strip at each jack, and midway between jacks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import Delaunay
from shapely import Polygon

from fem.bending import BendingField
from fem.moments import principal_moments
from postprocess.sections import strip_sections

Floats = NDArray[np.float64]

SPAN = 1.5
"""Neighbours further apart than this many times the median distance do not count as a span between jacks."""


@dataclass(frozen=True, eq=False)
class KeyMoments:
    """n jacks, s spans; moments in N·m/m, sagging positive.

    at_jacks: (n, 2) Mx averaged along the section x = x_jack and My along y = y_jack, each over `strip` m centred
    on the jack and cut at the slab's edge. span_xy: (s, 2) places midway between jacks, m. in_spans: (s, 3) Mx, My,
    Mxy there.
    """

    strip: float
    at_jacks: Floats
    span_xy: Floats
    in_spans: Floats

    @property
    def largest(self) -> float:
        """The largest size of a strip moment or of a principal moment in a span, N·m/m."""
        principal = principal_moments(self.in_spans)
        sizes = [np.abs(self.at_jacks).ravel(), np.abs(principal.larger), np.abs(principal.smaller)]
        return float(np.max(np.concatenate(sizes)))


def key_moments(
    field: BendingField, *, plan: Polygon, jack_xy: Floats, strip: float, corners: Floats
) -> tuple[KeyMoments, ...]:
    """Moments of each state of `field` at the jacks and between them.

    jack_xy: (n, 2), m. strip: width of averaging, m: footprint plus thickness. corners: (c, 2) re-entrant corners,
    near which (one strip) thin-plate moments are singular and no span is looked at.
    """
    widths = np.full(len(jack_xy), strip)
    for_x, for_y = (strip_sections(plan, jack_xy, widths, along) for along in ("y", "x"))
    at_jacks = np.stack(
        [
            for_x.means(_at(field, for_x.points))[:, 0],
            for_y.means(_at(field, for_y.points))[:, 1],
        ],
        axis=1,
    )
    spans = span_points(plan, jack_xy, corners, strip)
    in_spans = field.moments(spans)
    return tuple(
        KeyMoments(strip, at_jacks[:, :, s], spans, in_spans[:, :, s]) for s in range(field.magnitudes.shape[1])
    )


def span_pairs(plan: Polygon, jack_xy: Floats) -> NDArray[np.int64]:
    """(s, 2) numbers of neighbouring jacks (Delaunay) between which the slab is whole."""
    triangles = Delaunay(jack_xy).simplices
    pairs = np.unique(np.sort(triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1), axis=0)
    ends = jack_xy[pairs]
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    shapely.prepare(plan)
    keep = (length <= SPAN * np.median(length)) & shapely.covers(plan, shapely.linestrings(ends))
    return np.asarray(pairs[keep], dtype=np.int64)


def span_points(plan: Polygon, jack_xy: Floats, corners: Floats, clearance: float) -> Floats:
    """(s, 2) middles of such pairs that are further than `clearance` from all corners."""
    middle = jack_xy[span_pairs(plan, jack_xy)].mean(axis=1)
    if len(corners):
        middle = middle[shapely.distance(shapely.points(middle), shapely.multipoints(corners)) > clearance]
    return np.asarray(middle)


def _at(field: BendingField, xy: Floats) -> Floats:
    """(n, q, 3, s) moments at places (n, q, 2)."""
    found = field.moments(xy.reshape(-1, 2))
    return found.reshape(*xy.shape[:2], *found.shape[1:])
