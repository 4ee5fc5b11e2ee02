"""Scatter of jack loads and heave frequency: closed forms of a rigid slab, and new solutions of the full model."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import sparse

from fem.gravity import GRAVITY
from fem.load_scatter import LoadScatter
from fem.mesh import Mesh
from fem.modes import solve_modes
from fem.plate import Plate, pressure_load
from fem.quadrature import triangle_rule
from fem.rate_scatter import Coils
from fem.reduced_modes import ReducedModes
from fem.sampling import Sampler
from fem.scatter import FloorScatter, Generators, Varied
from fem.sprung_plate import SprungPlate
from fem.statics import solve_states
from fem.varied_thickness import reduced_thickness, thickness_forces
from jackfield.doubt import floor_doubt
from jackfield.pipeline import Solution, solve
from preprocess.case import Doubt
from preprocess.floor import build_floor
from preprocess.loads import PATTERNS
from preprocess.reader import read_case

Floats = NDArray[np.float64]
A, B, DENSITY = 7.2, 4.8, 2500.0
NOTHING = Doubt(400, 3, 0.0, 0.0, 0.0, 2.0, 0.0)


@pytest.fixture
def jack_xy() -> Floats:
    """6 × 4 jacks, symmetric about both axes."""
    x, y = np.meshgrid(0.35 + 1.3 * np.arange(6), 0.45 + 1.3 * np.arange(4), indexing="ij")
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


def none_of(jacks: int, modes: int) -> Varied:
    return Varied(np.zeros((jacks, 0)), np.zeros((0, modes, modes)), np.zeros((0, modes, modes)))


def rigid_scatter(model: SprungPlate, batch: float, single: float) -> FloorScatter:
    """The slab 10⁵ times stiffer than concrete on equal springs whose rates alone are uncertain."""
    stiff = replace(model.plate, modulus=model.plate.modulus * 1e5)
    rigid = replace(model, plate=stiff, stiffness=1e5 * model.stiffness)
    count = len(model.jack_xy)
    rates = np.full(count, 3e5)
    condensed = LoadScatter(rates, np.zeros((count, count)), np.ones(count), np.zeros(count))
    modes = ReducedModes.from_model(rigid, rates, count=6)
    number = np.arange(count)
    nothing = none_of(count, 6)
    coils = Coils(count, number, 0 * number, rates)
    return FloorScatter(
        loads=condensed,
        modes=modes,
        coils=coils,
        batch_deviation=batch,
        single_deviation=single,
        thickness=nothing,
        masses=nothing,
        least_mass=-np.inf,
    )


@pytest.mark.parametrize(("batch", "single"), [(0.0, 0.02), (0.02, 0.0)])
def test_heave_scatter_of_a_rigid_slab(model: SprungPlate, batch: float, single: float) -> None:
    """f ~ √Σk in heave, so σf/f = σk/(2k√N) for N springs that scatter one by one, and σk/(2k) for one batch (first
    order, closed form). The standard deviation of 4 000 samples is itself uncertain by 1/√(2·4000) = 1.1 %; the bound
    is four of these. At 2 % the second order is 10⁻³ of it."""
    scatter = rigid_scatter(model, batch, single)
    _, heave = scatter.answers(Generators.of(11).draw(4000, scatter.sizes))
    expected = batch / 2 + single / (2 * np.sqrt(len(model.jack_xy)))
    assert heave.std() / heave.mean() == pytest.approx(expected, rel=0.045)
    total = 3e5 * len(model.jack_xy)
    assert heave.mean() == pytest.approx(np.sqrt(total / (312.5 * A * B)) / (2 * np.pi), rel=1e-3)


def test_loads_of_scattered_rates_against_new_solutions(model: SprungPlate) -> None:
    """Exact for any rates and added loads: 1e-9 is rounding. Rates from a fifth to twice the nominal ones."""
    count = len(model.jack_xy)
    random = np.random.default_rng(5)
    rates, advance = random.uniform(2e5, 4e5, count), np.where(np.arange(count) == 3, 0.002, 0.0)
    even = pressure_load(model.space, 3000.0)
    foot = Sampler(model.space).pads(np.array([[2.0, 1.1]]), 0.1).rows.T @ np.array([5000.0])
    factor = model.factor(rates)
    fields = factor.solve(model.jacks.rows.T.toarray())
    (nominal,) = solve_states(model, even[:, None], rates, advance, factor)
    scatter = LoadScatter(rates, model.jacks.rows @ fields, nominal.jack_deflection, advance)
    other = rates * random.uniform(0.2, 2.0, (6, count))
    weight = random.uniform(-1, 1, 6)
    found = scatter.loads(other, np.outer(weight, fields.T @ foot))
    for sample, share, loads in zip(other, weight, found, strict=True):
        (state,) = solve_states(model, (even + share * foot)[:, None], sample, advance)
        np.testing.assert_allclose(loads, state.jack_load, atol=1e-9 * np.abs(loads).max(), rtol=0)


class Varying:
    """The slab with a thickness of its own in every triangle, put together by Gauss points: K = Bᵀ D B over points."""

    def __init__(self, model: SprungPlate, thickness: Floats) -> None:
        mesh, plate = model.space.mesh, model.plate
        rule, weight = triangle_rule(10)
        sides = mesh.corners[:, 1:] - mesh.corners[:, :1]
        xy = (mesh.corners[:, :1] + rule @ sides).reshape(-1, 2)
        points = Sampler(model.space).points(xy)
        area = (mesh.areas[:, None] * weight).ravel()
        h = np.repeat(thickness, len(weight))
        rigidity = area * plate.modulus * h**3 / (12 * (1 - plate.poissons_ratio**2))
        nu = plate.poissons_ratio
        energy = np.array([[1, nu, 0], [nu, 1, 0], [0, 0, 2 * (1 - nu)]])
        curvature = points.curvature_rows
        stiffness = sparse.csr_array(curvature.T @ sparse.kron(energy, sparse.diags_array(rigidity)) @ curvature)
        mass = sparse.csr_array(points.rows.T @ sparse.diags_array(area * h * DENSITY) @ points.rows)
        self.model = replace(model, stiffness=stiffness, mass=mass)
        self.weight = points.rows.T @ (area * h * DENSITY * GRAVITY)

    def loads(self, rates: Floats) -> Floats:
        """Jack loads by the assembled matrix alone: `Factor.solve` would refine towards the even thickness."""
        rows = self.model.jacks.rows
        matrix = sparse.csc_array(self.model.stiffness + rows.T @ sparse.diags_array(rates) @ rows)
        return np.asarray(rates * (rows @ sparse.linalg.spsolve(matrix, self.weight)))


def bumps(model: SprungPlate) -> Floats:
    """(t, 2) two smooth fields of thickness, up to 1 m."""
    x, y = model.space.mesh.corners.mean(axis=1).T
    return np.column_stack([np.cos(1.1 * x) * np.cos(0.9 * y + 0.4), np.sin(0.8 * x + 0.5 * y)])


def test_thickness_is_right_to_first_order(model: SprungPlate) -> None:
    """Jack loads and heave frequency against slabs of really varied thickness (each its own stiffness, weight, mass).
    What the first order leaves falls by four as the variation is halved (3.5 to 4.5: the third order is still seen),
    and at 4 % of the thickness is below 3 % of the change in loads."""
    rates = np.random.default_rng(2).uniform(2e5, 4e5, len(model.jack_xy))
    space, h = model.space, model.plate.thickness
    fields = bumps(model) @ np.array([1.0, -0.7])
    even = Varying(model, np.full(len(space.mesh.areas), h))
    nominal = even.loads(rates)
    factor = model.factor(rates)
    (state,) = solve_states(model, even.weight[:, None], rates, 0 * rates, factor)
    np.testing.assert_allclose(nominal, state.jack_load, rtol=1e-7)  # two assemblies of one slab: rounding of K
    forces = thickness_forces(space, model.plate, state.displacement, DENSITY * GRAVITY) @ fields
    slope = rates * (model.jacks.rows @ factor.solve_once(forces))
    errors = []
    for size in (0.005, 0.0025):
        change = Varying(model, h + size * fields).loads(rates) - nominal
        errors.append(np.abs(change - size * slope).max())
    assert errors[0] < 0.03 * np.abs(0.005 * slope).max()
    assert 3.5 < errors[0] / errors[1] < 4.5


def test_frequency_of_a_varied_thickness(model: SprungPlate) -> None:
    """The heave frequency in the basis of sixteen modes against the modes of the varied slab. Of the change, 2 % are
    left: second order, as above, and modes outside the basis."""
    rates = np.full(len(model.jack_xy), 3e5)
    fields = bumps(model)[:, :1] + 0.5
    basis = ReducedModes.from_model(model, rates)
    stiffness, mass = reduced_thickness(model.space, model.plate, DENSITY, basis.shapes, 0.005 * fields)
    found = float(basis.heave_frequency(rates, stiffness[0], mass[0]))
    varied = Varying(model, 0.125 + 0.005 * fields[:, 0]).model
    matrix = varied.stiffness + model.jacks.rows.T @ sparse.diags_array(rates) @ model.jacks.rows
    squares, shapes = sparse.linalg.eigsh(sparse.csc_array(matrix), k=4, M=sparse.csc_array(varied.mass), sigma=0.0)
    heave = np.argmax((shapes.T @ varied.mass @ model.space.rigid_motions()[:, 0]) ** 2)
    expected = np.sqrt(squares[heave]) / (2 * np.pi)
    nominal = float(basis.heave_frequency(rates))
    assert abs(expected - nominal) > 1e-3 * nominal
    assert found - nominal == pytest.approx(expected - nominal, rel=0.02)


def test_reduced_frequencies_of_scattered_rates(model: SprungPlate) -> None:
    """Sixteen modes as a basis against the modes of the full model, rates ±10 %: 10⁻⁴, an eighth of the scatter that
    the rates of single springs cause."""
    random = np.random.default_rng(8)
    rates = np.full(len(model.jack_xy), 3e5)
    basis = ReducedModes.from_model(model, rates)
    for _ in range(3):
        other = rates * random.uniform(0.9, 1.1, len(rates))
        full = solve_modes(model, other, 6)
        assert float(basis.heave_frequency(other)) == pytest.approx(full.frequencies[full.heave_mode], rel=1e-4)


@pytest.fixture
def solution(small_case: Path) -> Solution:
    return solve(build_floor(read_case(small_case)))


def test_statistics_of_the_small_case_against_new_solutions(solution: Solution) -> None:
    """Hundred samples of rates (nested pairs too) and masses, each solved anew by the full model: mean and percentiles
    of every jack to 1e-9, rounding; numbers of samples outside the band to the last one."""
    settings = replace(NOTHING, samples=100, rate_tolerance=0.3, batch_share=0.5, mass_deviation=0.2)
    doubt = floor_doubt(solution, settings)
    floor, case = solution.floor, solution.floor.case
    codes = [(j, code) for j, spring in enumerate(case.jacks.springs) for code in spring.parts]
    kinds = list(dict.fromkeys(code for _, code in codes))
    assert len(kinds) == 2  # A7 and B2: the pair has no batch of its own
    draws = Generators.of(3).draw(100, (2, len(codes), 1, 2))  # each source has its stream, whatever the others take
    part = 0.15 * np.sqrt(0.5)
    loads = np.zeros((100, len(case.jacks)))
    rack = floor.feet.rows.T @ floor.foot_forces
    platform = floor.patterns[:, PATTERNS.index("equipment")] - rack
    service = floor.state_loads()[:, 1]
    for s in range(100):
        rates = np.zeros(len(case.jacks))
        for q, (j, code) in enumerate(codes):
            off = part * (draws.batch[s, kinds.index(code)] + draws.single[s, q])
            rates[j] += case.catalogue[code].rate * (1 + off)
        load = service + 0.2 * (draws.masses[s, 0] * rack + draws.masses[s, 1] * platform)
        (state,) = solve_states(floor.model, load[:, None], rates, case.jacks.advance, refined=False)
        loads[s] = state.jack_load
    np.testing.assert_allclose(doubt.jacks.mean, loads.mean(axis=0), rtol=1e-9)
    np.testing.assert_allclose(doubt.jacks.low, np.percentile(loads, 5, axis=0), rtol=1e-9)
    np.testing.assert_allclose(doubt.jacks.high, np.percentile(loads, 95, axis=0), rtol=1e-9)
    ratio = loads / case.jacks.rated_loads
    low, high = case.target.load_ratio
    np.testing.assert_array_equal(doubt.jacks.over, (ratio > high).sum(axis=0))
    np.testing.assert_array_equal(doubt.jacks.under, (ratio < low).sum(axis=0))
    assert doubt.any_leaves.count == int(((ratio > high) | (ratio < low)).any(axis=1).sum())


def test_percentiles_of_a_linear_law_are_normal(solution: Solution) -> None:
    """Masses alone act linearly, so jack loads are normal: 5th and 95th percentile at 1.645 standard deviations (normal
    law, handbook tables), which follow from each piece of equipment solved alone. A percentile of 4 000 samples is
    uncertain by √(0.05·0.95/4000)/0.103 = 3.3 % of the standard deviation; the bound is four and a half of these."""
    doubt = floor_doubt(solution, replace(NOTHING, samples=4000, mass_deviation=0.1))
    floor, jacks = solution.floor, solution.floor.case.jacks
    rack = floor.feet.rows.T @ floor.foot_forces
    pieces = np.column_stack([rack, floor.patterns[:, PATTERNS.index("equipment")] - rack])
    alone = solve_states(floor.model, pieces, jacks.rates, 0 * jacks.rates)
    deviation = 0.1 * np.sqrt(sum(state.jack_load**2 for state in alone))
    nominal = solution.states["service"].jack_load
    touched = deviation > 1e-3 * nominal
    assert touched.sum() > 10
    for percentile, side in ((doubt.jacks.low, -1.6449), (doubt.jacks.high, 1.6449)):
        off = ((percentile - nominal) / deviation)[touched]
        np.testing.assert_allclose(off, side, atol=0.15)


def test_thickness_that_varies_as_a_whole(solution: Solution) -> None:
    """A thickness that is off by the same everywhere (correlation over 100 m) with σ/h = 4 %: all jacks move together,
    so their spreads from 5th to 95th percentile add up to that of the slab's weight, 2 · 1.645 σ/h of it; heave goes
    with 1/√M, so σf/f = σ/(2h) · M_slab/M. Sampling leaves 1.4 % and 1.1 % (one standard error), bounds four times
    that; bending of the slab, which stiffens with h³, is a part of the rest."""
    settings = replace(NOTHING, samples=4000, thickness_deviation=0.005, thickness_correlation=100.0)
    doubt = floor_doubt(solution, settings)
    floor = solution.floor
    weight = floor.resultants[0, PATTERNS.index("self-weight")]
    spread = (doubt.jacks.high - doubt.jacks.low).sum()
    assert spread == pytest.approx(2 * 1.6449 * 0.04 * weight, rel=0.055)
    total = (floor.resultants[0] @ np.array([1, 1, 1, 1, 0])) / GRAVITY
    expected = 0.02 * (weight / GRAVITY) / total
    assert doubt.frequency.deviation / doubt.frequency.mean == pytest.approx(expected, rel=0.045)
