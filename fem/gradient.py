"""The matrix of ∫ ∇p · ∇q dA in the quintic space of the plate: what a scalar field such as a pressure needs."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem import argyris
from fem.quadrature import triangle_rule
from fem.space import PlateSpace

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SLOPES = ((1, 0), (0, 1))
"""Order of the first derivatives: p,x, p,y."""


@cache
def reference_gradient() -> Floats:
    """(2, 2, 21, 21) mean value of the products of first derivatives, in the order of `SLOPES`."""
    points, weights = triangle_rule(8)
    first = np.stack([argyris.reference_basis(points, d) for d in SLOPES])
    return np.asarray(np.einsum("q,aqi,bqj->abij", weights, first, first))


def reference_products(space: PlateSpace, triangles: Ints | slice = slice(None)) -> Floats:
    """(m, 21, 21) ∫ ∇p · ∇q dA over each of the triangles, in coefficients of the reference basis.

    ∇p = J⁻ᵀ ∇̂p, so the products of the reference triangle count by the metric J⁻¹ J⁻ᵀ.
    """
    inverse = np.linalg.inv(space.jacobians[triangles])
    metric = space.mesh.areas[triangles, None, None] * (inverse @ inverse.transpose(0, 2, 1))
    blocks = metric.reshape(-1, 4) @ reference_gradient().reshape(4, -1)
    return np.asarray(blocks.reshape(-1, argyris.UNKNOWNS, argyris.UNKNOWNS))


def gradient_products(space: PlateSpace) -> sparse.csr_array:
    """(unknowns, unknowns) ∫ ∇p · ∇q dA over the slab, symmetric to the last digit."""
    V = space.to_reference
    blocks = V.transpose(0, 2, 1) @ reference_products(space) @ V
    return space.assemble(0.5 * (blocks + blocks.transpose(0, 2, 1)))
