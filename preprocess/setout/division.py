"""Dividing a line evenly: the fewest places with neighbours neither too near nor too far, by dynamic programming.

Places lie on steps of STEP along the line. What must hold is a mask; what should hold has a price in jacks.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import minimum_filter1d

from preprocess.setout.ground import Bools, Floats

STEP: Final = 0.005
"""Places are multiples of this, m: what a tape shows."""

EVENNESS: Final = 0.3
"""Price of a gap at the limit; below 1, so that evenness never costs a jack."""

TOO_FAR: Final = 4.0
"""Price of a gap beyond its limit, and again of every limit's length beyond it."""


@dataclass(frozen=True)
class Demand:
    """A place is wanted between low and high, m along the line; going without has a price in places."""

    low: float
    high: float
    price: float


@dataclass(frozen=True)
class Line:
    """A line to be divided. All arrays are over its steps, (n,).

    start: m along the line of step 0. allowed: where places may be. price: of a place there, in places.
    limit: the greatest gap, m. part: number of the stretch of slab, ascending, −1 off the slab; gaps between parts
    have no limit. least: m between places. folded: step 0 is a mirror: what is divided is half of the line.
    """

    start: float
    allowed: Bools
    price: Floats
    limit: Floats
    part: NDArray[np.int_]
    demands: tuple[Demand, ...]
    least: float
    folded: bool


def divide(line: Line) -> Floats:
    """(k,) places in m along the line, ascending; empty where nothing is allowed. Folded: of the half from step 0."""
    total, before = _solve(line)
    if not np.isfinite(total).any():
        return np.empty(0)
    step = int(np.argmin(total))
    chosen = []
    while step >= 0:
        chosen.append(step)
        step = int(before[step])
    return line.start + STEP * np.array(chosen[::-1], dtype=float)


def _solve(line: Line) -> tuple[Floats, NDArray[np.int_]]:
    """(n,) least price of a division that ends at each step, and (n,) the step before, −1 for none."""
    size = len(line.allowed)
    spans = _spans(line)
    best = np.full(size, np.inf)
    before = np.full(size, -1)
    after = _price_after(line, spans)
    first = _price_before(line, spans)
    closed = 0.0  # price of having nothing in any part so far
    carried = np.full(size, np.inf)  # best price of a division whose last place is at the step, its part closed
    for part in sorted(set(line.part.tolist()) - {-1}):
        inside = np.flatnonzero((line.part == part) & line.allowed)
        running, argument = _prefix_minimum(carried)
        _fill_part(line, inside, spans, first, best=best, before=before, earlier=(running, argument, closed))
        unmet = sum(
            demand.price
            for demand, (low, _) in zip(line.demands, spans, strict=True)
            if line.part[min(max(low, 0), size - 1)] == part
        )
        carried = np.minimum(carried + unmet, np.inf)
        carried[inside] = best[inside] + after[inside]
        closed += unmet
    return carried, before


def _fill_part(
    line: Line,
    inside: NDArray[np.int_],
    spans: list[tuple[int, int]],
    first: Floats,
    *,
    best: Floats,
    before: NDArray[np.int_],
    earlier: tuple[Floats, NDArray[np.int_], float],
) -> None:
    """Best prices of the steps of one part, written into best and before.

    No place is nearer than `least` to the one before it, so as many steps as that are priced at once.
    """
    running, argument, closed = earlier
    if not len(inside):
        return
    least = _least_steps(line)
    for block in np.split(inside, np.searchsorted(inside, np.arange(inside[0] + least, inside[-1] + 1, least))):
        if not len(block):
            continue
        opening = np.full(len(block), closed)
        origin = np.full(len(block), -1)
        back = np.maximum(block - least, 0)
        other = (block >= least) & (running[back] < closed)
        opening[other], origin[other] = running[back[other]], argument[back[other]]
        opening += first[block]
        price, place = _cheapest_before(line, block, spans, best, int(inside[0]))
        after = price < opening
        best[block] = np.where(after, price, opening) + 1 + line.price[block]
        before[block] = np.where(after, place, origin)


def _cheapest_before(
    line: Line, block: NDArray[np.int_], spans: list[tuple[int, int]], best: Floats, low: int
) -> tuple[Floats, NDArray[np.int_]]:
    """(k,) least price up to the place before each of k steps, gap included, and that place, of the part from `low`.

    Gaps beyond the limit, up to four of it, are priced only where a bound from below leaves them a chance.
    """
    limit = (line.limit[block] / STEP + 1e-6).astype(int)
    widest = int(limit.max())
    price, place = _priced_window(line, block, spans, best, low=low, most=widest)
    start = max(low - 2 * widest, 0)
    lowest = minimum_filter1d(best[start : block[-1] + 1], widest + 5, mode="constant", cval=np.inf)
    chance = np.zeros(len(block), dtype=bool)
    for times in (1, 2, 3):
        middle = block - times * limit - widest // 2 - start
        bound = np.where(middle >= -widest, lowest[np.maximum(middle, 0)], np.inf)
        chance |= bound + TOO_FAR * times + EVENNESS * times**2 < price
    if chance.any():
        price[chance], place[chance] = _priced_window(line, block[chance], spans, best, low=low, most=4 * widest)
    return price, place


def _priced_window(
    line: Line, block: NDArray[np.int_], spans: list[tuple[int, int]], best: Floats, *, low: int, most: int
) -> tuple[Floats, NDArray[np.int_]]:
    """The same over gaps of at most so many steps."""
    offsets = np.arange(min(most, int(block[-1]) - low), _least_steps(line) - 1, -1)
    if not len(offsets):
        return np.full(len(block), np.inf), np.full(len(block), -1)
    places = block[:, None] - offsets
    real = np.maximum(places, 0)
    costs = np.where(places >= low, best[real], np.inf)
    limit = line.limit[:1] if np.ptp(line.limit) == 0 else np.minimum(line.limit[block][:, None], line.limit[real])
    costs += gap_price(STEP * offsets, limit)
    for demand, (start, end) in zip(line.demands, spans, strict=True):
        if end < block[-1] and start > places[0, 0]:
            costs += demand.price * ((places < start) & (block[:, None] > end))
    chosen = np.argmin(costs, axis=1)
    rows = np.arange(len(block))
    return costs[rows, chosen], places[rows, chosen]


def _least_steps(line: Line) -> int:
    return max(int(np.ceil(line.least / STEP - 1e-9)), 1)


def gap_price(gaps: NDArray[np.floating], limit: Floats) -> Floats:
    """Price of gaps, m: small and even at best, large beyond the limit."""
    beyond = np.maximum(gaps / limit - 1, 0)
    return EVENNESS * (gaps / limit) ** 2 + np.where(beyond > 1e-9, TOO_FAR * (1 + beyond), 0)


def _spans(line: Line) -> list[tuple[int, int]]:
    """First and last step of each demand."""
    low = [int(np.ceil((demand.low - line.start) / STEP - 1e-6)) for demand in line.demands]
    high = [int(np.floor((demand.high - line.start) / STEP + 1e-6)) for demand in line.demands]
    return list(zip(low, high, strict=True))


def _price_before(line: Line, spans: list[tuple[int, int]]) -> Floats:
    """(n,) price of a step being the first of its part: the demands before it, and the gap over the mirror."""
    steps = np.arange(len(line.allowed))
    price = _end_price(line, first=True)
    for demand, (low, high) in zip(line.demands, spans, strict=True):
        same = line.part == line.part[min(max(low, 0), len(steps) - 1)]
        price += demand.price * (same & (high < steps))
    if line.folded and line.part[0] >= 0:
        here = line.part == line.part[0]
        gaps = 2 * (line.start + STEP * steps)
        mirrored = gap_price(gaps, line.limit) / 2
        price = np.where(here, price - _end_price(line, first=True), price)
        mirrored[gaps < line.least - 1e-9] = np.inf
        if line.start < 1e-9:
            mirrored[0] = -0.5
        price = np.where(here, price + mirrored, price)
    return price


def _price_after(line: Line, spans: list[tuple[int, int]]) -> Floats:
    """(n,) price of a step being the last of its part: the demands after it."""
    steps = np.arange(len(line.allowed))
    price = _end_price(line, first=False)
    for demand, (low, _) in zip(line.demands, spans, strict=True):
        same = line.part == line.part[min(max(low, 0), len(steps) - 1)]
        price += demand.price * (same & (low > steps))
    return price


def _end_price(line: Line, first: bool) -> Floats:
    """(n,) price of a step being the first or last of its part: of more than the limit beyond it."""
    steps = np.arange(len(line.allowed))
    price = np.zeros(len(steps))
    for part in set(line.part.tolist()) - {-1}:
        inside = np.flatnonzero(line.part == part)
        gaps = STEP * np.abs(inside - (inside[0] if first else inside[-1]))
        beyond = np.maximum(gaps / line.limit[inside] - 1, 0)
        price[inside] = np.where(beyond > 1e-9, TOO_FAR * (1 + beyond), 0)
    return price


def _prefix_minimum(values: Floats) -> tuple[Floats, NDArray[np.int_]]:
    """(n,) least value up to each step and where it is."""
    running = np.minimum.accumulate(values)
    fresh = np.concatenate([[True], running[1:] < running[:-1]])
    argument = np.maximum.accumulate(np.where(fresh, np.arange(len(values)), 0))
    return running, argument
