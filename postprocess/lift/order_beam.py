"""The order of a floating pass with the least peak of bending: jack after jack, with many part orders side by side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.lift.floating_pass import FloatingPass, sizes

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

WIDTHS = (1, 8, 60, 400)
"""Part orders kept side by side, tried in turn until a peak is proved least."""
MOST_NUMBERS = 4_000_000
"""Moments held at once: narrower beams for larger floors."""
PROVED = 1e-9
"""A peak within this share of one that no order can be below is the least."""


@dataclass(frozen=True, eq=False)
class _Front:
    """b part orders of k jacks. states: (3, p, b) moments as in `FloatingPass`. turned: (b, n) the jacks in them.

    orders: (b, k). peaks: (b,) the greatest moment after any of these turns.
    """

    states: Floats
    turned: Flags
    orders: Ints
    peaks: Floats


def least_peak_order(floating: FloatingPass) -> Ints:
    """(n,) the order with the least peak that is found.

    What the slab feels depends only on which jacks were turned, not on their order; of part orders with the same jacks
    only the best is kept. Where a beam holds all sets of jacks, as for up to ten jacks, the order is the best one.
    """
    least = floating.least
    best, peak = np.arange(floating.jacks), floating.peak(np.arange(floating.jacks))
    for width in WIDTHS:
        room = MOST_NUMBERS // (floating.jacks * len(floating.places))
        order = _beam(floating, max(min(width, room), 1), least)
        found = floating.peak(order)
        if found < peak:
            best, peak = order, found
        if peak <= least * (1 + PROVED) or width > room:
            break
    return best


def _beam(floating: FloatingPass, width: int, least: float) -> Ints:
    n = floating.jacks
    marks = np.random.default_rng(1).integers(2**62, size=n)  # sets of jacks with the same sum of marks are the same
    none = np.zeros((1, n), dtype=bool)
    front = _Front(floating.level[:, :, None], none, np.zeros((1, 0), dtype=np.int64), np.zeros(1))
    for _ in range(n):
        front = _next_front(floating, front, width, least, marks)
    return np.asarray(front.orders[front.peaks.argmin()])


def _next_front(floating: FloatingPass, front: _Front, width: int, least: float, marks: Ints) -> _Front:
    """Each part order with each jack more; the `width` best of different sets."""
    moments = sizes(front.states[:, :, :, None] + floating.change[:, :, None, :]).max(axis=0)  # (b, n)
    peaks = np.maximum(np.maximum(moments, front.peaks[:, None]), least)
    allowed = np.flatnonzero(~front.turned)
    ranked = allowed[np.lexsort([moments.ravel()[allowed], peaks.ravel()[allowed]])]
    part, jack = np.divmod(ranked, floating.jacks)
    _, first = np.unique((front.turned @ marks)[part] + marks[jack], return_index=True)
    chosen = np.sort(first)[:width]
    part, jack = part[chosen], jack[chosen]
    turned = front.turned[part]
    turned[np.arange(len(jack)), jack] = True
    return _Front(
        front.states[:, :, part] + floating.change[:, :, jack],
        turned,
        np.column_stack([front.orders[part], jack]),
        peaks[part, jack],
    )
