"""Least and greatest steel and greatest pitch of solid slabs, EN 1992-1-1:2004, 9.3.1.1 with 9.2.1.1."""

from __future__ import annotations

from dataclasses import dataclass

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


def least_secondary_steel(principal: Floats | float) -> Floats:
    """Least steel across the principal steel, m²/m: a fifth of it (9.3.1.1(2))."""
    return np.asarray(0.2 * np.asarray(principal, dtype=float))


@dataclass(frozen=True)
class GreatestPitch:
    """main: of the principal steel, m. cross: of the secondary steel, m."""

    main: float
    cross: float


def greatest_pitch(thickness: float, materials: Materials, *, peak: bool) -> GreatestPitch:
    """Greatest pitch in a slab of `thickness`, m (9.3.1.1(3)). peak: at concentrated loads or greatest moments."""
    values = materials.values
    if peak:
        return GreatestPitch(
            min(values.peak_pitch_main_depths * thickness, values.peak_pitch_main),
            min(values.peak_pitch_cross_depths * thickness, values.peak_pitch_cross),
        )
    return GreatestPitch(
        min(values.pitch_main_depths * thickness, values.pitch_main),
        min(values.pitch_cross_depths * thickness, values.pitch_cross),
    )
