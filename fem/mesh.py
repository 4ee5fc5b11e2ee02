"""A conforming triangle mesh of the plan: vertices, triangles and the edges between them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fem.errors import ModelError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LOCAL_EDGES = np.array([[0, 1], [1, 2], [2, 0]])
"""Local vertices of the three edges of a triangle, each in counterclockwise direction."""


@dataclass(frozen=True, eq=False)
class Mesh:
    """Triangles over the plan.

    vertices: (n, 2) in m. triangles: (m, 3) indices of vertices, counterclockwise.
    """

    vertices: Floats
    triangles: Ints

    @classmethod
    def from_arrays(cls, vertices: Floats, triangles: Ints) -> Mesh:
        """Mesh of any orientation made counterclockwise.

        Raises ModelError where a triangle has no area.
        """
        vertices = np.array(vertices, dtype=float)
        triangles = np.array(triangles, dtype=np.int64)
        area = _signed_areas(vertices, triangles)
        flat = np.flatnonzero(np.abs(area) <= 1e-14 * np.ptp(vertices, axis=0).max() ** 2)
        if flat.size:
            x, y = vertices[triangles[flat[0]]].mean(axis=0)
            raise ModelError(f"the mesh has {flat.size} triangles without area, the first near ({x:.3f}, {y:.3f}) m")
        clockwise = area < 0
        triangles[clockwise] = triangles[clockwise][:, [0, 2, 1]]
        vertices.setflags(write=False)
        triangles.setflags(write=False)
        return cls(vertices, triangles)

    @cached_property
    def corners(self) -> Floats:
        """(m, 3, 2) coordinates of each triangle's vertices, m."""
        return self.vertices[self.triangles]

    @cached_property
    def areas(self) -> Floats:
        """(m,) triangle areas, m2."""
        return _signed_areas(self.vertices, self.triangles)

    @cached_property
    def _edge_table(self) -> tuple[Ints, Ints]:
        """Edges (e, 2), lower vertex first, and (m, 3) the edges of each triangle."""
        ends = np.sort(self.triangles[:, LOCAL_EDGES].reshape(-1, 2), axis=1)
        key = ends[:, 0] * np.int64(len(self.vertices)) + ends[:, 1]
        _, first, inverse = np.unique(key, return_index=True, return_inverse=True)
        return ends[first], inverse.reshape(-1, 3).astype(np.int64)

    @property
    def edges(self) -> Ints:
        """(e, 2) vertices of each edge, the lower index first."""
        return self._edge_table[0]

    @property
    def triangle_edges(self) -> Ints:
        """(m, 3) edge between the local vertices of `LOCAL_EDGES`."""
        return self._edge_table[1]

    @cached_property
    def boundary_edges(self) -> Ints:
        """Indices of the edges that belong to one triangle only."""
        uses = np.bincount(self.triangle_edges.ravel(), minlength=len(self.edges))
        return np.flatnonzero(uses == 1)

    @cached_property
    def edge_lengths(self) -> Floats:
        """(e,) lengths, m."""
        ends = self.vertices[self.edges]
        return np.asarray(np.hypot(*(ends[:, 1] - ends[:, 0]).T))

    @cached_property
    def vertex_sizes(self) -> Floats:
        """(n,) mean length of the edges at each vertex, m."""
        total = np.zeros(len(self.vertices))
        np.add.at(total, self.edges, self.edge_lengths[:, None])
        return total / np.bincount(self.edges.ravel(), minlength=len(self.vertices))

    def refined(self, parts: int = 2) -> Mesh:
        """Each side cut into `parts` equal pieces, each triangle into parts² similar ones."""
        share, small = _lattice(parts)
        number = self._lattice_numbers(share, parts)
        vertices = np.zeros((number.max() + 1, 2))
        vertices[number] = share / parts @ self.corners
        return Mesh.from_arrays(vertices, number[:, small].reshape(-1, 3))

    def _lattice_numbers(self, share: Ints, parts: int) -> Ints:
        """(m, p) numbers of the lattice points of every triangle: vertices, then points on edges, then inner ones.

        share: (p, 3) whole shares of the three corners in each lattice point, adding up to `parts`.
        """
        number = np.empty((len(self.triangles), len(share)), dtype=np.int64)
        inner = np.flatnonzero((share > 0).all(axis=1))
        first_edge, first_inner = len(self.vertices), len(self.vertices) + (parts - 1) * len(self.edges)
        for corner in range(3):
            number[:, share[:, corner] == parts] = self.triangles[:, corner, None]
        for side, (start, end) in enumerate(LOCAL_EDGES):
            on_side = np.flatnonzero((share[:, 3 - start - end] == 0) & (share[:, start] > 0) & (share[:, end] > 0))
            forward = (self.triangles[:, start] < self.triangles[:, end])[:, None]
            step = np.where(forward, share[on_side, end], share[on_side, start]) - 1
            number[:, on_side] = first_edge + (parts - 1) * self.triangle_edges[:, side, None] + step
        count = np.arange(len(self.triangles))[:, None] * len(inner)
        number[:, inner] = first_inner + count + np.arange(len(inner))
        return number

    def __repr__(self) -> str:
        size = self.edge_lengths
        return (
            f"Mesh\n  triangles  {len(self.triangles)}\n  vertices   {len(self.vertices)}\n"
            f"  area       {self.areas.sum():.3f} m2\n  edges      {size.min():.3f} to {size.max():.3f} m"
        )


def _signed_areas(vertices: Floats, triangles: Ints) -> Floats:
    a, b, c = (vertices[triangles[:, i]] for i in range(3))
    return np.asarray(0.5 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]))


def _lattice(parts: int) -> tuple[Ints, Ints]:
    """(p, 3) points of a triangle cut into parts² small ones, as shares of its corners, and the small ones' corners."""
    row, place = np.array([(i, j) for i in range(parts + 1) for j in range(i + 1)]).T
    share = np.column_stack([parts - row, row - place, place])
    first = row * (row + 1) // 2 + place  # number of point (row, place)
    up = [(n, n + r + 1, n + r + 2) for n, r in zip(first, row, strict=True) if r < parts]
    down = [(n, n + r + 2, n + 1) for n, r, j in zip(first, row, place, strict=True) if j < r < parts]
    return share, np.array(up + down)
