"""Result grids read back through meshio."""

from __future__ import annotations

from pathlib import Path

import meshio
import numpy as np
import pytest

from postprocess.schedule import STATES
from postprocess.view import FloorView
from postprocess.vtu import write_vtu


@pytest.fixture(scope="module")
def grids(floor_view: FloorView, tmp_path_factory: pytest.TempPathFactory) -> dict[str, meshio.Mesh]:
    files = write_vtu(floor_view, tmp_path_factory.mktemp("vtu") / "grids")
    return {Path(file).stem: meshio.read(file) for file in files}


def test_three_grids_of_the_display_mesh(floor_view: FloorView, grids: dict[str, meshio.Mesh]) -> None:
    assert set(grids) == {"deflection", "moments", "modes"}
    mesh = floor_view.fields.mesh
    for grid in grids.values():
        np.testing.assert_array_equal(grid.points[:, :2], mesh.vertices)
        np.testing.assert_array_equal(grid.points[:, 2], 0.0)
        np.testing.assert_array_equal(grid.cells_dict["triangle"], mesh.triangles)


def test_deflection_in_mm(floor_view: FloorView, grids: dict[str, meshio.Mesh]) -> None:
    data = grids["deflection"].point_data
    assert set(data) == {f"deflection_{state}_mm" for state in STATES}
    for state in STATES:
        np.testing.assert_allclose(
            data[f"deflection_{state}_mm"], 1e3 * floor_view.fields.deflection[state], rtol=1e-14
        )


def test_moments_in_knm_per_m(floor_view: FloorView, grids: dict[str, meshio.Mesh]) -> None:
    data = grids["moments"].point_data
    assert len(data) == 15
    for state in STATES:
        column = {name: data[f"{name}_{state}_kNm_m"] for name in ("Mx", "My", "Mxy", "M1", "M2")}
        np.testing.assert_allclose(1e3 * column["Mx"], floor_view.fields.moments[state][:, 0], rtol=1e-13)
        tensor = np.array([[column["Mx"], column["Mxy"]], [column["Mxy"], column["My"]]]).T
        principal = np.linalg.eigvalsh(tensor)
        scale = np.abs(principal).max()
        np.testing.assert_allclose(column["M2"], principal[:, 0], atol=1e-12 * scale)
        np.testing.assert_allclose(column["M1"], principal[:, 1], atol=1e-12 * scale)


def test_modes_peak_at_one(floor_view: FloorView, grids: dict[str, meshio.Mesh]) -> None:
    data = grids["modes"].point_data
    assert list(data) == [f"mode_{mode:02d}" for mode in range(1, 9)]
    for number, shape in enumerate(data.values()):
        np.testing.assert_array_equal(shape, floor_view.fields.shapes[:, number])
        assert shape.max() == pytest.approx(1.0)
