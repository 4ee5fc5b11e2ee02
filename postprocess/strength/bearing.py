"""Bearing of a housing or a pad on the slab: partially loaded areas, EN 1992-1-1:2004, 6.7."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from postprocess.strength.materials import Materials

Floats = NDArray[np.float64]


def spread_size(size: Floats | float, height: Floats | float, edge: Floats | float) -> Floats:
    """Diameter or side, m, of the largest area Ac1 of the shape of the loaded area and about the same centre.

    size: diameter or side of the loaded area. height: concrete over it, h ≥ b2 − b1 (Figure 6.29). edge: from its
    centre to the nearest edge or opening. At most three times the size.
    """
    widest = np.minimum(3.0 * np.asarray(size, dtype=float), np.asarray(size) + np.asarray(height))
    return np.asarray(np.maximum(np.minimum(widest, 2.0 * np.asarray(edge)), size))


def bearing_strength(
    size: Floats | float, height: Floats | float, edge: Floats | float, materials: Materials
) -> Floats:
    """Largest mean pressure on the loaded area, Pa: fcd √(Ac1/Ac0) ≤ 3 fcd (Eq. 6.63), arguments as above."""
    spread = spread_size(size, height, edge) / np.asarray(size)  # = √(Ac1/Ac0) for areas of one shape
    return np.asarray(materials.fcd * np.minimum(spread, 3.0))
