"""A triangle mesh of the slab's plan by Netgen: it follows outline and openings only.

Jacks, feet and loads are sampled footprints and need no mesh of their own (`fem.sampling`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from netgen.geom2d import SplineGeometry
from netgen.meshing import MeshingParameters
from numpy.typing import NDArray
from shapely import LinearRing, Polygon
from shapely.geometry.polygon import orient

from fem.mesh import Mesh
from preprocess.case import MeshSettings
from preprocess.plan import re_entrant_corners

Floats = NDArray[np.float64]

SIZE = 0.60
"""Default edge length, m: about half of a usual jack spacing."""
CORNER_SHARE = 1 / 4
"""Default edge length at a re-entrant corner over SIZE; there the moments of thin-plate theory are singular."""
JACK_SIZE = 0.10
"""Default edge length at a jack, m: below the diameter of a housing, since the moment bends sharply there."""
GRADED_JACKS = 400
"""With more jacks than this the mesh is not graded to them unless the case asks for it: loads and frequencies hardly
change, and the cost of a large slab stays in proportion."""
GRADING = 0.4
"""Netgen's growth of edge length with distance (0 uniform, 1 steep)."""


@dataclass(frozen=True)
class Sizes:
    """Edge lengths of a mesh in m: in general, at re-entrant corners, and at jacks (None: not graded to them)."""

    size: float
    corner_size: float
    jack_size: float | None

    @classmethod
    def for_case(cls, settings: MeshSettings, jacks: int) -> Sizes:
        """The settings of a case, with the defaults of this module where it is silent."""
        size = settings.size or SIZE
        jack_size = settings.jack_size or (JACK_SIZE if jacks <= GRADED_JACKS else None)
        return cls(
            size,
            min(settings.corner_size or CORNER_SHARE * size, size),
            None if jack_size is None else min(jack_size, size),
        )


def mesh_plan(plan: Polygon, sizes: Sizes, jacks: Floats | None = None) -> Mesh:
    """Mesh of `plan` (m), graded to its re-entrant corners and, if `sizes.jack_size` is set, to `jacks` (n, 2).

    Netgen numbers and places vertices the same way every time, so the same plan gives the same mesh.
    """
    geometry = SplineGeometry()
    _add_ring(geometry, plan.exterior, is_hole=False)
    for ring in plan.interiors:
        _add_ring(geometry, ring, is_hole=True)
    parameters = MeshingParameters(maxh=sizes.size, grading=GRADING)
    for x, y in re_entrant_corners(plan):
        parameters.RestrictH(x, y, 0, sizes.corner_size)
    if sizes.jack_size is not None and jacks is not None:
        for x, y in jacks:
            parameters.RestrictH(x, y, 0, sizes.jack_size)
    mesh = geometry.GenerateMesh(mp=parameters)
    vertices = np.array(mesh.Coordinates(), dtype=float)[:, :2]
    triangles = np.array([[vertex.nr - 1 for vertex in element.vertices] for element in mesh.Elements2D()])
    return Mesh.from_arrays(vertices, triangles)


def _add_ring(geometry: SplineGeometry, ring: LinearRing, *, is_hole: bool) -> None:
    """The ring's corners joined by lines, with the slab on the left of an outline and a hole's outside."""
    anticlockwise = orient(Polygon(ring)).exterior.coords[:-1]
    corners = [geometry.AppendPoint(x, y) for x, y in anticlockwise]
    left, right = (0, 1) if is_hole else (1, 0)
    for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
        geometry.Append(["line", start, end], leftdomain=left, rightdomain=right)
