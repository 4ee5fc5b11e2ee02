"""Springs that meet every condition at the jacks where the search has found none, or the proof that there are none."""

from __future__ import annotations

from time import monotonic

import numpy as np

from postprocess.spring_choice.descent import descend
from postprocess.spring_choice.fewest_program import solve_programme
from postprocess.spring_choice.problem import BARE, FULL, SERVICE
from postprocess.spring_choice.trial import Trial


def by_programme(trial: Trial, seconds: float) -> tuple[Trial, bool]:
    """The better of `trial` and of what swaps make of the programme's answer; whether it is proven that nothing works.

    The programme knows all conditions but the frequency: without it nothing works either where it finds that nothing
    does. It is first asked for the fewest changes from `trial`, then, with half of the time left, for any springs.
    """
    problem, stop = trial.goal.problem, monotonic() + seconds
    m = len(problem.types)
    limited = problem.most_types is not None and problem.most_types < m
    for fewest, share in ((True, 0.5), (False, 1.0)):
        found = solve_programme(
            problem,
            trial.indices,
            (SERVICE, FULL, BARE),
            (),
            swaps=(1, len(problem)),
            most_types=problem.most_types if limited else None,
            seconds=share * (stop - monotonic()),
            fewest=fewest,
        )
        if found.indices is not None:
            allowed = np.unique(found.indices) if limited else np.arange(m)
            other = descend(Trial.of(trial.goal, found.indices), allowed, 2)
            return min(trial, other, key=lambda each: each.value), False
        if np.isinf(found.bound):
            return trial, True
    return trial, False
