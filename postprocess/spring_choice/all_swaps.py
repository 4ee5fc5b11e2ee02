"""Every way to swap one spring, or two, looked at one by one."""

from __future__ import annotations

from itertools import combinations
from time import monotonic

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.objective import jack_misses
from postprocess.spring_choice.trial import Trial

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

MOST = 80_000_000
"""Compressions that are worth finding: candidates times jacks that must be mended."""
BATCH = 256
"""Candidates whose frequency is found at a time."""


def all_swaps(trial: Trial, count: int, most_types: int | None, stop: float) -> Trial | bool:
    """The best of all sets of springs `count` swaps away that meet everything.

    True where none does, False where there are too many to look at. most_types: different types at most. stop: time by
    `time.monotonic` at which looking ends, with the best so far or, if there is none, False.
    """
    n, m = len(trial.indices), len(trial.goal.problem.types)
    watched = _unsound(trial)
    sets = np.array(list(combinations(range(n), count)), dtype=np.intp).reshape(-1, count)
    if len(sets) * (m - 1) ** count * max(len(watched), 1) > MOST:
        return False
    patterns = np.stack(np.meshgrid(*[np.arange(1, m)] * count, indexing="ij"), axis=-1).reshape(-1, count)
    best = None
    for part in np.array_split(sets, max(1, len(sets) * len(patterns) // 20_000)):
        if not len(part) or not len(patterns):
            continue
        if monotonic() > stop:
            return False if best is None else best
        jacks = np.repeat(part, len(patterns), axis=0)
        types = (trial.indices[jacks] + np.tile(patterns, (len(part), 1))) % m
        found = _best(trial, jacks, types, watched, most_types=most_types, stop=stop)
        if found is False:
            return False if best is None else best
        if isinstance(found, Trial) and (best is None or found.value < best.value):
            best = found
    return True if best is None else best


def _unsound(trial: Trial) -> Ints:
    types = trial.goal.problem.types
    rated, solid = types.rated_deflections[trial.indices], types.solid_deflections[trial.indices]
    misses = jack_misses(trial.goal.problem, trial.compression, rated, solid)
    return np.flatnonzero(np.maximum.reduce(misses) > 0)


def _mended(trial: Trial, jacks: Ints, types: Ints, watched: Ints) -> NDArray[np.bool_]:
    """(c,) whether a candidate leaves no jack in `watched` unsound."""
    catalogue = trial.goal.problem.types
    after = trial.indices[watched] * np.ones((len(jacks), 1), dtype=np.intp)
    for jack, new in zip(jacks.T, types.T, strict=True):
        after = np.where(watched == jack[:, None], new[:, None], after)
    v = trial.compressions(jacks, types, watched)
    rated, solid = catalogue.rated_deflections[after], catalogue.solid_deflections[after]
    misses = np.maximum.reduce(jack_misses(trial.goal.problem, v, rated, solid))
    return np.asarray((misses <= 0).all(axis=1))


def _best(
    trial: Trial, jacks: Ints, types: Ints, watched: Ints, *, most_types: int | None, stop: float
) -> Trial | bool:
    """The best candidate that meets everything, True where none does, False where time ran out first.

    Those that leave a jack in `watched` unmended are dropped first. A candidate that works has the goal of its bound,
    so the first that works in their order is the best.
    """
    if len(watched):
        mended = _mended(trial, jacks, types, watched)
        jacks, types = jacks[mended], types[mended]
    if not len(jacks):
        return True
    goal, catalogue = trial.goal, trial.goal.problem.types
    bounds = trial.bounds(jacks, types)
    order = np.argsort(bounds, kind="stable")[: np.count_nonzero(bounds < goal.weight)]
    for start in range(0, len(order), BATCH):
        if monotonic() > stop:
            return False
        part = order[start : start + BATCH]
        sets = trial.replaced(jacks[part], types[part])
        different = 1 + np.count_nonzero(np.diff(np.sort(sets, axis=1), axis=1), axis=1)
        values = bounds[part] + goal.of_frequency(catalogue.rates[sets])
        for place in np.flatnonzero((values < goal.weight) & (different <= (most_types or len(catalogue)))):
            found = trial.swapped(jacks[part[place]], types[part[place]])
            if found.value < goal.weight:
                return found
    return True
