"""How stiff a helical spring is sideways while it carries a load."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from fem.helical_spring import lateral_rate

Floats = NDArray[np.float64]

_SMALL = 1e-9
"""Share of the free length below which the deflection does not count: the formula would lose digits."""


def loaded_lateral_rate(
    rate: float, free_length: float, diameter: float, shear_over_elastic: float, deflection: ArrayLike
) -> Floats:
    """Sideways force over sideways movement between parallel seats at `deflection` (…) m, the load kept; N/m.

    With ξ = s/L0, λ = L0/D, g = G/E and X = g + (1 − ξ)/ξ:
        R_Q/R = ξ [ξ − 1 + √(X/(1/2 + g))/λ · tan(λ ξ √((1/2 + g) X))]⁻¹
    EN 13906-1, from memory; it follows from Haringx's column (`helical_spring.buckling_share`). 0 where a spring with
    ν = 1 gives way, negative beyond; where it would give way with both seats held it counts as a rod hinged at both
    ends, −load/length. No load gives `helical_spring.lateral_rate`; squat springs, L0/D below about 1.9, gain a little
    under load, all others lose.
    """
    share = np.asarray(deflection, dtype=float) / free_length
    g, slenderness = shear_over_elastic, free_length / diameter
    xi = np.maximum(share, _SMALL)
    x = g + (1 - xi) / xi
    angle = np.minimum(slenderness * xi * np.sqrt((0.5 + g) * x), pi)
    with np.errstate(divide="ignore"):
        loaded = rate * xi / (xi - 1 + np.sqrt(x / (0.5 + g)) / slenderness * np.tan(angle))
    return np.where(share < _SMALL, lateral_rate(rate, free_length, diameter, g), loaded)
