"""How long doubt and failure take beyond the solved floor.  pytest tests/benchmarks/test_doubt_speed.py"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from jackfield.doubt import floor_doubt
from jackfield.failure import solved_floor
from jackfield.pipeline import Solution, solve
from preprocess.case import Doubt
from preprocess.floor import build_floor
from preprocess.reader import read_case

WEIGHTS_ROOM = Path(__file__).parents[2] / "cases" / "weights-room"
SETTINGS = Doubt(2000, 1, 0.1, 0.5, 0.005, 2.0, 0.1)


@pytest.fixture(scope="module")
def solution() -> Solution:
    return solve(build_floor(read_case(WEIGHTS_ROOM)))


@pytest.mark.benchmark(group="U-shaped case, doubt")
def test_two_thousand_samples_and_all_failures(benchmark: BenchmarkFixture, solution: Solution) -> None:
    doubt = benchmark.pedantic(floor_doubt, args=(solution, SETTINGS), rounds=3)
    benchmark.extra_info["samples"] = doubt.assumptions.samples


@pytest.mark.benchmark(group="U-shaped case, failures")
def test_every_spring_out_of_service(benchmark: BenchmarkFixture, solution: Solution) -> None:
    """Loads and moments in all states without each spring, from the unit fields of the condensed floor."""
    _, solved = solved_floor(solution)
    fields = solution.factor.solve(solved.rows.T.toarray())
    jacks = np.arange(fields.shape[1])
    benchmark.pedantic(solved.without_each, args=(jacks, fields), rounds=3)
    benchmark.extra_info["jacks"] = len(jacks)
