"""Sheets one after the other along a row: where each begins and ends."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import ceil

Run = tuple[tuple[float, float], ...]
"""From and to of each sheet along the row, m, in order; neighbours overlap by the lap or more."""
Span = tuple[float, float]

STAGGER = (0.5, 0.25, 0.75)
"""Where joints may lie between those of the row before, as parts of the distance of two joints."""
EXACT = 1e-9


def run(length: float, sheet: float, lap: float, first: float) -> Run:
    """Sheets that cover 0 to `length`, the first of them `first` long, the last as long as is left.

    No sheet but an only one is shorter than two laps: the last one is laid farther over its neighbour instead.
    """
    ends = [min(first, length)]
    starts = [0.0]
    while ends[-1] < length - EXACT:
        start = ends[-1] - lap
        end = min(start + sheet, length)
        starts.append(min(start, end - 2 * lap) if end - start < 2 * lap else start)
        ends.append(end)
    return tuple((max(start, 0.0), end) for start, end in zip(starts, ends, strict=True))


def runs(length: float, sheet: float, lap: float) -> Iterator[Run]:
    """Ways to cover `length`: whole sheets from one end, from the other, and shifted ones."""
    yield run(length, sheet, lap, sheet)
    if length <= sheet + EXACT:
        return
    pitch = sheet - lap
    left = length - pitch * (ceil((length - lap) / pitch - EXACT) - 1)
    firsts = [left, *(lap + share * pitch for share in STAGGER)]
    yield from (run(length, sheet, lap, first) for first in firsts if first >= 2 * lap)


def joints(found: Run, origin: float) -> list[Span]:
    """From and to of each overlap of neighbours; origin: where the row begins, m."""
    return [(origin + after[0], origin + before[1]) for before, after in pairwise(found)]


def clashes(found: Sequence[Span], others: Sequence[Span]) -> int:
    """Number of overlaps that meet one of the others, so that four sheets would lie on each other."""
    return sum(any(low < top and bottom < high for bottom, top in others) for low, high in found)


def staggered(length: float, sheet: float, lap: float, *, origin: float, others: Sequence[Span], turn: int) -> Run:
    """The way with the fewest clashes with `others`, then the fewest sheets; turn: from which way on to look."""
    ways = list(runs(length, sheet, lap))
    ways = ways[turn % len(ways) :] + ways[: turn % len(ways)]
    return min(ways, key=lambda way: (clashes(joints(way, origin), others), len(way)))


def rows(low: float, high: float, sheet: float, lap: float, first: float) -> Run:
    """Rows that cover low to high; first: visible height of the first one, m. All are whole sheets, of which the
    first may reach out below and the last above."""
    start = low + first - sheet
    count = max(1, ceil((high - start - lap) / (sheet - lap) - EXACT))
    return tuple((start + i * (sheet - lap), start + i * (sheet - lap) + sheet) for i in range(count))


def even_rows(low: float, high: float, sheet: float, lap: float) -> Run:
    """As few whole rows as cover low to high, with equal laps."""
    count = max(1, ceil((high - low - lap) / (sheet - lap) - EXACT))
    pitch = (high - low - sheet) / (count - 1) if count > 1 else 0.0
    return tuple((low + i * pitch, low + i * pitch + sheet) for i in range(count))
