"""What given turns come to: the excess over each limit, at all places."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.level.bending import sizes
from postprocess.level.problem import LevelProblem

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Measure:
    """level: greatest use of the limits of departure and gap, margins included, less 1; 0 where kept. slack: excess of
    each load and moment state as `postprocess.level.rows.slacks` counts them, in units of the mean load and of the
    limit."""

    level: float
    slack: Floats

    def within(self, level: float, slack: Floats, rounding: float) -> bool:
        """Whether no excess is greater than these."""
        return self.level <= level + rounding and bool(np.all(self.slack <= slack + rounding))

    @property
    def penalty(self) -> float:
        """One figure to tell the better of two: loads and moments before level."""
        return self.level + HEAVY * float(self.slack.sum())


HEAVY = 50.0
"""What an excess of load or moment weighs against one of level, both as shares of their limits."""


def measure(problem: LevelProblem, turns: Floats) -> Measure:
    """The excess of quarter turns (n,)."""
    lines = (problem.jack_lines, problem.sample_lines, problem.gap_lines)
    level = max(float(part.use(turns).max(initial=0.0)) for part in lines) - 1
    found = []
    for limits, loads in zip(problem.loads, problem.loads_after(turns), strict=True):
        found.append(np.maximum(loads - limits.high, limits.low - loads) / np.abs(limits.loads).mean())
    for bent, moments in zip(problem.moments, problem.moments_after(turns), strict=True):
        found.append(np.array([sizes(moments).max(initial=0.0) / bent.limit - 1]))
    return Measure(max(level, 0.0), np.maximum(np.concatenate([*found, np.zeros(0)]), 0.0))
