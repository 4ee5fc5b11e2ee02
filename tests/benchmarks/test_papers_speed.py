"""How long all papers of the U-shaped floor take once it is computed, and the whole run beside it. Run by hand:

OPENBLAS_NUM_THREADS=1 pytest tests/benchmarks/test_papers_speed.py --benchmark-only
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

import jackfield.run
from jackfield.run import run

CASE = Path(__file__).parents[2] / "cases" / "weights-room"
COMPUTING = ("build_floor", "solve", "judge", "slab_strength", "case_doubt", "case_lift", "moved", "check_mesh")
"""What a run computes; all else makes papers of it."""


def remembered(function: Callable[..., Any]) -> Callable[..., Any]:
    """The function, which answers a second time with what it found the first."""
    found: list[Any] = []

    def answer(*given: Any) -> Any:
        if not found:
            found.append(function(*given))
        return found[0]

    return answer


@pytest.fixture
def computed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder for papers; the floor has been computed once and will not be again."""
    for name in COMPUTING:
        monkeypatch.setattr(jackfield.run, name, remembered(getattr(jackfield.run, name)))
    run(CASE, tmp_path / "first", quiet=True)
    return tmp_path / "papers"


def test_all_papers_of_a_computed_floor(benchmark: BenchmarkFixture, computed: Path) -> None:
    """Wanted: at most 30 s."""
    outcome = benchmark.pedantic(run, args=(CASE, computed), kwargs={"quiet": True}, rounds=3)
    assert outcome.all_met


def test_whole_run(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    outcome = benchmark.pedantic(run, args=(CASE, tmp_path / "papers"), kwargs={"quiet": True}, rounds=3)
    assert outcome.all_met
