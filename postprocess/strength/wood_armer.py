"""Design moments of a slab with steel along x and y, after Wood and Armer.

Wood, R. H.: The reinforcement of slabs in accordance with a pre-determined field of moments, Concrete 2(2), 1968,
69–76, with the discussion by G. S. T. Armer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def design_moments(triple: Floats) -> Floats:
    """(..., 4) from (..., 3) Mx, My, Mxy: bottom x, bottom y (≥ 0), top x, top y (≤ 0), N·m/m, sagging positive.

    Resisting moments of these sizes cover the normal moment in every direction, on both faces.
    """
    return np.concatenate([_bottom(triple), 0.0 - _bottom(-triple)], axis=-1)


def _bottom(triple: Floats) -> Floats:
    """(..., 2) what the bottom steel along x and y must resist."""
    Mx, My = triple[..., 0], triple[..., 1]
    twist = np.abs(triple[..., 2])
    x, y = Mx + twist, My + twist
    no_x, no_y = x < 0, y < 0  # there |Mx| or |My| exceeds the twist, so the quotients below stay under 1
    relief_x = twist * np.divide(twist, np.abs(Mx), out=np.zeros_like(twist), where=no_x)
    relief_y = twist * np.divide(twist, np.abs(My), out=np.zeros_like(twist), where=no_y)
    bottom_x = np.where(no_x, 0.0, np.where(no_y, Mx + relief_y, x))
    bottom_y = np.where(no_y, 0.0, np.where(no_x, My + relief_x, y))
    return np.asarray(np.maximum(np.stack([bottom_x, bottom_y], axis=-1), 0.0))


def normal_moment(triple: Floats, angle: Floats | float) -> Floats:
    """(...,) moment that stresses the slab along a direction `angle` (rad from the x axis), N·m/m.

    Mn = Mx cos² + My sin² + 2 Mxy sin cos, as Mx = −D (w,xx + ν w,yy) and Mxy = −D (1 − ν) w,xy.
    """
    cos, sin = np.cos(angle), np.sin(angle)
    return np.asarray(triple[..., 0] * cos**2 + triple[..., 1] * sin**2 + 2 * triple[..., 2] * sin * cos)
