"""Bending moments at fixed points as a linear operator on the solution, so that many load columns cost little."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.concentrated import ConcentratedForces
from fem.errors import ModelError
from fem.plate import Plate
from fem.sampling import Sampler

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class MomentOperator:
    """Moments at p points, or their weighted means over groups of points.

    curvatures: (3p, unknowns) rows of w,xx at all points, then of w,yy, then of w,xy, 1/m, for the displacement with
    the concentrated forces on their caps. peaks: (3p, n) what a unit of each concentrated force adds to Mx, then
    My, then Mxy, m/m, for this Poisson's ratio. Neither depends on the plate's rigidity.
    """

    poissons_ratio: float
    curvatures: sparse.csr_array
    peaks: sparse.csr_array

    @classmethod
    def at(cls, sampler: Sampler, xy: Floats, forces: ConcentratedForces, poissons_ratio: float) -> MomentOperator:
        """The operator of points (p, 2), in m. Raises ModelError for points off the mesh."""
        xy = np.asarray(xy, dtype=float).reshape(-1, 2)
        return cls(poissons_ratio, sampler.points(xy).curvature_rows, forces.moment_rows(xy, poissons_ratio))

    def __len__(self) -> int:
        """Number p of points or groups."""
        return int(self.curvatures.shape[0]) // 3

    def averaged(self, weights: sparse.csr_array) -> MomentOperator:
        """The operator of sums over points with `weights` (g, p): means, where each row adds up to 1."""
        each = sparse.csr_array(sparse.block_diag([weights] * 3))
        return MomentOperator(self.poissons_ratio, each @ self.curvatures, each @ self.peaks)

    def moments(self, plate: Plate, smooth: Floats, magnitudes: Floats) -> Floats:
        """(p, 3, s) Mx, My, Mxy of s load columns, N·m/m, sagging positive.

        smooth: (unknowns, s) displacement with the forces on their caps, m. magnitudes: (n, s) the forces, N,
        downward positive: the fields of `BendingField`. Raises ModelError for a plate of another Poisson's ratio.
        """
        if plate.poissons_ratio != self.poissons_ratio:
            raise ModelError(
                f"moments were prepared for a Poisson's ratio of {self.poissons_ratio:g}; "
                f"the plate has {plate.poissons_ratio:g}"
            )
        curvature = (self.curvatures @ smooth).reshape(3, len(self) * smooth.shape[1])
        from_mesh = plate.moment_matrix @ curvature
        peaks = self.peaks @ magnitudes
        shape = 3, len(self), smooth.shape[1]
        return np.asarray((from_mesh.reshape(shape) + peaks.reshape(shape)).transpose(1, 0, 2))
