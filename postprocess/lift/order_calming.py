"""Better orders where the slab leaves the floor, which is not linear: by trying them in the real lift."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from postprocess.lift.floating_pass import FloatingPass
from postprocess.lift.order_trial import ALIKE, TrialLift, TrialPeak

Ints = NDArray[np.int64]

CALMING_TURNS = 800
"""Single turns solved to better an order, about: many changes on a small floor, few on a large one."""
LEAST_TRIALS, MOST_TRIALS = 6, 50
"""Changes tried on the largest floors and on the smallest."""
MOST_DRAWS = 20
"""Changes drawn for each one that is worth a trial."""


def calmest(
    trial: TrialLift, floating: FloatingPass, known: Iterable[Ints], further: Iterable[Ints], least: float
) -> tuple[Ints, float]:
    """The order (n,) with the least peak in the lift, of those known and of `further` ones, and that peak, N·m/m.

    least: a peak that no order is below. Once it is reached the rest is not looked at; if no order reaches it, the best
    is changed about the turn after which the slab bends most, unless a bond makes trials long.
    """
    best, peak = np.arange(floating.jacks), TrialPeak(np.inf, 0, 0, 0)
    random = np.random.default_rng(1)
    given = chain(further, known)
    trials = 0 if trial.bonded else min(max(CALMING_TURNS // floating.jacks, LEAST_TRIALS), MOST_TRIALS)
    while peak.moment > least * (1 + ALIKE):
        order = next(given, None)
        if order is None:
            trials -= 1
            order = _changed(trial, floating, best, peak, random)
        if trials < 0:
            break
        found = trial.peak(order, enough=peak.moment)
        if found.moment < peak.moment * (1 - ALIKE):
            best, peak = order, found
    return best, peak.moment


def _changed(
    trial: TrialLift, floating: FloatingPass, order: Ints, peak: TrialPeak, random: np.random.Generator
) -> Ints:
    """The order with other jacks turned by its worst turn, and with a smaller peak afloat, if one is drawn."""
    changed = order
    for _ in range(MOST_DRAWS):
        worst = int(np.flatnonzero(order == peak.jack)[0])
        early = int(random.integers(worst + 1))
        late = int(random.integers(min(worst + 1, len(order) - 1), len(order)))
        changed = [_exchanged, _put_off, _brought_forward][random.integers(3)](order, early, late)
        if not trial.floats or floating.peak(changed) < peak.moment:
            break
    return changed


def _exchanged(order: Ints, early: int, late: int) -> Ints:
    changed = order.copy()
    changed[[early, late]] = order[[late, early]]
    return changed


def _put_off(order: Ints, early: int, late: int) -> Ints:
    return np.insert(np.delete(order, early), late, order[early])


def _brought_forward(order: Ints, early: int, late: int) -> Ints:
    return np.insert(np.delete(order, late), early, order[late])
