"""The random field of thickness: variance, correlation and eigenvalues."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.linalg import eigh
from shapely import box

from fem.mesh import Mesh
from fem.random_field import KEPT, RandomField
from preprocess.meshing import Sizes, mesh_plan

Floats = NDArray[np.float64]
LENGTH = 2.0


@pytest.fixture(scope="module")
def mesh() -> Mesh:
    """A rectangle of 8 × 5 m without a corner."""
    return mesh_plan(box(0, 0, 8, 5) - box(5, 3, 8, 5), Sizes(0.5, 0.5))


@pytest.fixture(scope="module")
def field(mesh: Mesh) -> RandomField:
    return RandomField.squared_exponential(mesh.corners.mean(axis=1), mesh.areas, LENGTH)


def test_variance_and_correlation_are_kept(mesh: Mesh, field: RandomField) -> None:
    """Shapes · shapesᵀ is the covariance that was asked for, exp(−r²/ℓ²), less what is cut off: 1 % of the variance on
    the average over the plan, which a corner may feel up to ten times."""
    xy = mesh.corners.mean(axis=1)
    wanted = np.exp(-np.sum((xy[:, None] - xy) ** 2, axis=2) / LENGTH**2)
    kept = field.shapes @ field.shapes.T
    assert np.average(np.diag(kept), weights=mesh.areas) == pytest.approx(field.kept, rel=1e-9)
    assert KEPT <= field.kept < 1
    assert np.diag(kept).max() < 1 + 1e-9
    np.testing.assert_allclose(kept, wanted, atol=0.1)


def test_eigenvalues_of_a_rectangle_are_products(mesh: Mesh) -> None:
    """exp(−r²/ℓ²) is a product in x and y, so on a rectangle the eigenvalues are products of those of two lines: here
    by Gauss–Legendre points, an independent discretisation. Triangles of constant thickness, 0.25 m, leave 2 %."""
    plan = mesh_plan(box(0, 0, 6, 4), Sizes(0.25, 0.25))
    found = RandomField.squared_exponential(plan.corners.mean(axis=1), plan.areas, LENGTH)
    lines = [_line_eigenvalues(side) for side in (6.0, 4.0)]
    products = np.sort(np.outer(*lines).ravel())[::-1]
    np.testing.assert_allclose(found.eigenvalues[:8], products[:8], rtol=0.02)
    assert found.kept == pytest.approx(products[: len(found.eigenvalues)].sum() / 24, abs=0.005)


def test_samples_have_the_deviation_and_correlation(mesh: Mesh, field: RandomField) -> None:
    """20 000 samples at two places about ℓ apart: standard deviation and correlation; sampling error 0.7 %, so 3 %."""
    xy = mesh.corners.mean(axis=1)
    pair = [int(np.argmin(np.hypot(*(xy - place).T))) for place in ([2.0, 2.0], [4.0, 2.0])]
    samples = np.random.default_rng(4).standard_normal((20_000, field.shapes.shape[1])) @ field.shapes[pair].T
    distance = np.hypot(*(xy[pair[0]] - xy[pair[1]]))
    np.testing.assert_allclose(samples.std(axis=0), 1, atol=0.03)
    assert np.corrcoef(samples.T)[0, 1] == pytest.approx(np.exp(-((distance / LENGTH) ** 2)), abs=0.03)


def test_a_field_of_short_correlation_says_what_it_loses() -> None:
    """More shapes than the limit would be needed: the share that is kept is that of the shapes' own variance."""
    x, y = np.meshgrid(np.arange(40.0), np.arange(30.0))
    xy = np.column_stack([x.ravel(), y.ravel()])
    field = RandomField.squared_exponential(xy, np.ones(len(xy)), 0.3)
    assert field.kept == pytest.approx(0.5, abs=0.01)  # 600 of 1 200 places that hardly know of each other
    assert np.sum(field.shapes**2) / len(xy) == pytest.approx(field.kept, rel=1e-6)


def _line_eigenvalues(side: float) -> Floats:
    points, weights = np.polynomial.legendre.leggauss(40)
    place, root = side * (points + 1) / 2, np.sqrt(side * weights / 2)
    covariance = np.exp(-((place[:, None] - place) ** 2) / LENGTH**2)
    return np.asarray(eigh(root[:, None] * covariance * root, eigvals_only=True))[::-1]
