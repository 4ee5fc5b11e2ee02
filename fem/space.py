"""The C1 displacement field on a mesh: numbering of its unknowns, rigid motions, interpolation."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem import argyris
from fem.mesh import Mesh

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class PlateSpace:
    """Quintic C1 field over a mesh. Its unknowns are scaled by local lengths: see `argyris.to_reference`."""

    mesh: Mesh

    @property
    def unknowns(self) -> int:
        """Number of unknowns: six a vertex and one an edge."""
        return 6 * len(self.mesh.vertices) + len(self.mesh.edges)

    @cached_property
    def numbers(self) -> Ints:
        """(m, 21) global numbers of each triangle's unknowns."""
        return argyris.unknown_numbers(self.mesh)

    @cached_property
    def to_reference(self) -> Floats:
        """(m, 21, 21) matrices V from a triangle's unknowns to coefficients of the reference basis."""
        return argyris.to_reference(self.mesh)

    @cached_property
    def jacobians(self) -> Floats:
        """(m, 2, 2) Jacobians of the maps from the reference triangle."""
        return argyris.jacobians(self.mesh)

    @cached_property
    def curvature_map(self) -> Floats:
        """(m, 3, 3) from reference to plan second derivatives."""
        return argyris.curvature_map(self.jacobians)

    @cached_property
    def laplacian_slope_map(self) -> Floats:
        """(m, 2, 4) from reference third derivatives to the slope of ∇²w in plan."""
        return argyris.laplacian_slope_map(self.jacobians)

    def rigid_motions(self) -> Floats:
        """(unknowns, 3) the fields 1, x and y, which are in the space exactly."""
        mesh = self.mesh
        at_vertices = np.zeros((len(mesh.vertices), 6, 3))
        at_vertices[:, 0, 0] = 1.0
        at_vertices[:, 0, 1:] = mesh.vertices
        at_vertices[:, 1, 1] = at_vertices[:, 2, 2] = mesh.vertex_sizes
        along = mesh.vertices[mesh.edges[:, 1]] - mesh.vertices[mesh.edges[:, 0]]
        at_sides = np.column_stack([np.zeros(len(along)), -along[:, 1], along[:, 0]])
        return np.vstack([at_vertices.reshape(-1, 3), at_sides])

    def assemble(self, blocks: Floats) -> sparse.csr_array:
        """Sum of the (m, 21, 21) blocks of the triangles in one sparse matrix."""
        rows = np.repeat(self.numbers, argyris.UNKNOWNS, axis=1).ravel().astype(np.int32)
        columns = np.tile(self.numbers, (1, argyris.UNKNOWNS)).ravel().astype(np.int32)
        shape = (self.unknowns, self.unknowns)
        return sparse.csr_array(sparse.coo_array((blocks.ravel(), (rows, columns)), shape=shape))

    def assemble_vector(self, blocks: Floats) -> Floats:
        """Sum of the (m, 21) blocks of the triangles in one vector."""
        total = np.zeros(self.unknowns)
        np.add.at(total, self.numbers.ravel(), blocks.ravel())
        return total

    def __repr__(self) -> str:
        return f"PlateSpace\n  triangles  {len(self.mesh.triangles)}\n  unknowns   {self.unknowns}"
