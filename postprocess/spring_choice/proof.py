"""The integer programme asked again and again, until it has found the fewest swaps or shown that there are none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from time import monotonic

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.descent import pair_exchanges, single_swaps
from postprocess.spring_choice.fewest_program import Programme, solve_programme
from postprocess.spring_choice.frequency_cuts import Cut, hopeful_cut, proven_cut
from postprocess.spring_choice.problem import BARE, FULL, SERVICE, ChoiceProblem
from postprocess.spring_choice.trial import Trial
from postprocess.spring_choice.verdict import judge

Ints = NDArray[np.intp]
MakeCut = Callable[[ChoiceProblem, Ints], Cut]


def thinned(trial: Trial, allowed: Ints) -> Trial:
    """Rounds of pair exchanges, which take one swap back by making another better, until they stop helping."""
    for _ in range(4):
        trial, helped = pair_exchanges(trial, allowed)
        if not helped:
            break
        trial = single_swaps(trial, allowed)
    return trial


@dataclass(frozen=True, eq=False)
class Proof:
    """States and cuts are added to the programme as its answers turn out to miss them.

    kept: (n,) types that swaps are counted from. most_types: different types at most, None for any number.
    """

    problem: ChoiceProblem
    kept: Ints
    most_types: int | None

    def run(self, trial: Trial, at_least: int, stop: float) -> tuple[Trial, int, bool]:
        """The best trial, the number that is proven necessary, and whether nothing works.

        With a limit of the frequency, up to half of the time goes to cuts that may leave out too much: they find
        swaps, and prove nothing. The rest is spent with cuts that are certain, from the trial that was found.
        stop: by `time.monotonic`.
        """
        if self.problem.frequency_limit is not None:
            now = monotonic()
            trial, _, _ = self._asked(trial, at_least, now + 0.5 * (stop - now), hopeful_cut)
        return self._asked(trial, at_least, stop, proven_cut)

    def _asked(self, trial: Trial, at_least: int, stop: float, cut: MakeCut) -> tuple[Trial, int, bool]:
        states: list[int] = [SERVICE]
        cuts: list[Cut] = []
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
            if not self._tightened(found.indices, states, cuts, cut):
                break
        return trial, at_least, False

    def _programme(self, states: list[int], cuts: list[Cut], trial: Trial, at_least: int, stop: float) -> Programme:
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
        other = start if limited and len(allowed) > (self.most_types or 0) else thinned(start, allowed)
        return min(trial, other, key=lambda each: each.value)

    def _tightened(self, indices: Ints, states: list[int], cuts: list[Cut], cut: MakeCut) -> bool:
        """Add a state or a cut that rules out springs which miss it; False if nothing could be added."""
        verdict = judge(self.problem, indices)
        missing = [state for state in (FULL, BARE) if state not in states]
        if not (verdict.has_travel & verdict.pushes).all() and missing:
            states += missing
            return True
        if not verdict.frequency_met:
            cuts.append(cut(self.problem, indices))
            return True
        return False
