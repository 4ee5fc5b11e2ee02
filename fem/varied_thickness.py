"""A plate whose thickness differs from triangle to triangle, to the first order of the difference.

With thickness h + δ, δ constant over each triangle, weight and mass grow by δ/h and the rigidity D ~ h³ by 3 δ/h.
Statics: (K + δK) u = f + δf gives, to first order, K δu = δf − δK u0: a load column for each field δ.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem import argyris
from fem.plate import Plate, reference_stiffness
from fem.space import PlateSpace

Floats = NDArray[np.float64]

_CHUNK = 4096


def thickness_forces(space: PlateSpace, plate: Plate, displacement: Floats, unit_weight: float) -> sparse.csr_array:
    """(unknowns, t) load columns δf − δK u0 of one metre more thickness in each of the t triangles, N/m.

    displacement: (unknowns,) u0, m. unit_weight: of the concrete, N/m3, in the weight that acts in this state.
    """
    V = space.to_reference
    local = np.einsum("tij,tj->ti", V, displacement[space.numbers])
    bending = np.einsum("tij,tj->ti", reference_stiffness(space, plate), local) * (3 / plate.thickness)
    weight = unit_weight * space.mesh.areas[:, None] * argyris.reference_load()
    blocks = np.einsum("tij,ti->tj", V, weight - bending)
    triangle = np.repeat(np.arange(len(blocks)), argyris.UNKNOWNS)
    shape = (space.unknowns, len(blocks))
    return sparse.csr_array(sparse.coo_array((blocks.ravel(), (space.numbers.ravel(), triangle)), shape=shape))


def reduced_thickness(
    space: PlateSpace, plate: Plate, density: float, shapes: Floats, fields: Floats
) -> tuple[Floats, Floats]:
    """Reduced stiffness and mass, each (q, m, m), of the thicknesses `fields` (t, q), m, in a basis (unknowns, m).

    Φᵀ δK Φ and Φᵀ δM Φ; density of the plate in kg/m3. Stiffness to first order, mass exact.
    """
    count, size = fields.shape[1], shapes.shape[1]
    stiffness, mass = np.zeros((count, size**2)), np.zeros((count, size**2))
    blocks = reference_stiffness(space, plate) * (3 / plate.thickness)
    for first in range(0, len(fields), _CHUNK):
        part = slice(first, first + _CHUNK)
        local = space.to_reference[part] @ shapes[space.numbers[part]]
        across = local.transpose(0, 2, 1)
        stiffness += fields[part].T @ (across @ (blocks[part] @ local)).reshape(-1, size**2)
        moved = (density * space.mesh.areas[part, None, None]) * (across @ (argyris.reference_mass() @ local))
        mass += fields[part].T @ moved.reshape(-1, size**2)
    return stiffness.reshape(count, size, size), mass.reshape(count, size, size)
