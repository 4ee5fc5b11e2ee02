"""A triangle mesh of the slab's plan by Netgen: it follows outline and openings only.

Jacks, feet and loads are sampled footprints and need no mesh of their own (`fem.sampling`).
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from netgen.geom2d import SplineGeometry
from netgen.meshing import MeshingParameters
from numpy.typing import NDArray
from shapely import LinearRing, Polygon
from shapely.geometry.polygon import orient

from fem.concentrated import ConcentratedForces
from fem.mesh import Mesh
from preprocess.case import MeshSettings
from preprocess.plan import re_entrant_corners

Floats = NDArray[np.float64]

SIZE = 0.60
"""Default edge length, m: about half of a usual jack spacing."""
CORNER_SIZE = 0.010
"""Default edge length at a re-entrant corner, m: there thin-plate moments are singular, and their means over strips of
some hundred millimetres are within 1 % only from about this on; it costs some 300 unknowns a corner."""
GRADED_CORNERS = 24
"""With more re-entrant corners, or more than GRADED_JACKS jacks, the default is CORNER_SHARE of the general edge."""
CORNER_SHARE = 1 / 4
CAP_SHARE = 0.3
"""Edge length at a jack or foot over the radius of the cap that its force is spread on; see `fem.concentrated`."""
LEAST_SPOT_SIZE = 0.03
"""No edge at a jack or foot is made shorter, m, however near it is to the slab's edge."""
GRADED_JACKS = 400
"""With more jacks than this the mesh is LARGE_SIZE and graded only to jacks and feet near an edge, unless the case
says other: the cost of a large slab stays in proportion, inner moments are then good to a few percent."""
LARGE_SIZE = 0.70
"""Default edge length with more than GRADED_JACKS jacks, m."""
NEAR_EDGE = 0.6
"""A jack or foot with a cap narrower than this is near an edge, m."""
GRADING = 0.45
"""Netgen's growth of edge length with distance (0 uniform, 1 steep). From 0.5 on some jacks lie among triangles that
grow too fast, and strip moments there are 3 % off instead of 1.5 %."""


@dataclass(frozen=True, eq=False)
class Sizes:
    """Edge lengths of a mesh in m: in general, at re-entrant corners, and `spot_sizes` (n,) at `spots` (n, 2)."""

    size: float
    corner_size: float
    spots: Floats = field(default_factory=lambda: np.zeros((0, 2)))
    spot_sizes: Floats = field(default_factory=lambda: np.zeros(0))

    @classmethod
    def for_case(cls, settings: MeshSettings, forces: ConcentratedForces, jacks: int, corners: int) -> Sizes:
        """The settings of a case, with the defaults of this module where it is silent.

        forces: the jacks and after them the feet of equipment. jacks: their number. corners: of re-entrant ones.
        """
        large = jacks > GRADED_JACKS
        size = settings.size or (LARGE_SIZE if large else SIZE)
        spot_sizes = np.maximum(CAP_SHARE * forces.reach, LEAST_SPOT_SIZE)
        if large:
            spot_sizes[forces.reach > NEAR_EDGE] = size
        if settings.jack_size is not None:
            spot_sizes[:jacks] = settings.jack_size
        finer = np.flatnonzero(spot_sizes < size)
        finer = finer[np.lexsort(forces.xy[finer].T)]  # the mesh must not depend on the order of the jack list
        corner_size = CORNER_SHARE * size if large or corners > GRADED_CORNERS else CORNER_SIZE
        return cls(size, min(settings.corner_size or corner_size, size), forces.xy[finer], spot_sizes[finer])

    def times(self, factor: float) -> Sizes:
        """All edge lengths multiplied."""
        return Sizes(factor * self.size, factor * self.corner_size, self.spots, factor * self.spot_sizes)


def mesh_plan(plan: Polygon, sizes: Sizes) -> Mesh:
    """Mesh of `plan` (m), graded to its re-entrant corners and to the spots of `sizes`.

    Netgen numbers and places vertices the same way every time, so the same plan gives the same mesh.
    """
    geometry = SplineGeometry()
    _add_ring(geometry, plan.exterior, is_hole=False)
    for ring in plan.interiors:
        _add_ring(geometry, ring, is_hole=True)
    parameters = MeshingParameters(maxh=sizes.size, grading=GRADING)
    for x, y in re_entrant_corners(plan):
        parameters.RestrictH(x, y, 0, sizes.corner_size)
    for (x, y), size in zip(sizes.spots, sizes.spot_sizes, strict=True):
        parameters.RestrictH(x, y, 0, size)
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
