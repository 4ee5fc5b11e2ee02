"""Thin plate of uniform thickness (Kirchhoff): stiffness, mass and area loads.

Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, chapters 2 and 4. Free edges need no
treatment: they are the natural boundary condition of the weak form.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem import argyris
from fem.space import PlateSpace

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Plate:
    """thickness in m, modulus in Pa, surface_density of the plate itself in kg/m2."""

    thickness: float
    modulus: float
    poissons_ratio: float
    surface_density: float

    @property
    def rigidity(self) -> float:
        """Flexural rigidity D = E h³ / (12 (1 − ν²)), N·m."""
        return self.modulus * self.thickness**3 / (12 * (1 - self.poissons_ratio**2))

    @property
    def moment_matrix(self) -> Floats:
        """(3, 3) from (w,xx, w,yy, w,xy) to (Mx, My, Mxy), N·m/m, sagging positive with w downward."""
        nu = self.poissons_ratio
        return np.asarray(-self.rigidity * np.array([[1, nu, 0], [nu, 1, 0], [0, 0, 1 - nu]]))


def stiffness(space: PlateSpace, plate: Plate) -> sparse.csr_array:
    """Stiffness matrix of the free plate: ∫ D [w,xx² + w,yy² + 2ν w,xx w,yy + 2(1−ν) w,xy²] dA."""
    return space.assemble(_to_plan(space, reference_stiffness(space, plate)))


def internal_forces(space: PlateSpace, plate: Plate, displacement: Floats) -> Floats:
    """(unknowns, s) K·u for displacement (unknowns, s), without the rounding of large rigid motions.

    Each triangle's rigid motion, seen from its first vertex, is taken off before its stiffness acts. The entries
    of K grow as the mesh gets finer, and with them the rounding of K·u; that of curvatures does not.
    """
    fields = space.to_reference @ displacement[space.numbers]
    rigid = argyris.reference_rigid_motions()
    bending = fields - rigid @ fields[:, :3]  # w and its two slopes at the first vertex
    forces = space.to_reference.transpose(0, 2, 1) @ (reference_stiffness(space, plate) @ bending)
    return np.column_stack([space.assemble_vector(forces[:, :, s]) for s in range(forces.shape[2])])


def reference_stiffness(space: PlateSpace, plate: Plate) -> Floats:
    """(m, 21, 21) stiffness of each triangle in coefficients of the reference basis."""
    energy = -plate.moment_matrix @ np.diag([1, 1, 2])  # the twist counts twice: Mxy and Myx
    G = space.curvature_map
    weights = np.einsum("m,mpa,pq,mqb->mab", space.mesh.areas, G, energy, G, optimize=True)
    blocks = weights.reshape(-1, 9) @ argyris.reference_bending().reshape(9, -1)
    return np.asarray(blocks).reshape(-1, argyris.UNKNOWNS, argyris.UNKNOWNS)


def mass(space: PlateSpace, surface_density: float) -> sparse.csr_array:
    """Consistent mass matrix of a uniform surface density in kg/m2."""
    blocks = surface_density * space.mesh.areas[:, None, None] * argyris.reference_mass()
    return space.assemble(_to_plan(space, blocks))


def pressure_load(space: PlateSpace, pressure: float) -> Floats:
    """(unknowns,) load vector of a uniform downward pressure in Pa."""
    blocks = pressure * space.mesh.areas[:, None] * (argyris.reference_load() @ space.to_reference)
    return space.assemble_vector(blocks)


def _to_plan(space: PlateSpace, blocks: Floats) -> Floats:
    """Vᵀ · block · V for each triangle, made symmetric to the last digit."""
    V = space.to_reference
    result = V.transpose(0, 2, 1) @ blocks @ V
    return np.asarray(0.5 * (result + result.transpose(0, 2, 1)))
