"""Least and greatest steel and greatest pitch of solid slabs, EN 1992-1-1:2004, 9.3.1.1 with 9.2.1.1."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from postprocess.strength.materials import Materials

Floats = NDArray[np.float64]


def minimum_steel(fctm: float, depth: Floats | float, materials: Materials) -> Floats:
    """As,min of the principal direction, m²/m: max(0.26 fctm/fyk, 0.0013) d (Eq. 9.1N). fctm in Pa, depth in m."""
    values = materials.values
    ratio = max(values.as_min_tension * fctm / materials.fyk, values.as_min_ratio)
    return np.asarray(ratio * np.asarray(depth, dtype=float))


def maximum_steel(thickness: float, materials: Materials) -> float:
    """As,max outside laps, m²/m: 0.04 Ac (9.2.1.1(3))."""
    return materials.values.as_max_ratio * thickness


def greatest_pitch(thickness: float, materials: Materials) -> float:
    """Greatest pitch of principal steel at concentrated loads and greatest moments, m: 2h ≤ 250 mm (9.3.1.1(3))."""
    values = materials.values
    return min(values.pitch_depths * thickness, values.pitch)
