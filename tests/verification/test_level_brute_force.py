"""Turns of four jacks against trying all of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import box

from fem.bending import cap_moves
from fem.concentrated import ConcentratedForces
from fem.condensed import CondensedFloor
from fem.mesh import Mesh
from fem.moment_operator import MomentOperator
from fem.plate import Plate, pressure_load
from fem.sampling import Sampler
from fem.screw_response import MomentSource, ScrewResponse
from fem.sprung_plate import SprungPlate
from postprocess.level.measure import Measure, measure
from postprocess.level.problem import LevelProblem, LoadLimits, MomentLimits, Surface
from postprocess.level.programme import VISIT
from postprocess.level.solve import EASE, solve_turns
from postprocess.level.straightedge import Straightedges

Floats = NDArray[np.float64]
A, B = 3.0, 2.4
MOST = 3
JACKS = np.array([[0.4, 0.4], [2.5, 0.5], [0.5, 2.0], [2.6, 1.9]])
RATES = np.array([200e3, 250e3, 180e3, 220e3])
EVERY = np.array(list(product(range(-MOST, MOST + 1), repeat=4)), dtype=float)


@pytest.fixture
def slab(
    rectangle_mesh: Callable[..., Mesh], sprung_plate: Callable[..., SprungPlate], concrete_plate: Plate
) -> LevelProblem:
    """3.0 × 2.4 m on four jacks, level already, all limits wide."""
    model = sprung_plate(rectangle_mesh(A, B, 5, 4), concrete_plate, JACKS)
    sampler = Sampler(model.space)
    edges = Straightedges.on_plan(box(0, 0, A, B), 1.2)
    forces = ConcentratedForces(JACKS, np.full(4, 0.075), np.full(4, 0.39))
    operator = MomentOperator.at(sampler, np.vstack([JACKS + 0.05, edges.xy[::7]]), forces, 0.2)
    factor = model.factor(RATES)
    moves = cap_moves(sampler, forces, model.jacks.rows)
    source = MomentSource.of(model.plate, operator, moves, np.zeros((0, 1)), factor)
    floor = CondensedFloor.from_model(model, pressure_load(model.space, 4000.0)[:, None], RATES, factor)
    response = ScrewResponse.of(floor, RATES, np.ones((1, 1)), sampler.points(edges.xy).rows, source)
    load = response.load[:, 0]
    return LevelProblem(
        names=("A1", "A2", "B1", "B2"),
        jacks=Surface(np.zeros(4), response.rise, np.zeros((4, 1))),
        samples=Surface(np.zeros(len(edges.xy)), response.point_rise, np.zeros((len(edges.xy), 1))),
        straightedges=edges,
        loads=(LoadLimits("service", load, 0 * load, 5 * load),),
        load_change=response.load_change,
        moments=(MomentLimits("bare", response.moments[:, :, 0], 1e5),),
        moment_change=response.moment_change,
        step=0.00075,
        most=MOST,
        overall=0.001,
        straightedge=0.001,
    )


def turned(problem: LevelProblem, advance: Floats) -> LevelProblem:
    """The same slab with its screws off by `advance` (4,), m."""
    jacks, samples, limits = problem.jacks, problem.samples, problem.loads[0]
    return replace(
        problem,
        jacks=replace(jacks, heights=jacks.heights + jacks.rise @ advance),
        samples=replace(samples, heights=samples.heights + samples.rise @ advance),
        loads=(replace(limits, loads=limits.loads + problem.load_change @ advance),),
        moments=(replace(problem.moments[0], moments=problem.moments[0].moments + problem.moment_change @ advance),),
    )


def work_of(turns: Floats) -> Floats:
    """Jacks touched and turns in visits, of rows of turns (c, 4)."""
    return np.asarray(np.count_nonzero(turns, axis=-1) + np.abs(turns).sum(axis=-1) / VISIT)


def all_measures(problem: LevelProblem) -> list[Measure]:
    return [measure(problem, turns) for turns in EVERY]


@pytest.mark.parametrize("seed", range(4))
def test_within_reach_the_work_is_the_least(slab: LevelProblem, seed: int) -> None:
    """All 2401 turns are tried: those within the limits with the least work, which the programme proves to be so."""
    random = np.random.default_rng(seed)
    problem = turned(slab, random.uniform(-0.0018, 0.0018, 4))
    found = solve_turns(problem, 10.0)
    within = np.array([m.level <= 1e-6 and m.slack.max() <= 1e-6 for m in all_measures(problem)])
    assert within.any()
    assert found.measure.level <= 1e-5
    assert found.work == pytest.approx(work_of(EVERY[within]).min())
    assert found.gap == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("seed", range(3))
def test_out_of_reach_the_departure_is_the_least(slab: LevelProblem, seed: int) -> None:
    """All 2401 turns are tried: none is better by more than the share by which the least may be missed for less work,
    none within it makes less work, and the bound holds."""
    random = np.random.default_rng(seed)
    problem = replace(turned(slab, random.uniform(-0.004, 0.004, 4)), overall=0.0001, straightedge=0.00005)
    found = solve_turns(problem, 10.0)
    level = np.array([m.level for m in all_measures(problem)])
    assert level.min() > 0.05  # out of reach indeed
    assert found.least_level <= level.min() + 1e-6
    assert found.measure.level <= level.min() + EASE + 1e-6
    as_good = level <= found.measure.level + 1e-9
    assert found.work == pytest.approx(work_of(EVERY[as_good]).min())
    assert 0 <= found.gap < 1


def test_a_limit_of_moments_is_kept_and_costs_what_it_must(slab: LevelProblem) -> None:
    """With the cracking moment just above that of the level slab, a slab that is out of true is brought below it; the
    least work of all 2401 turns that keep it, which is more than without it."""
    problem = turned(slab, np.array([0.0026, -0.0004, -0.0006, 0.0021]))
    measures = all_measures(problem)
    tight = replace(problem, moments=(replace(problem.moments[0], limit=1.0),))
    size = 1 + np.array([measure(tight, turns).slack[-1] for turns in EVERY])
    within = np.array([m.level <= 1e-6 and m.slack.max() <= 1e-6 for m in measures])
    free = EVERY[within][int(work_of(EVERY[within]).argmin())]
    limit = float(0.5 * (size[within].min() + measure(tight, free).slack[-1] + 1))
    bent = replace(problem, moments=(replace(problem.moments[0], limit=limit),))
    found = solve_turns(bent, 10.0)
    allowed = within & (size <= limit * (1 + 1e-6))
    assert found.measure.slack.max() <= 1e-5
    assert found.work == pytest.approx(work_of(EVERY[allowed]).min())
    assert found.work > work_of(EVERY[within]).min()


def test_loads_come_before_level(slab: LevelProblem) -> None:
    """With limits of load that the level slab breaks, the turns keep the loads and leave the slab out of level: no
    others of all 2401 keep them and are nearer by more than what less work is worth."""
    problem = turned(slab, 0.004 * np.array([1.0, -1.0, -1.0, 1.0]))
    loads = problem.loads[0].loads
    problem = replace(problem, overall=0.0001, straightedge=0.00005)
    problem = replace(problem, loads=(replace(problem.loads[0], low=0.99 * loads, high=1.01 * loads),))
    measures = all_measures(problem)
    kept = np.array([m.slack.max() <= 1e-6 for m in measures])
    level = np.array([m.level for m in measures])
    found = solve_turns(problem, 10.0)
    assert level.min() < level[kept].min() - EASE
    assert found.measure.slack.max() <= 1e-5
    assert found.measure.level <= level[kept].min() + EASE + 1e-6
