"""Shear forces at fixed points as a linear operator on the solution, so that many load columns cost little.

Qx = Mx,x + Mxy,y = −D (∇²w),x and Qy = Mxy,x + My,y = −D (∇²w),y: Timoshenko and Woinowsky-Krieger, Theory of Plates
and Shells, 2nd ed. 1959, equations (106) to (108), whose Mxy has the other sign. Vertical equilibrium of a piece of
slab under a load q downward: Qx,x + Qy,y = −q.

Third derivatives of a quintic are its weakest part, and they leave out that curvatures jump from triangle to triangle.
So Q is taken as its mean over a small disc about the point, by the divergence theorem from ∇²w on the disc's rim:
mean of (∇²w),i = (2/a) × mean over the rim of ∇²w n_i. Where the load is even over the disc, ∇²Q = −∇q = 0 and the
mean is the value in the middle itself, whatever the radius. Where the load has an edge there, Q is smoothed over 2a.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.concentrated import ConcentratedForces
from fem.plate import Plate
from fem.sampling import Footprints, Sampler

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

RADIUS = 0.15
"""Radius of the disc, m: about the thickness of a slab, within which thin-plate shear means little by itself."""
LEAST_RADIUS = 0.03
"""Where an edge or a force is nearer than this, m, Q is taken from the third derivatives at the point."""
RIM_POINTS = 16
"""Points on the rim."""


@dataclass(frozen=True, eq=False)
class ShearOperator:
    """Shear forces at p points, or their weighted means over groups of points.

    Qx > 0 presses the part of the slab with the smaller x down and the part with the larger x up; Qy likewise in y.

    slopes: (2p, unknowns) rows of (∇²w),x at all points, then of (∇²w),y, 1/m2, for the displacement with the
    concentrated forces on their caps. peaks: (2p, n) what a unit of each concentrated force adds to Qx, then to Qy,
    1/m. Neither depends on the plate.
    """

    slopes: sparse.csr_array
    peaks: sparse.csr_array

    @classmethod
    def at(cls, sampler: Sampler, xy: Floats, forces: ConcentratedForces, radius: float = RADIUS) -> ShearOperator:
        """The operator of points (p, 2), in m. Raises ModelError for points off the mesh.

        radius: of the discs, m, made smaller where an edge of the slab or a force is near; 0 for none at all.
        """
        xy = np.asarray(xy, dtype=float).reshape(-1, 2)
        room = np.minimum(sampler.clearance(xy) * (1 - 1e-9), forces.clearance(xy))
        disc = np.minimum(room, radius)
        on_disc = disc >= LEAST_RADIUS
        at_point = sparse.diags_array(np.tile(~on_disc, 2).astype(float))
        rims = _rims(sampler, xy, np.flatnonzero(on_disc), disc)
        arm = rims.plan_points - xy[rims.piece_row[rims.piece]]
        slope_weights = 2 * (rims.weights / np.sum(arm**2, axis=1))[:, None] * arm
        slopes = sparse.vstack([replace(rims, weights=weights).laplacian_rows for weights in slope_weights.T])
        peaks = _sums(rims, slope_weights) @ forces.laplacian_rows(rims.plan_points)
        return cls(
            sparse.csr_array(at_point @ sampler.points(xy).laplacian_slope_rows + slopes),
            sparse.csr_array(at_point @ forces.shear_rows(xy) - peaks),
        )

    def __len__(self) -> int:
        """Number p of points or groups."""
        return int(self.slopes.shape[0]) // 2

    def averaged(self, weights: sparse.csr_array) -> ShearOperator:
        """The operator of sums over points with `weights` (g, p): means, where each row adds up to 1."""
        each = sparse.csr_array(sparse.block_diag([weights] * 2))
        return ShearOperator(each @ self.slopes, each @ self.peaks)

    def forces(self, plate: Plate, smooth: Floats, magnitudes: Floats) -> Floats:
        """(p, 2, s) Qx, Qy of s load columns, N/m.

        smooth: (unknowns, s) displacement with the forces on their caps, m. magnitudes: (n, s) the forces, N,
        downward positive: the fields of `BendingField`.
        """
        total = -plate.rigidity * (self.slopes @ smooth) + self.peaks @ magnitudes
        return np.asarray(total.reshape(2, len(self), smooth.shape[1]).transpose(1, 0, 2))


def principal_shear(pair: Floats) -> Floats:
    """(p,) or (p, s) the largest shear force over all directions, of (p, 2) or (p, 2, s) Qx, Qy; N/m."""
    return np.asarray(np.hypot(pair[:, 0], pair[:, 1]))


def _rims(sampler: Sampler, xy: Floats, chosen: Ints, radius: Floats) -> Footprints:
    """Means over the rims of discs about those points of (p, 2) that are `chosen` (m,), radius (p,) m."""
    angle = 2 * np.pi * (np.arange(RIM_POINTS) + 0.5) / RIM_POINTS
    rule = np.column_stack([np.cos(angle), np.sin(angle)]), np.full(RIM_POINTS, 1 / RIM_POINTS)
    return sampler.rounds(len(xy), chosen, xy[chosen], radius[chosen], [rule] * len(chosen))


def _sums(footprints: Footprints, weights: Floats) -> sparse.csr_array:
    """(2 count, s) sums over the points of each footprint with the first column of weights (s, 2), then the second."""
    row, place = footprints.piece_row[footprints.piece], np.arange(len(weights))
    entries = (weights.T.ravel(), (np.concatenate([row, footprints.count + row]), np.tile(place, 2)))
    return sparse.csr_array(sparse.coo_array(entries, shape=(2 * footprints.count, len(weights))))
