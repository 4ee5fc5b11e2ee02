"""Jack loads and modes of an irregular slab with an opening against scikit-fem's element of the same kind.

scikit-fem (T. Gustafsson, G. D. McBain, J. Open Source Softw. 5, 2020, 2369) has its own basis, assembly and
numbering; only the mesh is shared. Jack discs are integrated there with a polar rule, not with cut polygons.
"""

from __future__ import annotations

import numpy as np
import pytest
import skfem
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.sparse.linalg import eigsh, spsolve
from shapely import Polygon
from skfem.helpers import dd, ddot, eye, trace

from fem.modes import solve_modes
from fem.moments import moments
from fem.plate import Plate, mass, pressure_load, stiffness
from fem.sampling import Sampler
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from fem.statics import solve_states
from preprocess.meshing import Sizes, mesh_plan

Floats = NDArray[np.float64]

PLAN = Polygon(
    [(0, 0), (8, 0), (9, 3.5), (6, 6), (6, 4), (0, 4.5)], [[(2.5, 1.5), (2.5, 2.7), (3.7, 2.7), (3.7, 1.5)]]
)
JACKS = np.array(
    [
        *([0.4, 0.4], [1.8, 0.5], [3.2, 0.4], [4.8, 0.6], [6.3, 0.4], [7.6, 0.5], [0.4, 2.2], [1.7, 2.4], [4.6, 2.2]),
        *([6.2, 2.1], [7.9, 2.2], [0.4, 3.9], [1.9, 3.8], [3.3, 3.7], [4.8, 3.6], [6.4, 3.7], [7.8, 3.8], [6.4, 5.2]),
    ]
)
DISC = 0.15
RATES = np.random.default_rng(11).uniform(1.5e5, 4e5, len(JACKS))
PLATE = Plate(thickness=0.14, modulus=33e9, poissons_ratio=0.2, surface_density=350.0)
PRESSURE = 4200.0


@pytest.fixture(scope="module")
def model() -> SprungPlate:
    """A slanted L with an opening, about 40 m2 on 18 jacks."""
    space = PlateSpace(mesh_plan(PLAN, Sizes(0.8, 0.3)))
    K, M = stiffness(space, PLATE), mass(space, PLATE.surface_density)
    return SprungPlate(space, PLATE, K, M, JACKS, Sampler(space).discs(JACKS, DISC))


@pytest.fixture(scope="module")
def reference(model: SprungPlate) -> tuple[skfem.Basis, csr_matrix, csr_matrix, Floats, csr_matrix]:
    """Basis, stiffness, mass, load and jack rows made by scikit-fem."""
    mesh = skfem.MeshTri(model.space.mesh.vertices.T.copy(), model.space.mesh.triangles.T.copy())
    basis = skfem.Basis(mesh, skfem.ElementTriArgyris(), intorder=10)
    D, nu = PLATE.rigidity, PLATE.poissons_ratio

    @skfem.BilinearForm
    def bending(u, v, _):  # type: ignore[no-untyped-def]  # forms are called with scikit-fem's own field type
        H = dd(u)
        return D * ddot((1 - nu) * H + nu * eye(trace(H), 2), dd(v))

    @skfem.BilinearForm
    def inertia(u, v, _):  # type: ignore[no-untyped-def]
        return PLATE.surface_density * u * v

    @skfem.LinearForm
    def pressure(v, _):  # type: ignore[no-untyped-def]
        return PRESSURE * v

    rings, spokes = np.polynomial.legendre.leggauss(4), 24
    radius = DISC / 2 * np.sqrt((rings[0] + 1) / 2)  # equal areas: Gauss points in r²
    angle = 2 * np.pi * np.arange(spokes) / spokes
    offset = np.stack([np.outer(radius, np.cos(angle)).ravel(), np.outer(radius, np.sin(angle)).ravel()])
    weight = np.repeat(rings[1] / 2 / spokes, spokes)
    rows = [csr_matrix(weight @ basis.probes(jack[:, None] + offset)) for jack in JACKS]
    R = csr_matrix(np.vstack([row.toarray() for row in rows]))
    return basis, bending.assemble(basis), inertia.assemble(basis), pressure.assemble(basis), R


def test_jack_loads(
    model: SprungPlate, reference: tuple[skfem.Basis, csr_matrix, csr_matrix, Floats, csr_matrix]
) -> None:
    """1e-5 of the largest load: the same element on the same mesh; what differs is the rule over the discs."""
    _, K, _, f, R = reference
    u = spsolve((K + R.T @ csr_matrix(np.diag(RATES)) @ R).tocsc(), f)
    loads = RATES * (R @ u)
    load = pressure_load(model.space, PRESSURE)
    (ours,) = solve_states(model, load[:, None], RATES, np.zeros(len(JACKS)))
    assert loads.sum() == pytest.approx(PRESSURE * PLAN.area, rel=1e-6)
    np.testing.assert_allclose(ours.jack_load, loads, atol=1e-5 * loads.max())


def test_moments(
    model: SprungPlate, reference: tuple[skfem.Basis, csr_matrix, csr_matrix, Floats, csr_matrix]
) -> None:
    """Second derivatives at points inside triangles, 1e-4 of the largest moment, for the same reason."""
    basis, K, _, f, R = reference
    u = spsolve((K + R.T @ csr_matrix(np.diag(RATES)) @ R).tocsc(), f)
    (ours,) = solve_states(model, pressure_load(model.space, PRESSURE)[:, None], RATES, np.zeros(len(JACKS)))
    middles = model.space.mesh.corners.mean(axis=1)
    triple = moments(Sampler(model.space).points(middles), PLATE, ours.displacement)
    at_middles = skfem.Basis(
        basis.mesh, skfem.ElementTriArgyris(), quadrature=(np.full((2, 1), 1 / 3), np.array([0.5]))
    )
    H = at_middles.interpolate(u).hess[:, :, :, 0]
    nu, D = PLATE.poissons_ratio, PLATE.rigidity
    expected = -D * np.column_stack([H[0, 0] + nu * H[1, 1], H[1, 1] + nu * H[0, 0], (1 - nu) * H[0, 1]])
    np.testing.assert_allclose(triple, expected, atol=1e-4 * np.abs(expected).max())


def test_modes(
    model: SprungPlate, reference: tuple[skfem.Basis, csr_matrix, csr_matrix, Floats, csr_matrix]
) -> None:
    """Eight frequencies to 1e-6: the discs matter even less to them."""
    _, K, M, _, R = reference
    total = (K + R.T @ csr_matrix(np.diag(RATES)) @ R).tocsc()
    squares = np.sort(eigsh(total, k=8, M=M, sigma=0.0, return_eigenvectors=False))
    ours = solve_modes(model, RATES, 8)
    np.testing.assert_allclose(ours.frequencies, np.sqrt(squares) / (2 * np.pi), rtol=1e-6)
