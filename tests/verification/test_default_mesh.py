"""The default mesh of the U-shaped demo case against one five times finer: what an engineer may rely on."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from jackfield.pipeline import Solution, solve
from preprocess.floor import build_floor, floor_on
from preprocess.reader import read_case

CASE = Path(__file__).parents[2] / "cases" / "weights-room"


@pytest.fixture(scope="module")
def default() -> Solution:
    return solve(build_floor(read_case(CASE)))


@pytest.fixture(scope="module")
def fine() -> Solution:
    """Every edge of the default mesh cut into five."""
    case = read_case(CASE)
    return solve(floor_on(case, build_floor(case).model.space.mesh.refined(5)))


def test_jack_loads_and_frequency(default: Solution, fine: Solution) -> None:
    """0.05 % of each jack's load and 0.02 % of the heave frequency."""
    for state, result in default.states.items():
        np.testing.assert_allclose(result.jack_load, fine.states[state].jack_load, rtol=5e-4)
    assert default.heave_frequency == pytest.approx(fine.heave_frequency, rel=2e-4)


def test_moments_between_jacks(default: Solution, fine: Solution) -> None:
    """1 % of the largest moment between jacks of the state, at every span, for Mx, My and Mxy."""
    for state, key in default.moments.items():
        reference = fine.moments[state].in_spans
        np.testing.assert_allclose(key.in_spans, reference, atol=0.01 * np.abs(reference).max())


def test_strip_moments_at_jacks(default: Solution, fine: Solution) -> None:
    """3 % of a jack's own larger strip moment; where that is below a fifth of the largest of
    all jacks, 3 % of this fifth, since a share of nearly nothing says nothing."""
    for state, key in default.moments.items():
        reference = fine.moments[state].at_jacks
        own = np.abs(reference).max(axis=1)
        allowed = 0.03 * np.maximum(own, 0.2 * own.max())
        error = np.abs(key.at_jacks - reference).max(axis=1)
        assert np.all(error <= allowed), f"{state}: {np.max(error / allowed) * 3:.2f} %"
