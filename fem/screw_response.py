"""What the screws of a floating slab do: rise, jack loads and bending by a unit advance of each jack, for any rates.

Screws, springs and slab are linear while every spring pushes and none is solid. With the letters of `fem.condensed`
and Δ = k − k0, the flexibility of slab and springs of rates k is C = (I + F Δ)⁻¹ F, and for screw advances a
    w = w(0) − C k a,    load = k (w + a) = load(0) + k (I − C k) a.
Fields follow with K⁻¹ Rᵀ = K0⁻¹ Rᵀ (I + Δ F)⁻¹ and, for what is not a jack, from Woodbury's formula
    K⁻¹ = K0⁻¹ − K0⁻¹ Rᵀ (I + Δ F)⁻¹ Δ R K0⁻¹   (Golub and Van Loan, Matrix Computations, 2.1.4; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.condensed import CondensedFloor
from fem.moment_operator import MomentOperator
from fem.plate import Plate
from fem.solver import Factor

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class MomentSource:
    """What moments at p places are made of, for n jacks and g other concentrated forces in s load states.

    moves: (n + g, unknowns) from `fem.bending.cap_moves`, jacks first. others: (g, s) the other forces, N downward.
    moved: (unknowns, n + g) K0⁻¹ movesᵀ, m/N, of the factor that the floor was condensed with.
    """

    plate: Plate
    operator: MomentOperator
    moves: sparse.csr_array
    others: Floats
    moved: Floats

    @classmethod
    def of(
        cls, plate: Plate, operator: MomentOperator, moves: sparse.csr_array, others: Floats, factor: Factor
    ) -> MomentSource:
        """factor: of the stiffness with the reference rates of the condensed floor."""
        return cls(plate, operator, moves, others, factor.solve_once(moves.T.toarray()))


@dataclass(frozen=True, eq=False)
class ScrewResponse:
    """A floating slab on n jacks in s load states, seen at the jacks and at q points. Rises are upward positive.

    rates: (n,) k, N/m. flexibility: (n, n) C, m/N, settlement of the jacks by a unit load at each.
    point_flexibility: (q, n) settlement of the points by the same, m/N.
    deflection: (n, s), point_deflection: (q, s) without any advance, m downward. load: (n, s) the same, N.
    moments: (p, 3, s) Mx, My, Mxy without any advance, N·m/m, sagging positive; p is 0 where none were asked for.
    moment_change: (p, 3, n) by a unit advance of each jack, N·m/m per m.
    """

    rates: Floats
    flexibility: Floats
    point_flexibility: Floats
    deflection: Floats
    point_deflection: Floats
    load: Floats
    moments: Floats
    moment_change: Floats

    @classmethod
    def of(
        cls,
        floor: CondensedFloor,
        rates: Floats,
        factors: Floats,
        points: sparse.csr_array,
        bending: MomentSource | None = None,
    ) -> ScrewResponse:
        """The response for rates (n,) in N/m, exactly.

        factors: (p, s) multipliers of the floor's load patterns in each state. points: (q, unknowns) rows of the
        displacement there, such as `Sampler.points(xy).rows`.
        """
        F, change = floor.flexibility, rates - floor.reference_rates
        C = np.linalg.solve(np.eye(len(rates)) + F * change, F)
        C = 0.5 * (C + C.T)
        back = np.linalg.inv(np.eye(len(rates)) + change[:, None] * F)
        answer = floor.solve(rates, factors)
        at_points = points @ floor.unit_fields
        moments, moment_change = np.zeros((0, 3, factors.shape[1])), np.zeros((0, 3, len(rates)))
        if bending is not None:
            unit_fields = floor.unit_fields @ back
            moved = bending.moved - unit_fields @ (change[:, None] * (bending.moves @ floor.unit_fields).T)
            states = np.vstack([-answer.load, bending.others])
            smooth = floor.fields(rates, factors) - moved @ states
            moments = bending.operator.moments(bending.plate, smooth, states)
            moment_change = _by_advance(bending, rates, C, unit_fields, moved)
        return cls(
            rates=rates,
            flexibility=C,
            point_flexibility=at_points @ back,
            deflection=answer.deflection,
            point_deflection=points @ floor.fields(rates, factors),
            load=answer.load,
            moments=moments,
            moment_change=moment_change,
        )

    @property
    def rise(self) -> Floats:
        """(n, n) rise of the slab at each jack by a unit advance of each jack, m/m."""
        return np.asarray(self.flexibility * self.rates)

    @property
    def point_rise(self) -> Floats:
        """(q, n) rise of the slab at the points by a unit advance of each jack, m/m."""
        return np.asarray(self.point_flexibility * self.rates)

    @property
    def load_change(self) -> Floats:
        """(n, n) change of each jack's load by a unit advance of each jack, N/m."""
        return np.asarray(np.diag(self.rates) - self.rates[:, None] * self.rise)

    def heights(self, advance: Floats, state: int) -> tuple[Floats, Floats]:
        """Heights of the slab at the jacks (n,) and at the points (q,) above where it lay, m, for advances (n,)."""
        at_points = self.point_rise @ advance - self.point_deflection[:, state]
        return self.rise @ advance - self.deflection[:, state], at_points

    def loads(self, advance: Floats, state: int) -> Floats:
        """(n,) jack loads for advances (n,), N."""
        return np.asarray(self.load[:, state] + self.load_change @ advance)

    def rate_derivative(self, compression: Floats) -> tuple[Floats, Floats]:
        """Derivatives of the heights at the jacks (n, n) and at the points (q, n) by the rate of each jack, m per N/m.

        compression: (n,) w + a of the springs, m; for a difference of two heights its change between them.
        From K w = f − Rᵀ k a: ∂w/∂k_j = −C_j (w_j + a_j), and a height is −w.
        """
        return np.asarray(self.flexibility * compression), np.asarray(self.point_flexibility * compression)


def _by_advance(bending: MomentSource, rates: Floats, C: Floats, unit_fields: Floats, moved: Floats) -> Floats:
    """(p, 3, n) moments by a unit advance: the jack presses with its rate and what it makes of that with all jacks."""
    loads = np.diag(rates) - rates[:, None] * C * rates
    forces = np.vstack([-loads, np.zeros((len(bending.others), len(rates)))])
    smooth = -unit_fields * rates - moved[:, : len(rates)] @ -loads
    return bending.operator.moments(bending.plate, smooth, forces)
