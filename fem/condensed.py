"""The condensed floor: jack loads for any springs, loads and screw advances from a matrix of the jacks' size.

With reference rates k0, K0 = K + Rᵀ k0 R is factorised once. Then F = R K0⁻¹ Rᵀ and w0 = R K0⁻¹ f give, exactly,
the deflections w at the jacks for rates k and advances a from
    (I + F (k − k0)) w = w0 − F (k a).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lu_factor, lu_solve

from fem.solver import Factor
from fem.sprung_plate import SprungPlate

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class JackAnswer:
    """deflection: (n,) or (n, p) at the jacks, m downward. load: the same shape, N in compression."""

    deflection: Floats
    load: Floats


@dataclass(frozen=True, eq=False)
class CondensedFloor:
    """n jacks, p load patterns.

    reference_rates: (n,) k0, N/m. flexibility: (n, n) F, m/N. deflection: (n, p) w0, m.
    unit_fields: (unknowns, n) K0⁻¹ Rᵀ, m/N. pattern_fields: (unknowns, p) K0⁻¹ f, m.
    """

    reference_rates: Floats
    flexibility: Floats
    deflection: Floats
    unit_fields: Floats
    pattern_fields: Floats

    @classmethod
    def from_model(
        cls,
        model: SprungPlate,
        loads: Floats,
        reference_rates: Floats,
        factor: Factor | None = None,
        *,
        refined: bool = True,
    ) -> CondensedFloor:
        """Condense `model` with the load patterns `loads` (unknowns, p) at `reference_rates` (n,) in N/m.

        factor: `model.factor(reference_rates)`, if it is at hand. refined: without, the flexibility comes from one
        pass of the factor, which is five times faster and loses 1e-10 of it at 8 000 unknowns and 1e-7 at 120 000.
        """
        R = model.jacks.rows
        factor = factor or model.factor(reference_rates)
        unit_fields = factor.solve(R.T.toarray()) if refined else factor.solve_once(R.T.toarray())
        pattern_fields = factor.solve(loads)
        flexibility = R @ unit_fields
        return cls(
            reference_rates, 0.5 * (flexibility + flexibility.T), R @ pattern_fields, unit_fields, pattern_fields
        )

    def solve(self, rates: Floats, factors: Floats, advance: Floats | None = None) -> JackAnswer:
        """Jack deflections and loads.

        rates: (n,) in N/m. factors: (p,) or (p, c) multipliers of the load patterns in each combination.
        advance: (n,) screw advances in m, default none.
        """
        a = np.zeros(len(rates)) if advance is None else advance
        F, change = self.flexibility, rates - self.reference_rates
        right = self.deflection @ factors
        preload = F @ (rates * a)
        right = right - (preload if right.ndim == 1 else preload[:, None])
        system = np.eye(len(rates)) + F * change
        factored = lu_factor(system)
        w = lu_solve(factored, right)
        w = w + lu_solve(factored, right - system @ w)
        k, a = (rates, a) if right.ndim == 1 else (rates[:, None], a[:, None])
        return JackAnswer(w, k * (w + a))

    def fields(self, rates: Floats, factors: Floats, advance: Floats | None = None) -> Floats:
        """(unknowns,) or (unknowns, c) displacement of the whole slab for the same arguments as `solve`."""
        answer = self.solve(rates, factors, advance)
        k0 = self.reference_rates if answer.load.ndim == 1 else self.reference_rates[:, None]
        return np.asarray(self.pattern_fields @ factors - self.unit_fields @ (answer.load - k0 * answer.deflection))
