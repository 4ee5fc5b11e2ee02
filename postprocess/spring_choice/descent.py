"""Better sets of springs by swaps: one jack at a time, and pairs of neighbours where that stalls."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.trial import SMALL, Trial

Ints = NDArray[np.intp]

NEIGHBOURS, OPTIONS = 8, 5
"""Partners of a jack and types at each of the two that a pair exchange looks at on larger floors."""
COUPLED = 0.02
"""Share of its own movement under a force beyond which a jack is looked at again when another has changed."""


def single_swaps(trial: Trial, allowed: Ints) -> Trial:
    """Swap one spring at a time for the best of the types `allowed` until no swap helps.

    After a swap only the jacks that feel it are looked at again; the last round looks at all.
    """
    n = len(trial.indices)
    waiting = np.ones(n, dtype=np.bool_)
    whole = True
    while waiting.any():
        changed = np.zeros(n, dtype=np.bool_)
        for jack in _worst_first(trial)[waiting[_worst_first(trial)]]:
            better = _best_single(trial, int(jack), allowed)
            if better is not None:
                trial = better
                own = np.diag(trial.flexibility)
                changed |= np.abs(trial.flexibility[jack]) > COUPLED * own
        if not changed.any() and not whole:
            changed[:], whole = True, True
        elif changed.any():
            whole = bool(changed.all())
        waiting = changed
    return Trial.of(trial.goal, trial.indices)


def _worst_first(trial: Trial) -> Ints:
    rated = trial.goal.problem.types.rated_deflections[trial.indices]
    return np.argsort(-np.abs(trial.compression[1] / rated - 1), kind="stable")


def _best_single(trial: Trial, jack: int, allowed: Ints) -> Trial | None:
    types = allowed[allowed != trial.indices[jack]][:, None]
    if not len(types):
        return None
    jacks = np.full_like(types, jack)
    place, _ = trial.best(jacks, types, trial.bounds(jacks, types))
    return trial.swapped(jacks[place], types[place]) if place >= 0 else None


def pair_exchanges(trial: Trial, allowed: Ints) -> tuple[Trial, bool]:
    """One round over all jacks of the best change at a jack and one partner; whether any helped."""
    n = len(trial.indices)
    options = _options(trial, allowed)
    partners = _partners(trial)
    helped = False
    for jack in range(n):
        others = partners[jack][partners[jack] > jack] if n <= SMALL else partners[jack]
        if not len(others):
            continue
        jacks, types = _pair_candidates(jack, others, options)
        place, _ = trial.best(jacks, types, trial.bounds(jacks, types))
        if place >= 0:
            trial, helped = trial.swapped(jacks[place], types[place]), True
    return trial, helped


def _pair_candidates(jack: int, others: Ints, options: Ints) -> tuple[Ints, Ints]:
    """(c, 2) jacks and types of every pair of options at `jack` and at each of `others`."""
    count = options.shape[1]
    mine = np.broadcast_to(options[jack][None, :, None], (len(others), count, count))
    theirs = np.broadcast_to(options[others][:, None, :], mine.shape)
    second = np.broadcast_to(others[:, None, None], mine.shape).ravel()
    return np.column_stack([np.full(second.size, jack), second]), np.column_stack([mine.ravel(), theirs.ravel()])


def _options(trial: Trial, allowed: Ints) -> Ints:
    """(n, o) the types worth trying at each jack, by what a swap to each alone would give."""
    n = len(trial.indices)
    if n <= SMALL or len(allowed) <= OPTIONS:
        return np.tile(allowed, (n, 1))
    jacks, types = np.repeat(np.arange(n), len(allowed)), np.tile(allowed, n)
    scores = trial.bounds(jacks[:, None], types[:, None]).reshape(n, -1)
    return allowed[np.argsort(scores, axis=1, kind="stable")[:, :OPTIONS]]


def _partners(trial: Trial) -> list[Ints]:
    """For each jack the others that move most with it, all of them on a small floor."""
    C = np.abs(trial.flexibility).copy()
    np.fill_diagonal(C, 0.0)
    count = len(C) - 1 if len(C) <= SMALL else NEIGHBOURS
    return list(np.argsort(-C, axis=1, kind="stable")[:, :count])


def descend(trial: Trial, allowed: Ints, rounds: int = 3) -> Trial:
    """Single swaps, and at most `rounds` of pair exchanges with single swaps after each."""
    trial = single_swaps(trial, allowed)
    for _ in range(rounds):
        trial, helped = pair_exchanges(trial, allowed)
        if not helped:
            break
        trial = single_swaps(trial, allowed)
    return trial
