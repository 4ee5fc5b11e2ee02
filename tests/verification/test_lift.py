"""The lift against closed forms, the linear floor, full-model solutions and a general minimiser of energy."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import nnls

from fem.bending import BendingField, cap_moves
from fem.concentrated import ConcentratedForces
from fem.condensed import CondensedFloor
from fem.lift import SOLID_STIFFNESS, Lifter, LiftModel, LiftPath
from fem.lift_bending import LiftBending
from fem.moment_operator import MomentOperator
from fem.plate import Plate, internal_forces
from fem.sampling import Footprints
from fem.solver import Factor
from fem.sprung_plate import SprungPlate
from fem.statics import solve_states
from jackfield.lifting import LiftDesk, lift_desk
from preprocess.floor import build_floor
from preprocess.reader import read_case
from tests.unit.lift_cases import (
    CONCRETE,
    GRID,
    SHEET,
    Equilibrium,
    SlabOnFloor,
    criss_cross,
    end_of,
    least_energy,
    lift,
    rounds,
)

Floats = NDArray[np.float64]
RIGID = Plate(CONCRETE.thickness, 1e5 * CONCRETE.modulus, CONCRETE.poissons_ratio, CONCRETE.surface_density)
SQUARE = [(x, y) for y in (0.4, 1.2, 2.0) for x in (0.4, 1.5, 2.6)]
PITCH = 0.003


@pytest.fixture(scope="module")
def slab() -> SlabOnFloor:
    """3 × 2.4 m on six jacks and 20 cells."""
    return SlabOnFloor.on(criss_cross(3.0, 2.4, 4, 3), GRID)


@pytest.fixture(scope="module")
def rigid() -> SlabOnFloor:
    """The same outline on nine jacks in rows, 10⁵ times stiffer."""
    return SlabOnFloor.on(criss_cross(3.0, 2.4, 4, 4), SQUARE, plate=RIGID)


# Closed forms


@pytest.mark.parametrize("share", [0.5, 0.999, 1.001, 1.5])
def test_rigid_slab_leaves_the_floor(rigid: SlabOnFloor, share: float) -> None:
    """Lift-off after W/(Σk · pitch) turns of every jack, statics: before, the floor carries W − Σk a; after, nothing.

    1e-4 of W: the sheet gives way by W/(κ A) = 3e-7 m, 3e-5 of the compression at lift-off.
    """
    rates = rigid.springs(0.010)
    turns = share * rigid.weight / (rates.sum() * PITCH)
    end = end_of(lift(rigid.lift_model(rates), rounds(9, turns / 20 * PITCH, 20)))
    W = rigid.weight
    assert end.contact.sum() == pytest.approx(max(W - rates.sum() * turns * PITCH, 0.0), abs=1e-4 * W)
    rise = -end.jack_deflection[0]
    np.testing.assert_allclose(rise, max(turns * PITCH - 0.010, 0.0), atol=1e-6)
    assert bool(end.contact.any()) is (share < 1)


def test_equal_turns_of_a_floating_slab(slab: SlabOnFloor) -> None:
    """Every jack one more pass up: every height grows by the pass and no load changes, whatever the rates.

    Springs, weight and a slab that moves as a whole: statics. 1e-9 of height and load: rounding.
    """
    rates = slab.springs() * np.array([0.7, 1.2, 1.0, 1.1, 0.8, 1.3])
    *_, before, after = lift(slab.lift_model(rates), rounds(6, 2 * PITCH, 6))
    assert not before.contact[-1].any()
    np.testing.assert_allclose(before.jack_deflection[-1] - after.jack_deflection[-1], 2 * PITCH, rtol=1e-9)
    np.testing.assert_allclose(after.jack_load[-1], before.jack_load[-1], rtol=1e-9)


def test_ten_passes_lift_by_fifty_millimetres(slab: SlabOnFloor) -> None:
    """Two turns a pass at 3 mm, ten passes, 10 mm of mean deflection: 10 × 6 − 10 = 50 mm (common practice, no source).

    With equal rates the mean deflection at the jacks is W/Σk by equilibrium, so that only rounding (1e-9) is left.
    """
    end = end_of(lift(slab.lift_model(slab.springs(0.010)), rounds(6, 2 * PITCH, 10)))
    assert -end.jack_deflection.mean() == pytest.approx(0.050, rel=1e-9)


def test_two_spans_with_the_middle_raised() -> None:
    """Two equal spans a, the middle support raised by Δ: M = 3 E I Δ / a² over it, and half of that halfway.

    Beam theory with ν = 0; from the double integral of the moment or any handbook of continuous beams. The difference
    of two floating states, in which the weight's own moments go out. Beams on points: over the middle the moment is
    where the straight line through a quarter and half of a span meets it. Springs give way under the
    reactions, M/a at the ends and twice that in the middle: Δ is less by 1.5 · 6 E I/(a³ k) of itself, k of a line of
    jacks. 1e-3: supports are discs of 50 mm in a strip of 400 mm, whose local bending fades within a width.
    """
    a, width, raised, rate = 4.0, 0.4, 0.002, 2e7
    beam = Plate(0.125, 29e9, 0.0, 312.5)
    jacks = [(x, y) for x in (0.1, 0.1 + a, 0.1 + 2 * a) for y in (0.1, 0.3)]
    strip = SlabOnFloor.on(criss_cross(2 * a + 0.2, width, 41, 2), jacks, 0.2, plate=beam, disc=0.05)
    lifter = Lifter(strip.lift_model(np.full(6, rate)))
    level = lifter.states([(jack, step) for step in [0.001] * 12 for jack in range(6)])
    bent = lifter.states([(2, raised), (3, raised)])
    assert not level.contact[-1].any()
    assert not bent.contact.any()
    across = np.linspace(0.02, width - 0.02, 10)
    sections = 0.1 + a * np.array([0.5, 0.75, 1.25, 1.5])
    xy = np.array([(x, y) for x in sections for y in across])
    forces = ConcentratedForces(np.zeros((0, 2)), np.zeros(0), np.zeros(0))
    operator = MomentOperator.at(strip.sampler, xy, forces, 0.0)
    fields = lifter.model.fields(bent)[:, -1:] - lifter.model.fields(level)[:, -1:]
    M = operator.moments(beam, fields, np.zeros((0, 1)))[:, 0, 0].reshape(4, -1).mean(axis=1)
    EI = beam.modulus * beam.thickness**3 / 12
    left = raised / (1 + 1.5 * 6 * EI * width / (a**3 * 2 * rate))
    expected = -3 * EI * left / a**2
    assert left == pytest.approx(raised, rel=0.01)
    np.testing.assert_allclose(M, expected * np.array([0.5, 0.75, 0.75, 0.5]), rtol=1e-3)
    assert 2 * M[1] - M[0] == pytest.approx(expected, rel=1e-3)


def test_rigid_slab_on_three_humps(rigid: SlabOnFloor) -> None:
    """A plane underside over a floor 5 mm low but for three places: they carry the slab by the lever rule, statics.

    1e-3 of the weight: their sheets give way, and the slab bends between them by 10⁻⁵ of a concrete one.
    """
    xy = rigid.footprints.centroids
    humps = [int(np.hypot(*(xy - at).T).argmin()) for at in ((0.3, 0.3), (2.7, 0.9), (1.5, 2.1))]
    gap = np.full(len(xy), 0.005)
    gap[humps] = 0.0
    rest = Lifter(rigid.lift_model(rigid.springs(), slack=0.020, gap=gap)).rest()
    balance = np.vstack([np.ones(3), xy[humps].T])
    expected = np.linalg.solve(balance, rigid.weight * np.array([1.0, 1.5, 1.2]))
    assert expected.min() > 0
    np.testing.assert_allclose(rest.contact[0, humps], expected, atol=1e-3 * rigid.weight)
    assert np.count_nonzero(rest.contact[0]) == 3
    assert not rest.jack_load.any()


def test_slack_is_screw_travel(slab: SlabOnFloor) -> None:
    """Slack at a jack is screw travel that it loses: with a + s the state is that of a without slack, by definition.

    Until the slack is gone nothing moves. 1e-12 m: rounding of some mm.
    """
    rates, slack = slab.springs(), np.array([0.0, 0.002, 0.004, 0.001, 0.003, 0.005])
    plain, loose = Lifter(slab.lift_model(rates)), Lifter(slab.lift_model(rates, slack=slack))
    taken_up = loose.states([(jack, 0.9 * travel) for jack, travel in enumerate(slack)])
    assert np.abs(taken_up.jack_deflection - loose.rest().jack_deflection).max() <= 1e-12
    assert np.abs(taken_up.jack_load[-1, 1:]).max() == 0
    ends = [
        lifter.states([(j, at - lifter.advance[j]) for j, at in enumerate(0.009 + extra)])
        for lifter, extra in ((plain, np.zeros(6)), (loose, slack))
    ]
    np.testing.assert_allclose(ends[1].jack_deflection[-1], ends[0].jack_deflection[-1], atol=1e-12)
    np.testing.assert_allclose(ends[1].contact[-1], ends[0].contact[-1], atol=1e-9 * slab.weight)


# The linear floor


def test_far_above_the_floor_it_is_linear(slab: SlabOnFloor) -> None:
    """Floating, in any order and with turns that differ: the condensed floor of the same rates and screw advances.

    1e-9 of loads, of deflections and of the greatest moment: rounding, and one pass of the factor for F.
    """
    rates = slab.springs() * np.array([0.7, 1.2, 1.0, 1.1, 0.8, 1.3])
    model = slab.lift_model(rates)
    lifter = Lifter(model)
    lifter.states([(jack, 0.030) for jack in range(6)])
    path = lifter.states([(4, 0.006), (0, 0.003), (5, -0.002), (2, 0.004)])
    assert not path.contact.any()
    floor = CondensedFloor.from_model(slab.model, slab.load[:, None], slab.springs())
    fields = []
    for advance, w, load in zip(path.advance, path.jack_deflection, path.jack_load, strict=True):
        answer = floor.solve(rates, np.ones(1), advance)
        np.testing.assert_allclose(w, answer.deflection, rtol=1e-9)
        np.testing.assert_allclose(load, answer.load, rtol=1e-9)
        fields.append(floor.fields(rates, np.ones(1), advance))
    bending = Bending.of(slab, model)
    expected = bending.of_full_model(np.array(fields).T, path)
    np.testing.assert_allclose(bending.lift.moments(path), expected, atol=1e-9 * np.abs(expected).max())


@dataclass(frozen=True)
class Bending:
    """Moments by the lift and by the field of a full solution, at jacks, beside them, and in between.

    factor: with the reference rates of the lift.
    """

    slab: SlabOnFloor
    forces: ConcentratedForces
    points: Floats
    factor: Factor
    lift: LiftBending

    @classmethod
    def of(cls, slab: SlabOnFloor, model: LiftModel) -> Bending:
        xy = slab.model.jack_xy
        forces = ConcentratedForces(xy, np.full(len(xy), 0.075), np.full(len(xy), 0.29))
        points = np.vstack([xy, xy + 0.08, [(0.9, 1.1), (1.5, 1.2), (2.0, 2.3), (3.0, 1.2)]])
        operator = MomentOperator.at(slab.sampler, points, forces, CONCRETE.poissons_ratio)
        moves = cap_moves(slab.sampler, forces, slab.model.jacks.rows)
        factor = slab.model.factor(model.reference_rates)
        return cls(slab, forces, points, factor, LiftBending.of(model, slab.model.plate, operator, moves, factor))

    def of_full_model(self, displacement: Floats, path: LiftPath, factor: Factor | None = None) -> Floats:
        """(p, 3, T) from displacements (unknowns, T)."""
        field = BendingField.from_displacement(
            self.slab.sampler,
            self.slab.model.plate,
            displacement=displacement,
            forces=self.forces,
            moves=cap_moves(self.slab.sampler, self.forces, self.slab.model.jacks.rows),
            magnitudes=-path.jack_load.T,
            factor=factor or self.factor,
        )
        return field.moments(self.points)


@pytest.mark.parametrize("new_rates", [False, True])
def test_moments_partly_lifted(slab: SlabOnFloor, new_rates: bool) -> None:
    """Half lifted: jack and contact forces as loads on the full model, held by springs of 10⁶ N/m at the jacks.

    K u = f − Rᵀ r − Pᵀ c has no springs of its own; K + Rᵀ k R with any k and −Rᵀ (r − k w) has the same solution.
    1e-9 of the greatest moment: rounding. With the springs of the full model under the moved caps, 1e-4: a cap has the
    resultant and second moment of its disc, but on triangles of 0.8 m a little of the difference reaches the springs.
    """
    rates = slab.springs() * np.array([0.7, 1.2, 1.0, 1.1, 0.8, 1.3])
    model = slab.lift_model(slab.springs()).with_rates(rates) if new_rates else slab.lift_model(rates)
    path = Lifter(model).states([(0, 0.006), (3, 0.012), (1, 0.009), (4, 0.009)])
    assert (np.count_nonzero(path.contact, axis=1) > 2).all()
    assert path.contact[-1].min() == 0
    held = path.jack_load - 1e6 * path.jack_deflection
    right = slab.load[:, None] - slab.model.jacks.rows.T @ held.T - slab.footprints.rows.T @ path.contact.T
    bending, full = Bending.of(slab, model), slab.model.factor(np.full(6, 1e6))
    u = full.solve(right)
    np.testing.assert_allclose(slab.model.jacks.rows @ u, path.jack_deflection.T, atol=1e-12)
    M, greatest = bending.lift.moments(path), np.abs(bending.lift.moments(path)).max()
    np.testing.assert_allclose(M, bending.of_full_model(u, path), atol=1e-9 * greatest)
    np.testing.assert_allclose(M, bending.of_full_model(u, path, full), atol=1e-4 * greatest)


# One-sided conditions against libraries


def assert_same(
    path: LiftPath, expected: Equilibrium, slab: SlabOnFloor, state: int = -1, *, steady: bool = True
) -> None:
    """steady: whether places are compared as well as forces.

    1e-8 of the weight: the minimiser ends with one Newton step, whose matrix has a condition of some 10⁷."""
    tolerance = 1e-8 * slab.weight
    np.testing.assert_allclose(path.jack_load[state], expected.jack_load, atol=tolerance)
    np.testing.assert_allclose(path.contact[state], expected.contact, atol=tolerance)
    if steady:
        w = slab.model.jacks.rows @ expected.displacement
        np.testing.assert_allclose(path.jack_deflection[state], w, atol=1e-11)


def test_contact_by_non_negative_least_squares(slab: SlabOnFloor) -> None:
    """While every spring presses, contact forces are min ½ cᵀ (F + 1/κ) c − c b, c ≥ 0: Lawson and Hanson, in scipy.

    F by a refined full solution of its own. 1e-8 of the weight: condition of F + 1/κ times rounding.
    """
    rates = slab.springs()
    path = Lifter(slab.lift_model(rates)).states([(jack, 0.004) for jack in range(6)] + [(3, 0.004)])
    assert path.jack_load[-1].min() > 0
    P, R = slab.footprints.rows, slab.model.jacks.rows
    right = np.column_stack([P.T.toarray(), slab.load - R.T @ (rates * path.advance[-1])])
    solved = P @ slab.model.factor(rates).solve(right)
    S = (solved[:, :-1] + solved[:, :-1].T) / 2 + np.diag(1 / (SHEET * slab.cells.area))
    L = np.linalg.cholesky(S)
    expected = nnls(L.T, np.linalg.solve(L, solved[:, -1]))[0]
    assert 3 <= np.count_nonzero(expected) < len(expected)
    np.testing.assert_allclose(path.contact[-1], expected, atol=1e-8 * slab.weight)


@pytest.mark.parametrize("seed", range(6))
def test_least_energy(slab: SlabOnFloor, seed: int) -> None:
    """Random rates, gaps, slacks, travel to solid and turns: the state of least energy by scipy's minimiser.

    Springs that are off, springs that are solid and cells that touch or not all occur.
    """
    random = np.random.default_rng(seed)
    model = slab.lift_model(
        slab.springs(0.008) * random.uniform(0.5, 2, 6),
        solids=random.uniform(0.006, 0.012, 6),
        slack=random.uniform(0, 0.003, 6),
        gap=random.uniform(0, 0.002, len(slab.cells)),
        sheet=10 ** random.uniform(8, 10.5),
    )
    lifter = Lifter(model)
    none = np.zeros(len(slab.cells), dtype=bool)
    assert_same(lifter.rest(), least_energy(slab, model, np.zeros(6), none), slab)
    for _ in range(3):
        path = lifter.states([(int(jack), random.uniform(0, 0.010)) for jack in random.permutation(6)])
        for state in (2, 5):
            expected = least_energy(slab, model, path.advance[state], none)
            assert_same(path, expected, slab, state)


@pytest.mark.parametrize("seed", [32, 45, 69])
def test_few_supports(slab: SlabOnFloor, seed: int) -> None:
    """A floor so uneven that the slab rests on a few cells before any spring touches, then three passes.

    With all springs off and fewer than three cells the slab is free to move: sets of contacts that must not lead a
    search astray. With seed 45 it even balances on two cells either side of its middle, so that forces are certain
    while it may rock a little. The forces at rest and the state after each pass are those of least energy.
    """
    random = np.random.default_rng(seed)
    model = slab.lift_model(
        slab.springs() * random.uniform(0.5, 2, 6),
        slack=random.uniform(0, 0.004, 6),
        gap=random.uniform(0, 0.003, len(slab.cells)),
    )
    lifter = Lifter(model)
    none = np.zeros(len(slab.cells), dtype=bool)
    rest = lifter.rest()
    supports = np.count_nonzero(rest.contact > 1e-9 * slab.weight)
    assert supports == (2 if seed == 45 else 3)
    assert_same(rest, least_energy(slab, model, np.zeros(6), none), slab, steady=supports > 2)
    for _ in range(3):
        path = lifter.states([(int(jack), 0.006) for jack in random.permutation(6)])
        assert_same(path, least_energy(slab, model, path.advance[-1], none), slab)


# Bond, solid springs, lowering, other rates


def test_bond_holds_back_and_does_not_heal(slab: SlabOnFloor) -> None:
    """A bond of 2 kPa: some cells pull, none beyond it; the state is that of least energy with these cells tied.

    Once all have let go, the lift is that without a bond (1e-9), and lowering and raising again finds no pull.
    """
    rates, bond = slab.springs(), 2000.0
    model = slab.lift_model(rates, bond=bond)
    lifter, plain = Lifter(model), Lifter(slab.lift_model(rates))
    path = lifter.states([(jack, 0.009) for jack in (0, 1, 2)])
    pull = -path.contact / (bond * slab.cells.area)
    assert pull.max() == pytest.approx(0.8, abs=0.2)  # some pull nearly as much as they can
    assert pull.max() <= 1
    assert_same(path, least_energy(slab, model, path.advance[-1], path.bonded[-1]), slab)
    path = lifter.states([(jack, 0.006) for jack in range(6)])
    partly = path.bonded.sum(axis=1)
    assert (np.diff(partly) <= 0).all()
    for state in np.flatnonzero((partly > 0) & (partly < len(slab.cells))):
        assert_same(path, least_energy(slab, model, path.advance[state], path.bonded[state]), slab, state)
    assert (path.contact >= -bond * slab.cells.area).all()
    assert not path.contact[~path.bonded & (path.contact < 0)].any()
    high = lifter.states([(jack, 0.030) for jack in range(6)])
    assert not high.bonded[-1].any()
    expected = plain.states([(jack, at) for jack, at in enumerate(lifter.advance)])
    np.testing.assert_allclose(high.jack_load[-1], expected.jack_load[-1], rtol=1e-9)
    np.testing.assert_allclose(high.jack_deflection[-1], expected.jack_deflection[-1], rtol=1e-9)
    low = lifter.states([(jack, -at) for jack, at in enumerate(lifter.advance)])
    assert low.contact[-1].sum() == pytest.approx(slab.weight, rel=1e-3)
    again = lifter.states([(jack, 0.009) for jack in range(6)])
    assert again.contact.min() == 0


def test_force_before_a_bond_lets_go(rigid: SlabOnFloor) -> None:
    """A rigid slab raised in many small even turns: it comes off between Σk a = W and W + bond A, not before.

    Statics. At 0.9 (W + bond A) the pull of all cells is Σk a − W to 1e-3 W (the sheet gives way by 1e-6 m), at
    1.1 times it nothing holds.
    """
    rates, bond = rigid.springs(), 1500.0
    most = rigid.weight + bond * 3.0 * 2.4
    lifter = Lifter(rigid.lift_model(rates, bond=bond))
    step = 0.01 * most / rates.sum()
    held = end_of([lifter.states(turns) for turns in rounds(9, step, 90)])
    assert held.bonded.all()
    assert held.contact.sum() == pytest.approx(rigid.weight - 0.9 * most, abs=1e-3 * rigid.weight)
    gone = end_of([lifter.states(turns) for turns in rounds(9, step, 20)])
    assert not gone.bonded.any()
    assert not gone.contact.any()


def test_springs_that_become_solid(slab: SlabOnFloor) -> None:
    """Travel of 9 mm under 10 mm of mean deflection: beyond solid a spring has the rate k + κ.

    Against the full linear model with these rates, found by trial: k e + κ (e − s) = (k + κ)(w + a′),
    a′ = a − κ s/(k + κ). 1e-8 of the loads: springs of 10⁹ N/m.
    """
    rates, solids = slab.springs(), np.array([0.009, 0.03, 0.03, 0.03, 0.009, 0.03])
    path = end_of(lift(slab.lift_model(rates, solids=solids), rounds(6, 0.005, 8)))
    assert path.solid[0].tolist() == [True, False, False, False, True, False]
    stiff = np.where(path.solid[0], SOLID_STIFFNESS, 0.0)
    advance = path.advance[0] - stiff * solids / (rates + stiff)
    (expected,) = solve_states(slab.model, slab.load[:, None], rates + stiff, advance)
    np.testing.assert_allclose(path.jack_load[0], expected.jack_load, rtol=1e-8)
    compression = path.jack_deflection[0] + path.advance[0]
    assert ((compression > solids) == path.solid[0]).all()
    assert (path.jack_load[0] > rates * solids)[path.solid[0]].all()


def test_lowered_slab_lies_as_before(slab: SlabOnFloor) -> None:
    """Without a bond a state depends on the screws alone (one solution): all turned back, the slab lies as at first."""
    lifter = Lifter(slab.lift_model(slab.springs()))
    rest = lifter.rest()
    up = lifter.states([(jack, 0.02) for jack in range(6)])
    assert not up.contact[-1].any()
    down = lifter.states([(jack, -0.02) for jack in (3, 1, 5, 0, 4, 2)])
    np.testing.assert_allclose(down.contact[-1], rest.contact[0], atol=1e-9 * slab.weight)
    np.testing.assert_allclose(down.cell_deflection[-1], rest.cell_deflection[0], atol=1e-12)


def test_other_rates_are_a_model_made_anew(slab: SlabOnFloor) -> None:
    """Rates changed twice by Woodbury's formula, against a model condensed with them; 1e-9, rounding."""
    first, second = slab.springs(), slab.springs() * np.array([0.7, 1.0, 1.0, 1.6, 0.8, 1.0])
    middle = slab.springs() * np.array([1.0, 1.3, 1.0, 1.6, 1.0, 0.9])
    changed = slab.lift_model(first).with_rates(middle).with_rates(second)
    anew = slab.lift_model(second)
    for one, other in zip(lift(changed, rounds(6, 0.006, 3)), lift(anew, rounds(6, 0.006, 3)), strict=True):
        np.testing.assert_allclose(one.jack_load, other.jack_load, atol=1e-9 * slab.weight)
        np.testing.assert_allclose(one.contact, other.contact, atol=1e-9 * slab.weight)
        np.testing.assert_allclose(one.cell_deflection, other.cell_deflection, atol=1e-11)
        np.testing.assert_allclose(changed.fields(one), anew.fields(other), atol=1e-11)


# Symmetry


@pytest.fixture(scope="module")
def mirrored() -> tuple[SlabOnFloor, LiftModel, LiftBending, NDArray[np.int64], NDArray[np.int64]]:
    """A slab on nine jacks with rates like its mirror image in x, its moments at places and their images."""
    even = SlabOnFloor.on(criss_cross(3.0, 2.4, 4, 4), SQUARE)
    rates = even.springs() * np.tile([0.8, 1.3, 0.8], 3) * np.repeat([1.0, 0.9, 1.2], 3)
    model = even.lift_model(rates, solids=0.011)
    forces = ConcentratedForces(even.model.jack_xy, np.full(9, 0.075), np.full(9, 0.39))
    half = np.array([(0.4, 0.4), (0.5, 0.5), (0.9, 1.3), (1.4, 2.2)])
    points = np.vstack([half, [3.0, 0.0] + [-1, 1] * half])
    operator = MomentOperator.at(even.sampler, points, forces, CONCRETE.poissons_ratio)
    moves = cap_moves(even.sampler, forces, even.model.jacks.rows)
    bending = LiftBending.of(model, CONCRETE, operator, moves, even.model.factor(rates))
    image = np.array([2, 1, 0, 5, 4, 3, 8, 7, 6])
    xy = even.footprints.centroids
    cells = np.array([np.hypot(*(xy - ([3.0, 0.0] + [-1, 1] * at)).T).argmin() for at in xy])
    return even, model, bending, image, cells


def assert_mirrored(
    one: LiftPath, other: LiftPath, mirrored: tuple[SlabOnFloor, LiftModel, LiftBending, Floats, Floats]
) -> None:
    """1e-9 of the weight (for moments W · 1 m/m) and 1e-11 m: rounding on a mesh as symmetric as the slab."""
    even, _, bending, image, cells = mirrored
    np.testing.assert_allclose(other.jack_load[:, image], one.jack_load, atol=1e-9 * even.weight)
    np.testing.assert_allclose(other.contact[:, cells], one.contact, atol=1e-9 * even.weight)
    np.testing.assert_allclose(other.jack_deflection[:, image], one.jack_deflection, atol=1e-11)
    M, N = bending.moments(one), bending.moments(other)
    expected = np.roll(N, 4, axis=0) * np.array([1, 1, -1])[:, None]
    np.testing.assert_allclose(M, expected, atol=1e-9 * even.weight)


def test_mirrored_order_mirrors_the_lift(
    mirrored: tuple[SlabOnFloor, LiftModel, LiftBending, NDArray[np.int64], NDArray[np.int64]],
) -> None:
    """Geometry: an order and its image give states that are images of each other after every single turn."""
    _, model, _, image, _ = mirrored
    order = [3, 0, 1, 8, 4, 2, 7, 5, 6]
    paths = zip(
        lift(model, rounds(9, 0.006, 4, order)), lift(model, rounds(9, 0.006, 4, image[order].tolist())), strict=True
    )
    for one, other in paths:
        assert_mirrored(one, other, mirrored)


def test_symmetric_order_lifts_evenly(
    mirrored: tuple[SlabOnFloor, LiftModel, LiftBending, NDArray[np.int64], NDArray[np.int64]],
) -> None:
    """Geometry: pairs turned one after the other; after each whole pair the state is its own image."""
    _, model, _, _, _ = mirrored
    order = [1, 4, 7, 0, 2, 3, 5, 6, 8]
    whole = np.array([0, 1, 2, 4, 6, 8])
    for path in list(lift(model, rounds(9, 0.006, 4, order)))[1:]:
        state = path.at(whole)
        assert_mirrored(state, state, mirrored)
        between = path.at(np.array([3]))
        assert np.ptp(between.jack_load[0, [0, 2]]) > 0.01 * mirrored[0].weight


# A whole floor


@pytest.fixture(scope="module")
def demo() -> tuple[SprungPlate, LiftDesk, list[LiftPath]]:
    """The U-shaped demo, in which three sides and corners leave the floor at their own times: six passes."""
    case = read_case(Path(__file__).parents[2] / "cases" / "weights-room")
    floor = build_floor(case)
    desk = lift_desk(floor, case.lift)
    model = desk.bench.model
    return floor.model.of_modulus(desk.concrete.modulus), desk, list(lift(model, rounds(model.jacks, 0.006, 6)))


def contact_footprints(desk: LiftDesk) -> Footprints:
    """Where the contact forces of the demo act."""
    return desk.bearing.footprints(desk.floor.sampler)


def test_no_tension_no_overlap_no_lost_weight(demo: tuple[SprungPlate, LiftDesk, list[LiftPath]]) -> None:
    """After every single turn, by conditions alone: forces never pull, nothing overlaps, one of both is nothing.

    1e-9 of the weight and 1e-9 of 1 mm are asked for, also of weight and overturning moments carried. The sheet's
    compression counts: an overlap is w − gap − c/κ. A spring presses with k e or not at all.
    """
    _, desk, paths = demo
    model = desk.bench.model
    force, length = 1e-9 * model.weight, 1e-12
    jack_xy, plan = desk.floor.case.jacks.xy, desk.floor.case.slab.plan
    cell_xy = contact_footprints(desk).centroids
    middle = np.array(plan.centroid.coords[0])
    arm = float(np.hypot(*(jack_xy - middle).T).mean())
    partly = 0
    for path in paths:
        overlap = path.cell_deflection - model.gap - path.contact / model.sheet
        assert path.contact.min() >= -force
        assert overlap.max() <= length
        assert np.abs(path.contact * overlap).max() <= 1e-9 * model.weight * 1e-3
        assert np.abs(np.where(path.contact > force, overlap, 0.0)).max() <= length
        travel = path.jack_deflection + path.advance - model.slack
        assert path.jack_load.min() >= -force
        expected = model.rates * np.maximum(travel, 0.0)
        assert not path.solid.any()
        assert np.abs(path.jack_load - expected).max() <= force
        for carried in (
            path.jack_load.sum(axis=1) + path.contact.sum(axis=1) - model.weight,
            *((path.jack_load @ (jack_xy - middle) + path.contact @ (cell_xy - middle)).T / arm),
        ):
            assert np.abs(carried).max() <= force
        partly += np.count_nonzero((path.contact > force).any(axis=1) & (path.jack_load.max(axis=1) > 0.01 * force))
    assert partly > 100
    assert not paths[-1].contact.any()


def test_equilibrium_of_the_whole_slab(demo: tuple[SprungPlate, LiftDesk, list[LiftPath]]) -> None:
    """K u = f − Rᵀ r − Pᵀ c in every unknown, triangle by triangle, in states of each pass.

    A force on one unknown is compared with a jack's load. 1e-6: one pass of the factor, without refinement.
    """
    plate, desk, paths = demo
    model = desk.bench.model
    P = contact_footprints(desk).rows
    load = desk.floor.patterns[:, 0]
    for path in paths:
        some = path.at(slice(None, None, 23))
        u = model.fields(some)
        outside = load[:, None] - plate.jacks.rows.T @ some.jack_load.T - P.T @ some.contact.T
        missing = internal_forces(plate.space, plate.plate, u) - outside
        assert np.abs(missing).max() <= 1e-6 * model.weight / model.jacks
        np.testing.assert_allclose(plate.jacks.rows @ u, some.jack_deflection.T, atol=1e-9)
        np.testing.assert_allclose(P @ u, some.cell_deflection.T, atol=1e-9)


def test_demo_far_above_the_floor(demo: tuple[SprungPlate, LiftDesk, list[LiftPath]]) -> None:
    """The end of the sixth pass against statics with the screw advances: 1e-9 of load and deflection."""
    plate, desk, paths = demo
    model, end = desk.bench.model, paths[-1].at(slice(-1, None))
    (expected,) = solve_states(plate, desk.floor.patterns[:, :1], model.rates, end.advance[0] - model.slack)
    np.testing.assert_allclose(end.jack_load[0], expected.jack_load, rtol=1e-9)
    np.testing.assert_allclose(end.jack_deflection[0], expected.jack_deflection, rtol=1e-9)


def test_rates_replaced(slab: SlabOnFloor) -> None:
    """The same slab on the same springs is the same model, untouched."""
    model = slab.lift_model(slab.springs())
    assert model.with_rates(slab.springs()) is model
    assert replace(model, slack=model.slack + 0.001).flexibility is model.flexibility
