"""The bending of a solved slab, sharp at concentrated forces: moments at any points of any state."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.concentrated import ConcentratedForces
from fem.moments import moments
from fem.plate import Plate
from fem.sampling import Sampler
from fem.solver import Factor

Floats = NDArray[np.float64]


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
        discs: sparse.csr_array,
        magnitudes: Floats,
        factor: Factor,
    ) -> BendingField:
        """Move the forces of solved states (unknowns, s) from their areas, rows `discs` (n, unknowns), to caps.

        factor: of the stiffness with springs. What is moved has neither resultant nor moments, so it hardly
        reaches the springs.
        """
        kept = sparse.diags_array(forces.split.astype(float))
        move = (kept @ discs - forces.caps(sampler)).T @ magnitudes
        return cls(sampler, plate, displacement - factor.solve(move), forces, magnitudes)

    def moments(self, xy: Floats) -> Floats:
        """(p, 3, s) Mx, My, Mxy at points (p, 2), N·m/m, sagging positive."""
        from_mesh = moments(self.sampler.points(xy), self.plate, self.smooth)
        nu = self.plate.poissons_ratio
        peaks = [self.forces.moments(xy, magnitude, nu) for magnitude in self.magnitudes.T]
        return np.asarray(from_mesh + np.stack(peaks, axis=-1))
