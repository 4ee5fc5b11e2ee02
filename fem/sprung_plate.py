"""The plate on its jacks: stiffness, mass and jack rows of one mesh, ready for statics, modes and condensing."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.errors import ModelError
from fem.ordering import elimination_order
from fem.plate import Plate, internal_forces
from fem.sampling import Footprints
from fem.solver import Factor
from fem.space import PlateSpace

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class SprungPlate:
    """A free plate and the footprints of its jacks.

    stiffness, mass: (unknowns, unknowns) of the plate and of what it carries, without the springs.
    jack_xy: (n, 2) centres of the jacks, m. jacks: their footprints.
    """

    space: PlateSpace
    plate: Plate
    stiffness: sparse.csr_array
    mass: sparse.csr_array
    jack_xy: Floats
    jacks: Footprints

    def __post_init__(self) -> None:
        centred = self.jack_xy - self.jack_xy.mean(axis=0) if len(self.jack_xy) else np.zeros((0, 2))
        if len(centred) < 3 or np.linalg.matrix_rank(centred, tol=1e-6 * np.abs(centred).max()) < 2:
            raise ModelError(f"{len(centred)} jacks in one line, or fewer than three, do not hold the slab")

    def factor(self, rates: Floats) -> Factor:
        """K + Rᵀ k R, the stiffness of the plate on springs of `rates` (n,) in N/m, factorised.

        Raises ModelError where the springs do not hold the slab.
        """
        R = self.jacks.rows
        matrix = sparse.csr_array(self.stiffness + R.T @ sparse.diags_array(rates) @ R)

        def product(u: Floats) -> Floats:
            return np.asarray(internal_forces(self.space, self.plate, u) + R.T @ (rates[:, None] * (R @ u)))

        return Factor(matrix, elimination_order(self.space, self.jacks), product)

    def of_modulus(self, modulus: float) -> SprungPlate:
        """The same with another modulus of the plate, Pa."""
        share = modulus / self.plate.modulus
        return replace(self, plate=replace(self.plate, modulus=modulus), stiffness=self.stiffness * share)

    def __repr__(self) -> str:
        mesh = self.space.mesh
        return (
            f"SprungPlate\n  triangles  {len(mesh.triangles)}\n  unknowns   {self.space.unknowns}\n"
            f"  jacks      {len(self.jack_xy)}\n  thickness  {self.plate.thickness * 1e3:.0f} mm"
        )
