"""Every way to swap one spring, or two, looked at one by one."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.objective import jack_misses
from postprocess.spring_choice.trial import Trial

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

MOST = 80_000_000
"""Compressions that are worth finding: candidates times jacks that must be mended."""


def all_swaps(trial: Trial, count: int, most_types: int | None) -> Trial | bool:
    """The best of all sets of springs `count` swaps away that meet everything.

    True where none does, False where there are too many to look at. most_types: different types at most.
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
        jacks = np.repeat(part, len(patterns), axis=0)
        types = (trial.indices[jacks] + np.tile(patterns, (len(part), 1))) % m
        found = _best(trial, jacks, types, watched, most_types)
        if found is not None and (best is None or found.value < best.value):
            best = found
    return True if best is None else best


def _unsound(trial: Trial) -> Ints:
    types = trial.goal.problem.types
    rated, solid = types.rated_deflections[trial.indices], types.solid_deflections[trial.indices]
    misses = jack_misses(trial.goal.problem, trial.compression, rated, solid)
    return np.flatnonzero(np.maximum.reduce(misses) > 0)


def _best(trial: Trial, jacks: Ints, types: Ints, watched: Ints, most_types: int | None) -> Trial | None:
    """The best candidate that meets everything; those that leave a jack in `watched` unmended are dropped first."""
    catalogue = trial.goal.problem.types
    if len(watched):
        after = trial.indices[watched] * np.ones((len(jacks), 1), dtype=np.intp)
        for jack, new in zip(jacks.T, types.T, strict=True):
            after = np.where(watched == jack[:, None], new[:, None], after)
        v = trial.compressions(jacks, types, watched)
        rated, solid = catalogue.rated_deflections[after], catalogue.solid_deflections[after]
        misses = np.maximum.reduce(jack_misses(trial.goal.problem, v, rated, solid))
        mended = (misses <= 0).all(axis=1)
        jacks, types = jacks[mended], types[mended]
    if not len(jacks):
        return None
    bounds = trial.bounds(jacks, types)
    for place in np.argsort(bounds, kind="stable"):
        if bounds[place] >= trial.goal.weight:
            return None
        found = trial.swapped(jacks[place], types[place])
        if found.value < trial.goal.weight and len(np.unique(found.indices)) <= (most_types or len(catalogue)):
            return found
    return None
