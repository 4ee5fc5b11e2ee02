"""Surveys: heights from them, what is refused, what is in doubt."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from postprocess.level.estimate import Survey, estimate
from postprocess.level.plausibility import Examined, examine
from postprocess.level.rises import examine_rises, rise_limit, rise_problems

Floats = NDArray[np.float64]
X, Y = np.meshgrid(np.arange(6) * 1.3, np.arange(5) * 1.2)
XY = np.column_stack([X.ravel(), Y.ravel()])
N = len(XY)
NAMES = tuple(f"J{number + 1}" for number in range(N))
DISTANCE = np.linalg.norm(XY[:, None] - XY, axis=2)
SMOOTH = np.exp(-((DISTANCE / 1.5) ** 2))
RISE = SMOOTH / SMOOTH.sum(axis=1)[:, None]
"""What a stiff slab makes of its screws: the mean over the jacks around, which keeps rigid rises."""


def survey(seed: int = 0, noise: float = 0.0005) -> Survey:
    """A slab with a tilt of 1 in 1000, a wave of its screws, and heights of 50 mm read with an error."""
    random = np.random.default_rng(seed)
    advance = 0.003 * np.sin(XY[:, 0]) + 0.0005 * random.normal(size=N)
    height = 0.05 + XY @ np.array([0.001, -0.0005]) + RISE @ advance + noise * random.normal(size=N)
    return Survey(XY, height, np.full(N, 0.0005), RISE, np.zeros(N))


def shifted(point: int, by: float, seed: int = 0) -> Survey:
    """The same with one height misread."""
    before = survey(seed)
    return replace(before, height=before.height + by * (np.arange(N) == point))


def test_estimate_is_that_of_a_normal_distribution() -> None:
    """Against the dual form (Rasmussen and Williams, 2006, eq. 2.25, 2.26): heights are normal with the covariance of
    screws and a plane that is a thousand times freer. 1e-7 m, since that plane is not quite free."""
    before = survey()
    slab = estimate(before, 0.002, 0.0003)
    plane = np.column_stack([np.ones(N), XY])
    prior = 0.002**2 * RISE @ RISE.T + 1e4 * plane @ plane.T * 1e-2
    noise = np.diag(np.full(N, 0.0005**2 + 0.0003**2))
    expected = before.height - noise @ np.linalg.solve(prior + noise, before.height)
    np.testing.assert_allclose(slab.heights(XY, RISE, np.zeros(N)), expected, atol=1e-7)
    doubt = slab.doubt(XY, RISE)
    covariance = noise - noise @ np.linalg.solve(prior + noise, noise)
    np.testing.assert_allclose(doubt @ doubt.T, covariance, atol=1e-3 * 0.0005**2)


def test_left_out_points_are_estimated_from_the_others() -> None:
    """Residual and deviation against an estimate made without the point; rounding."""
    before = survey()
    slab = estimate(before, 0.002, 0.0003)
    for point in (0, 8, 29):
        others = np.arange(N) != point
        without = estimate(before.part(others), 0.002, 0.0003)
        here = XY[[point]], RISE[[point]]
        off = before.height[point] - without.heights(*here, np.zeros(1))[0]
        assert slab.leave_one_out[point] == pytest.approx(off, rel=1e-6)
        spread = np.sqrt(np.sum(without.doubt(*here) ** 2) + 0.0005**2 + 0.0003**2)
        assert slab.expected_deviation[point] == pytest.approx(spread, rel=1e-6)


def said(found: Examined) -> str:
    return " ".join((*found.problems, *found.doubts))


def test_sound_surveys_pass() -> None:
    """Two hundred of them: five deviations are beyond one in a million heights."""
    assert all(not said(examine(survey(seed), NAMES)) for seed in range(200))


def test_a_slip_is_refused_and_named() -> None:
    found = examine(shifted(13, 0.1), NAMES)
    assert len(found.problems) == 1
    assert "J14" in found.problems[0]
    assert "a slip of 100 mm" in found.problems[0]


def test_a_fault_of_some_millimetres_is_doubt_and_left_out() -> None:
    """6 mm at one point: left out, and the slab is as if it had not been read."""
    found = examine(shifted(13, -0.006), NAMES)
    assert not found.problems
    assert len(found.doubts) == 1
    assert "J14" in found.doubts[0]
    assert "below" in found.doubts[0]
    assert list(np.flatnonzero(~found.kept)) == [13]
    assert found.slab is not None
    clean = estimate(survey().part(np.arange(N) != 13))
    np.testing.assert_allclose(found.slab.plane, clean.plane, atol=1e-12)


def test_feet_for_millimetres_are_refused() -> None:
    before = survey()
    found = examine(replace(before, height=before.height / 304.8), NAMES)
    assert len(found.problems) == 1
    assert "Feet" in found.problems[0]


def test_rise_in_feet_is_refused() -> None:
    """A slab that should have risen by 50 mm, read as 0.164 mm: feet. Where it rose as the turns say, nothing."""
    before, rise = np.zeros(N), np.full(N, 0.05)
    assert "are the heights in feet?" in rise_problems(before, rise / 304.8, rise, 0.004)[0]
    assert "check unit, datum and turns" in rise_problems(before, rise + 0.1, rise, 0.004)[0]
    assert not rise_problems(before, rise + 0.003, rise, 0.004)


def test_mixed_up_points_are_refused() -> None:
    """A slab with a slope of 1 in 50 whose heights stand in any order."""
    before = survey()
    height = np.random.default_rng(2).permutation(before.height + 0.02 * XY[:, 0])
    assert "no set of turns explains" in said(examine(replace(before, height=height), NAMES))


def test_a_rough_survey_is_in_doubt() -> None:
    found = examine(survey(noise=0.006), NAMES, surface_deviation=0.0003)
    assert not found.problems
    assert "with care" in said(found)


@pytest.mark.parametrize(
    ("chosen", "words"), [([0, 3, 20], "at least 4"), ([0, 1, 2, 3, 4, 5], "in one line"), ([], "got 0 heights")]
)
def test_too_few_points_are_refused(chosen: list[int], words: str) -> None:
    part = survey().part(np.isin(np.arange(N), chosen))
    found = examine(part, [NAMES[point] for point in chosen])
    assert words in found.problems[0]
    assert found.slab is None


def test_heights_nearer_to_each_other_than_readings_are_refused() -> None:
    """Heights of a level slab in metres lie within some hundredths of what is taken for a millimetre. Thirty readings
    of one height with ±0.5 mm come within 0.5 mm of each other less than once in 10¹² surveys; a level slab passes."""
    level = replace(survey(), height=0.05 + 0.0005 * np.random.default_rng(4).normal(size=N))
    assert not examine(level, NAMES).problems
    words = examine(replace(level, height=level.height / 1000), NAMES).problems
    assert len(words) == 1
    assert "are they in mm" in words[0]


def test_what_a_mean_rise_may_be_off_follows_from_the_springs() -> None:
    """Thirty per cent of the compression, but 3 mm at least and 15 mm at most."""
    assert [rise_limit(each) for each in (0.005, 0.012, 0.1)] == pytest.approx([0.003, 0.0036, 0.015])


COMMON = np.full((N, N), 0.002**2) + np.diag(np.full(N, 2 * 0.0005**2))
"""Covariance of rises that are all uncertain by the same 2 mm, read twice at ±0.5 mm."""


def test_a_point_that_rose_alone_is_named_and_left_out_or_refused() -> None:
    """What all rose alike by, here 3 mm too much, is not the fault of one. 8 mm at one point are left out, 100 mm are
    refused; one point is named in either case."""
    random = np.random.default_rng(5)
    for by in (-0.008, 0.1):
        off = 0.003 + 0.0007 * random.normal(size=N) + by * (np.arange(N) == 13)
        found = examine_rises(off, COMMON, NAMES, "first.csv")
        (words,) = (*found.problems, *found.doubts)
        assert words.startswith("J14: it rose by")
        assert ("less since first.csv" in words) == (by < 0)
        assert bool(found.problems) == (by > 0)
        assert ("a slip of 100 mm?" in words) == (by > 0)
        assert list(np.flatnonzero(~found.kept)) == [13]


def test_sound_rises_pass() -> None:
    """Two hundred times thirty of them: five deviations are beyond one in a million."""
    root = np.linalg.cholesky(COMMON)
    for seed in range(200):
        found = examine_rises(root @ np.random.default_rng(seed).normal(size=N), COMMON, NAMES, "first.csv")
        assert found.kept.all()


def test_rises_that_are_mixed_up_are_refused() -> None:
    off = np.zeros(N)
    off[[3, 9, 14, 20, 25, 28]] = [0.009, -0.012, 0.014, -0.008, 0.011, -0.01]
    assert "points or more rose since first.csv" in examine_rises(off, COMMON, NAMES, "first.csv").problems[-1]
