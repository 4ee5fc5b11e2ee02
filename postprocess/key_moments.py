"""Bending moments where a slab on jacks is judged: averaged over a strip at each jack, and midway between jacks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import Delaunay
from shapely import Polygon

from fem.moments import moments, principal_moments
from fem.plate import Plate
from fem.sampling import Sampler

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
    sampler: Sampler,
    plate: Plate,
    displacement: Floats,
    *,
    plan: Polygon,
    jack_xy: Floats,
    strip: float,
    corners: Floats,
) -> KeyMoments:
    """Moments of one state at the jacks and between them.

    displacement: (unknowns,). jack_xy: (n, 2), m. strip: width of averaging, m: footprint plus thickness.
    corners: (c, 2) re-entrant corners, near which (one strip) thin-plate moments are singular and no span is
    looked at.
    """
    along_y = sampler.lines(_sections(plan, jack_xy, np.array([0.0, strip / 2])))
    along_x = sampler.lines(_sections(plan, jack_xy, np.array([strip / 2, 0.0])))
    at_jacks = np.column_stack(
        [moments(along_y, plate, displacement)[:, 0], moments(along_x, plate, displacement)[:, 1]]
    )
    spans = span_points(plan, jack_xy, corners, strip)
    return KeyMoments(strip, at_jacks, spans, moments(sampler.points(spans), plate, displacement))


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


def _sections(plan: Polygon, xy: Floats, half: Floats) -> list[Floats]:
    """For each point the straight section from −half to +half, as far as it lies on the slab around the point."""
    sections = []
    for centre in xy:
        line = shapely.linestrings([centre - half, centre + half])
        parts = shapely.get_parts(shapely.intersection(plan, line))
        nearest = int(np.argmin(shapely.distance(parts, shapely.points(centre))))
        sections.append(shapely.get_coordinates(parts[nearest]))
    return sections
