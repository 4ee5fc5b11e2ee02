"""Shear without links, EN 1992-1-1:2004, 6.2.2; the same stress serves punching (6.4.4)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from postprocess.strength.materials import MPA, Materials

Floats = NDArray[np.float64]


def size_factor(depth: Floats | float) -> Floats:
    """k = 1 + √(200 mm/d) ≤ 2. depth: d in m."""
    return np.asarray(np.minimum(1 + np.sqrt(0.200 / np.asarray(depth, dtype=float)), 2.0))


def shear_strength(depth: Floats | float, ratio: Floats | float, materials: Materials) -> Floats:
    """vRd,c, Pa, of slabs without links (Eq. 6.2a and 6.2b; Eq. 6.47 for punching). depth: d in m.

    ratio: ρl = Asl/(b d) of steel in tension, taken as 0.02 at most. No axial stress: a floating slab has none.
    """
    values, fck = materials.values, materials.fck / MPA
    k, rho = size_factor(depth), np.minimum(ratio, 0.02)
    main = values.crd_c / values.gamma_c * k * (100 * rho * fck) ** (1 / 3)  # Eq. 6.2a, MPa
    least = values.v_min * k**1.5 * np.sqrt(fck)  # Eq. 6.3N, MPa
    return np.asarray(np.maximum(main, least) * MPA)


def shear_resistance(area: Floats | float, depth: Floats | float, materials: Materials) -> Floats:
    """VRd,c, N/m. area: steel in tension, anchored beyond the section, m²/m. depth: d in m."""
    d = np.asarray(depth, dtype=float)
    return np.asarray(shear_strength(d, area / d, materials) * d)


def greatest_shear(depth: Floats | float, materials: Materials) -> Floats:
    """Largest VEd that the struts bear, N/m: 0.5 d ν fcd (Eq. 6.5). depth: d in m."""
    return np.asarray(0.5 * np.asarray(depth, dtype=float) * materials.strut_factor * materials.fcd)
