"""Quarter turns that bring a slab level: within the limits where they can, by little work, and how far from the best.

First the least excess over the limits: none means within reach. Then the least work for that excess: few jacks, and
few turns. Loads and
moments come before level: only what no turns can keep is let pass there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.level.measure import Measure, measure
from postprocess.level.problem import LevelProblem
from postprocess.level.programme import VISIT, Found, least_turns, least_work, work
from postprocess.level.rows import ROUNDING, Rows, first_rows
from postprocess.level.search import (
    CHECKED,
    PATIENCE,
    Allowed,
    Deadline,
    few_jacks,
    least_of,
    rounded,
    whole_near,
    with_cuts,
)

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SECONDS = 15.0
"""Time that a levelling may take."""
EASE = 0.02
"""Where a limit is out of reach, the excess may be greater than the least by this share of it, so that fewer jacks do.
"""
LESS = 0.5 / VISIT
"""Work is less by at least twice this, if it is."""


@dataclass(frozen=True, eq=False)
class Turns:
    """quarter_turns: (n,). measure: their excess, margins for doubt included. least_level: no turns have a lesser
    excess of level, as a share of the limits. least_work: no turns of about this excess make less work."""

    quarter_turns: Ints
    measure: Measure
    least_level: float
    least_work: float

    @property
    def touched(self) -> int:
        """Number of jacks that are turned."""
        return int(np.count_nonzero(self.quarter_turns))

    @property
    def work(self) -> float:
        """As `postprocess.level.programme.work`."""
        return work(self.quarter_turns.astype(float))

    @property
    def gap(self) -> float:
        """Share by which the turns may be off the best: of the work where the limits are kept, of the greatest use of
        the limits where not."""
        if self.measure.level <= CHECKED:
            return max(self.work - self.least_work, 0.0) / max(self.work, 1.0)
        return max(self.measure.level - self.least_level, 0.0) / (1 + self.measure.level)


def solve_turns(problem: LevelProblem, seconds: float = SECONDS) -> Turns:
    """The turns; there is always an answer, if only to leave all jacks alone."""
    clock = Deadline(seconds)
    rows, start, allowed, least_level = _least(problem, Deadline(0.3 * seconds))
    if measure(problem, 0 * start).within(allowed.level, allowed.slack, CHECKED):
        return _answer(problem, 0 * start, least_level, 0.0)
    rows, few = few_jacks(problem, rows, allowed, Deadline(0.6 * clock.left))
    best = start if few is None or work(few) > work(start) else few
    best, least = _least_work(problem, rows, allowed, best, clock)
    return _answer(problem, best, least_level, least)


def _answer(problem: LevelProblem, turns: Floats, least_level: float, least: float) -> Turns:
    return Turns(turns.astype(np.int64), measure(problem, turns), least_level, least)


def _least(problem: LevelProblem, clock: Deadline) -> tuple[Rows, Floats, Allowed, float]:
    """Whole turns of about the least excess, what excess is allowed from then on, and the least one of level."""
    none, most = np.zeros(len(problem)), np.full(len(problem), float(problem.most))
    patient = Deadline(PATIENCE)
    rows, free = least_of(problem, first_rows(problem), most, patient)
    if free.turns is None:
        return rows, none, _as_found(problem, none, most), 0.0
    level, slack = float(free.others[0]), free.others[1:]
    bound = level if slack.sum() <= ROUNDING else 0.0
    allowed = Allowed(_eased(np.array([level]))[0], _eased(slack), most)
    rows, start = whole_near(problem, rows, allowed, most > 0, patient)
    if start is not None:
        return rows, start, allowed, bound
    start = _better(problem, none, rounded(rows, free.turns, most))
    rows, whole = least_of(problem, rows, most, clock, whole=True)
    start = start if whole.turns is None else _better(problem, start, whole.turns)
    return rows, start, _as_found(problem, start, most), bound


def _as_found(problem: LevelProblem, turns: Floats, most: Floats) -> Allowed:
    found = measure(problem, turns)
    return Allowed(found.level, found.slack, most)


def _eased(excess: Floats) -> Floats:
    """A little more than the least excess where there is any."""
    return np.where(excess > ROUNDING, excess + EASE, 0.0)


def _better(problem: LevelProblem, first: Floats, second: Floats) -> Floats:
    """The turns of the lesser excess."""
    return min([first, second], key=lambda turns: measure(problem, turns).penalty)


def _least_work(
    problem: LevelProblem, rows: Rows, allowed: Allowed, best: Floats, clock: Deadline
) -> tuple[Floats, float]:
    """The least work, from the turns `best` on, and a bound below which there is none."""
    least = 0.0
    below = work(best)

    def attempt(relaxed: Rows, seconds: float) -> Found:
        nonlocal least
        found = least_work(relaxed, allowed.most, below - LESS, seconds)
        least = max(least, min(found.bound, below))
        return found

    relaxed = least_turns(
        rows.relaxed(allowed.level, allowed.slack), 1 / VISIT + 1 / allowed.most, allowed.most, PATIENCE, whole=False
    )
    least = min(relaxed.bound, below)
    while below - least > LESS and clock.left:
        rows, found = with_cuts(problem, rows, allowed, attempt, clock)
        if found.turns is None or not measure(problem, found.turns).within(allowed.level, allowed.slack, CHECKED):
            break
        best, below = found.turns, work(found.turns)
    return best, min(least, below)
