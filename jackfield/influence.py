"""What a load anywhere on the slab presses on one jack, and where on the slab it would relieve it instead.

By Maxwell's theorem the load on jack j under a unit force at x is k_j w_j(x), with w_j the deflection of the floor
under a unit force at the jack. That surface is negative on parts of the slab: load that lies there lifts the slab off
the jack a little. Without load on these parts the jack carries more than with load everywhere, by the pressure times
∫ max(−k_j w_j, 0) dA.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem import argyris
from fem.space import PlateSpace
from jackfield.pipeline import Solution
from postprocess.existing_floor import Bays

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

UNITS = 64
"""Unit fields that are held at a time."""
SPACING = 0.2
"""Greatest side, m, of the triangles over which an influence is taken as even: far less than the distance of jacks,
over which it changes its sign."""
CHUNK = 200_000
"""Points at a time."""


@dataclass(frozen=True, eq=False)
class Influences:
    """Of n jacks and b bays. flexibility: (n, n) deflection at jacks (rows) under a unit force at a jack, m/N.

    jacks: (n,) ∫ max(−influence, 0) dA over the slab, m²; bays: (b,) the same of the summed influence of the jacks in
    a bay; whole: of all jacks.
    """

    flexibility: Floats
    jacks: Floats
    bays: Floats
    whole: float


def influences(solution: Solution, bays: Bays, spacing: float = SPACING) -> Influences:
    """Of every jack of a solved floor. spacing: greatest side of the triangles of the integration, m."""
    model, rates = solution.floor.model, solution.floor.case.jacks.rates
    rows, count = model.jacks.rows, len(rates)
    points = SlabPoints.of(model.space, spacing)
    sums = np.zeros((len(points.areas), len(bays.names)))
    flexibility, relief = np.zeros((count, count)), np.zeros(count)
    for first in range(0, count, UNITS):
        jacks = np.arange(first, min(first + UNITS, count))
        fields = solution.factor.solve_once(rows[jacks].T.toarray())
        flexibility[:, jacks] = rows @ fields
        member = np.equal.outer(bays.bay_of[jacks], np.arange(len(bays.names))).astype(float)
        for some, deflection in points.values(fields * rates[jacks]):
            relief[jacks] += points.areas[some] @ np.maximum(-deflection, 0.0)
            sums[some] += deflection @ member
    whole = float(points.areas @ np.maximum(-sums.sum(axis=1), 0.0))
    return Influences(flexibility, relief, points.areas @ np.maximum(-sums, 0.0), whole)


@dataclass(frozen=True, eq=False)
class SlabPoints:
    """Middles of small triangles that cover the slab. areas: (q,) of these, m².

    parts: numbers of triangles of the mesh, with the basis (p, 21) at the p points that each of them has.
    """

    space: PlateSpace
    areas: Floats
    parts: tuple[tuple[Ints, Floats], ...]

    @classmethod
    def of(cls, space: PlateSpace, spacing: float) -> SlabPoints:
        """Every triangle of the mesh is cut into like ones with sides of `spacing` m at most."""
        mesh = space.mesh
        sides = mesh.vertices[mesh.edges[:, 1]] - mesh.vertices[mesh.edges[:, 0]]
        longest = np.hypot(*sides.T)[mesh.triangle_edges].max(axis=1)
        cuts = np.ceil(longest / spacing - 1e-9).astype(int)
        parts, areas = [], []
        for cut in np.unique(cuts):
            triangles = np.flatnonzero(cuts == cut)
            for some in np.array_split(triangles, len(triangles) * cut**2 // CHUNK + 1):
                parts.append((some, argyris.reference_basis(middles(int(cut)))))
                areas.append(np.repeat(mesh.areas[some] / cut**2, cut**2))
        return cls(space, np.concatenate(areas), tuple(parts))

    def values(self, fields: Floats) -> Iterator[tuple[slice, Floats]]:
        """Values of displacements (unknowns, s) at the points, part after part: which points, and (p, s) there."""
        first = 0
        for triangles, basis in self.parts:
            found = basis @ (self.space.to_reference[triangles] @ fields[self.space.numbers[triangles]])
            last = first + found.shape[0] * found.shape[1]
            yield slice(first, last), found.reshape(last - first, -1)
            first = last


def middles(cuts: int) -> Floats:
    """(cuts², 2) middles of the like triangles into which the triangle (0, 0), (1, 0), (0, 1) is cut."""
    i, j = np.indices((cuts, cuts)).reshape(2, -1)
    upright, turned = i + j < cuts, i + j < cuts - 1
    corners = [np.column_stack([i, j])[some] + third for some, third in ((upright, 1 / 3), (turned, 2 / 3))]
    return np.vstack(corners) / cuts
