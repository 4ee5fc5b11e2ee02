"""The bending of a solved slab, sharp at concentrated forces: moments and shear forces at any points of any state."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.concentrated import ConcentratedForces
from fem.moment_operator import MomentOperator
from fem.plate import Plate
from fem.sampling import Sampler
from fem.shear_operator import ShearOperator
from fem.solver import Factor

Floats = NDArray[np.float64]


def cap_moves(sampler: Sampler, forces: ConcentratedForces, discs: sparse.csr_array) -> sparse.csr_array:
    """(n, unknowns) mean displacement of each force's own area, rows `discs`, less that of its cap; 0 if not split."""
    kept = sparse.diags_array(forces.split.astype(float))
    return sparse.csr_array(kept @ discs - forces.caps(sampler))


@dataclass(frozen=True, eq=False)
class BendingField:
    """s states of one slab.

    smooth: (unknowns, s) displacement with the n concentrated forces on their caps, m. magnitudes: (n, s) these
    forces, N, downward positive.
    """

    sampler: Sampler
    plate: Plate
    smooth: Floats
    forces: ConcentratedForces
    magnitudes: Floats

    @classmethod
    def from_displacement(
        cls,
        sampler: Sampler,
        plate: Plate,
        *,
        displacement: Floats,
        forces: ConcentratedForces,
        moves: sparse.csr_array,
        magnitudes: Floats,
        factor: Factor,
    ) -> BendingField:
        """Move the forces of solved states (unknowns, s) from their areas to caps.

        moves: (n, unknowns) from `cap_moves`. factor: of the stiffness with springs. What is moved has neither
        resultant nor moments, so it hardly reaches the springs, and needs no refinement: 1e-7 of it is lost at most.
        """
        return cls(sampler, plate, displacement - factor.solve_once(moves.T @ magnitudes), forces, magnitudes)

    def moments(self, xy: Floats) -> Floats:
        """(p, 3, s) Mx, My, Mxy at points (p, 2), N·m/m, sagging positive."""
        return self.moments_by(MomentOperator.at(self.sampler, xy, self.forces, self.plate.poissons_ratio))

    def moments_by(self, operator: MomentOperator) -> Floats:
        """(p, 3, s) as `moments`, by an operator made before for this mesh, these forces and this Poisson's ratio."""
        return operator.moments(self.plate, self.smooth, self.magnitudes)

    def shear_forces(self, xy: Floats) -> Floats:
        """(p, 2, s) Qx, Qy at points (p, 2), N/m; signs as in `ShearOperator`."""
        return self.shear_forces_by(ShearOperator.at(self.sampler, xy, self.forces))

    def shear_forces_by(self, operator: ShearOperator) -> Floats:
        """(p, 2, s) as `shear_forces`, by an operator made before for this mesh and these forces."""
        return operator.forces(self.plate, self.smooth, self.magnitudes)
