"""The choice of a spring for each jack."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.descent import descend, kicked, single_swaps
from postprocess.spring_choice.objective import Goal
from postprocess.spring_choice.problem import ChoiceProblem
from postprocess.spring_choice.start import rounded_starts, subsets
from postprocess.spring_choice.trial import SMALL, Trial
from postprocess.spring_choice.verdict import Choice, judge

Ints = NDArray[np.intp]


@dataclass(frozen=True)
class Effort:
    """How long a search goes on.

    sets: of types that are rounded to. starts: common deflections that each set is rounded at. descents: how many of
    these are bettered by single swaps. finals: how many of those by pair exchanges, in at most `rounds`. kicks: shared
    among the finals; on larger floors only where jacks still miss a condition.
    """

    sets: int
    starts: int
    descents: int
    finals: int
    rounds: int
    kicks: int

    @classmethod
    def for_jacks(cls, n: int) -> Effort:
        """Less of everything on larger floors, where a single descent takes longer and leaves less to gain."""
        if n <= SMALL:
            return cls(sets=200, starts=7, descents=24, finals=6, rounds=4, kicks=40)
        if n <= 150:
            return cls(sets=100, starts=7, descents=3, finals=1, rounds=2, kicks=2)
        return cls(sets=6, starts=3, descents=1, finals=1, rounds=1, kicks=0)


def choose(problem: ChoiceProblem) -> Choice:
    """A spring for each jack by the objective of `postprocess.spring_choice.objective`.

    Ideal rates (`start`) are rounded to the catalogue and bettered by swaps on the condensed floor (`descent`). A
    local search: no better choice is a pair of swaps among neighbours away, but one further off may exist.
    """
    goal, effort = Goal(problem), Effort.for_jacks(len(problem))
    trials: list[tuple[Trial, Ints]] = []
    for allowed in subsets(problem, effort.sets):
        trials += [(Trial.of(goal, start), allowed) for start in rounded_starts(problem, allowed, effort.starts)]
    trials = _best(trials, effort.descents)
    trials = [(single_swaps(trial, allowed), allowed) for trial, allowed in trials]
    trials = _best(trials, effort.finals)
    trials = [(descend(trial, allowed, effort.rounds), allowed) for trial, allowed in trials]
    if len(problem) <= SMALL or _jacks_miss(trials[0][0]):
        share = max(1, effort.kicks // len(trials)) if effort.kicks else 0
        trials = [(kicked(trial, allowed, share), allowed) for trial, allowed in trials]
    return judge(problem, _best(trials, 1)[0][0].indices)


def _best(trials: list[tuple[Trial, Ints]], count: int) -> list[tuple[Trial, Ints]]:
    """The `count` best of different springs, in order; the first of equals."""
    found: list[tuple[Trial, Ints]] = []
    for trial, allowed in sorted(trials, key=lambda pair: pair[0].value):
        if len(found) < count and not any(np.array_equal(trial.indices, other.indices) for other, _ in found):
            found.append((trial, allowed))
    return found


def _jacks_miss(trial: Trial) -> bool:
    return bool(trial.goal.without_frequency(trial.compression, trial.indices) >= 1)
