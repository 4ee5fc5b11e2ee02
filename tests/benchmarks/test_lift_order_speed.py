"""How long the search for the order of turning takes beside one lift of the same floor. Run by hand:
pytest tests/benchmarks

Machines are shared and noisy: compare within one run, by the ratios that the table prints.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from jackfield.lifting import LiftDesk, lift_desk
from postprocess.lift.order_search import search_order
from postprocess.lift.record import lifted
from preprocess.case import Case
from preprocess.floor import build_floor
from preprocess.reader import read_case

WEIGHTS_ROOM = Path(__file__).parents[2] / "cases" / "weights-room"
PASSES = 10


@pytest.fixture(scope="module")
def u_shaped() -> tuple[Case, LiftDesk]:
    """68 jacks."""
    case = read_case(WEIGHTS_ROOM)
    assert case.lift is not None
    return case, lift_desk(build_floor(case), case.lift)


def test_one_lift(benchmark: BenchmarkFixture, u_shaped: tuple[Case, LiftDesk]) -> None:
    case, desk = u_shaped
    turns = [(jack, 0.006) for jack in range(len(case.jacks))]
    records = benchmark.pedantic(lambda: list(lifted(desk.bench, [turns] * PASSES)), rounds=2)
    assert len(records) == PASSES + 1


def test_search(benchmark: BenchmarkFixture, u_shaped: tuple[Case, LiftDesk]) -> None:
    case, desk = u_shaped

    def run() -> float:
        return search_order(
            desk.bench,
            desk.pairs,
            case.jacks.xy,
            case.slab.plan,
            pitch=0.003,
            turns=2.0,
            travel=PASSES * 0.006,
            cracking_moment=desk.cracking_moment,
        ).peak.moment

    assert benchmark.pedantic(run, rounds=1) > 0
