"""The order of work: which jack next, so that the slab stays below its limits while only some jacks have been turned.

At every step the jack that leaves the least use is taken: use of the moment at which the slab may crack, of solid
springs, and of springs that would pull. Where that is not enough, the turns are shared out over rounds.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.level.bending import sizes
from postprocess.level.problem import LevelProblem

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_ROUNDS = 4
LOOKED_AT = 400
"""Places that the choice of the next jack looks at; the peaks are taken over all places."""


@dataclass(frozen=True)
class Step:
    """Quarter turns of a jack, and what holds after them: greatest moment, N·m/m, its share of the limit, its place,
    and the least and the greatest load, N, in the first state of loads."""

    jack: int
    quarter_turns: int
    moment: float
    use: float
    place: int
    least_load: float
    greatest_load: float


@dataclass(frozen=True)
class WorkOrder:
    """steps: in the order of work. rounds: into which the turns are shared out. kept: whether moments stay below their
    limit, and loads pushing and below solid, all the way."""

    steps: tuple[Step, ...]
    rounds: int
    kept: bool

    @property
    def jacks(self) -> tuple[int, ...]:
        """The jacks in the order in which they are first touched."""
        return tuple(dict.fromkeys(step.jack for step in self.steps))

    @property
    def peak(self) -> Step | None:
        """The step with the greatest moment; None where nothing is turned."""
        return max(self.steps, key=lambda step: step.use, default=None)


def work_order(problem: LevelProblem, quarter_turns: Ints) -> WorkOrder:
    """The order for turns (n,), judged in the first state of `problem.moments` and of `problem.loads`, in which the
    slab is when it is levelled."""
    best: WorkOrder | None = None
    for rounds in range(1, MOST_ROUNDS + 1):
        found = _in_rounds(problem, quarter_turns, rounds)
        if best is None or found.kept or _peak(found) < _peak(best) * (1 - 1e-3):
            best = found
        if found.kept:
            break
    assert best is not None  # there is a round at least
    return best


def _peak(order: WorkOrder) -> float:
    return max((step.use for step in order.steps), default=0.0)


def _in_rounds(problem: LevelProblem, turns: Ints, rounds: int) -> WorkOrder:
    done, steps = np.zeros(len(turns)), []
    for number in range(1, rounds + 1):
        aim = np.round(turns * number / rounds)
        while np.any(done != aim):
            jack = _next(problem, done, aim)
            quarters = int(aim[jack] - done[jack])
            done[jack] = aim[jack]
            steps.append(_step(problem, done, jack, quarters))
    return WorkOrder(tuple(steps), rounds, all(_kept(problem, step, steps) for step in steps))


def _next(problem: LevelProblem, done: Floats, aim: Floats) -> int:
    """The jack whose turns leave the least use."""
    left = np.flatnonzero(done != aim)
    trial = done[:, None] + np.where(np.arange(len(done))[:, None] == left, (aim - done)[:, None], 0.0)
    use = _load_use(problem, trial)
    if problem.moments:
        limits = problem.moments[0]
        reach = np.abs(problem.moment_change).sum(axis=1) @ np.abs(aim - done) * problem.step
        chosen = np.argsort(-(sizes(limits.moments + _change(problem, done)) + reach), kind="stable")[:LOOKED_AT]
        change = problem.moment_change[chosen] @ (problem.step * trial)
        moments = limits.moments[chosen][:, :, None] + change
        use = np.maximum(use, sizes(np.moveaxis(moments, 1, 2)).max(axis=0) / limits.limit)
    return int(left[int(np.argmin(use))])


def _change(problem: LevelProblem, turns: Floats) -> Floats:
    return np.asarray(problem.moment_change @ (problem.step * turns))


def _load_use(problem: LevelProblem, turns: Floats) -> Floats:
    """(c,) how near the loads of columns of turns (n, c) come to their limits in the first state: 1 at the limit."""
    if not problem.loads:
        return np.zeros(turns.shape[1])
    limits = problem.loads[0]
    loads = limits.loads[:, None] + problem.load_change @ (problem.step * turns)
    unit = np.abs(limits.loads).mean()
    beyond = np.maximum(loads - limits.high[:, None], limits.low[:, None] - loads).max(axis=0)
    return np.asarray(1 + beyond / unit)


def _step(problem: LevelProblem, done: Floats, jack: int, quarters: int) -> Step:
    loads = problem.loads_after(done)[0] if problem.loads else np.zeros(1)
    moment, place, limit = 0.0, -1, np.inf
    if problem.moments and len(problem.moment_change):
        size = sizes(problem.moments_after(done)[0])
        place, limit = int(size.argmax()), problem.moments[0].limit
        moment = float(size[place])
    return Step(jack, quarters, moment, moment / limit, place, float(loads.min()), float(loads.max()))


def _kept(problem: LevelProblem, step: Step, steps: list[Step]) -> bool:
    """Whether a step keeps to the limits, or ends no worse than the last one does."""
    last = steps[-1]
    return step.use <= max(1.0, last.use) + 1e-9 and step.least_load >= min(0.0, last.least_load) - 1e-9
