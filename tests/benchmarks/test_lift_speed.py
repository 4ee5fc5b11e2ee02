"""How long the lift takes, jack by jack. Run by hand:  pytest tests/benchmarks/test_lift_speed.py --benchmark-only

Wanted: 70 jacks × 10 passes with moments within 5 s, 300 jacks × 10 passes within 120 s, on a machine that does nothing
else; the table of pytest-benchmark says what it took.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from jackfield.lifting import lift_desk
from postprocess.lift.record import lifted
from preprocess.case import Case
from preprocess.floor import build_floor
from preprocess.reader import read_case
from tests.unit.lift_cases import write_hall

WEIGHTS_ROOM = Path(__file__).parents[2] / "cases" / "weights-room"
PASSES = 10


def whole_lift(benchmark: BenchmarkFixture, case: Case, rounds: int) -> None:
    """Condense, lift and judge the moments after every single turn."""
    floor, jacks = build_floor(case), len(case.jacks)
    turns = [(jack, 2 * case.lift.pitch) for jack in range(jacks)]

    def whole() -> float:
        desk = lift_desk(floor, case.lift)
        records = list(lifted(desk.bench, [turns] * PASSES))
        benchmark.extra_info["cells"] = len(desk.bearing.cells)
        benchmark.extra_info["passes until afloat"] = next(r.number for r in records if r.number and r.afloat)
        return max(float(record.moments.max()) for record in records)

    benchmark.extra_info["jacks"] = jacks
    benchmark.extra_info["unknowns"] = floor.model.space.unknowns
    benchmark.extra_info["peak_kNm_m"] = benchmark.pedantic(whole, rounds=rounds) / 1e3


@pytest.mark.benchmark(group="lift")
def test_u_shaped_case(benchmark: BenchmarkFixture) -> None:
    whole_lift(benchmark, read_case(WEIGHTS_ROOM), rounds=3)


@pytest.mark.benchmark(group="lift")
def test_three_hundred_jacks(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    whole_lift(benchmark, read_case(write_hall(tmp_path / "hall", 20, 15)), rounds=1)
