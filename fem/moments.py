"""Bending moments from the displacement field, at points or averaged over footprints and section lines."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem.plate import Plate
from fem.sampling import Footprints

Floats = NDArray[np.float64]


def moments(footprints: Footprints, plate: Plate, displacement: Floats) -> Floats:
    """(n, 3) or (n, 3, s) mean Mx, My, Mxy over each footprint, N·m/m, sagging positive.

    Mx = −D (w,xx + ν w,yy) stresses the plate along x. displacement: (unknowns,) or (unknowns, s).
    """
    curvature = (footprints.curvature_rows @ displacement).reshape(3, footprints.count, *displacement.shape[1:])
    return np.asarray(np.einsum("ab,bn...->na...", plate.moment_matrix, curvature))


@dataclass(frozen=True, eq=False)
class PrincipalMoments:
    """larger, smaller: (...,) in N·m/m, sagging positive. angle: (...,) of the larger from the x axis, rad."""

    larger: Floats
    smaller: Floats
    angle: Floats


def principal_moments(triple: Floats) -> PrincipalMoments:
    """Principal moments of (..., 3) Mx, My, Mxy (Mohr's circle)."""
    Mx, My, Mxy = triple[..., 0], triple[..., 1], triple[..., 2]
    middle, radius = (Mx + My) / 2, np.hypot((Mx - My) / 2, Mxy)
    return PrincipalMoments(middle + radius, middle - radius, 0.5 * np.arctan2(2 * Mxy, Mx - My))
