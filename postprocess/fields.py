"""The solution on a fine display mesh: what the pictures, the scenes and the VTU files draw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem.bending import BendingField
from fem.mesh import Mesh
from fem.modes import ModalResult
from fem.statics import StaticResult

Floats = NDArray[np.float64]

DISPLAY_SIZE = 0.12
"""Mean edge length of the display mesh, m: about the diameter of a jack housing."""
DISPLAY_POINTS = 60_000
"""No refinement goes past this number of points, so that files of large slabs stay readable."""


@dataclass(frozen=True, eq=False)
class Fields:
    """Values at the vertices of a display mesh, SI units.

    mesh: the display mesh, a refinement of the mesh of the solution. deflection: state -> (v,) m downward.
    moments: state -> (v, 3) Mx, My, Mxy in N·m/m, sagging positive. shapes: (v, m) mode shapes, each with its
    largest value 1 and positive.
    """

    mesh: Mesh
    deflection: Mapping[str, Floats]
    moments: Mapping[str, Floats]
    shapes: Floats


def display_mesh(mesh: Mesh) -> Mesh:
    """`mesh` refined until its edges are short enough to draw curved fields with flat triangles."""
    while mesh.edge_lengths.mean() > DISPLAY_SIZE and 4 * len(mesh.vertices) < DISPLAY_POINTS:
        mesh = mesh.refined()
    return mesh


def sample_fields(states: Mapping[str, StaticResult], bending: BendingField, modes: ModalResult) -> Fields:
    """Deflection and moments of each state and the mode shapes on the display mesh; states in bending's order."""
    mesh = display_mesh(bending.sampler.space.mesh)
    points = bending.sampler.points(mesh.vertices)
    displacement = np.column_stack([state.displacement for state in states.values()])
    deflection = points.rows @ displacement
    triple = bending.moments(mesh.vertices)
    shapes = points.rows @ modes.shapes
    peak = np.take_along_axis(shapes, np.abs(shapes).argmax(axis=0)[None], axis=0)
    return Fields(
        mesh,
        {name: deflection[:, i] for i, name in enumerate(states)},
        {name: triple[:, :, i] for i, name in enumerate(states)},
        shapes / peak,
    )
