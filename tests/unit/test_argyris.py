"""The plate element: what it reproduces exactly, and that it is smooth across edges."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.polynomial.polynomial import polyval2d
from numpy.typing import NDArray
from scipy.linalg import eigvalsh

from fem import argyris
from fem.mesh import Mesh
from fem.plate import Plate, internal_forces, mass, pressure_load, stiffness
from fem.quadrature import line_rule, triangle_rule
from fem.space import PlateSpace

Floats = NDArray[np.float64]
PLATE = Plate(thickness=0.1, modulus=30e9, poissons_ratio=0.2, surface_density=250.0)


def bent_quad() -> Mesh:
    """Four uneven triangles around an inner vertex."""
    vertices = np.array([[0.0, 0], [1.1, -0.2], [1.3, 0.9], [-0.2, 1.2], [0.5, 0.4]])
    return Mesh.from_arrays(vertices, np.array([[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4]]))


def shifted(c: Floats, i: int, j: int) -> Floats:
    """Coefficients of ∂ⁱ/∂xⁱ ∂ʲ/∂yʲ of the polynomial with coefficients c."""
    c = np.polynomial.polynomial.polyder(c, i, axis=0) if i else c
    return np.polynomial.polynomial.polyder(c, j, axis=1) if j else c


def interpolated(space: PlateSpace, c: Floats) -> Floats:
    """(unknowns,) nodal values of a polynomial."""
    mesh = space.mesh
    h = mesh.vertex_sizes
    at_vertices = [
        polyval2d(*mesh.vertices.T, shifted(c, i, j)) * h ** (i + j) for i, j in argyris.VERTEX_DERIVATIVES
    ]
    ends = mesh.vertices[mesh.edges]
    along, middle = ends[:, 1] - ends[:, 0], ends.mean(axis=1)
    slope_x, slope_y = polyval2d(*middle.T, shifted(c, 1, 0)), polyval2d(*middle.T, shifted(c, 0, 1))
    return np.concatenate([np.column_stack(at_vertices).ravel(), -along[:, 1] * slope_x + along[:, 0] * slope_y])


def values(space: PlateSpace, u: Floats, triangle: int, xy: Floats) -> tuple[Floats, Floats]:
    """w (p,) and its gradient (p, 2) at plan points, as seen from one triangle."""
    J = space.jacobians[triangle]
    points = np.linalg.solve(J, (xy - space.mesh.corners[triangle, 0]).T).T
    field = space.to_reference[triangle] @ u[space.numbers[triangle]]
    slopes = [argyris.reference_basis(points, d) @ field for d in ((1, 0), (0, 1))]
    return argyris.reference_basis(points) @ field, np.linalg.solve(J.T, np.array(slopes)).T


def random_quintic(seed: int) -> Floats:
    """Coefficients c[i, j] of x^i y^j, i + j ≤ 5."""
    c = np.random.default_rng(seed).normal(size=(6, 6))
    return np.where(np.add.outer(np.arange(6), np.arange(6)) <= 5, c, 0.0)


@pytest.mark.parametrize("seed", range(4))
def test_reproduces_every_quintic(seed: int) -> None:
    """The unknowns determine all 21 quintics; rounding of a basis with coefficients up to 100."""
    space = PlateSpace(bent_quad())
    c = random_quintic(seed)
    u = interpolated(space, c)
    for triangle in range(4):
        inside = space.mesh.corners[triangle].T @ np.random.default_rng(1).dirichlet([1, 1, 1], 20).T
        w, slope = values(space, u, triangle, inside.T)
        np.testing.assert_allclose(w, polyval2d(*inside, c), atol=1e-11)
        np.testing.assert_allclose(slope[:, 0], polyval2d(*inside, shifted(c, 1, 0)), atol=1e-10)


def test_is_smooth_across_edges() -> None:
    """Any unknowns at all: w and both slopes agree from both sides of an edge. Rounding."""
    space = PlateSpace(bent_quad())
    u = np.random.default_rng(7).normal(size=space.unknowns)
    mesh = space.mesh
    seen = 0
    for edge in np.setdiff1d(np.arange(len(mesh.edges)), mesh.boundary_edges):
        left, right = np.flatnonzero((mesh.triangle_edges == edge).any(axis=1))
        a, b = mesh.vertices[mesh.edges[edge]]
        xy = a + np.linspace(0, 1, 9)[:, None] * (b - a)
        for one, other in zip(values(space, u, left, xy), values(space, u, right, xy), strict=True):
            np.testing.assert_allclose(one, other, atol=1e-11)
        seen += 1
    assert seen == 4


@given(st.lists(st.floats(-3, 3), min_size=6, max_size=6))
def test_stiffness_of_any_triangle_has_three_rigid_motions(corners: list[float]) -> None:
    """Exactly three zero eigenvalues and none below: 1e-9 of the largest, for triangles with a height over 0.3 m."""
    xy = np.array(corners).reshape(3, 2)
    a, b = xy[1] - xy[0], xy[2] - xy[0]
    longest = max(np.hypot(*a), np.hypot(*b), np.hypot(*(b - a)))
    assume(longest > 0.3 and abs(a[0] * b[1] - a[1] * b[0]) > 0.3 * longest)
    space = PlateSpace(Mesh.from_arrays(xy, np.array([[0, 1, 2]])))
    found = eigvalsh(stiffness(space, PLATE).toarray())
    assert np.all(np.abs(found[:3]) < 1e-9 * found[-1])
    assert found[3] > 0
    assert found[3] > 10 * np.abs(found[:3]).max()


def test_internal_forces_are_stiffness_times_displacement() -> None:
    """Two ways to the same vector, without a rigid motion to lose digits to."""
    space = PlateSpace(bent_quad())
    u = np.random.default_rng(3).normal(size=(space.unknowns, 2))
    forces = stiffness(space, PLATE) @ u
    np.testing.assert_allclose(internal_forces(space, PLATE, u), forces, atol=1e-12 * np.abs(forces).max())


def test_internal_forces_of_rigid_motions_vanish() -> None:
    """A kilometre of rigid motion leaves less force than rounding of the assembled matrix would."""
    space = PlateSpace(bent_quad())
    u = 1e3 * space.rigid_motions()
    largest = np.abs(stiffness(space, PLATE)).max()
    assert np.abs(internal_forces(space, PLATE, u)).max() < 1e-11 * largest


def test_mass_and_load_of_rigid_motions() -> None:
    """Mass, first and second moments of area of the plan, from its corners (Green)."""
    space = PlateSpace(bent_quad())
    rigid = space.rigid_motions()
    area = space.mesh.areas.sum()
    M = rigid.T @ (mass(space, 250.0) @ rigid)
    assert M[0, 0] == pytest.approx(250 * area, rel=1e-13)
    first = (space.mesh.areas[:, None] * space.mesh.corners.mean(axis=1)).sum(axis=0)
    np.testing.assert_allclose(M[0, 1:], 250 * first, rtol=1e-12)
    np.testing.assert_allclose(rigid.T @ pressure_load(space, 3.0), 3 * np.array([area, *first]), rtol=1e-12)
    middles = space.mesh.corners[:, [0, 1, 2]] / 2 + space.mesh.corners[:, [1, 2, 0]] / 2
    second = (space.mesh.areas[:, None, None] / 3 * middles**2).sum(axis=(0, 1))  # exact for quadratics
    np.testing.assert_allclose(np.diag(M)[1:], 250 * second, rtol=1e-12)


@pytest.mark.parametrize("degree", [1, 4, 5, 6, 10])
def test_quadrature_is_exact(degree: int) -> None:
    """∫ x^a y^b over the reference triangle = a! b!/(a+b+2)!, and the same on the line."""
    points, weights = triangle_rule(degree)
    for a, b in product(range(degree + 1), repeat=2):
        if a + b <= degree:
            factorial = np.cumprod(np.concatenate([[1.0], np.arange(1, a + b + 3)]))
            exact = 2 * factorial[a] * factorial[b] / factorial[a + b + 2]
            assert weights @ (points[:, 0] ** a * points[:, 1] ** b) == pytest.approx(exact, rel=1e-13)
    x, w = line_rule(degree)
    assert w @ x**degree == pytest.approx(1 / (degree + 1), rel=1e-13)
