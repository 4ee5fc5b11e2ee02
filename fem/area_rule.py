"""Integrals over the whole slab of the displacement field times any function of the place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem import argyris
from fem.quadrature import triangle_rule
from fem.space import PlateSpace

Floats = NDArray[np.float64]

DEGREE = 10
"""Exact for a quintic times a quintic."""


@dataclass(frozen=True, eq=False)
class AreaRule:
    """Points of a quadrature over the mesh. xy: (s, 2) m. weights: (s,) m2. rows: (s, unknowns) of the field there.

    ∫ f w dA = (weights · f(xy)) @ rows @ u.
    """

    xy: Floats
    weights: Floats
    rows: sparse.csr_array

    @classmethod
    def of(cls, space: PlateSpace) -> AreaRule:
        """The rule of degree `DEGREE` on every triangle."""
        points, weights = triangle_rule(DEGREE)
        mesh = space.mesh
        xy = mesh.corners[:, None, 0] + np.einsum("mij,qj->mqi", space.jacobians, points)
        values = argyris.reference_basis(points) @ space.to_reference
        count = len(mesh.triangles) * len(weights)
        rows = np.repeat(np.arange(count), argyris.UNKNOWNS)
        columns = np.repeat(space.numbers[:, None], len(weights), axis=1).ravel()
        matrix = sparse.coo_array((values.ravel(), (rows, columns)), shape=(count, space.unknowns))
        return cls(xy.reshape(-1, 2), (mesh.areas[:, None] * weights).ravel(), sparse.csr_array(matrix))

    def products(self, values: Floats) -> Floats:
        """(k, unknowns) ∫ f w dA of functions given by their values (s, k) at the points."""
        return np.asarray((self.weights[:, None] * values).T @ self.rows)
