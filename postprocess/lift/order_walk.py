"""Shorter ways for the crew among the orders of a floating pass whose peak of bending stays below a limit."""

from __future__ import annotations

from math import exp

import numpy as np
from numpy.typing import NDArray

from postprocess.lift.floating_pass import FloatingPass, sizes
from postprocess.lift.orders import walking_distance

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NEIGHBOURS = 8
"""Jacks beside which another may be brought."""
LONGEST_BLOCK = 4
"""Jacks that are moved together to another place in the order, at most."""
LEAST_GAIN = 1e-9
"""Of a way that counts as shorter, m."""
TRIES_PER_JACK = 800
"""Changes tried for each jack, if nothing else is said."""
HOTTEST, COLDEST = 0.5, 0.01
"""A way may grow by about this much, first and last, in terms of the distance between neighbours."""


def shorter_walk(floating: FloatingPass, start: Ints, ways: Floats, limit: float, tries: int = TRIES_PER_JACK) -> Ints:
    """(n,) an order of which the peak is at most `limit`, N·m/m, like that of `start`, with a shorter way on foot from
    jack to jack and back to the first. ways: (n, n) between jacks, m. tries: changes tried for each jack.

    By simulated annealing (Kirkpatrick, Gelatt and Vecchi, Science 220, 1983, 671-680) with reversals and moves of
    short blocks; the random numbers are always the same, and so is the order found.
    """
    n = floating.jacks
    random = np.random.default_rng(1)
    near = np.argsort(ways, axis=1, kind="stable")[:, 1 : NEIGHBOURS + 1]
    unit = float(np.median(ways[np.arange(n), near[:, 0]]))
    walk = _Walk(floating, start, limit)
    best, length = walk.order, walking_distance(ways, walk.order)
    shortest, count = length, tries * n
    for number in range(count):
        heat = unit * HOTTEST * (COLDEST / HOTTEST) ** (number / count)
        order = _changed(walk.order, near, random)
        change = walking_distance(ways, order) - length
        if (change <= 0 or random.random() < exp(-change / heat)) and walk.taken(order):
            length += change
            if length < shortest - LEAST_GAIN:
                best, shortest = order, length
    return best


class _Walk:
    """An order and the moments after each of its turns, `states` (3, p, n + 1)."""

    def __init__(self, floating: FloatingPass, order: Ints, limit: float) -> None:
        self.order = order
        self._floating, self._limit = floating, limit
        level = floating.level[:, :, None]
        self._states = np.concatenate([level, level + np.cumsum(floating.change[:, :, order], axis=2)], axis=2)

    def taken(self, order: Ints) -> bool:
        """Go over to another order, if its peak is within the limit; whether that was done."""
        different = np.flatnonzero(order != self.order)
        if not len(different):
            return False
        first, last = different[0], different[-1]
        turns = self._floating.change[:, :, order[first:last]]
        states = self._states[:, :, first, None] + np.cumsum(turns, axis=2)
        if sizes(states).max() > self._limit:
            return False
        self._states[:, :, first + 1 : last + 1] = states
        self.order = order
        return True


def _changed(order: Ints, near: Ints, random: np.random.Generator) -> Ints:
    """The order with a jack brought beside one of its neighbours: by turning round what lies between, or by moving it
    and some that follow."""
    n = len(order)
    place, kind = int(random.integers(n)), int(random.integers(LONGEST_BLOCK + 2))
    other = int(np.flatnonzero(order == near[order[place], random.integers(near.shape[1])])[0])
    first, last = min(place, other), max(place, other)
    if kind > LONGEST_BLOCK:
        return np.concatenate([order[: first + 1], order[first + 1 : last + 1][::-1], order[last + 1 :]])
    if kind == LONGEST_BLOCK:
        return np.concatenate([order[:first], order[first:last][::-1], order[last:]])
    block = order[other : other + kind + 1]
    if place in range(other, other + len(block)):
        return order
    rest = np.concatenate([order[:other], order[other + len(block) :]])
    after = place + 1 if place < other else place + 1 - len(block)
    return np.concatenate([rest[:after], block, rest[after:]])

