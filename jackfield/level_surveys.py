"""What surveys say of a lifted floor: the rates of its springs and how it lies."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fem.screw_response import ScrewResponse
from jackfield.level_rates import spring_floor, survey_series
from jackfield.levelling import LevelDesk, Reading
from postprocess.level import estimate as seen
from postprocess.level.belief import Belief, believed, compression, off_by
from postprocess.level.calibrate import Calibration, SpringFloor, SurveySeries, calibrate, rises
from postprocess.level.plausibility import LEAST_POINTS, Examined, examine
from postprocess.level.rises import examine_rises, rate_doubts, rise_limit, rise_problems
from postprocess.lift.words import turn_words
from preprocess.errors import InputError, Problem

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Surveyed:
    """What the surveys come to. calibration: None with one survey. response: with the rates that are believed in.

    last: the survey that is levelled from, examined. advance: (n,) then, m, with what rises say the screws are off.
    belief: what presses on the springs. surveys: how many there were. notes: doubts, in words.
    """

    calibration: Calibration | None
    response: ScrewResponse
    last: Examined
    reading: Reading
    advance: Floats
    belief: Belief
    surveys: int
    notes: tuple[str, ...]

    @property
    def slab(self) -> seen.SlabEstimate:
        """The slab that the last survey shows."""
        assert self.last.slab is not None  # else it was refused
        return self.last.slab

    @property
    def pressing(self) -> Floats:
        """(n,) advances that press on the springs, m."""
        return self.advance + self.belief.shift


def surveyed(desk: LevelDesk, series: Sequence[Reading]) -> Surveyed:
    """Rates and heights from the surveys. Raises InputError where no set of turns explains the heights."""
    springs = spring_floor(desk)
    nominal = desk.response(desk.case.jacks.rates, bent=False)
    problems = [*_not_afloat(desk, nominal, series), *_rises(desk, nominal, series)]
    before = calibrate(springs, survey_series(desk, series[-1:], [np.ones(len(series[-1].at), bool)]))
    examined = [_examined(desk, nominal, each, before) for each in series]
    files = [each.survey.file for each in series]
    for file, alone in zip(files, examined, strict=True):
        problems += [Problem(file, "height_mm", "", words) for words in alone.problems]
    if problems:
        raise InputError(problems)
    notes = [f"{file}: {words}" for file, alone in zip(files, examined, strict=True) for words in alone.doubts]
    kept = [alone.kept for alone in examined]
    observed, doubts = _point_by_point(springs, series, survey_series(desk, series, kept))
    found = calibrate(springs, observed)
    jacks = tuple(f"jack {name}" for name in desk.case.jacks.ids)
    notes += [*doubts, *rate_doubts(found, jacks)]
    return _levelled_from(desk, series[-1], examined[-1], found, observed=observed, notes=tuple(notes))


def _levelled_from(
    desk: LevelDesk,
    reading: Reading,
    last: Examined,
    found: Calibration,
    *,
    observed: SurveySeries,
    notes: tuple[str, ...],
) -> Surveyed:
    """The last survey with the rates that are believed in, by the points that were found sound."""
    response = desk.response(found.rates)
    advance = desk.advance(reading.turns) + found.advance
    shortened = compression(response, advance, desk.states.index(desk.case.level.surveyed_in))
    known = _known(found, shortened)
    slab = seen.estimate(_survey(desk, response, reading, advance).part(last.kept), known=known)
    both = np.isfinite(observed.heights[-1]) & np.isfinite(observed.heights[observed.at_rest]).any(axis=0)
    belief = believed(found, shortened, slab, desk.case.jacks.xy, shape_known=int(both.sum()) >= LEAST_POINTS)
    calibration = found if len(observed.heights) > 1 else None
    return Surveyed(
        calibration, response, replace(last, slab=slab), reading, advance, belief, len(observed.heights), notes
    )


def _known(found: Calibration, shortened: Floats) -> Floats:
    """(n, n) covariance of what is off, as advance, m2."""
    by = off_by(found.rates, shortened)
    return np.asarray(by @ found.covariance @ by.T)


def _not_afloat(desk: LevelDesk, nominal: ScrewResponse, series: Sequence[Reading]) -> list[Problem]:
    """Surveys after turns with which the slab cannot float yet, and a last one before any."""
    state = desk.states.index(desk.case.level.surveyed_in)
    problems = []
    for each in series:
        height = nominal.heights(desk.advance(each.turns), state)[0]
        if not each.at_rest and height.min() <= 0:
            jack = desk.case.jacks.ids[int(height.argmin())]
            allowed = "turns with which the slab floats everywhere; levelling starts then"
            value = f"{_turn_words(each.turns)}: jack {jack} still on the floor"
            problems.append(Problem(each.survey.file, "turns", value, allowed))
    if series[-1].at_rest:
        allowed = "the turns made since the slab was cast; without any there is nothing to level"
        problems.append(Problem(series[-1].survey.file, "turns", "no turns", allowed))
    return problems


def _turn_words(turns: Floats) -> str:
    least, most = float(turns.min()), float(turns.max())
    if least == most:
        return f"{turn_words(least)} of every jack in all"
    return f"{least:g} to {most:g} turns in all"


def _rises(desk: LevelDesk, nominal: ScrewResponse, series: Sequence[Reading]) -> list[Problem]:
    """Surveys between which the slab rose by something else than the turns."""
    problems = []
    state = desk.states.index(desk.case.level.surveyed_in)
    limit = rise_limit(float(compression(nominal, desk.advance(series[-1].turns), state).mean()))
    for before, after in pairwise(series):
        shared, i, j = np.intersect1d(before.at, after.at, return_indices=True)
        expected = _expected(desk, nominal, after)[shared] - _expected(desk, nominal, before)[shared]
        words = rise_problems(before.survey.height[i], after.survey.height[j], expected, limit)
        problems += [Problem(after.survey.file, "height_mm", "", each) for each in words]
    return problems


def _point_by_point(
    springs: SpringFloor, series: Sequence[Reading], observed: SurveySeries
) -> tuple[SurveySeries, list[str]]:
    """The series without the heights between which a point alone rose by something else than the turns, with what is
    said of them. Raises InputError where that is nonsense."""
    names = {number: name for each in series for number, name in zip(each.at, each.survey.points, strict=True)}
    heights, notes, problems = observed.heights.copy(), [], []
    for number, (before, after) in enumerate(pairwise(series)):
        pair = [number, number + 1]
        seen_rises = rises(springs, observed.part(pair), springs.nominal)
        at = seen_rises.points
        found = examine_rises(seen_rises.off, seen_rises.covariance, [names[point] for point in at], before.survey.file)
        heights[number : number + 2, at[~found.kept]] = np.nan
        problems += [Problem(after.survey.file, "height_mm", "", words) for words in found.problems]
        notes += [f"{after.survey.file}: {words}" for words in found.doubts]
    if problems:
        raise InputError(problems)
    return replace(observed, heights=heights), notes


def _expected(desk: LevelDesk, response: ScrewResponse, reading: Reading, advance: Floats | None = None) -> Floats:
    """(q,) heights of all points with the nominal advances, or others, above where the slab lay, m."""
    if reading.at_rest:
        return np.zeros(len(desk.points))
    state = desk.states.index(desk.case.level.surveyed_in)
    at = desk.advance(reading.turns) if advance is None else advance
    return response.heights(at, state)[1][: len(desk.points)]


def _survey(desk: LevelDesk, response: ScrewResponse, reading: Reading, advance: Floats) -> seen.Survey:
    read = reading.survey
    expected = _expected(desk, response, reading, advance)[reading.at]
    return seen.Survey(read.xy, read.height, read.deviation, response.point_rise[reading.at], expected)


def _examined(desk: LevelDesk, nominal: ScrewResponse, reading: Reading, before: Calibration) -> Examined:
    """A survey by itself, with the doubt that there is before it. A slab at rest has the shape as cast alone."""
    known, advance = None, desk.advance(reading.turns)
    if not reading.at_rest:
        state = desk.states.index(desk.case.level.surveyed_in)
        known = _known(before, compression(nominal, advance, state))
    return examine(_survey(desk, nominal, reading, advance), reading.survey.points, known=known)
