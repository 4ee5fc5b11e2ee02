"""Bending moments beside concentrated forces: sharp peaks in closed form, the rest from the mesh.

Beside a jack or a foot the moment bends within centimetres, which triangles of half a metre cannot follow. So each
such force is split: force on its small disc = the same force on a wide smooth cap + the difference of the two. The
cap has the disc's total and second moment, so the deflection of an infinite plate under the difference is zero
outside the cap: if the cap lies on the slab, that closed form is exact there too, free edges or not. The mesh then
only has to follow the caps.

Letters: r distance from the centre, u = r², c radius of the disc, ρ radius of the cap, D = 1. With the difference d,
the Laplacian Λ of w follows from r Λ′ = ∫ d r dr and the slope from r w′ = ∫ Λ r dr: Timoshenko and
Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed. 1959, equation (59). The shear force Q = −Λ′ is purely radial.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
from numpy.polynomial import Polynomial
from numpy.polynomial.polynomial import polyval
from numpy.typing import NDArray
from scipy import sparse
from scipy.spatial import KDTree

from fem.quadrature import line_rule
from fem.sampling import Sampler, ring_rule

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEAST_REACH = 1.5
"""A cap narrower than this many disc radii is of no use; the force then stays on its disc."""
_FLATNESS = 2
"""The cap is (α + β s)(1 − s)² with s = r²/ρ²: its slope vanishes at its rim. A flatter rim makes a sharper middle."""
_LEAST_RINGS, _DENSITY = 8, 4
"""Rings of points over a cap: at least eight, and four to the length of an edge of the mesh below it."""


@dataclass(frozen=True, eq=False)
class ConcentratedForces:
    """n places where forces act on small areas.

    xy: (n, 2) centres, m. radius: (n,) of the disc with the second moment of the loaded area, m. reach: (n,) radius
    of the cap, m: up to the distance to the slab's edge; the force stays on its disc where reach is too small.
    """

    xy: Floats
    radius: Floats
    reach: Floats

    @cached_property
    def split(self) -> NDArray[np.bool_]:
        """(n,) whether the force is split."""
        return self.reach >= LEAST_REACH * self.radius

    def caps(self, sampler: Sampler) -> sparse.csr_array:
        """(n, unknowns) mean displacement under each cap; empty rows where the force is not split."""
        number = np.flatnonzero(self.split)
        rings = np.maximum(_LEAST_RINGS, _DENSITY * self.reach[number] / sampler.edge_length(self.xy[number]))
        rules = [
            _cap_rule(float(self.radius[i] / self.reach[i]) ** 2, int(count))
            for i, count in zip(number, rings, strict=True)
        ]
        return sampler.rounds(len(self.xy), number, self.xy[number], self.reach[number], rules).rows

    def moment_rows(self, xy: Floats, poissons_ratio: float) -> sparse.csr_array:
        """(3p, n) from forces in N, downward positive, to the moments that they add at (p, 2), N·m/m, sagging positive.

        It is what the forces make on their discs less what they make on their caps; the Mx of all points, then the
        My, then the Mxy. The rigidity of the plate does not enter.
        """
        point, force = self._near(xy)
        arm = xy[point] - self.xy[force]
        u = np.sum(arm**2, axis=1)
        laplacian, slope_over_r = _difference(u, self.radius[force] ** 2, self.reach[force] ** 2)
        nu = poissons_ratio
        bend = laplacian - slope_over_r  # w″
        radial, tangential = -(bend + nu * slope_over_r), -(slope_over_r + nu * bend)
        nx, ny = arm.T / np.sqrt(np.maximum(u, np.finfo(float).tiny))
        across = radial - tangential
        triple = [across * nx**2 + tangential, across * ny**2 + tangential, across * nx * ny]
        return self._rows(len(xy), point, force, triple)

    def laplacian_rows(self, xy: Floats) -> sparse.csr_array:
        """(p, n) from forces in N, downward positive, to D ∇²w that they add at (p, 2), N; as `moment_rows`."""
        point, force = self._near(xy)
        u = np.sum((xy[point] - self.xy[force]) ** 2, axis=1)
        laplacian, _ = _difference(u, self.radius[force] ** 2, self.reach[force] ** 2)
        return self._rows(len(xy), point, force, [laplacian])

    def shear_rows(self, xy: Floats) -> sparse.csr_array:
        """(2p, n) from forces in N, downward positive, to the shear forces that they add at (p, 2), N/m.

        As `moment_rows`; the Qx of all points, then the Qy. Q = −Λ′ points to the force: through a circle about it
        passes what it has inside on the disc less what it has inside on the cap.
        """
        point, force = self._near(xy)
        arm = xy[point] - self.xy[force]
        slope_over_r = _difference_slope(np.sum(arm**2, axis=1), self.radius[force] ** 2, self.reach[force] ** 2)
        return self._rows(len(xy), point, force, [-slope_over_r * arm[:, 0], -slope_over_r * arm[:, 1]])

    def clearance(self, xy: Floats) -> Floats:
        """(p,) distance of each point (p, 2) from the nearest disc, m; negative inside one."""
        result = np.full(len(xy), np.inf)
        size = np.round(self.radius, 6)
        for radius in np.unique(size):
            distance, _ = KDTree(self.xy[size == radius]).query(xy)
            result = np.minimum(result, distance - radius)
        return result

    def _near(self, xy: Floats) -> tuple[Ints, Ints]:
        """Point (q,) and force (q,) of all pairs of a point (p, 2) and a split force whose cap it lies under."""
        number = np.flatnonzero(self.split)
        if not len(number) or not len(xy):
            return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
        pairs = KDTree(xy).query_ball_point(self.xy[number], self.reach[number])
        point = np.concatenate([np.asarray(near, dtype=np.int64) for near in pairs])
        return point, np.repeat(number, [len(near) for near in pairs])

    def _rows(self, points: int, point: Ints, force: Ints, parts: list[Floats]) -> sparse.csr_array:
        """(k points, n) of k parts (q,), each the value at a point of a unit force."""
        row = np.concatenate([place * points + point for place in range(len(parts))])
        entries = (np.concatenate(parts), (row, np.tile(force, len(parts))))
        return sparse.csr_array(sparse.coo_array(entries, shape=(len(parts) * points, len(self.xy))))


@cache
def _cap(ratio: float) -> Polynomial:
    """The cap's density in s = r²/ρ², mean 1 over its disc, for (c/ρ)² = ratio; second moment as the disc's, c²/2."""
    one, s = (Polynomial([1.0, -1.0]) ** _FLATNESS).convert(), Polynomial([0.0, 1.0])
    powers = [(one * s**k).integ()(1.0) for k in range(3)]
    alpha, beta = np.linalg.solve([[powers[0], powers[1]], [powers[1], powers[2]]], [1.0, ratio / 2])
    return one * Polynomial([alpha, beta])


@cache
def _cap_rule(ratio: float, rings: int) -> tuple[Floats, Floats]:
    """Points (q, 2) in the unit disc and weights (q,) summing to 1, the cap's density included.

    Gauss points in r and even steps around, three to a radius of rings: exact for the density itself.
    """
    r, weight = line_rule(2 * rings - 1)
    return ring_rule(r, 2 * r * weight * _cap(ratio)(r**2))


@cache
def _cap_integrals(ratio: float) -> tuple[Floats, Floats, Floats]:
    """Coefficients in s of Λ, w′/r and ρ² Λ′/r of a unit force on the cap; Λ(1) = 0."""
    density = _cap(ratio) / np.pi
    through = Polynomial((density.integ() / 2).coef[1:])  # ∫ d r dr, over s
    laplacian = through.integ() / 2
    laplacian = laplacian - laplacian(1.0)
    slope = Polynomial((laplacian.integ() / 2).coef[1:])
    laplacian_of_s, slope_of_s, through_of_s = (np.asarray(p.coef, dtype=float) for p in (laplacian, slope, through))
    return laplacian_of_s, slope_of_s, through_of_s


def _on_caps(kind: int, s: Floats, ratio: Floats) -> Floats:
    """(q,) the integral of that number in `_cap_integrals`, at s (q,) of caps with (c/ρ)² = ratio (q,)."""
    if not len(s):
        return np.zeros(0)
    different, cap = np.unique(ratio, return_inverse=True)
    coefficients = np.array([_cap_integrals(float(value))[kind] for value in different])
    return np.asarray(polyval(s, coefficients.T[:, cap], tensor=False))


def _difference(u: Floats, c2: Floats, rho2: Floats) -> tuple[Floats, Floats]:
    """Laplacian and w′/r, each (q,), of a unit force on the disc less the same on the cap, D = 1, at u = r² ≤ ρ²."""
    inside = u <= c2
    width = np.log(rho2 / c2)
    t = u / c2
    outer = np.maximum(u, c2)
    far = np.log(rho2 / outer)
    laplacian = -np.where(inside, 1 - t + width, far) / (4 * np.pi)
    # r w′ = ½ ∫ Λ du: inside, then from c on with ∫ ln(ρ²/u) du = u ln(ρ²/u) + u
    within = np.minimum(u, c2)
    first = within - within**2 / (2 * c2) + within * width
    beyond = outer * far + outer - c2 * width - c2
    slope = -(first + np.where(inside, 0.0, beyond)) / (8 * np.pi)
    safe = np.maximum(u, np.finfo(float).tiny)
    slope_over_r = np.where(u > 0, slope / safe, laplacian / 2)
    return laplacian - _on_caps(0, u / rho2, c2 / rho2), slope_over_r - _on_caps(1, u / rho2, c2 / rho2)


def _difference_slope(u: Floats, c2: Floats, rho2: Floats) -> Floats:
    """Λ′/r (q,) of a unit force on the disc less the same on the cap, D = 1, at u = r² ≤ ρ².

    r Λ′ = ∫ d r dr is what lies inside r, over 2π.
    """
    on_disc = 1 / (2 * np.pi * np.maximum(u, c2))
    return np.asarray(on_disc - _on_caps(2, u / rho2, c2 / rho2) / rho2)
