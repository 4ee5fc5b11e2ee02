"""Meshes: orientation, edges, refinement, sizes, and what Netgen makes of a plan."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Polygon, box

from fem.concentrated import ConcentratedForces
from fem.errors import ModelError
from fem.mesh import Mesh
from preprocess.case import MeshSettings
from preprocess.meshing import (
    CORNER_SIZE,
    GRADED_CORNERS,
    GRADED_JACKS,
    LARGE_SIZE,
    LEAST_SPOT_SIZE,
    SIZE,
    Sizes,
    mesh_plan,
)

CORNERS = np.array([[0.0, 0], [2, 0], [2, 1], [0, 1]])


def two_triangles() -> Mesh:
    return Mesh.from_arrays(CORNERS, np.array([[0, 2, 1], [0, 2, 3]]))  # the first one is clockwise


def test_clockwise_triangles_are_turned() -> None:
    mesh = two_triangles()
    np.testing.assert_array_equal(mesh.areas, [1.0, 1.0])
    assert len(mesh.edges) == 5
    assert len(mesh.boundary_edges) == 4
    np.testing.assert_array_equal(mesh.edges[:, 0] < mesh.edges[:, 1], True)


def test_callers_arrays_stay_and_the_mesh_is_read_only() -> None:
    triangles = np.array([[0, 2, 1], [0, 2, 3]])
    mesh = Mesh.from_arrays(CORNERS, triangles)
    np.testing.assert_array_equal(triangles[0], [0, 2, 1])
    with pytest.raises(ValueError, match="read-only"):
        mesh.vertices[0, 0] = 1.0


def test_flat_triangle_is_refused_with_its_place() -> None:
    with pytest.raises(ModelError, match=r"1 triangles without area, the first near \(1\.000, 0\.000\)"):
        Mesh.from_arrays(np.array([[0.0, 0], [1, 0], [2, 0], [0, 1]]), np.array([[0, 1, 2], [0, 1, 3]]))


@pytest.mark.parametrize("parts", [1, 2, 3, 5])
def test_refined_keeps_area_and_shape(parts: int) -> None:
    """Counts follow Euler's formula only if points on shared edges are shared."""
    mesh = two_triangles()
    fine = mesh.refined(parts)
    assert len(fine.triangles) == parts**2 * len(mesh.triangles)
    assert len(fine.vertices) == (parts + 1) ** 2
    assert len(fine.vertices) - len(fine.edges) + len(fine.triangles) == 1
    np.testing.assert_allclose(fine.areas, 1.0 / parts**2, rtol=1e-13)
    assert fine.edge_lengths.max() == pytest.approx(mesh.edge_lengths.max() / parts)
    assert len(fine.boundary_edges) == parts * len(mesh.boundary_edges)
    assert f"triangles  {2 * parts**2}" in repr(fine)


def test_plan_mesh_follows_outline_and_opening() -> None:
    plan = Polygon([(0, 0), (6, 0), (7, 4), (0, 5)], [box(2, 1, 3, 2).exterior.coords])
    mesh = mesh_plan(plan, Sizes(0.6, 0.2))
    assert mesh.areas.sum() == pytest.approx(plan.area, rel=1e-12)
    ends = mesh.vertices[mesh.edges[mesh.boundary_edges]]
    assert np.hypot(*(ends[:, 1] - ends[:, 0]).T).sum() == pytest.approx(plan.length, rel=1e-12)
    again = mesh_plan(plan, Sizes(0.6, 0.2))
    np.testing.assert_array_equal(mesh.vertices, again.vertices)


def near(mesh: Mesh, place: tuple[float, float], reach: float = 0.2) -> float:
    """Mean edge length of the triangles around a place."""
    middles = mesh.vertices[mesh.edges].mean(axis=1)
    return float(mesh.edge_lengths[np.hypot(*(middles - place).T) < reach].mean())


def test_mesh_is_graded_to_re_entrant_corners_and_on_demand_to_jacks() -> None:
    plan = Polygon([(0, 0), (6, 0), (6, 6), (3, 6), (3, 3), (0, 3)])
    jacks = np.array([[4.6, 1.4]])
    plain = mesh_plan(plan, Sizes(0.6, 0.6))
    graded = mesh_plan(plan, Sizes(0.6, 0.15, jacks, np.array([0.1])))
    assert near(graded, (3, 3)) < 0.5 * near(plain, (3, 3), 0.4)
    assert near(graded, (4.6, 1.4)) < 0.5 * near(plain, (4.6, 1.4), 0.5)


def forces(reach: float) -> ConcentratedForces:
    return ConcentratedForces(np.array([[1.0, 1], [2, 2], [3, 3]]), np.full(3, 0.075), np.array([reach, 9.0, 9.0]))


def test_sizes_of_a_case() -> None:
    """Spots near an edge are graded to, the others not; a foot is the last of the three, after two jacks."""
    silent = MeshSettings(None, None, None)
    usual = Sizes.for_case(silent, forces(0.3), 2, 1)
    assert (usual.size, usual.corner_size) == (SIZE, CORNER_SIZE)
    assert Sizes.for_case(silent, forces(0.3), 2, GRADED_CORNERS + 1).corner_size == SIZE / 4
    np.testing.assert_allclose(usual.spots, [[1, 1]])
    np.testing.assert_allclose(usual.spot_sizes, [0.09])
    np.testing.assert_allclose(Sizes.for_case(silent, forces(0.01), 2, 1).spot_sizes, [LEAST_SPOT_SIZE])
    large = Sizes.for_case(silent, forces(0.3), GRADED_JACKS + 1, 1)
    assert large.size == LARGE_SIZE
    np.testing.assert_allclose(large.spot_sizes, [0.09])
    assert len(Sizes.for_case(silent, forces(0.9), GRADED_JACKS + 1, 1).spots) == 0
    inner = Sizes.for_case(silent, forces(0.9), 2, 1)
    np.testing.assert_allclose(inner.spot_sizes, [0.27])
    asked = Sizes.for_case(MeshSettings(0.5, 0.9, 0.2), forces(0.3), 2, 1)
    assert (asked.size, asked.corner_size) == (0.5, 0.5)
    np.testing.assert_allclose(asked.spot_sizes, [0.2, 0.2])
    np.testing.assert_allclose(asked.times(2).spot_sizes, [0.4, 0.4])
