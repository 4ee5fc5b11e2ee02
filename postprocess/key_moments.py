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
from fem.quadrature import line_rule

Floats = NDArray[np.float64]

SPAN = 1.5
"""Neighbours further apart than this many times the median distance do not count as a span between jacks."""
SECTION_DEGREE = 31
"""Sixteen Gauss points across a strip: moments bend sharply at the rim of a housing."""


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
    along_y = _section_means(field, _sections(plan, jack_xy, np.array([0.0, strip / 2])))
    along_x = _section_means(field, _sections(plan, jack_xy, np.array([strip / 2, 0.0])))
    at_jacks = np.stack([along_y[:, 0], along_x[:, 1]], axis=1)
    spans = span_points(plan, jack_xy, corners, strip)
    in_spans = field.moments(spans)
    return tuple(
        KeyMoments(strip, at_jacks[:, :, s], spans, in_spans[:, :, s]) for s in range(field.magnitudes.shape[1])
    )


def _section_means(field: BendingField, sections: Floats) -> Floats:
    """(n, 3, s) means of Mx, My, Mxy over straight sections (n, 2, 2)."""
    position, weight = line_rule(SECTION_DEGREE)
    start, end = sections[:, 0], sections[:, 1]
    xy = start[:, None] + position[None, :, None] * (end - start)[:, None]
    found = field.moments(xy.reshape(-1, 2))
    return np.asarray(np.einsum("q,nqms->nms", weight, found.reshape(len(sections), len(weight), *found.shape[1:])))


def span_points(plan: Polygon, jack_xy: Floats, corners: Floats, clearance: float) -> Floats:
    """(s, 2) middles between neighbouring jacks (Delaunay), where the slab is whole from one jack to the other."""
    triangles = Delaunay(jack_xy).simplices
    pairs = np.unique(np.sort(triangles[:, [[0, 1], [1, 2], [2, 0]]].reshape(-1, 2), axis=1), axis=0)
    ends = jack_xy[pairs]
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    shapely.prepare(plan)
    keep = (length <= SPAN * np.median(length)) & shapely.covers(plan, shapely.linestrings(ends))
    middle = ends[keep].mean(axis=1)
    if len(corners):
        middle = middle[shapely.distance(shapely.points(middle), shapely.multipoints(corners)) > clearance]
    return np.asarray(middle)


def _sections(plan: Polygon, xy: Floats, half: Floats) -> Floats:
    """(n, 2, 2) for each point the straight section from −half to +half, as far as it lies on the slab around it."""
    sections = np.stack([xy - half, xy + half], axis=1)
    shapely.prepare(plan)
    for i in np.flatnonzero(~shapely.covers(plan, shapely.linestrings(sections))):
        parts = shapely.get_parts(shapely.intersection(plan, shapely.linestrings(sections[i])))
        nearest = int(np.argmin(shapely.distance(parts, shapely.points(xy[i]))))
        sections[i] = shapely.get_coordinates(parts[nearest])[[0, -1]]
    return np.asarray(sections)
