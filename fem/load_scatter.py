"""Jack loads of many floors at once that differ in spring rates and loads, on the condensed floor.

With F = R K0⁻¹ Rᵀ and the deflections w0 at the jacks for rates k0, advances a, the floor with rates k and loads that
add the deflections d (for rates k0) has w0 + δ with
    (I + F (k − k0)) δ = d − F (k − k0) (w0 + a).
The eigenvalues of F (k − k0) lie between the least and the greatest (k − k0)/k0 and 0, since those of F k0 lie in
(0, 1). So damped iteration converges at a known pace, and each step is one matrix product for all samples.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem.errors import ModelError

Floats = NDArray[np.float64]

SETTLED = 1e-13
"""Iteration ends when no deflection changes by more than this part of the largest."""
_STEPS = 5000


@dataclass(frozen=True, eq=False)
class LoadScatter:
    """n jacks. rates: (n,) k0, N/m. flexibility: (n, n) F, m/N. deflection, advance: (n,) w0 and a, m."""

    rates: Floats
    flexibility: Floats
    deflection: Floats
    advance: Floats

    def loads(self, rates: Floats, added: Floats) -> Floats:
        """(s, n) jack loads of s samples, N, positive in compression.

        rates: (s, n) in N/m, above 0. added: (s, n) deflections at the jacks that other loads add for rates k0, m.
        """
        change = rates - self.rates
        right = added - (change * (self.deflection + self.advance)) @ self.flexibility
        relative = change / self.rates
        low, high = min(float(relative.min()), 0.0), max(float(relative.max()), 0.0)
        damping = 2 / (2 + low + high)
        size = np.abs(self.deflection).max()
        moved = right.copy()
        for _ in range(_STEPS):
            step = damping * (right - moved - (change * moved) @ self.flexibility)
            moved += step
            if np.abs(step).max(initial=0.0) <= SETTLED * size:
                return np.asarray(rates * (self.deflection + moved + self.advance))
        raise ModelError(f"jack loads of scattered springs did not settle in {_STEPS} steps: rates differ too much")
