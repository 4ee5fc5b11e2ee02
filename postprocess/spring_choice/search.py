"""The local search for a spring under each jack: starts, descents by swaps, and blocks of jacks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.blocks import blockwise
from postprocess.spring_choice.descent import descend, single_swaps
from postprocess.spring_choice.objective import Goal
from postprocess.spring_choice.start import rounded_starts, subsets
from postprocess.spring_choice.trial import SMALL, Trial

Ints = NDArray[np.intp]

MODERATE = 30
"""Up to this many jacks several sets of springs are bettered to the end, not the first alone."""


@dataclass(frozen=True)
class Effort:
    """How long a search goes on.

    sets: of types that are rounded to. starts: common deflections that each set is rounded at. descents: how many of
    these are bettered by single swaps. finals: how many of those by pair exchanges, in at most `rounds`. ways, idle: of
    `blocks`, for the finals, on larger floors only where jacks still miss a condition.
    """

    sets: int
    starts: int
    descents: int
    finals: int
    rounds: int
    ways: int
    idle: int

    @classmethod
    def for_jacks(cls, n: int) -> Effort:
        """Less of everything on larger floors, where a single descent takes longer and leaves less to gain."""
        if n <= SMALL:
            return cls(sets=200, starts=7, descents=24, finals=6, rounds=4, ways=4096, idle=12)
        if n <= MODERATE:
            return cls(sets=100, starts=7, descents=6, finals=2, rounds=2, ways=1024, idle=30)
        if n <= 150:
            return cls(sets=100, starts=7, descents=3, finals=1, rounds=2, ways=1728, idle=30)
        return cls(sets=6, starts=3, descents=1, finals=1, rounds=1, ways=0, idle=0)


def searched(goal: Goal) -> Trial:
    """The best springs that were found. Ideal rates (`start`) are rounded to the catalogue and bettered by swaps on the
    condensed floor (`descent`), then a few jacks at a time (`blocks`): no better choice is a pair of swaps among
    neighbours away, one further off may be."""
    problem = goal.problem
    effort = Effort.for_jacks(len(problem))
    trials: list[tuple[Trial, Ints]] = []
    for allowed in subsets(problem, effort.sets):
        trials += [(Trial.of(goal, start), allowed) for start in rounded_starts(problem, allowed, effort.starts)]
    trials = _best(trials, effort.descents)
    trials = [(single_swaps(trial, allowed), allowed) for trial, allowed in trials]
    trials = _best(trials, effort.finals)
    trials = [(descend(trial, allowed, effort.rounds), allowed) for trial, allowed in trials]
    if effort.idle and (len(problem) <= SMALL or jacks_miss(trials[0][0])):
        trials = [(_by_blocks(trial, allowed, effort), allowed) for trial, allowed in trials]
    return _best(trials, 1)[0][0]


def _best(trials: list[tuple[Trial, Ints]], count: int) -> list[tuple[Trial, Ints]]:
    """The `count` best, in order; the first of equals. The same springs stay twice where they may go on to different
    types."""
    found: dict[tuple[bytes, bytes], tuple[Trial, Ints]] = {}
    for trial, allowed in sorted(trials, key=lambda pair: pair[0].value):
        found.setdefault((trial.indices.tobytes(), allowed.tobytes()), (trial, allowed))
    return list(found.values())[:count]


def _by_blocks(trial: Trial, allowed: Ints, effort: Effort) -> Trial:
    return descend(blockwise(trial, allowed, effort.ways, effort.idle), allowed, effort.rounds)


def jacks_miss(trial: Trial) -> bool:
    """Whether a condition is missed at a jack, the frequency aside."""
    return bool(trial.goal.without_frequency(trial.compression, trial.indices) >= trial.goal.weight)
