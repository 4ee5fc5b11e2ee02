"""The limits of a levelling as linear rows over the quarter turns, and the cuts that are found as they are needed.

A row of weights g and reach b stands for g z ≤ b. Heights, gaps and loads have two rows each, one either way. Places
are many, so rows of samples, straightedges and moments are added only where turns that were tried break them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from postprocess.level import bending
from postprocess.level.problem import LevelProblem, Lines, LoadLimits, MomentLimits

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEVEL, LOAD, MOMENT = 0, 1, 2
MOST_CUTS = 30
"""Rows of one kind that are added at a time."""
LOAD_ROOM = 0.2
"""Room in rows of loads and moments that is worth as much as all of the limit in rows of level."""
ROUNDING = 1e-6
"""Share of a limit by which rows may be broken: what the solver lets pass."""


@dataclass(frozen=True, eq=False)
class Rows:
    """r rows in units of their limits: weights (r, n), reach (r,) and kind (r,). slack: (r,) number of the jack and
    state, or of the state, whose excess a row of loads or moments may take; −1 for rows of level."""

    weights: Floats
    reach: Floats
    kind: Ints
    slack: Ints

    def __len__(self) -> int:
        return len(self.reach)

    @classmethod
    def none(cls, n: int) -> Rows:
        """No rows over n jacks."""
        return cls(np.zeros((0, n)), np.zeros(0), np.zeros(0, np.int64), np.zeros(0, np.int64))

    def part(self, chosen: NDArray[np.bool_]) -> Rows:
        """The rows `chosen` (r,)."""
        return Rows(self.weights[chosen], self.reach[chosen], self.kind[chosen], self.slack[chosen])

    def joined(self, other: Rows) -> Rows:
        """These rows, then the others."""
        return Rows(
            np.vstack([self.weights, other.weights]),
            np.concatenate([self.reach, other.reach]),
            np.concatenate([self.kind, other.kind]),
            np.concatenate([self.slack, other.slack]),
        )

    def relaxed(self, level: float, slack: Floats) -> Rows:
        """The same with these excesses let pass, in units of the limits; slack: as `slacks` counts them."""
        more = np.where(self.kind == LEVEL, level, slack[self.slack])
        return Rows(self.weights, self.reach + more, self.kind, self.slack)

    def tightened(self, room: float) -> Rows:
        """The same with `room` left in rows of level, and `LOAD_ROOM` of it in the others."""
        return replace(self, reach=self.reach - room * np.where(self.kind == LEVEL, 1.0, LOAD_ROOM))

    def excess(self, turns: Floats) -> Floats:
        """(r,) by how much each row is broken, in units of its limit; negative where it is kept."""
        return np.asarray(self.weights @ turns - self.reach)


def first_rows(problem: LevelProblem) -> Rows:
    """Rows of the heights at the jacks and of all loads."""
    rows = _level_rows(problem.jack_lines, np.arange(len(problem)))
    for state, limits in enumerate(problem.loads):
        rows = rows.joined(_load_rows(problem, limits, len(problem) * state))
    return rows


def cuts(problem: LevelProblem, turns: Floats, level: float, slack: Floats) -> Rows:
    """Rows that `turns` (n,) break, the worst of each kind: samples, straightedges, moments.

    level, slack: excess of the level and of each load and moment state that is allowed, shares of the limits.
    """
    found = Rows.none(len(problem))
    for lines in (problem.sample_lines, problem.gap_lines):
        worst = _worst(lines.use(turns) - 1, level + ROUNDING)
        up = lines.before[worst] + lines.change[worst] @ turns > 0
        found = found.joined(_level_rows(lines, worst).part(np.concatenate([up, ~up])))
    first = len(problem.loads) * len(problem)
    for state, limits in enumerate(problem.moments):
        allowed = slack[first + state] + ROUNDING
        found = found.joined(_moment_cuts(problem, limits, turns, first + state, allowed))
    return found


def slacks(problem: LevelProblem) -> int:
    """Number of excesses: each jack in each state of loads, and each state of moments."""
    return len(problem.loads) * len(problem) + len(problem.moments)


def _level_rows(lines: Lines, chosen: Ints) -> Rows:
    """Size + margin ≤ limit, two rows for each of the lines `chosen`."""
    limit, count = lines.limit, 2 * len(chosen)
    weights, start, margin = lines.change[chosen] / limit, lines.before[chosen] / limit, lines.margin[chosen] / limit
    reach = np.concatenate([1 - margin - start, 1 - margin + start])
    return Rows(np.vstack([weights, -weights]), reach, np.full(count, LEVEL), np.full(count, -1))


def _worst(excess: Floats, allowed: float) -> Ints:
    """Numbers of the greatest entries above `allowed`."""
    beyond = np.flatnonzero(excess > allowed)
    return beyond[np.argsort(-excess[beyond], kind="stable")[:MOST_CUTS]]


def _load_rows(problem: LevelProblem, limits: LoadLimits, first: int) -> Rows:
    """low ≤ load ≤ high, in units of the mean load; no row where a limit is infinite."""
    unit = float(np.abs(limits.loads).mean())
    weights, number = problem.load_change * (problem.step / unit), first + np.arange(len(problem))
    above, below = np.isfinite(limits.high), np.isfinite(limits.low)
    reach = [(limits.high - limits.loads)[above] / unit, (limits.loads - limits.low)[below] / unit]
    slack = np.concatenate([number[above], number[below]])
    return Rows(np.vstack([weights[above], -weights[below]]), np.concatenate(reach), np.full(len(slack), LOAD), slack)


def _moment_cuts(problem: LevelProblem, limits: MomentLimits, turns: Floats, slack: int, allowed: float) -> Rows:
    """Cuts at the places bent most beyond the limit."""
    triples = limits.moments + problem.moment_change @ (problem.step * turns)
    worst = _worst(bending.sizes(triples) / limits.limit - 1, allowed)
    across = bending.directions(triples[worst])
    weights = np.einsum("pi,pin->pn", across, problem.moment_change[worst]) * (problem.step / limits.limit)
    start = np.sum(across * limits.moments[worst], axis=1) / limits.limit
    return Rows(weights, 1 - start, np.full(len(worst), MOMENT), np.full(len(worst), slack))
