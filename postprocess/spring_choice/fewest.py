"""The fewest swaps that make springs which stand already right again, as after a rack has moved."""

from __future__ import annotations

from dataclasses import dataclass
from time import monotonic

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.all_swaps import all_swaps
from postprocess.spring_choice.descent import descend
from postprocess.spring_choice.objective import Goal
from postprocess.spring_choice.problem import ChoiceProblem
from postprocess.spring_choice.proof import Proof, thinned
from postprocess.spring_choice.trial import Trial
from postprocess.spring_choice.verdict import Choice, judge

Ints = NDArray[np.intp]

SECONDS = 20.0
"""Time given to looking one by one, up to half of it, and to the proof that no fewer swaps do."""


@dataclass(frozen=True, eq=False)
class Swaps:
    """before, after: the floor on the kept springs and on the new ones. jacks: (s,) where the spring changes.

    at_least: no choice that meets everything changes fewer jacks than this (but for loads within 2e-6 of a limit).
    impossible: it is proven that no choice meets everything; `after` then misses as little as was found. Both rest on
    looking one by one and on cuts that are certain (`frequency_cuts`); with a limit of the frequency, which the
    programme knows only through cuts, the proof can take longer than there is time, and less is then said.
    """

    before: Choice
    after: Choice
    jacks: Ints
    at_least: int
    impossible: bool

    def __len__(self) -> int:
        return len(self.jacks)

    @property
    def proven(self) -> bool:
        """Whether fewer swaps are proven not to do."""
        return self.after.works and len(self) <= self.at_least


def fewest_swaps(problem: ChoiceProblem, kept: Ints, seconds: float = SECONDS) -> Swaps:
    """The smallest number of jacks whose spring changes so that all conditions hold; among equals the best quality.

    All sets of so few swaps as can be looked at one by one are (two at 70 jacks of 12 types); beyond, a local search
    finds a number, and `fewest_program` fewer or the proof that there are none. The tie by quality is exact in the
    first case and found by local search in the second.

    kept: (n,) types that stand now. seconds: time for looking one by one and for the proof; the number found does not
    suffer much from less. The local search is not timed.
    A limit on the types allows as many as stand already.
    """
    before = judge(problem, kept)
    if before.works:
        return Swaps(before, before, np.zeros(0, dtype=np.intp), 0, False)
    begin = monotonic()
    goal, most_types = Goal(problem, kept), _most_types(problem, kept)
    start, at_least = Trial.of(goal, kept), 1
    for count in range(1, len(kept) + 1):
        trial = all_swaps(start, count, most_types, begin + 0.5 * seconds)
        if isinstance(trial, Trial):
            return _answer(before, trial, count, False)
        if not trial:
            break
        at_least = count + 1
    trial = _local(goal, _allowed(problem, kept))
    if at_least > len(kept):
        return _answer(before, trial, at_least, True)
    return _answer(before, *Proof(problem, kept, most_types).run(trial, at_least, begin + seconds))


def _answer(before: Choice, trial: Trial, at_least: int, impossible: bool) -> Swaps:
    after = judge(trial.goal.problem, trial.indices, impossible=impossible)
    return Swaps(before, after, np.flatnonzero(after.indices != before.indices), at_least, impossible)


def _most_types(problem: ChoiceProblem, kept: Ints) -> int | None:
    most = problem.most_types
    if most is None or max(most, len(np.unique(kept))) >= len(problem.types):
        return None
    return max(most, len(np.unique(kept)))


def _allowed(problem: ChoiceProblem, kept: Ints) -> list[Ints]:
    """Sets of types that swaps by local search may end with: those in use, and others while there is room."""
    used, m = np.unique(kept), len(problem.types)
    most = _most_types(problem, kept)
    if most is None:
        return [np.arange(m)]
    others = np.setdiff1d(np.arange(m), used)
    return [used] if most == len(used) else [np.sort(np.append(used, other)) for other in others]


def _local(goal: Goal, sets: list[Ints]) -> Trial:
    """The best of the descents from the kept springs with each of the sets of types."""
    assert goal.kept is not None
    start = Trial.of(goal, goal.kept)
    found = [thinned(descend(start, allowed, 2), allowed) for allowed in sets]
    return min(found, key=lambda trial: trial.value)
