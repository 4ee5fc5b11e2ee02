"""Result fields as VTK unstructured grids, for viewers of finite-element results."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import meshio
import numpy as np
from numpy.typing import NDArray

from fem.mesh import Mesh
from fem.moments import principal_moments
from postprocess.view import FloorView

Floats = NDArray[np.float64]


def write_vtu(view: FloorView, folder: Path) -> tuple[Path, ...]:
    """Write deflection.vtu, moments.vtu and modes.vtu into `folder`, which is made if need be.

    Points in m on the plane z = 0; values at the points of the display mesh, units in their names. Deflection is
    positive downward, moments are positive sagging, each mode shape's largest value is 1.
    """
    folder.mkdir(parents=True, exist_ok=True)
    fields = view.fields
    contents: dict[str, Mapping[str, Floats]] = {
        "deflection": {f"deflection_{state}_mm": 1e3 * w for state, w in fields.deflection.items()},
        "moments": {
            name: values
            for state, triple in fields.moments.items()
            for name, values in moment_columns(state, triple).items()
        },
        "modes": {f"mode_{mode + 1:02d}": shape for mode, shape in enumerate(fields.shapes.T)},
    }
    return tuple(_write(fields.mesh, data, folder / f"{name}.vtu") for name, data in contents.items())


def moment_columns(state: str, triple: Floats) -> dict[str, Floats]:
    """Mx, My, Mxy and the principal moments in kN·m/m by name, from (v, 3) in N·m/m."""
    principal = principal_moments(triple)
    columns = dict(zip(("Mx", "My", "Mxy"), triple.T, strict=True), M1=principal.larger, M2=principal.smaller)
    return {f"{name}_{state}_kNm_m": values / 1e3 for name, values in columns.items()}


def _write(mesh: Mesh, data: Mapping[str, Floats], path: Path) -> Path:
    points = np.column_stack([mesh.vertices, np.zeros(len(mesh.vertices))])
    grid = meshio.Mesh(
        points,
        [("triangle", mesh.triangles)],
        point_data={k: np.ascontiguousarray(v) for k, v in data.items()},
    )
    grid.write(path)
    return path
