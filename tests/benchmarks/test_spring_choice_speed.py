"""How long the choice of springs takes, the floor being condensed already. Run by hand:  pytest tests/benchmarks

Machines are shared and noisy: compare within one run, by the ratios that the table prints.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from shapely import box

from fem.concentrated import ConcentratedForces
from fem.condensed import CondensedFloor
from fem.plate import Plate, mass, pressure_load, stiffness
from fem.reduced_modes import ReducedModes
from fem.sampling import Sampler
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from postprocess.spring_choice.choose import choose
from postprocess.spring_choice.fewest import fewest_swaps
from postprocess.spring_choice.problem import ChoiceProblem, SpringTypes
from preprocess.case import MeshSettings
from preprocess.floor import build_floor
from preprocess.meshing import Sizes, mesh_plan
from preprocess.reader import read_case

WEIGHTS_ROOM = Path(__file__).parents[2] / "cases" / "weights-room"


def twelve_types() -> SpringTypes:
    """Rated from 3 to 17.5 kN, near 25 mm."""
    loads = 1e3 * np.geomspace(3.0, 17.5, 12)
    deflections = 0.025 + 0.0004 * np.sin(np.arange(12.0))
    codes = tuple(f"S{i}" for i in range(12))
    return SpringTypes(codes, loads / deflections, loads, 2.2 * deflections, tuple((code,) for code in codes))


@pytest.fixture(scope="module")
def u_shaped() -> ChoiceProblem:
    case = read_case(WEIGHTS_ROOM)
    floor = build_floor(case)
    rates = np.full(len(case.jacks), 2.5e5)
    return ChoiceProblem(
        CondensedFloor.from_model(floor.model, floor.patterns, rates),
        floor.state_matrix(),
        case.jacks.advance,
        twelve_types(),
        case.target.load_ratio,
        case.target.natural_frequency,
        ReducedModes.from_model(floor.model, rates),
    )


@pytest.mark.benchmark(group="springs, U-shaped case")
def test_choice_for_the_u_shaped_case(benchmark: BenchmarkFixture, u_shaped: ChoiceProblem) -> None:
    choice = benchmark.pedantic(choose, args=(u_shaped,), rounds=5, warmup_rounds=1)
    benchmark.extra_info["jacks"] = len(choice.indices)
    assert choice.works


@pytest.mark.benchmark(group="springs, U-shaped case")
def test_fewest_swaps_of_three_that_are_wrong(benchmark: BenchmarkFixture, u_shaped: ChoiceProblem) -> None:
    kept = choose(u_shaped).indices.copy()
    kept[[5, 30, 60]] = 0
    swaps = benchmark.pedantic(fewest_swaps, args=(u_shaped, kept), rounds=3)
    benchmark.extra_info["swaps"] = len(swaps)
    assert swaps.after.works


@pytest.mark.benchmark(group="springs, 1 000 jacks")
def test_choice_for_a_thousand_jacks(benchmark: BenchmarkFixture) -> None:
    """A slab of 46 × 36 m on a mesh that is coarse, as only the choice is timed, with loads that vary."""
    plan = box(0, 0, 46, 36)
    x, y = np.meshgrid(0.5 + np.arange(36) * 45 / 35, 0.5 + np.arange(28) * 35 / 27)
    jacks = np.column_stack([x.ravel(), y.ravel()])
    nowhere = ConcentratedForces(np.zeros((0, 2)), np.zeros(0), np.zeros(0))
    space = PlateSpace(mesh_plan(plan, Sizes.for_case(MeshSettings(1.5, None, None), nowhere, len(jacks), 0)))
    plate, sampler = Plate(0.15, 33e9, 0.2, 375.0), Sampler(space)
    discs = sampler.discs(jacks, 0.15)
    model = SprungPlate(space, plate, stiffness(space, plate), mass(space, 375.0), jacks, discs)
    machines = discs.rows.T @ (np.random.default_rng(1).random(len(jacks)) < 0.2) * 4e3
    patterns = np.column_stack([pressure_load(space, 3678.0), machines, pressure_load(space, 5000.0)])
    rates = np.full(len(jacks), 3e5)
    problem = ChoiceProblem(
        CondensedFloor.from_model(model, patterns, rates),
        np.array([[1.0, 1.0, 1.0], [0.0, 1.0, 1.0], [0.0, 0.1, 1.0]]),
        np.zeros(len(jacks)),
        twelve_types(),
        (0.75, 1.05),
    )
    choice = benchmark.pedantic(choose, args=(problem,), rounds=1)
    benchmark.extra_info["jacks"] = len(choice.indices)
    benchmark.extra_info["off"] = int(np.count_nonzero(~choice.sound))
