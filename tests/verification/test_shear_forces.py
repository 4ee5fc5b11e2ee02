"""Shear forces: equilibrium, closed forms of books, order of convergence, and what the default mesh leaves."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from scipy.sparse.linalg import spsolve
from scipy.special import j1, keip, kerp
from shapely import box

from fem.bending import BendingField, cap_moves
from fem.concentrated import ConcentratedForces
from fem.mesh import Mesh
from fem.ordering import elimination_order
from fem.plate import Plate, mass, pressure_load, stiffness
from fem.sampling import Sampler
from fem.shear_operator import RADIUS, ShearOperator, principal_shear
from fem.solver import Factor
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from fem.statics import solve_states
from jackfield.pipeline import Solution, solve
from preprocess.floor import build_floor, floor_on
from preprocess.meshing import Sizes, mesh_plan
from preprocess.plan import re_entrant_corners
from preprocess.reader import read_case

Floats = NDArray[np.float64]
CASE = Path(__file__).parents[2] / "cases" / "weights-room"
NOWHERE = ConcentratedForces(np.zeros((0, 2)), np.zeros(0), np.zeros(0))


def around(centre: Floats, radius: float, count: int = 96) -> tuple[Floats, Floats]:
    """Points (count, 2) of a circle and their outward normals."""
    angle = 2 * np.pi * np.arange(count) / count
    normal = np.column_stack([np.cos(angle), np.sin(angle)])
    return centre + radius * normal, normal


def test_flux_around_a_jack_is_what_acts_inside(
    sprung_plate: Callable[..., SprungPlate], concrete_plate: Plate
) -> None:
    """∮ Q·n ds = −∫ q dA (Qx,x + Qy,y = −q): self-weight inside less the jack's load, round inner jacks and round
    places without any, at triangles of 0.45 m. 0.5 % of the largest jack load: found 0.2 %, from the mesh."""
    x, y = np.meshgrid(0.6 + 1.2 * np.arange(5), 0.5 + 1.0 * np.arange(4), indexing="ij")
    jacks = np.column_stack([x.ravel(), y.ravel()])
    model = sprung_plate(mesh_plan(box(0, 0, 6, 4), Sizes(0.45, 0.45)), concrete_plate, jacks)
    rates = np.random.default_rng(0).uniform(1e5, 5e5, len(jacks))
    weight = concrete_plate.surface_density * 9.80665
    load = pressure_load(model.space, weight)[:, None]
    factor = model.factor(rates)
    (state,) = solve_states(model, load, rates, np.zeros(len(jacks)), factor)
    edge = np.minimum(np.minimum(jacks[:, 0], 6 - jacks[:, 0]), np.minimum(jacks[:, 1], 4 - jacks[:, 1]))
    sampler = Sampler(model.space)
    forces = ConcentratedForces(jacks, np.full(len(jacks), 0.075), np.minimum(edge * (1 - 1e-9), 1.2))
    field = BendingField.from_displacement(
        sampler,
        concrete_plate,
        displacement=state.displacement[:, None],
        forces=forces,
        moves=cap_moves(sampler, forces, model.jacks.rows),
        magnitudes=-state.jack_load[:, None],
        factor=factor,
    )
    for radius in (0.15, 0.3, 0.45):
        for centre in (*jacks[[5, 6, 9, 10, 13, 14]], np.array([2.4, 2.0]), np.array([3.6, 1.0])):
            points, normal = around(centre, radius)
            Q = field.shear_forces(points)[:, :, 0]
            flux = 2 * np.pi * radius * np.mean(np.sum(Q * normal, axis=1))
            inside = np.hypot(*(jacks - centre).T) < radius
            expected = -(weight * np.pi * radius**2 - state.jack_load[inside].sum())
            assert flux == pytest.approx(expected, abs=0.005 * state.jack_load.max()), f"{centre} {radius}"


@pytest.mark.parametrize("nu", [0.0, 0.2])
def test_point_load_on_an_elastic_bed(nu: float, unit_plate: Callable[[float], Plate]) -> None:
    """D = k = P = 1: w = −kei(r)/(2π), ∇²w = −ker(r)/(2π), so Qr = ker′(r)/(2π) and Qt = 0, whatever ν. Timoshenko
    and Woinowsky-Krieger, 2nd ed. 1959, chapter 8.

    The load is a disc of radius b and the shear a mean over one of radius a: both means add radius²/8 of the Laplacian
    (that of ker is −kei) and leave radius⁴/192, so Qr = (ker′ − (a² + b²)/8 kei′)/(2π). Within 3 % at every point
    (found 2.1 %: triangles of ℓ/2) and 0.2 % on the mean round the circle (found 0.07 %), or 2e-4 P/ℓ far out, for
    the square of 16 ℓ that stands for infinity.
    """
    b = 0.1
    space = PlateSpace(mesh_plan(box(-8, -8, 8, 8), Sizes(0.5, 0.5, np.zeros((1, 2)), np.array([0.05]))))
    plate, sampler = unit_plate(nu), Sampler(space)
    disc = sampler.discs(np.zeros((1, 2)), 2 * b)
    matrix = (stiffness(space, plate) + mass(space, 1.0)).tocsr()
    factor = Factor(matrix, elimination_order(space, disc), lambda u: np.asarray(matrix @ u))
    forces = ConcentratedForces(np.zeros((1, 2)), np.array([b]), np.array([0.5]))
    field = BendingField.from_displacement(
        sampler,
        plate,
        displacement=factor.solve(disc.rows.toarray().T),
        forces=forces,
        moves=cap_moves(sampler, forces, disc.rows),
        magnitudes=np.ones((1, 1)),
        factor=factor,
    )
    for r in (0.2, 0.4, 0.7, 1.0, 1.5, 2.0, 3.0):
        points, normal = around(np.zeros(2), r, 24)
        Q = field.shear_forces(points)[:, :, 0]
        outwards, across = np.sum(Q * normal, axis=1), Q[:, 1] * normal[:, 0] - Q[:, 0] * normal[:, 1]
        a = min(RADIUS, r - b)
        exact = (kerp(r) - (a**2 + b**2) / 8 * keip(r)) / (2 * np.pi)
        allowed = 0.03 * abs(exact) + 2e-4
        np.testing.assert_allclose(outwards, exact, rtol=0, atol=allowed, err_msg=f"r {r}")
        np.testing.assert_allclose(across, 0, rtol=0, atol=allowed, err_msg=f"r {r}")
        assert outwards.mean() == pytest.approx(exact, abs=0.07 * allowed), f"r {r}"


def test_strip_on_two_lines_is_a_beam(
    rectangle_mesh: Callable[..., Mesh], unit_plate: Callable[[float], Plate]
) -> None:
    """A strip of 5 × 1 m with ν 0 under 1 N/m2 on lines at x = 1 and x = 4: Q = dM/dx = −x on the overhangs and
    2.5 − x between, statics alone; Qy = 0. The quintic holds the beam's quartics; 1e-6 is left for the penalty of
    1e7 N/m that stands for the lines."""
    space = PlateSpace(rectangle_mesh(5, 1, 10, 2))
    plate, sampler = unit_plate(0.0), Sampler(space)
    R = sampler.lines([np.array([[x, 0.0], [x, 1.0]]) for x in (1.0, 4.0)]).rows
    u = spsolve((stiffness(space, plate) + 1e7 * (R.T @ R)).tocsc(), pressure_load(space, 1.0))
    x, y = (part.ravel() for part in np.meshgrid([0.2, 0.7, 1.3, 2.5, 3.1, 3.8, 4.6, 5.0], [0.0, 0.02, 0.4, 1.0]))
    operator = ShearOperator.at(sampler, np.column_stack([x, y]), NOWHERE)
    Q = operator.forces(plate, u[:, None], np.zeros((0, 1)))[:, :, 0]
    exact = np.where(x < 1, -x, np.where(x < 4, 2.5 - x, 5 - x))
    np.testing.assert_allclose(Q, np.column_stack([exact, 0 * x]), atol=1e-6)


@pytest.mark.parametrize(("radius", "order", "last"), [(0.0, 2.5, 1e-2), (0.05, 3.5, 1e-3)])
def test_convergence_on_a_smooth_field(
    radius: float, order: float, last: float, rectangle_mesh: Callable[..., Mesh], unit_plate: Callable[[float], Plate]
) -> None:
    """w = cos πx cos 2πy interpolated: third derivatives err as h³ (Ciarlet 1978, theorem 6.1.1), means over discs
    at least as the curvatures on their rims, h⁴; half an order is left for meshes that are not yet in the limit.
    The last errors found, 0.004 and 0.0003, may be three times as large.

    ∇²w = −κ² w with κ² = 5π², so the exact mean over a disc of radius a is 2 J1(κa)/(κa) of the value in the middle.
    """
    kappa = np.pi * np.sqrt(5)
    mean = 2 * j1(kappa * radius) / (kappa * radius) if radius else 1.0
    xy = np.random.default_rng(2).uniform(0.06, 0.94, (400, 2))
    x, y = np.pi * xy[:, 0], 2 * np.pi * xy[:, 1]
    exact = -(kappa**2) * np.pi * mean * np.column_stack([np.sin(x) * np.cos(y), 2 * np.cos(x) * np.sin(y)])
    counts, errors = np.array([4, 6, 9, 13]), []
    for n in counts:
        space = PlateSpace(rectangle_mesh(1, 1, n, n))
        operator = ShearOperator.at(Sampler(space), xy, NOWHERE, radius)
        Q = operator.forces(unit_plate(0.3), interpolated(space)[:, None], np.zeros((0, 1)))[:, :, 0]
        errors.append(np.abs(Q - exact).max() / np.abs(exact).max())
    slope = np.polyfit(np.log(1 / counts), np.log(errors), 1)[0]
    assert slope > order
    assert errors[-1] < last


def interpolated(space: PlateSpace) -> Floats:
    """(unknowns,) nodal values of cos πx cos 2πy, scaled as the space has them."""
    mesh, h = space.mesh, space.mesh.vertex_sizes
    a, b = np.pi, 2 * np.pi

    def derivatives(xy: Floats) -> Floats:
        cx, sx, cy, sy = np.cos(a * xy[:, 0]), np.sin(a * xy[:, 0]), np.cos(b * xy[:, 1]), np.sin(b * xy[:, 1])
        values = [cx * cy, -a * sx * cy, -b * cx * sy, -a * a * cx * cy, a * b * sx * sy, -b * b * cx * cy]
        return np.column_stack(values)

    at_vertices = derivatives(mesh.vertices) * np.column_stack([h**0, h, h, h**2, h**2, h**2])
    ends = mesh.vertices[mesh.edges]
    along, slopes = ends[:, 1] - ends[:, 0], derivatives(ends.mean(axis=1))[:, 1:3]
    return np.concatenate([at_vertices.ravel(), -along[:, 1] * slopes[:, 0] + along[:, 0] * slopes[:, 1]])


@pytest.fixture(scope="module")
def default() -> Solution:
    return solve(build_floor(read_case(CASE)))


@pytest.fixture(scope="module")
def fine(default: Solution) -> Solution:
    """Every edge of the default mesh cut into three."""
    return solve(floor_on(default.floor.case, default.floor.model.space.mesh.refined(3)))


@pytest.fixture(scope="module")
def places(default: Solution) -> Floats:
    """(p, 2) random places, m, further than footprint/2 + 0.2 m from jacks and feet and 0.3 m from re-entrant corners,
    where thin-plate shear is singular."""
    plan, forces = default.floor.case.slab.plan, default.floor.concentrated
    corners = shapely.multipoints(re_entrant_corners(plan))
    low, high = np.reshape(plan.bounds, (2, 2))
    xy = np.random.default_rng(8).uniform(low, high, (6_000, 2))
    points = np.asarray(shapely.points(xy))
    keep = shapely.covers(plan, points) & (forces.clearance(xy) > 0.2)
    return np.asarray(xy[keep & (shapely.distance(points, corners) > 0.3)])


def errors(default: Solution, fine: Solution, xy: Floats, radius: float | None = None) -> Floats:
    """(p, 3) errors of the principal shear in each state, as shares of the largest there."""
    exact = principal_shear(fine.bending.shear_forces(xy))
    field = default.bending
    if radius is None:
        found = field.shear_forces(xy)
    else:
        found = field.shear_forces_by(ShearOperator.at(field.sampler, xy, field.forces, radius))
    return np.asarray(np.abs(principal_shear(found) - exact) / exact.max(axis=0))


def test_default_mesh_away_from_edges(default: Solution, fine: Solution, places: Floats) -> None:
    """More than 0.1 m (a thickness) from edges: 99 of 100 places within 2 % (found 0.7 %), those 0.6 m from re-entrant
    corners all within 4 % (found 1.8 %), and those 0.3 m from them within 15 %: found 4 %, and up to 11 % with places
    drawn otherwise, since a triangle of 0.3 m follows the singularity no better."""
    xy = places[default.floor.sampler.clearance(places) > 0.1]
    corners = shapely.multipoints(re_entrant_corners(default.floor.case.slab.plan))
    error = errors(default, fine, xy)
    assert np.quantile(error, 0.99, axis=0).max() < 0.02
    assert error[shapely.distance(shapely.points(xy), corners) > 0.6].max() < 0.04
    assert error.max() < 0.15


def test_default_mesh_edges_included(default: Solution, fine: Solution, places: Floats) -> None:
    """Within 0.1 m of edges there is no room for discs of full size, and thin-plate shear holds little there: 99 of 100
    of all places within 3 % (found 1.4 %), all within 30 % (found 22 %, beside an edge, where the third derivatives of
    one triangle speak alone); the largest shear within 1 % (found 0.3 %)."""
    error = errors(default, fine, places)
    assert np.quantile(error, 0.99, axis=0).max() < 0.03
    assert error.max() < 0.30
    largest = [principal_shear(s.bending.shear_forces(places)).max(axis=0) for s in (default, fine)]
    np.testing.assert_allclose(largest[0], largest[1], rtol=0.01)


def test_third_derivatives_alone_are_worse(default: Solution, fine: Solution, places: Floats) -> None:
    """Without discs one place in a hundred is off by more than 4 % (found 6 %), so it is they that are at work."""
    xy = places[default.floor.sampler.clearance(places) > 0.1]
    assert np.quantile(errors(default, fine, xy, radius=0.0), 0.99, axis=0).min() > 0.04
