"""Sheets of one layer over a plan of any shape: rows of sheets, joints staggered from row to row.

Within a row u runs along it and v across. Every line along u lies in a row, whose sheets overlap by the lap; every line
along v passes through rows that overlap by theirs: so wires of both directions run on from edge to edge.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal, TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

from postprocess.fabric.runs import Run, Span, even_rows, joints, rows, staggered

Axis = Literal["x", "y"]
Shape = TypeVar("Shape", bound=BaseGeometry)

SPECK = 1e-9
"""Areas below this, m², come from rounding."""
SHARES = tuple(i / 6 for i in range(6))
"""Visible height of the first row: a whole sheet less these parts of the distance of two rows."""


@dataclass(frozen=True, eq=False)
class Layout:
    """sheet: (along x, along y) as laid, m. rows: the axis that rows run along. pieces: in the order of laying.

    lapped: areas where wires along x, and where wires along y lap.
    """

    sheet: tuple[float, float]
    rows: Axis
    pieces: tuple[Polygon, ...]
    lapped: tuple[tuple[BaseGeometry, ...], tuple[BaseGeometry, ...]]


def layouts(region: BaseGeometry, sheet: tuple[float, float], laps: tuple[float, float], turn: int) -> Iterator[Layout]:
    """Layouts of `region` to choose among: sheets both ways, rows along both axes, several positions of the rows.

    sheet: its sides, m. laps: of wires along x and along y, m, at most a third of the sides. turn: 0 or 1, with which
    way of laying rows begin, so that the joints of two layers differ.
    """
    for laid in dict.fromkeys((sheet, (sheet[1], sheet[0]))):
        for along in ("x", "y"):
            for bands in _bands(region, laid, laps, along):
                yield _laid(region, laid, laps, along=along, bands=bands, turn=turn)


def _bands(region: BaseGeometry, sheet: tuple[float, float], laps: tuple[float, float], along: Axis) -> Iterator[Run]:
    across = 1 if along == "x" else 0
    low, high = region.bounds[across], region.bounds[across + 2]
    side, lap = sheet[across], laps[across]
    yield even_rows(low, high, side, lap)
    for share in SHARES:
        first = side - share * (side - lap)
        if first >= 2 * lap:
            yield rows(low, high, side, lap, first)


def _laid(
    region: BaseGeometry, sheet: tuple[float, float], laps: tuple[float, float], *, along: Axis, bands: Run, turn: int
) -> Layout:
    """Rows along `along` over the bands."""
    swap = along == "y"
    plan = _swapped(region) if swap else region
    (su, _), (lu, lv) = (sheet[::-1], laps[::-1]) if swap else (sheet, laps)
    pieces: list[Polygon] = []
    ends: list[BaseGeometry] = []
    before: list[Span] = []
    for number, strips in enumerate(_strips(plan, bands)):
        here: list[Span] = []
        for strip in strips:
            low, high = strip.bounds[0], strip.bounds[2]
            way = staggered(high - low, su, lu, origin=low, others=before, turn=number + turn)
            overlaps = joints(way, low)
            here += overlaps
            pieces += _cut(_grown(plan, strip, bands[number], lv), [(low + a, low + b) for a, b in way])
            ends += _slabs(strip, overlaps)
        before = here
    pieces = _needed(pieces)
    across = _levels(plan, [(b[0], a[1]) for a, b in pairwise(bands)])
    if not swap:
        return Layout(sheet, along, tuple(pieces), (tuple(ends), tuple(across)))
    lapped = tuple(_swapped(area) for area in across), tuple(_swapped(area) for area in ends)
    return Layout(sheet, along, tuple(_swapped(piece) for piece in pieces), lapped)


def _strips(plan: BaseGeometry, bands: Run) -> list[list[Polygon]]:
    """The parts of the plan in each band, without those that lie wholly in a neighbouring band."""
    parts = [_polygons(level) for level in _levels(plan, bands)]
    kept: list[list[Polygon]] = []
    for number, mine in enumerate(parts):
        top_below = bands[number - 1][1] if number else -np.inf
        above = parts[number + 1] if number + 1 < len(parts) else []
        rising = [part for part in above if part.bounds[3] > bands[number][1] + SPECK]
        kept.append(
            [
                part
                for part in mine
                if part.bounds[3] > top_below + SPECK and not any(_holds(other, part) for other in rising)
            ]
        )
    return kept


def _grown(plan: BaseGeometry, strip: Polygon, band: Span, lap: float) -> BaseGeometry:
    """A strip that is lower than two laps, farther over the row below, or above where it only goes on there."""
    left, low, right, high = strip.bounds
    if high - low >= 2 * lap:
        return strip
    goes_on_below = low <= band[0] + SPECK
    wider = box(left, high - 2 * lap, right, high) if goes_on_below else box(left, low, right, low + 2 * lap)
    found = [part for part in _polygons(plan.intersection(wider)) if part.intersection(strip).area > SPECK]
    return shapely.union_all([strip, *found])


def _cut(strip: BaseGeometry, spans: Sequence[Span]) -> Iterator[Polygon]:
    """What each sheet covers of the strip, in the order of the sheets."""
    for found in _slabs(strip, spans):
        yield from _polygons(found)


def _needed(pieces: list[Polygon]) -> list[Polygon]:
    """The pieces without those that lie wholly in one other, as the corners beside openings may."""
    low, high = np.split(shapely.bounds(pieces), 2, axis=1)
    within = np.all((low[:, None] >= low - SPECK) & (high[:, None] <= high + SPECK), axis=2)
    gone: set[int] = set()
    for i, j in np.argwhere(within).tolist():
        if i != j and i not in gone and j not in gone and _holds(pieces[j], pieces[i]):
            gone.add(i)
    return [piece for i, piece in enumerate(pieces) if i not in gone]


def _holds(whole: Polygon, part: Polygon) -> bool:
    """Whether `part` lies in `whole`, but for rounding."""
    (left, low, right, high), (a, b, c, d) = whole.bounds, part.bounds
    if a < left - SPECK or b < low - SPECK or c > right + SPECK or d > high + SPECK:
        return False
    return bool(part.difference(whole).area < SPECK)


def _levels(plan: BaseGeometry, spans: Sequence[Span]) -> list[BaseGeometry]:
    """What lies from one v to another."""
    left, _, right, _ = plan.bounds
    return _clipped(plan, [(left - 1, low, right + 1, high) for low, high in spans])


def _slabs(strip: BaseGeometry, spans: Sequence[Span]) -> list[BaseGeometry]:
    """What lies from one u to another."""
    _, low, _, high = strip.bounds
    return _clipped(strip, [(left, low - 1, right, high + 1) for left, right in spans])


def _clipped(shape: BaseGeometry, boxes: Sequence[tuple[float, float, float, float]]) -> list[BaseGeometry]:
    return list(shapely.intersection(shape, shapely.box(*np.transpose(boxes)))) if boxes else []


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    """The areas of a shape, from left to right."""
    if isinstance(shape, Polygon):
        return [shape] if shape.area > SPECK else []
    parts = [part for part in shapely.get_parts(shape) if isinstance(part, Polygon) and part.area > SPECK]
    return sorted(parts, key=lambda part: part.bounds)


def _swapped(shape: Shape) -> Shape:
    """x and y exchanged."""

    def exchange(points: NDArray[np.float64]) -> NDArray[np.float64]:
        return points[:, ::-1]

    return shapely.transform(shape, exchange)
