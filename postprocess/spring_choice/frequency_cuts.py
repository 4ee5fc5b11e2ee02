"""Rows for the integer programme that leave out springs on which the heave frequency is too high.

The heave mode is the one with the largest share of the mass in heave, so stiffer springs may lower its frequency when
another mode takes its place. The lowest of all frequencies can only rise with the rates (Rayleigh 1894, art. 88), and
none is below it. So `proven_cut` leaves out only springs that are too stiff for certain, and `hopeful_cut` more.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import combinations, product
from math import comb

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.objective import frequency_miss
from postprocess.spring_choice.problem import ChoiceProblem

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Cut = tuple[Floats, float]
"""A row (n, m) over x, 1 where a jack stands on a type, and the most that it may come to."""

MOST = 3_000
"""Sets around one that is too stiff whose frequency is found."""


def hopeful_cut(problem: ChoiceProblem, indices: Ints) -> Cut:
    """Leave out all springs as stiff as `indices` (n,), which miss the limit, or stiffer. No proof: some may do."""
    return _softer(problem, indices, lambda rates: bool(frequency_miss(problem, rates) > 0))


def proven_cut(problem: ChoiceProblem, indices: Ints) -> Cut:
    """Leave out `indices` (n,), which miss the limit, and others for which that is certain."""
    if _all_modes_above(problem, problem.types.rates[indices]):
        return _softer(problem, indices, lambda rates: _all_modes_above(problem, rates))
    same = np.zeros((len(problem), len(problem.types)))
    same[np.arange(len(problem)), indices] = 1.0
    return same, len(problem) - 1.0 - _radius(problem, indices)


def _all_modes_above(problem: ChoiceProblem, rates: Floats) -> bool:
    assert problem.modes is not None, "a limit of the frequency comes with modes"
    assert problem.frequency_limit is not None, "cuts are made where a limit is missed"
    lowest = np.linalg.eigvalsh(problem.modes.stiffness(rates))[0]
    return bool(lowest > (2 * np.pi * problem.frequency_limit) ** 2 * (1 + 1e-9))


def _softer(problem: ChoiceProblem, indices: Ints, missed: Callable[[Floats], bool]) -> Cut:
    """At least one jack must go softer than springs that are `missed`, made as soft as they can be and stay so."""
    rates = problem.types.rates
    stiff = rates[indices].copy()
    for jack in np.argsort(-stiff, kind="stable"):
        for rate in np.sort(rates[rates < stiff[jack]]):
            trial = stiff.copy()
            trial[jack] = rate
            if missed(trial):
                stiff = trial
                break
    return -(rates[None, :] < stiff[:, None]).astype(float), -1.0


def _radius(problem: ChoiceProblem, indices: Ints) -> int:
    """Number of swaps up to which every set around `indices` misses the limit too, as far as it is looked at."""
    n, m = len(problem), len(problem.types)
    for count in range(1, n + 1):
        if comb(n, count) * (m - 1) ** count > MOST:
            return count - 1
        patterns = np.array(list(product(range(1, m), repeat=count)), dtype=np.intp).reshape(-1, count)
        for jacks in combinations(range(n), count):
            sets = np.repeat(indices[None], len(patterns), axis=0)
            sets[:, jacks] = (sets[:, jacks] + patterns) % m
            if (frequency_miss(problem, problem.types.rates[sets]) <= 0).any():
                return count - 1
    return n
