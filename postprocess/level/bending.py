"""Bending under turns of the screws: sizes of principal moments, and the linear cuts that keep them below a limit.

The size of the greater principal moment is the greatest over all directions θ of |Mx c² + My s² + 2 Mxy c s| with
c = cos θ, s = sin θ. For any one direction that is linear in the turns, so the direction of the worst moment gives a
cut that no allowed turns miss (Kelley, J. SIAM 8 (1960) 703–712; from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fem.moments import principal_moments

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def sizes(triples: Floats) -> Floats:
    """(...,) size of the greater principal moment of (..., 3) Mx, My, Mxy."""
    principal = principal_moments(triples)
    return np.maximum(np.abs(principal.larger), np.abs(principal.smaller))


def directions(triples: Floats) -> Floats:
    """(p, 3) weights of Mx, My, Mxy whose sum is the size of the greater principal moment of triples (p, 3)."""
    principal = principal_moments(triples)
    hogging = np.abs(principal.smaller) > np.abs(principal.larger)
    angle = principal.angle + np.where(hogging, np.pi / 2, 0.0)
    c, s = np.cos(angle), np.sin(angle)
    weights = np.column_stack([c * c, s * s, 2 * c * s])
    return np.asarray(weights * np.sign(np.sum(weights * triples, axis=1))[:, None])
