"""Orders for a floating pass that are worth a trial: the least peak first, then a short way for the crew."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from postprocess.lift.floating_pass import FloatingPass, sizes
from postprocess.lift.order_beam import least_peak_order
from postprocess.lift.order_walk import TRIES_PER_JACK, shorter_walk

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FIRST_PLACES = 20
"""Places where the level slab bends most, with which a search starts."""
QUICK_TRIES = 40
"""Changes tried for each jack while the places that govern are gathered."""
MOST_ROUNDS = 12
"""Searches after each of which the places that were missed are added."""
ROUNDING = 1e-9
"""Share by which a moment may pass a limit."""


class Candidates:
    """Orders of a floating pass, searched at the few places that can govern and checked at all of them."""

    def __init__(self, floating: FloatingPass, known: Iterable[Ints]) -> None:
        """known: orders whose peaks show which places govern."""
        self._floating = floating
        chosen = np.zeros(len(floating.places), dtype=bool)
        chosen[np.argsort(-sizes(floating.level), kind="stable")[:FIRST_PLACES]] = True
        for order in known:
            chosen[floating.after(order).argmax(axis=0)] = True
        self._chosen = chosen

    def least_peak(self, share: float) -> Ints:
        """(n,) the order with the least peak that is found, if turns were larger by `share`."""
        floating = self._floating.scaled(share)
        best, peak = np.arange(floating.jacks), np.inf
        for _ in range(MOST_ROUNDS):
            few = self._few(share)
            order = least_peak_order(few)
            after = floating.after(order)
            if after.max() < peak:
                best, peak = order, float(after.max())
            if not self._missed(after, max(few.peak(order), floating.least)):
                break
        return best

    def short_walk(self, share: float, start: Ints, ways: Floats, limit: float) -> Ints:
        """(n,) an order with a short way for the crew, of which the peak stays within `limit`, N·m/m, even if turns
        were larger by `share`; `start`, if none is found. ways: (n, n) between jacks, m.
        """
        floating, limit = self._floating.scaled(share), limit * (1 + ROUNDING)
        if floating.peak(start) > limit:
            return start
        quick = True
        for _ in range(MOST_ROUNDS):
            order = shorter_walk(self._few(share), start, ways, limit, QUICK_TRIES if quick else TRIES_PER_JACK)
            if self._missed(floating.after(order), limit):
                continue
            if not quick:
                return order
            quick = False
        return start

    def _few(self, share: float) -> FloatingPass:
        return self._floating.at(np.flatnonzero(self._chosen)).scaled(share)

    def _missed(self, after: Floats, limit: float) -> bool:
        """Take in the places where an order passes the limit; whether there are such."""
        missed = (after.max(axis=1) > limit * (1 + ROUNDING)) & ~self._chosen
        self._chosen |= missed
        return bool(missed.any())
