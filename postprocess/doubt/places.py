"""Where the slab is judged while a spring is out of service: strips at jacks and middles of spans, as one operator."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.spatial import KDTree
from shapely import Polygon

from fem.concentrated import ConcentratedForces
from fem.moment_operator import MomentOperator
from fem.moments import principal_moments
from fem.sampling import Sampler
from postprocess.key_moments import span_pairs, span_points
from postprocess.sections import strip_sections

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class KeyPlaces:
    """n jacks and s spans: p = 2 n + s places. xy: (p, 2), m. pairs: (s, 2) the jacks on both sides of each span.

    operator: mean moments over the strips across x at each jack, then over those across y, then in the spans.
    """

    jacks: int
    xy: Floats
    pairs: Ints
    operator: MomentOperator

    @classmethod
    def of(
        cls,
        sampler: Sampler,
        forces: ConcentratedForces,
        poissons_ratio: float,
        *,
        plan: Polygon,
        jack_xy: Floats,
        strip: float,
        corners: Floats,
    ) -> KeyPlaces:
        """The places of `postprocess.key_moments.key_moments`, with the same arguments."""
        widths = np.full(len(jack_xy), strip)
        sections = [strip_sections(plan, jack_xy, widths, along) for along in ("y", "x")]
        spans = span_points(plan, jack_xy, corners, strip)
        pairs = span_pairs(plan, jack_xy)
        if len(spans):
            pairs = pairs[KDTree(jack_xy[pairs].mean(axis=1)).query(spans)[1]]
        points = np.vstack([*(part.points.reshape(-1, 2) for part in sections), spans])
        means = sparse.kron(sparse.eye_array(2 * len(jack_xy)), sections[0].weights[None])
        weights = sparse.csr_array(sparse.block_diag([means, sparse.eye_array(len(spans))]))
        operator = MomentOperator.at(sampler, points, forces, poissons_ratio).averaged(weights)
        return cls(len(jack_xy), np.vstack([jack_xy, jack_xy, spans]), pairs[: len(spans)], operator)

    def governing(self, moments: Floats) -> Floats:
        """(p, ...) of moments (p, 3, ...): Mx or My of the strips, the greater principal moment in size of spans."""
        n = self.jacks
        principal = principal_moments(np.moveaxis(moments[2 * n :], 1, -1))
        larger, smaller = principal.larger, principal.smaller
        spans = np.where(np.abs(larger) >= np.abs(smaller), larger, smaller)
        return np.concatenate([moments[:n, 0], moments[n : 2 * n, 1], spans])

    def name(self, place: int, ids: Sequence[str]) -> str:
        """A place in words."""
        n = self.jacks
        if place < 2 * n:
            return f"{'Mx' if place < n else 'My'} at jack {ids[place % n]}"
        first, second = self.pairs[place - 2 * n]
        return f"span between {ids[first]} and {ids[second]}"
