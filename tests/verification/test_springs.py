"""Slabs on springs against closed forms, and the condensed floor against the full model."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import Polygon

from fem.condensed import CondensedFloor
from fem.mesh import Mesh
from fem.modes import solve_modes
from fem.moments import moments
from fem.plate import Plate, pressure_load
from fem.sampling import Sampler
from fem.sprung_plate import SprungPlate
from fem.statics import equilibrium_error, solve_states
from preprocess.meshing import Sizes, mesh_plan

Floats = NDArray[np.float64]
A, B = 7.2, 4.8


@pytest.fixture
def jack_xy() -> Floats:
    """6 × 4 jacks at 1.3 m, a little off the middle so that nothing is symmetric."""
    x, y = np.meshgrid(0.3 + 1.3 * np.arange(6), 0.4 + 1.3 * np.arange(4), indexing="ij")
    return np.column_stack([x.ravel(), y.ravel()])


@pytest.fixture
def model(
    rectangle_mesh: Callable[..., Mesh],
    sprung_plate: Callable[..., SprungPlate],
    concrete_plate: Plate,
    jack_xy: Floats,
) -> SprungPlate:
    """7.2 × 4.8 m of 125 mm concrete."""
    return sprung_plate(rectangle_mesh(A, B, 9, 6), concrete_plate, jack_xy)


def uneven(count: int, seed: int = 3) -> Floats:
    """Rates between 100 and 500 kN/m."""
    return np.random.default_rng(seed).uniform(1e5, 5e5, count)


def closed_form_loads(jack_xy: Floats, rates: Floats, force: float, at: Floats) -> Floats:
    """Rigid slab: w = a + b x + c y from three equations of equilibrium; F_j = k_j w(x_j, y_j)."""
    plane = np.column_stack([np.ones(len(jack_xy)), jack_xy])
    coefficients = np.linalg.solve(plane.T @ (rates[:, None] * plane), force * np.array([1.0, *at]))
    return rates * (plane @ coefficients)


def test_rigid_slab_loads(model: SprungPlate, jack_xy: Floats) -> None:
    """A plate 10⁵ times stiffer follows the rigid slab to 10⁻⁴: its own bending is smaller by that factor."""
    stiff = replace(model.plate, modulus=model.plate.modulus * 1e5)
    rigid = replace(model, plate=stiff, stiffness=1e5 * model.stiffness)
    rates = uneven(len(jack_xy))
    load = pressure_load(model.space, 3000.0)
    (result,) = solve_states(rigid, load[:, None], rates, np.zeros(len(rates)))
    expected = closed_form_loads(jack_xy, rates, 3000 * A * B, np.array([A / 2, B / 2]))
    np.testing.assert_allclose(result.jack_load, expected, rtol=1e-4)


def test_rigid_slab_frequencies(model: SprungPlate, jack_xy: Floats) -> None:
    """Three rigid frequencies from the 3 × 3 problem of a rigid slab; 10⁻⁴ as above. Shares: each sums to 1."""
    stiff = replace(model.plate, modulus=model.plate.modulus * 1e5)
    rigid = replace(model, plate=stiff, stiffness=1e5 * model.stiffness)
    rates = uneven(len(jack_xy))
    result = solve_modes(rigid, rates, 4)
    mass = model.plate.surface_density * A * B
    inertia = np.sqrt(np.array([mass, mass * A**2 / 12, mass * B**2 / 12]))
    plane = np.column_stack([np.ones(len(jack_xy)), jack_xy - [A / 2, B / 2]]) / inertia
    squares = np.linalg.eigvalsh(plane.T @ (rates[:, None] * plane))
    np.testing.assert_allclose(result.frequencies[:3], np.sqrt(squares) / (2 * np.pi), rtol=1e-4)
    for share in (result.heave, result.rock_x, result.rock_y):
        assert share[:3].sum() == pytest.approx(1, abs=1e-4)
        assert share[3] < 1e-4


def test_rocking_of_a_lopsided_rigid_slab(
    sprung_plate: Callable[..., SprungPlate], concrete_plate: Plate
) -> None:
    """Each of the three rigid modes of a rigid slab moves all of the mass: heave + rocking about any axis = 1. On an
    L the two axes are not principal ones, so rocking about x and about y add up to something else. 10⁻⁴ as above."""
    plan = Polygon([(0, 0), (8, 0), (8, 1.5), (1.5, 1.5), (1.5, 6), (0, 6)])
    jacks = np.array([[0.4, 0.4], [3, 0.6], [7.6, 0.8], [0.5, 3], [0.9, 5.6]])
    model = sprung_plate(mesh_plan(plan, Sizes(0.8, 0.4)), concrete_plate, jacks)
    stiff = replace(model.plate, modulus=model.plate.modulus * 1e5)
    rigid = replace(model, plate=stiff, stiffness=1e5 * model.stiffness)
    result = solve_modes(rigid, uneven(5), 3)
    np.testing.assert_allclose(result.heave + result.rock, 1, atol=1e-4)
    assert np.abs(result.rock_x + result.rock_y - result.rock).max() > 0.1
    np.testing.assert_allclose([result.rock_x.sum(), result.rock_y.sum(), result.rock.sum()], [1, 1, 2], atol=1e-4)


def test_rock_x_turns_about_the_x_axis(model: SprungPlate, jack_xy: Floats) -> None:
    """Springs only along two lines y = const near the middle make the rotation about x the softest motion."""
    rates = np.where(np.isin(np.round(jack_xy[:, 1], 3), [1.7, 3.0]), 3e5, 1.0)
    result = solve_modes(model, rates, 3)
    assert result.kinds[0] == "rocking about x"
    assert result.rock_x[0] > 0.9


def test_removing_a_spring(model: SprungPlate, jack_xy: Floats) -> None:
    """w′ = w + c_j F_j/(1 − k_j C_jj) for a linear system that loses spring j (Sherman-Morrison, 1950); rounding."""
    rates, none = uneven(len(jack_xy)), np.zeros(len(jack_xy))
    load = pressure_load(model.space, 3000.0)[:, None]
    floor = CondensedFloor.from_model(model, load, rates)
    (before,) = solve_states(model, load, rates, none)
    for j in (0, 9, 23):
        c = floor.flexibility[:, j]
        expected = before.jack_deflection + c * before.jack_load[j] / (1 - rates[j] * c[j])
        without = np.where(np.arange(len(rates)) == j, 0.0, rates)
        (after,) = solve_states(model, load, without, none)
        np.testing.assert_allclose(after.jack_deflection, expected, rtol=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_condensed_floor_is_exact(model: SprungPlate, jack_xy: Floats, seed: int) -> None:
    """Random springs (some taken away, some a hundred times stiffer), advances and combinations: 1e-9 of the largest
    jack load, the fields to the same share of the largest deflection."""
    random = np.random.default_rng(seed)
    n = len(jack_xy)
    sampler = Sampler(model.space)
    pads = sampler.pads(np.array([[1.0, 1.1], [5.2, 3.0]]), 0.1)
    patterns = np.column_stack([pressure_load(model.space, 3000.0), pads.rows.T @ np.array([8e3, 5e3])])
    rates = uneven(n, seed) * random.choice([0.0, 1.0, 1.0, 1.0, 100.0], n)
    advance = random.normal(0, 0.004, n)
    factors = random.uniform(0, 2, (2, 3))
    floor = CondensedFloor.from_model(model, patterns, np.full(n, 2.5e5))
    answer = floor.solve(rates, factors, advance)
    fields = floor.fields(rates, factors, advance)
    for c, full in enumerate(solve_states(model, patterns @ factors, rates, advance)):
        largest = np.abs(full.jack_load).max()
        assert np.abs(answer.load[:, c] - full.jack_load).max() < 1e-9 * largest
        w = np.abs(full.displacement).max()
        assert np.abs(fields[:, c] - full.displacement).max() < 1e-9 * w
    single = floor.solve(rates, factors[:, 0], advance)
    np.testing.assert_array_equal(single.load.shape, (n,))
    np.testing.assert_allclose(single.load, answer.load[:, 0], rtol=1e-12, atol=1e-12 * largest)


def test_advance_loads_a_jack(model: SprungPlate, jack_xy: Floats) -> None:
    """load = rate × (deflection + advance), and equal advances everywhere only raise the slab by that advance."""
    rates, load = uneven(len(jack_xy)), pressure_load(model.space, 3000.0)[:, None]
    (flat,) = solve_states(model, load, rates, np.zeros(len(rates)))
    (raised,) = solve_states(model, load, rates, np.full(len(rates), 0.006))
    np.testing.assert_allclose(raised.jack_load, flat.jack_load, rtol=1e-9)
    np.testing.assert_allclose(raised.jack_deflection, flat.jack_deflection - 0.006, rtol=1e-9, atol=1e-15)
    one = np.where(np.arange(len(rates)) == 9, 0.004, 0.0)
    (turned,) = solve_states(model, load, rates, one)
    np.testing.assert_allclose(turned.jack_load, rates * (turned.jack_deflection + one), rtol=1e-12)
    assert turned.jack_load[9] > flat.jack_load[9]


def test_rigid_motions_give_no_moments(model: SprungPlate) -> None:
    """Tilting and raising a slab by metres bends it by nothing: rounding of 1 m over a 0.8 m triangle times D."""
    u = model.space.rigid_motions() @ np.array([1.3, -0.7, 0.4])
    points = Sampler(model.space).points(np.random.default_rng(5).uniform(0, [A, B], (80, 2)))
    assert np.abs(moments(points, model.plate, u)).max() < 1e-12 * model.plate.rigidity * 100


def test_mirrored_floor(
    rectangle_mesh: Callable[..., Mesh],
    sprung_plate: Callable[..., SprungPlate],
    concrete_plate: Plate,
    model: SprungPlate,
    jack_xy: Floats,
) -> None:
    """x → A − x of mesh, jacks, springs and load mirrors loads and moments; Mxy changes its sign. Rounding."""
    mesh = model.space.mesh
    flipped = Mesh.from_arrays(mesh.vertices * [-1, 1] + [A, 0], mesh.triangles)
    mirror = sprung_plate(flipped, concrete_plate, jack_xy * [-1, 1] + [A, 0])
    rates, none = uneven(len(jack_xy)), np.zeros(len(jack_xy))
    place = np.array([[1.1, 3.0], [5.0, 0.9], [6.1, 4.1]])
    pad = np.array([[2.0, 3.7]])
    results = []
    for floor, turn in ((model, lambda p: p), (mirror, lambda p: p * [-1, 1] + [A, 0])):
        sampler = Sampler(floor.space)
        load = pressure_load(floor.space, 3000.0) + 2e4 * sampler.pads(turn(pad), 0.1).rows.toarray()[0]
        (result,) = solve_states(floor, load[:, None], rates, none)
        results.append((result.jack_load, moments(sampler.points(turn(place)), concrete_plate, result.displacement)))
    (load, triple), (load_m, triple_m) = results
    np.testing.assert_allclose(load_m, load, rtol=1e-9)
    np.testing.assert_allclose(triple_m, triple * [1, 1, -1], rtol=1e-6, atol=1e-6 * np.abs(triple).max())


def test_equilibrium_on_a_mesh_of_60_000_unknowns(
    rectangle_mesh: Callable[..., Mesh],
    sprung_plate: Callable[..., SprungPlate],
    concrete_plate: Plate,
    jack_xy: Floats,
) -> None:
    """Force and both moments balance to 1e-9 of the load where triangles are small against the slab."""
    model = sprung_plate(rectangle_mesh(A, B, 101, 67), concrete_plate, jack_xy)
    assert model.space.unknowns > 60_000
    area = 3000.0 * A * B
    rates = uneven(len(jack_xy))
    (result,) = solve_states(model, pressure_load(model.space, 3000.0)[:, None], rates, np.zeros(len(rates)))
    resultant = area * np.array([1.0, A / 2, B / 2])
    assert equilibrium_error(resultant, jack_xy, result.jack_load) < 1e-9
    off = resultant * np.array([1.0, 1.0 + 1e-6, 1.0])
    assert equilibrium_error(off, jack_xy, result.jack_load) > 1e-7, "a moment that is off by a millionth is seen"
