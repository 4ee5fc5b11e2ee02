"""What surveys say of a lifted floor: the rates of its springs and how it lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fem.screw_response import ScrewResponse
from jackfield.levelling import LevelDesk, Reading
from postprocess.level import estimate as seen
from postprocess.level.calibrate import Calibration, SurveySeries, calibrate
from postprocess.level.plausibility import Examined, examine, rise_problems
from preprocess.case import Case
from preprocess.errors import InputError, Problem

Floats = NDArray[np.float64]

TOLERANCE = 0.10
"""Tolerance of spring rates where the case has no [doubt]: common practice, no source."""


def rate_tolerance(case: Case) -> float:
    """Tolerance of spring rates, as a share."""
    return TOLERANCE if case.doubt is None else case.doubt.rate_tolerance


@dataclass(frozen=True, eq=False)
class Surveyed:
    """What the surveys come to. calibration: None with one survey. response: with the rates that are believed in.

    last: the survey that is levelled from, examined. advance: (n,) nominal ones then, m. notes: doubts, in words.
    """

    calibration: Calibration | None
    response: ScrewResponse
    last: Examined
    reading: Reading
    advance: Floats
    notes: tuple[str, ...]

    @property
    def slab(self) -> seen.SlabEstimate:
        """The slab that the last survey shows."""
        assert self.last.slab is not None  # else it was refused
        return self.last.slab


def surveyed(desk: LevelDesk, series: Sequence[Reading]) -> Surveyed:
    """Rates and heights from the surveys. Raises InputError where no set of turns explains the heights."""
    nominal = desk.response(desk.case.jacks.rates)
    problems = [*_not_afloat(desk, nominal, series), *_rises(desk, nominal, series)]
    if problems:
        raise InputError(problems)
    calibration = _calibrated(desk, series) if len(series) > 1 else None
    response = nominal if calibration is None else desk.response(calibration.rates)
    examined = [(each, _examined(desk, response, each)) for each in series if not each.at_rest]
    problems = [
        Problem(each.survey.file, "height_mm", "", words) for each, found in examined for words in found.problems
    ]
    if problems:
        raise InputError(problems)
    notes = tuple(f"{each.survey.file}: {words}" for each, found in examined for words in found.doubts)
    reading, last = examined[-1]
    return Surveyed(calibration, response, last, reading, desk.advance(reading.turns), notes)


def _not_afloat(desk: LevelDesk, nominal: ScrewResponse, series: Sequence[Reading]) -> list[Problem]:
    """Surveys after turns with which the slab cannot float yet, and a last one before any."""
    state = desk.states.index(desk.case.level.surveyed_in)
    problems = []
    for each in series:
        height = nominal.heights(desk.advance(each.turns), state)[0]
        if not each.at_rest and height.min() <= 0:
            jack = desk.case.jacks.ids[int(height.argmin())]
            allowed = "turns with which the slab floats everywhere; levelling starts then"
            value = f"{each.turns.min():g} to {each.turns.max():g} turns in all: jack {jack} still on the floor"
            problems.append(Problem(each.survey.file, "turns", value, allowed))
    if series[-1].at_rest:
        allowed = "the turns made since the slab was cast; without any there is nothing to level"
        problems.append(Problem(series[-1].survey.file, "turns", "no turns", allowed))
    return problems


def _rises(desk: LevelDesk, nominal: ScrewResponse, series: Sequence[Reading]) -> list[Problem]:
    """Surveys between which the slab rose by something else than the turns."""
    problems = []
    for before, after in pairwise(series):
        shared, i, j = np.intersect1d(before.at, after.at, return_indices=True)
        expected = _expected(desk, nominal, after)[shared] - _expected(desk, nominal, before)[shared]
        words = rise_problems(before.survey.height[i], after.survey.height[j], expected)
        problems += [Problem(after.survey.file, "height_mm", "", each) for each in words]
    return problems


def _expected(desk: LevelDesk, response: ScrewResponse, reading: Reading) -> Floats:
    """(q,) heights of all points with the nominal advances, above where the slab lay, m."""
    if reading.at_rest:
        return np.zeros(len(desk.points))
    state = desk.states.index(desk.case.level.surveyed_in)
    return response.heights(desk.advance(reading.turns), state)[1][: len(desk.points)]


def _calibrated(desk: LevelDesk, series: Sequence[Reading]) -> Calibration:
    case, count = desk.case, len(desk.points)
    heights, deviation = np.full((len(series), count), np.nan), np.ones((len(series), count))
    for row, each in enumerate(series):
        heights[row, each.at], deviation[row, each.at] = each.survey.height, each.survey.deviation
    observed = SurveySeries(
        heights,
        deviation,
        np.array([desk.advance(each.turns) if each.turns.any() else each.turns for each in series]),
        np.array([each.at_rest for each in series]),
    )
    factors = np.eye(len(desk.states))[desk.states.index(case.level.surveyed_in)]
    rows = desk.rows[:count]
    return calibrate(desk.condensed, factors, rows, observed, case.jacks.rates, tolerance=rate_tolerance(case))


def _examined(desk: LevelDesk, response: ScrewResponse, reading: Reading) -> Examined:
    survey = reading.survey
    known = seen.Survey(
        survey.xy,
        survey.height,
        survey.deviation,
        response.point_rise[reading.at],
        _expected(desk, response, reading)[reading.at],
    )
    return examine(known, survey.points)
