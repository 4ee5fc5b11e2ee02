"""How long drops take. Run by hand:

OPENBLAS_NUM_THREADS=1 pytest tests/benchmarks/test_impact_speed.py --benchmark-only

Wanted on the U-shaped case: one drop with all three comparisons within 3 s, the map of a drop over 100 places within
30 s, both from the case read, on a machine that does nothing else.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from jackfield.drop_map import drop_map, heaviest
from jackfield.dropping import drop_view
from jackfield.moving import moving_floor
from preprocess.case import Case
from preprocess.reader import read_case

WEIGHTS_ROOM = Path(__file__).parents[2] / "cases" / "weights-room"


@pytest.fixture(scope="module", params=["with air", "without air"])
def case(request: pytest.FixtureRequest) -> Case:
    """The weights room as it is, and without the air below the slab."""
    case = read_case(WEIGHTS_ROOM)
    return case if request.param == "with air" else replace(case, dynamics=replace(case.dynamics, air=None))


@pytest.mark.benchmark(group="drop")
def test_one_drop(benchmark: BenchmarkFixture, case: Case) -> None:
    """Mesh, modes, springs, rubber and bare floor."""
    impact = heaviest(case.dynamics.impacts)
    view = benchmark.pedantic(lambda: drop_view(moving_floor(case), impact), rounds=5)
    benchmark.extra_info["kN into the structure"] = view.springs.peak_force / 1e3


@pytest.mark.benchmark(group="map")
def test_map(benchmark: BenchmarkFixture, case: Case) -> None:
    """Mesh, modes, and the drop at every place of the grid."""
    impact = heaviest(case.dynamics.impacts)
    view = benchmark.pedantic(lambda: drop_map(moving_floor(case), impact), rounds=3)
    benchmark.extra_info["places"] = len(view.xy)
