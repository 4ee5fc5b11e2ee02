"""Principal moments of the slab and their directions."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def principal_moments(moments: Floats) -> tuple[Floats, Floats, Floats]:
    """M1 ≥ M2 and the angle of M1's direction from x, radians anticlockwise, from (v, 3) Mx, My, Mxy.

    Units as given. A moment's direction is that of the stress it causes: M1 bends the fibres along the angle.
    Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, section 10 (Mohr's circle).
    """
    Mx, My, Mxy = moments.T
    middle, radius = (Mx + My) / 2, np.hypot((Mx - My) / 2, Mxy)
    return middle + radius, middle - radius, 0.5 * np.arctan2(2 * Mxy, Mx - My)
