"""One spring out of service: what the others then carry and how the slab bends, for each spring in turn.

Sherman and Morrison (Annals of Mathematical Statistics 21, 1950): with K0 the stiffness with all springs,
c_j = K0⁻¹ r_j for the row r_j of jack j, C_jj = r_j c_j, F_j its load and k_j its rate,
    K⁻¹ = K0⁻¹ + β c_j c_jᵀ,  β = k_j / (1 − k_j C_jj),     u′ = u + α c_j,  α = F_j / (1 − k_j C_jj).
The loads of all jacks then change by α (k C_j − e_j), of its own to 0. Moments follow from two unit fields a spring.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.bending import BendingField
from fem.moment_operator import MomentOperator
from fem.solver import Factor

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

HELD = 1e-6
"""1 − k_j C_jj below which the other springs do not hold the slab: the settlement would be a million times greater."""


def chosen_jacks(loads: Floats, clearance: Floats, most: int) -> Ints:
    """Ascending numbers of the jacks whose springs to take out: all n, or where that is more than `most`, half of
    them the most loaded and half the nearest to edges. loads, clearance: (n,)."""
    if len(loads) <= most:
        return np.arange(len(loads))
    loaded = np.argsort(-loads, kind="stable")[: most // 2]
    outer = np.argsort(clearance, kind="stable")
    outer = outer[~np.isin(outer, loaded)][: most - len(loaded)]
    return np.sort(np.concatenate([loaded, outer]))


@dataclass(frozen=True, eq=False)
class Removals:
    """What taking out f springs in turn does to n jacks in s states.

    jacks: (f,) their numbers. held: (f,) whether the others hold the slab. change: (n, f) of the jack loads for α = 1,
    of its own −1. inverse: (f,) 1/(1 − k_j C_jj), 0 where not held. alpha: (f, s) in N. loads: (n, f, s) in N, 0 where
    not held.
    """

    jacks: Ints
    held: NDArray[np.bool_]
    change: Floats
    inverse: Floats
    alpha: Floats
    loads: Floats


def removals(rates: Floats, loads: Floats, flexibility: Floats, jacks: Ints) -> Removals:
    """The springs at `jacks` (f,) out of service in turn. rates: (n,) N/m. loads: (n, s) with all springs, N.

    flexibility: (n, f) C of these jacks with all springs, m/N.
    """
    own = np.arange(len(jacks))
    slack = 1 - rates[jacks] * flexibility[jacks, own]
    held = slack > HELD
    inverse = np.where(held, 1 / np.where(held, slack, 1.0), 0.0)
    change = rates[:, None] * flexibility
    change[jacks, own] -= 1.0
    alpha = inverse[:, None] * loads[jacks]
    found = loads[:, None] + change[:, :, None] * alpha
    found[jacks, own] = 0.0
    return Removals(jacks, held, change, inverse, alpha, np.where(held[:, None], found, 0.0))


@dataclass(frozen=True, eq=False)
class Outages:
    """f springs out of service, one at a time, in s states of a floor on n jacks.

    jacks: (f,) their numbers. held: (f,) whether the others hold the slab; what follows is 0 where not.
    settlement: (f, s) of the slab at the jack itself, m. deflection: (n, f, s) at all jacks, m downward.
    loads: (n, f, s) in N, positive in compression. moments: (p, 3, f, s) Mx, My, Mxy, N·m/m, sagging positive.
    """

    jacks: Ints
    held: NDArray[np.bool_]
    settlement: Floats
    deflection: Floats
    loads: Floats
    moments: Floats


@dataclass(frozen=True, eq=False)
class SolvedFloor:
    """A floor with all its springs, in s states, on n jacks.

    rates: (n,) in N/m. deflection, loads: (n, s) at the jacks, m and N. rows: (n, unknowns) of the jacks.
    factor: of the stiffness with springs. bending: of the same states; the first n of its forces are the jacks.
    moves: (forces, unknowns) from `fem.bending.cap_moves`. operator: of the p places where moments are wanted.
    moments: (p, 3, s) there with all springs, N·m/m.
    """

    rates: Floats
    deflection: Floats
    loads: Floats
    rows: sparse.csr_array
    factor: Factor
    bending: BendingField
    moves: sparse.csr_array
    operator: MomentOperator
    moments: Floats

    def without_each(self, jacks: Ints, fields: Floats) -> Outages:
        """The springs at `jacks` (f,) out of service in turn; fields: (unknowns, f) c_j of these jacks, m/N."""
        own = np.arange(len(jacks))
        C = self.rows @ fields
        out = removals(self.rates, self.loads, C, jacks)
        return Outages(
            jacks=jacks,
            held=out.held,
            settlement=C[jacks, own, None] * out.alpha,
            deflection=self.deflection[:, None] + C[:, :, None] * out.alpha,
            loads=out.loads,
            moments=np.where(out.held[:, None], self._moments(jacks, fields, out.change, out.inverse), 0.0),
        )

    def _moments(self, jacks: Ints, fields: Floats, change: Floats, inverse: Floats) -> Floats:
        """(p, 3, f, s). change: (n, f) of the jack loads for α = 1. inverse: (f,) 1/(1 − k_j C_jj).

        The forces of the jacks are moved to their caps with the stiffness without the spring, as a new solution
        would do it: its second term is what `spring_felt` takes off.
        """
        alpha = inverse[:, None] * self.loads[jacks]
        n, forces = len(change), self.bending.magnitudes
        moves = sparse.csr_array(self.moves[:n])
        removal = fields + self.factor.solve_once(moves.T @ change)
        peaks = np.vstack([-change, np.zeros((len(forces) - n, len(jacks)))])
        felt = self.moves @ fields
        spring_felt = felt.T @ forces - alpha * np.sum(felt[:n] * change, axis=0)[:, None]
        beta = (self.rates[jacks] * inverse)[:, None] * spring_felt
        by_removal = self.operator.moments(self.bending.plate, removal, peaks)
        by_spring = self.operator.moments(self.bending.plate, fields, np.zeros_like(peaks))
        return np.asarray(self.moments[:, :, None] + by_removal[..., None] * alpha - by_spring[..., None] * beta)
