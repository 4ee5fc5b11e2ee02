"""Every set of springs on the floor, looked at one by one, where there are few enough."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import comb

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.objective import Goal
from postprocess.spring_choice.problem import ChoiceProblem
from postprocess.spring_choice.trial import CHUNK

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

MOST = 100_000
"""Sets of springs that are looked at; eight jacks on four types have 65 536."""
BATCH = 256
"""Sets whose frequency is found at a time, the most promising first."""


def best_of_every_set(goal: Goal) -> tuple[Ints, float] | None:
    """(n,) types with the least goal of all sets that respect `most_types`, and that goal; None where they are too
    many to be looked at. Exact: a goal of `goal.weight` or more proves that nothing meets all conditions."""
    problem = goal.problem
    n, m = len(problem), len(problem.types)
    most = min(problem.most_types or m, m)
    if comb(m, most) * most**n > MOST:
        return None
    best: tuple[Ints, float] | None = None
    for sets in _chunks(n, m, most):
        found = _least(goal, sets, np.inf if best is None else best[1])
        best = found if found is not None else best
    return best


def _chunks(n: int, m: int, most: int) -> Iterator[Ints]:
    """(c, n) sets of types at a time: for each choice of `most` types, every way to place them."""
    size = max(1, CHUNK // (n * n))
    powers = most ** np.arange(n)[::-1]
    for allowed in combinations(range(m), most):
        for start in range(0, most**n, size):
            places = np.arange(start, min(start + size, most**n))
            yield np.asarray(allowed, dtype=np.intp)[places[:, None] // powers % most]


def _least(goal: Goal, sets: Ints, below: float) -> tuple[Ints, float] | None:
    """The set of least goal and that goal, if it is less than `below`.

    The goal without the frequency is never above the goal: sets are taken in its order until it passes the least.
    """
    bounds = goal.without_frequency(compressions(goal.problem, sets), sets)
    order = np.argsort(bounds, kind="stable")
    found = None
    for start in range(0, len(order), BATCH):
        part = order[start : start + BATCH]
        if bounds[part[0]] >= below:
            break
        values = bounds[part] + goal.of_frequency(goal.problem.types.rates[sets[part]])
        place = int(np.argmin(values))
        if values[place] < below:
            below = float(values[place])
            found = sets[part[place]], below
    return found


def compressions(problem: ChoiceProblem, sets: Ints) -> Floats:
    """(3, c, n) compressions v on c sets of types (c, n), m: (I + F (k − k0)) v = v0 solved for each."""
    floor = problem.floor
    change = problem.types.rates[sets] - floor.reference_rates
    systems = np.eye(len(problem)) + floor.flexibility * change[:, None, :]
    solved = np.linalg.solve(systems, problem.reference_compression.T[None])
    return np.ascontiguousarray(np.moveaxis(solved, -1, 0))
