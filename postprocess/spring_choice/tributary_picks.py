"""What the habit of tributary areas would have picked, and where that would have been wrong."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.objective import Goal
from postprocess.spring_choice.problem import SERVICE, ChoiceProblem
from postprocess.spring_choice.trial import Trial
from postprocess.spring_choice.verdict import Choice, judge

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class TributaryPicks:
    """indices: (n,) types whose rated load is closest to the tributary load of each jack.

    ratio_alone: (n,) service load ratio at each jack with its pick there and the chosen springs elsewhere.
    wrong_alone: (n,) whether that leaves the band. together: the floor on all picks at once.
    """

    indices: Ints
    ratio_alone: Floats
    wrong_alone: NDArray[np.bool_]
    together: Choice

    @property
    def wrong_together(self) -> NDArray[np.bool_]:
        """(n,) whether the jack leaves its band with all picks in place."""
        return ~self.together.in_band


def tributary_picks(problem: ChoiceProblem, choice: Choice, tributary_loads: Floats) -> TributaryPicks:
    """The picks for service loads (n,) by tributary area, N, judged by the loads that the floor really gives."""
    types, (low, high) = problem.types, problem.band
    picks = np.argmin(np.abs(tributary_loads[:, None] / types.rated_loads - 1), axis=1)
    trial = Trial.of(Goal(problem), choice.indices)
    change = types.rates[picks] - trial.rates
    service = trial.compression[SERVICE] / (1 + change * np.diag(trial.flexibility))
    ratio = service / types.rated_deflections[picks]
    return TributaryPicks(picks, ratio, (ratio < low) | (ratio > high), judge(problem, picks))
