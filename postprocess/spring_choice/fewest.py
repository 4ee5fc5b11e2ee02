"""The fewest swaps that make springs which stand already right again, as after a rack has moved."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from time import monotonic

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.all_swaps import all_swaps
from postprocess.spring_choice.descent import descend, pair_exchanges, single_swaps
from postprocess.spring_choice.fewest_program import Programme, solve_programme
from postprocess.spring_choice.objective import Goal, frequency_miss
from postprocess.spring_choice.problem import BARE, FULL, SERVICE, ChoiceProblem
from postprocess.spring_choice.trial import Trial
from postprocess.spring_choice.verdict import Choice, judge

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

SECONDS = 20.0
"""Time given to the proof that no fewer swaps do."""


@dataclass(frozen=True, eq=False)
class Swaps:
    """before, after: the floor on the kept springs and on the new ones. jacks: (s,) where the spring changes.

    at_least: no choice that meets everything changes fewer jacks than this (but for loads within 2e-6 of a limit).
    impossible: it is proven that no choice meets everything; `after` then misses as little as was found.
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

    kept: (n,) types that stand now. seconds: time for the proof; the number found does not suffer much from less.
    A limit on the types allows as many as stand already.
    """
    before = judge(problem, kept)
    if before.works:
        return Swaps(before, before, np.zeros(0, dtype=np.intp), 0, False)
    stop = monotonic() + seconds
    goal, most_types = Goal(problem, kept), _most_types(problem, kept)
    start, at_least = Trial.of(goal, kept), 1
    for count in range(1, len(kept) + 1):
        trial = all_swaps(start, count, most_types)
        if isinstance(trial, Trial):
            return _answer(before, trial, count, False)
        if not trial:
            break
        at_least = count + 1
    trial = _local(goal, _allowed(problem, kept))
    if at_least > len(kept):
        return _answer(before, trial, at_least, True)
    return _answer(before, *_Proof(problem, kept, most_types).run(trial, at_least, stop))


def _answer(before: Choice, trial: Trial, at_least: int, impossible: bool) -> Swaps:
    after = judge(trial.goal.problem, trial.indices)
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
    found = [_thinned(descend(start, allowed, 2), allowed) for allowed in sets]
    return min(found, key=lambda trial: trial.value)


def _thinned(trial: Trial, allowed: Ints) -> Trial:
    """Rounds of pair exchanges, which take one swap back by making another better, until they stop helping."""
    for _ in range(4):
        trial, helped = pair_exchanges(trial, allowed)
        if not helped:
            break
        trial = single_swaps(trial, allowed)
    return trial


@dataclass(frozen=True, eq=False)
class _Proof:
    """States and cuts are added to the programme as its answers turn out to miss them."""

    problem: ChoiceProblem
    kept: Ints
    most_types: int | None

    def run(self, trial: Trial, at_least: int, stop: float) -> tuple[Trial, int, bool]:
        """The best trial, the number that is proven necessary, and whether nothing works."""
        states: list[int] = [SERVICE]
        cuts: list[tuple[Floats, float]] = []
        while monotonic() < stop and not (self._works(trial) and self._swaps(trial) <= at_least):
            found = self._programme(states, cuts, trial, at_least, stop)
            if np.isinf(found.bound):
                works = self._works(trial)
                return trial, self._swaps(trial) if works else len(self.kept) + 1, not works
            at_least = max(at_least, ceil(found.bound - 1e-6))
            if found.indices is None or not found.settled:
                if found.indices is not None:
                    trial = self._bettered(trial, found.indices)
                break
            trial = self._bettered(trial, found.indices)
            if not self._tightened(found.indices, states, cuts):
                break
        return trial, at_least, False

    def _programme(
        self, states: list[int], cuts: list[tuple[Floats, float]], trial: Trial, at_least: int, stop: float
    ) -> Programme:
        """One swap fewer than a trial that works, so that no answer proves it the least; else any number."""
        most = self._swaps(trial) - 1 if self._works(trial) else len(self.kept)
        return solve_programme(
            self.problem,
            self.kept,
            states,
            cuts,
            swaps=(at_least, most),
            most_types=self.most_types,
            seconds=stop - monotonic(),
        )

    def _works(self, trial: Trial) -> bool:
        return trial.value < trial.goal.weight

    def _swaps(self, trial: Trial) -> int:
        return int(np.count_nonzero(trial.indices != self.kept))

    def _bettered(self, trial: Trial, indices: Ints) -> Trial:
        """The better of the trial and of what local search makes of other springs."""
        limited = self.most_types is not None
        allowed = np.unique(np.concatenate([indices, self.kept])) if limited else np.arange(len(self.problem.types))
        start = Trial.of(trial.goal, indices)
        other = start if limited and len(allowed) > (self.most_types or 0) else _thinned(start, allowed)
        return min(trial, other, key=lambda each: each.value)

    def _tightened(self, indices: Ints, states: list[int], cuts: list[tuple[Floats, float]]) -> bool:
        """Add a state or a cut that rules out springs which miss it; False if nothing could be added."""
        verdict = judge(self.problem, indices)
        missing = [state for state in (FULL, BARE) if state not in states]
        if not (verdict.has_travel & verdict.pushes).all() and missing:
            states += missing
            return True
        if not verdict.frequency_met:
            cuts.append(self._softer(indices))
            return True
        return False

    def _softer(self, indices: Ints) -> tuple[Floats, float]:
        """Where springs are too stiff together, stiffer ones are too: at least one jack must go softer.

        The springs are first made as soft as they can be while the frequency is still missed, which rules out most.
        """
        rates = self.problem.types.rates
        stiff = rates[indices].copy()
        for jack in np.argsort(-stiff, kind="stable"):
            for rate in np.sort(rates[rates < stiff[jack]]):
                trial = stiff.copy()
                trial[jack] = rate
                if frequency_miss(self.problem, trial) > 0:
                    stiff = trial
                    break
        softer = rates[None, :] < stiff[:, None]
        return -softer.astype(float), -1.0
