"""What the loads do to a slab, whatever steel lies in it: all that the checks of any pair of mats start from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fem.moments import principal_moments
from postprocess.strength.age import YoungConcrete
from postprocess.strength.combinations import Combinations
from postprocess.strength.demand import Envelope, design_envelope
from postprocess.strength.places import JudgedMoments, Places

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class SpotForces:
    """force: (n,) greatest design force at each spot, N ≥ 0, upward at jacks. column: (n,) its combination."""

    force: Floats
    column: NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class ShearPeak:
    """The greatest shear force over all directions, N/m, at xy, m, by the combination `column`.

    xy: None where all of the slab is so near to loads or edges that punching governs.
    """

    size: float
    xy: tuple[float, float] | None
    column: int


@dataclass(frozen=True, eq=False)
class SpanSag:
    """Between neighbouring jacks, the span whose sag is largest for its length, service state, elastic and short term.

    sag: deflection of the middle less the mean of both ends, m, either way. length: m. ids: of the jacks.
    """

    sag: float
    length: float
    ids: tuple[str, str]
    xy: tuple[float, float]


@dataclass(frozen=True, eq=False)
class LiftStage:
    """A moment of the lift: what the bare slab feels then, characteristic.

    name: in words, such as "bare slab on all jacks". crack: (m,) size of the moment that would open a crack at each
    place, N·m/m: the greater principal one, the strip mean at spots, the moment across at corners. design: (m, 4)
    Wood-Armer sizes. forces: (jacks,) upward, N.
    """

    name: str
    crack: Floats
    design: Floats
    forces: Floats

    @classmethod
    def of(cls, name: str, moments: JudgedMoments, forces: Floats) -> LiftStage:
        """From one load column."""
        return cls(name, crack_moments(moments)[:, 0], design_envelope(moments, np.ones((1, 1))).size, forces)


@dataclass(frozen=True, eq=False)
class LiftDay:
    """The concrete of one age and the stages of the lift with its modulus; stage by stage lifting adds to these."""

    concrete: YoungConcrete
    stages: Sequence[LiftStage]


@dataclass(frozen=True, eq=False)
class Effects:
    """design: of all strength combinations. service: of the service state. crack: load state -> (m,) as in
    `LiftStage`. across, across_zone: load state -> (c,) moments across the re-entrant corners, over their strips and
    zones. across_design: (c, 2) the most sagging (≥ 0) and the most hogging (≤ 0) one of the combinations, over zones;
    across_column: theirs. zone_moments: (3c, 3, k) mean triples over zones and side zones of all
    combinations. patterns: areas on which imposed load may lie alone, by their names in the combinations. remarks:
    what a reader has to know, in words. lift: None where the case has no lift.
    """

    plan: Polygon
    places: Places
    combinations: tuple[str, ...]
    design: Envelope
    service: Floats
    crack: Mapping[str, Floats]
    across: Mapping[str, Floats]
    across_zone: Mapping[str, Floats]
    across_design: Floats
    across_column: NDArray[np.int64]
    zone_moments: Floats
    spots: SpotForces
    shear: ShearPeak
    sag: SpanSag
    patterns: Mapping[str, BaseGeometry]
    remarks: tuple[str, ...]
    lift: LiftDay | None

    @property
    def cracking(self) -> dict[str, Floats]:
        """`crack`, with the bare slab as it is on the day of lifting, if there is one."""
        if self.lift is None:
            return dict(self.crack)
        return {**self.crack, "bare": np.max([stage.crack for stage in self.lift.stages], axis=0)}

    @property
    def corner_cracking(self) -> dict[str, Floats]:
        """Load state -> (c,) sizes of the moments across the re-entrant corners, the bare slab's as in `cracking`."""
        found = {state: np.abs(moments) for state, moments in self.across.items()}
        if self.lift is not None:
            found["bare"] = self.cracking["bare"][self.places.at_strips]
        return found


def crack_triples(moments: JudgedMoments) -> Floats:
    """(m, 3, s) Mx, My, Mxy whose greater principal moment has the size of `crack_moments`, N·m/m, to superpose them.

    At spots the strip means along x and y, without twist; at corners the moment across their strip alone, as Mx.
    """
    triples, strips = moments.for_x.copy(), moments.strips
    triples[strips, 1], triples[strips, 2] = moments.for_y[strips, 1], 0.0
    corners = slice(strips.stop, strips.stop + len(moments.across))
    triples[corners] = 0.0
    triples[corners, 0] = moments.across
    return triples


def crack_moments(moments: JudgedMoments) -> Floats:
    """(m, s) sizes of the moments that crack the slab at each place, N·m/m."""
    principal = principal_moments(np.moveaxis(moments.for_x, 1, 2))
    size = np.maximum(np.abs(principal.larger), np.abs(principal.smaller))
    strips = moments.strips
    size[strips] = np.maximum(np.abs(moments.for_x[strips, 0]), np.abs(moments.for_y[strips, 1]))
    first = strips.stop
    size[first : first + len(moments.across)] = np.abs(moments.across)
    return np.asarray(size)


def spot_forces(magnitudes: Floats, jacks: int, combinations: Combinations) -> SpotForces:
    """From concentrated forces (n, s) of the load columns, downward positive, of which the first are jacks."""
    forces = magnitudes @ combinations.factors
    forces[:jacks] *= -1
    column = forces.argmax(axis=1)
    return SpotForces(np.maximum(np.take_along_axis(forces, column[:, None], axis=1)[:, 0], 0.0), column)


def across_extremes(moments: JudgedMoments, combinations: Combinations) -> tuple[Floats, NDArray[np.int64]]:
    """(c, 2) the most sagging and the most hogging mean moment across the zone of each corner, N·m/m; and columns."""
    found = moments.across_zone @ combinations.factors
    sizes = np.column_stack([found.max(axis=1, initial=0.0), found.min(axis=1, initial=0.0)])
    columns = np.column_stack([found.argmax(axis=1), found.argmin(axis=1)]) if len(found) else sizes.astype(np.int64)
    return sizes, columns
