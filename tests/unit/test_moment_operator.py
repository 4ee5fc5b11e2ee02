"""Moments and shear forces as linear operators: one operator serves many load columns, plates and groups of points."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.polynomial.polynomial import polyder, polyval2d
from numpy.typing import NDArray
from scipy import sparse
from shapely import Point, Polygon, box

from fem import argyris
from fem.bending import BendingField
from fem.concentrated import ConcentratedForces
from fem.errors import ModelError
from fem.moment_operator import MomentOperator
from fem.plate import Plate
from fem.sampling import Sampler
from fem.shear_operator import LEAST_RADIUS, RADIUS, ShearOperator, principal_shear
from fem.space import PlateSpace
from preprocess.meshing import Sizes, mesh_plan

Floats = NDArray[np.float64]
PLAN = Polygon([(0, 0), (6, 0), (7, 4), (0, 5)], [box(2, 1, 3, 2).exterior.coords])
PLATE = Plate(0.1, 30e9, 0.2, 250.0)
FORCES = ConcentratedForces(np.array([[4.5, 1.5], [1.0, 3.5]]), np.array([0.075, 0.06]), np.array([1.0, 0.8]))
NOWHERE = ConcentratedForces(np.zeros((0, 2)), np.zeros(0), np.zeros(0))


@pytest.fixture(scope="module")
def sampler() -> Sampler:
    return Sampler(PlateSpace(mesh_plan(PLAN, Sizes(0.6, 0.6))))


@pytest.fixture(scope="module")
def field(sampler: Sampler) -> BendingField:
    """Three columns of any displacement and forces."""
    random = np.random.default_rng(5)
    smooth = 1e-3 * random.normal(size=(sampler.space.unknowns, 3))
    return BendingField(sampler, PLATE, smooth, FORCES, 1e3 * random.normal(size=(2, 3)))


@pytest.fixture(scope="module")
def xy() -> Floats:
    """Points all over the plan, at its edge, beside forces and on them."""
    some = np.random.default_rng(6).uniform([0, 0], [6, 5], (400, 2))
    inside = np.array([p for p in some if PLAN.covers(Point(p))])
    return np.vstack([inside, [[0.0, 2.0], [2.0, 1.5], [4.5, 1.5], [4.55, 1.5], [4.6, 1.5], [1.0, 3.6]]])


def interpolated(space: PlateSpace, c: Floats) -> Floats:
    """(unknowns,) nodal values of the polynomial Σ c[i, j] x^i y^j."""
    mesh, h = space.mesh, space.mesh.vertex_sizes
    derived = {(i, j): polyder(polyder(c, i, axis=0), j, axis=1) for i, j in argyris.VERTEX_DERIVATIVES}
    at_vertices = [polyval2d(*mesh.vertices.T, d) * h ** sum(order) for order, d in derived.items()]
    ends = mesh.vertices[mesh.edges]
    along, middle = ends[:, 1] - ends[:, 0], ends.mean(axis=1)
    slope_x, slope_y = (polyval2d(*middle.T, derived[order]) for order in ((1, 0), (0, 1)))
    return np.concatenate([np.column_stack(at_vertices).ravel(), -along[:, 1] * slope_x + along[:, 0] * slope_y])


@pytest.mark.parametrize("what", ["moments", "shear_forces"])
def test_columns_at_once_equal_columns_one_by_one(what: str, field: BendingField, xy: Floats) -> None:
    """Three columns by one operator against three fields of one column; rounding."""
    together = getattr(field, what)(xy)
    for s in range(3):
        one = replace(field, smooth=field.smooth[:, [s]], magnitudes=field.magnitudes[:, [s]])
        np.testing.assert_allclose(together[:, :, [s]], getattr(one, what)(xy), rtol=1e-11, atol=1e-9)


def test_one_operator_serves_a_slab_of_another_modulus(field: BendingField, xy: Floats) -> None:
    """Half the modulus and twice the deflection under the same forces: the same moments and shear forces."""
    soft = replace(field, plate=Plate(0.1, 15e9, 0.2, 250.0), smooth=2 * field.smooth)
    moments = MomentOperator.at(field.sampler, xy, FORCES, 0.2)
    shear = ShearOperator.at(field.sampler, xy, FORCES)
    np.testing.assert_allclose(soft.moments_by(moments), field.moments(xy), rtol=1e-11, atol=1e-9)
    np.testing.assert_allclose(soft.shear_forces_by(shear), field.shear_forces(xy), rtol=1e-11, atol=1e-9)


def test_means_over_groups_of_points(field: BendingField, xy: Floats) -> None:
    """The mean operator of two groups against the means of the moments and shear forces at their points."""
    weights = np.zeros((2, len(xy)))
    weights[0, :4], weights[1, 10:12] = 0.25, (0.3, 0.7)
    rows = sparse.csr_array(weights)
    moments = MomentOperator.at(field.sampler, xy, FORCES, 0.2).averaged(rows)
    shear = ShearOperator.at(field.sampler, xy, FORCES).averaged(rows)
    assert (len(moments), len(shear)) == (2, 2)
    found = field.moments_by(moments), field.shear_forces_by(shear)
    for mean, points in zip(found, (field.moments(xy), field.shear_forces(xy)), strict=True):
        np.testing.assert_allclose(mean, np.einsum("gp,pks->gks", weights, points), rtol=1e-10, atol=1e-8)


def test_another_poissons_ratio_and_points_off_the_mesh_are_refused(field: BendingField) -> None:
    operator = MomentOperator.at(field.sampler, np.array([[1.0, 1.0]]), FORCES, 0.3)
    with pytest.raises(ModelError, match=r"ratio of 0\.3; the plate has 0\.2"):
        field.moments_by(operator)
    for make in (field.moments, field.shear_forces):
        with pytest.raises(ModelError, match="off the mesh"):
            make(np.array([[1.0, 1.0], [9.0, 9.0]]))


def test_no_points_at_all(field: BendingField) -> None:
    assert field.moments(np.zeros((0, 2))).shape == (0, 3, 3)
    assert field.shear_forces(np.zeros((0, 2))).shape == (0, 2, 3)


@pytest.mark.parametrize("radius", [0.0, RADIUS])
def test_shear_force_of_an_evenly_loaded_slab(radius: float, sampler: Sampler, xy: Floats) -> None:
    """w = x⁴ + 2x³y − y³ + xy³ + x²y² carries q = D ∇⁴w = 32 D everywhere, and ∇²w = 14x² + 18xy + 2y² − 6y, so
    Q = −D (28x + 18y, 18x + 4y − 6) and Qx,x + Qy,y = −q. The quintic holds it: rounding, with and without discs."""
    c = np.zeros((6, 6))
    c[4, 0], c[3, 1], c[0, 3], c[1, 3], c[2, 2] = 1, 2, -1, 1, 1
    x, y = xy.T
    expected = -PLATE.rigidity * np.column_stack([28 * x + 18 * y, 18 * x + 4 * y - 6])
    operator = ShearOperator.at(sampler, xy, NOWHERE, radius)
    found = operator.forces(PLATE, interpolated(sampler.space, c)[:, None], np.zeros((0, 1)))[:, :, 0]
    np.testing.assert_allclose(found, expected, atol=1e-7 * np.abs(expected).max())


def test_third_derivatives_of_a_quintic(sampler: Sampler, xy: Floats) -> None:
    """All 21 monomials with random factors, at points: −D times the slope of ∇²w; rounding."""
    order = np.add.outer(np.arange(6), np.arange(6))
    c = np.where(order <= 5, np.random.default_rng(3).normal(size=(6, 6)), 0.0)
    laplacian = np.zeros((6, 6))
    laplacian[:4] += polyder(c, 2, axis=0)
    laplacian[:, :4] += polyder(c, 2, axis=1)
    slopes = [polyval2d(*xy.T, polyder(laplacian, 1, axis=axis)) for axis in (0, 1)]
    expected = -PLATE.rigidity * np.column_stack(slopes)
    operator = ShearOperator.at(sampler, xy, NOWHERE, radius=0.0)
    found = operator.forces(PLATE, interpolated(sampler.space, c)[:, None], np.zeros((0, 1)))[:, :, 0]
    np.testing.assert_allclose(found, expected, atol=1e-7 * np.abs(expected).max())


def test_peaks_flow_to_the_force() -> None:
    """Through a circle about a unit force passes what its disc has inside less what its cap has inside; the moments
    agree: Q = (Mr)′ + (Mr − Mt)/r, equilibrium of the ring, and Q = −(D ∇²w)′. Central differences of 1e-6 m."""
    c, rho, nu, step = 0.075, 0.6, 0.2, 1e-6
    forces = ConcentratedForces(np.zeros((1, 2)), np.array([c]), np.array([rho]))
    r = np.array([0.03, 0.06, 0.08, 0.2, 0.4, 0.59])

    def along_x(rows: sparse.csr_array) -> Floats:
        return rows.toarray().reshape(-1, len(r))

    def at(radii: Floats) -> Floats:
        return np.column_stack([radii, np.zeros(len(radii))])

    radial, tangential, twist = along_x(forces.moment_rows(at(r), nu))
    slope = (along_x(forces.moment_rows(at(r + step), nu))[0] - along_x(forces.moment_rows(at(r - step), nu))[0]) / (
        2 * step
    )
    Q, across = along_x(forces.shear_rows(at(r)))
    np.testing.assert_allclose(Q, slope + (radial - tangential) / r, rtol=1e-6, atol=1e-6)
    bend = (along_x(forces.laplacian_rows(at(r + step))) - along_x(forces.laplacian_rows(at(r - step))))[0]
    np.testing.assert_allclose(Q, -bend / (2 * step), rtol=1e-6, atol=1e-6)
    np.testing.assert_array_equal([twist, across], 0.0)
    assert np.all(Q[:3] < 0), "the slab beside a downward force hands it on outwards"


def test_largest_shear_over_all_directions() -> None:
    pair = np.random.default_rng(0).normal(size=(20, 2, 3))
    angle = np.radians(np.arange(0, 360, 0.5))
    normal = np.stack([np.cos(angle), np.sin(angle)])
    searched = np.einsum("pks,ka->psa", pair, normal).max(axis=-1)
    np.testing.assert_allclose(principal_shear(pair), searched, rtol=2e-5)  # 1 − cos 0.25° is 1e-5
    np.testing.assert_allclose(principal_shear(np.array([[3.0, -4.0]])), [5.0])


def test_clearances(sampler: Sampler) -> None:
    """From edges and openings of the slab, and from discs of either size."""
    xy = np.array([[0.4, 2.5], [2.5, 0.7], [1.9, 1.5]])
    np.testing.assert_allclose(sampler.clearance(xy), [0.4, 0.3, 0.1], atol=1e-9)
    places = np.array([[4.5, 1.9], [1.0, 3.5], [1.0, 3.0]])
    np.testing.assert_allclose(FORCES.clearance(places), [0.4 - 0.075, -0.06, 0.5 - 0.06], atol=1e-9)
    assert np.all(np.isinf(NOWHERE.clearance(places)))
    assert LEAST_RADIUS < RADIUS
