"""A spring out of service: loads and moments against a new solution with that rate at zero."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import sparse
from shapely import box

from fem.bending import BendingField, cap_moves
from fem.concentrated import ConcentratedForces
from fem.mesh import Mesh
from fem.outage import Outages, SolvedFloor
from fem.plate import Plate, pressure_load
from fem.sampling import Sampler
from fem.sprung_plate import SprungPlate
from fem.statics import StaticResult, solve_states
from jackfield.doubt import floor_doubt
from jackfield.pipeline import solve
from postprocess.doubt.places import KeyPlaces
from postprocess.key_moments import KeyMoments, key_moments
from preprocess.case import Doubt
from preprocess.floor import build_floor, floor_on
from preprocess.reader import read_case

Floats = NDArray[np.float64]
A, B, STRIP = 7.2, 4.8, 0.275
PLAN = box(0, 0, A, B)
ADVANCE = 0.002


class Slab:
    """7.2 × 4.8 m of concrete under an even load, and under that and a force on one foot, on 6 × 4 uneven springs."""

    def __init__(self, model: SprungPlate, jack_xy: Floats) -> None:
        self.model, self.xy = model, jack_xy
        self.sampler = Sampler(model.space)
        foot = np.array([[2.5, 2.2]])
        self.foot = self.sampler.pads(foot, 0.1)
        xy = np.vstack([jack_xy, foot])
        clearance = np.minimum.reduce([xy[:, 0], A - xy[:, 0], xy[:, 1], B - xy[:, 1]])
        radius = np.append(np.full(len(jack_xy), 0.075), 0.1 / np.sqrt(3))
        self.forces = ConcentratedForces(xy, radius, np.minimum(clearance * (1 - 1e-9), 1.2))
        rows = np.vstack([model.jacks.rows.toarray(), self.foot.rows.toarray()])
        self.moves = cap_moves(self.sampler, self.forces, sparse.csr_array(rows))
        even = pressure_load(model.space, 3000.0)
        self.loads = np.column_stack([even, even + self.foot.rows.T @ np.array([6000.0])])
        self.advance = np.where(np.arange(len(jack_xy)) == 7, ADVANCE, 0.0)

    def solved(self, rates: Floats) -> tuple[list[StaticResult], BendingField]:
        """Both states on springs of `rates`, by a factorisation of their own."""
        factor = self.model.factor(rates)
        states = list(solve_states(self.model, self.loads, rates, self.advance, factor))
        loads = np.column_stack([state.jack_load for state in states])
        field = BendingField.from_displacement(
            self.sampler,
            self.model.plate,
            displacement=np.column_stack([state.displacement for state in states]),
            forces=self.forces,
            moves=self.moves,
            magnitudes=np.vstack([-loads, [[0.0, 6000.0]]]),
            factor=factor,
        )
        return states, field

    def key_moments(self, field: BendingField) -> tuple[KeyMoments, ...]:
        return key_moments(field, plan=PLAN, jack_xy=self.xy, strip=STRIP, corners=np.zeros((0, 2)))

    def places(self) -> KeyPlaces:
        return KeyPlaces.of(
            self.sampler,
            self.forces,
            self.model.plate.poissons_ratio,
            plan=PLAN,
            jack_xy=self.xy,
            strip=STRIP,
            corners=np.zeros((0, 2)),
        )

    def outages(self, rates: Floats, places: KeyPlaces) -> Outages:
        """Every spring out in turn, from one factorisation."""
        states, field = self.solved(rates)
        factor, rows = self.model.factor(rates), self.model.jacks.rows
        solved = SolvedFloor(
            rates=rates,
            deflection=np.column_stack([state.jack_deflection for state in states]),
            loads=np.column_stack([state.jack_load for state in states]),
            rows=rows,
            factor=factor,
            bending=field,
            moves=self.moves,
            operator=places.operator,
            moments=field.moments_by(places.operator),
        )
        return solved.without_each(np.arange(len(rates)), factor.solve(rows.T.toarray()))


@pytest.fixture
def slab(
    rectangle_mesh: Callable[..., Mesh], sprung_plate: Callable[..., SprungPlate], concrete_plate: Plate
) -> Slab:
    x, y = np.meshgrid(0.3 + 1.3 * np.arange(6), 0.4 + 1.3 * np.arange(4), indexing="ij")
    xy = np.column_stack([x.ravel(), y.ravel()])
    return Slab(sprung_plate(rectangle_mesh(A, B, 9, 6), concrete_plate, xy), xy)


def test_every_loss_against_a_new_solution(slab: Slab) -> None:
    """Loads, deflections and moments with peaks, of both states, for all 24 springs. The rank-one formula is exact:
    1e-9 is what the rounding of a slab of 1 500 unknowns leaves, of the largest value."""
    rates = np.random.default_rng(3).uniform(1e5, 5e5, len(slab.xy))
    places = slab.places()
    out = slab.outages(rates, places)
    governing = places.governing(out.moments)
    assert out.held.all()
    for j in range(len(rates)):
        states, field = slab.solved(np.where(np.arange(len(rates)) == j, 0.0, rates))
        for s, (state, key) in enumerate(zip(states, slab.key_moments(field), strict=True)):
            load, w = state.jack_load, state.jack_deflection
            np.testing.assert_allclose(out.loads[:, j, s], load, atol=1e-9 * np.abs(load).max(), rtol=0)
            np.testing.assert_allclose(out.deflection[:, j, s], w, atol=1e-9 * np.abs(w).max(), rtol=0)
            strips = governing[: 2 * len(rates), j, s].reshape(2, -1).T
            np.testing.assert_allclose(strips, key.at_jacks, atol=1e-9 * key.largest, rtol=0)
            spans = out.moments[2 * len(rates) :, :, j, s]
            np.testing.assert_allclose(spans, key.in_spans, atol=1e-9 * key.largest, rtol=0)
            assert np.abs(governing[:, j, s]).max() == pytest.approx(key.largest, rel=1e-9)


def test_four_jacks_of_a_rigid_square_in_closed_form(
    rectangle_mesh: Callable[..., Mesh], sprung_plate: Callable[..., SprungPlate]
) -> None:
    """A rigid square slab on equal springs k at its corners' places, weight W in the middle: without one spring the
    load goes to the two neighbours, W/2 each, and none to the opposite one (moment about the diagonal of the
    neighbours). They sink by W/2k, the opposite one by 0, so the free corner by W/k: it was at W/4k, and settles by
    3W/4k. The slab is 10⁶ times stiffer than concrete: its bending is below 10⁻⁴ of the motion."""
    xy = np.array([[0.5, 0.5], [3.5, 0.5], [3.5, 3.5], [0.5, 3.5]])
    plate = Plate(thickness=0.125, modulus=33.3e15, poissons_ratio=0.2, surface_density=312.5)
    out = _plain_outages(sprung_plate(rectangle_mesh(4.0, 4.0, 4, 4), plate, xy), 2e5, 3000.0)
    weight = 3000.0 * 16
    assert out.settlement[0, 0] == pytest.approx(0.75 * weight / 2e5, rel=1e-4)
    np.testing.assert_allclose(out.loads[:, 0, 0] / weight, [0.0, 0.5, 0.0, 0.5], atol=1e-4)


def test_three_jacks_do_not_hold_without_one(
    rectangle_mesh: Callable[..., Mesh], sprung_plate: Callable[..., SprungPlate], concrete_plate: Plate
) -> None:
    """Two springs cannot hold a slab: that is said, and no number comes out; a fourth spring holds it again."""
    xy = np.array([[0.5, 0.5], [3.5, 0.5], [2.0, 3.5]])
    mesh = rectangle_mesh(4.0, 4.0, 4, 4)
    out = _plain_outages(sprung_plate(mesh, concrete_plate, xy), 2e5, 3000.0)
    assert not out.held.any()
    assert np.isfinite(out.loads).all()
    assert not out.settlement.any()
    four = np.vstack([xy, [[2.0, 1.0]]])
    assert _plain_outages(sprung_plate(mesh, concrete_plate, four), 2e5, 3000.0).held.all()


def test_loads_stay_in_equilibrium(slab: Slab) -> None:
    """Whatever spring is lost, the others carry the same weight about the same point; 1e-9 as above."""
    rates = np.full(len(slab.xy), 3e5)
    out = slab.outages(rates, slab.places())
    before = np.column_stack([state.jack_load for state in slab.solved(rates)[0]])
    arms = np.column_stack([np.ones(len(rates)), slab.xy])
    expected = np.broadcast_to((arms.T @ before)[:, None], (3, len(rates), 2))
    np.testing.assert_allclose(np.einsum("na,nfs->afs", arms, out.loads), expected, rtol=1e-9)


def test_u_shaped_floor_against_a_new_solution() -> None:
    """The demo floor through the bridge: three losses, among them those that settle and bend it most, solved anew
    with that rate at zero. One pass of the factor without refinement leaves 1e-9 at 9 200 unknowns."""
    case = read_case(Path(__file__).parents[2] / "cases" / "weights-room")
    solution = solve(build_floor(case))
    failures = floor_doubt(solution, Doubt(100, 1, 0.1, 0.5, 0.005, 2.0, 0.1)).failures
    worst = {failures.worst("service", what) for what in ("settlement", "ratio", "moment")} | {36}
    for row in worst:
        assert row is not None
        rates = np.where(np.arange(len(case.jacks)) == row, 0.0, case.jacks.rates)
        weak = tuple(replace(spring, rate=rate) for spring, rate in zip(case.jacks.springs, rates, strict=True))
        without = replace(case, jacks=replace(case.jacks, springs=weak))
        other = solve(floor_on(without, solution.floor.model.space.mesh), modes=1)
        for name, found in failures.states.items():
            state, before = other.states[name], solution.states[name]
            ratio = state.jack_load / case.jacks.rated_loads
            settled = state.jack_deflection[row] - before.jack_deflection[row]
            increase = state.jack_load - before.jack_load
            assert found.settlement[row] == pytest.approx(settled, rel=1e-9)
            assert found.loaded[row] == np.argmax(ratio)
            assert found.ratio[row] == pytest.approx(ratio.max(), rel=1e-9)
            assert found.neighbour[row] == np.argmax(increase)
            assert found.increase[row] == pytest.approx(increase.max(), rel=1e-8)  # a difference of greater loads
            assert abs(found.moment[row]) == pytest.approx(other.moments[name].largest, rel=1e-9)


def _plain_outages(model: SprungPlate, rate: float, pressure: float) -> Outages:
    """Each of the equal springs out in turn, without forces on caps."""
    xy, sampler = model.jack_xy, Sampler(model.space)
    rates, rows = np.full(len(xy), rate), model.jacks.rows
    forces = ConcentratedForces(xy, np.full(len(xy), 0.075), np.zeros(len(xy)))
    moves = cap_moves(sampler, forces, rows)
    factor = model.factor(rates)
    (state,) = solve_states(model, pressure_load(model.space, pressure)[:, None], rates, 0 * rates, factor)
    field = BendingField(sampler, model.plate, state.displacement[:, None], forces, -state.jack_load[:, None])
    places = KeyPlaces.of(
        sampler,
        forces,
        model.plate.poissons_ratio,
        plan=box(0, 0, 4, 4),
        jack_xy=xy,
        strip=STRIP,
        corners=np.zeros((0, 2)),
    )
    solved = SolvedFloor(
        rates=rates,
        deflection=state.jack_deflection[:, None],
        loads=state.jack_load[:, None],
        rows=rows,
        factor=factor,
        bending=field,
        moves=moves,
        operator=places.operator,
        moments=field.moments_by(places.operator),
    )
    return solved.without_each(np.arange(len(xy)), factor.solve(rows.T.toarray()))
