"""Straight rows: where they run, and the jacks on each.

Two neighbouring rows at most the greatest spacing apart, each with gaps of at most that, leave no point between
them further than greatest spacing/√2 from a jack, however their jacks are staggered: a point is within half the
distance of the rows from one of them and within half a gap from a jack of it. So each row may be divided by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString

from preprocess.setout.chains import PARALLEL, STEEP
from preprocess.setout.division import STEP, Demand, Line, divide
from preprocess.setout.ground import Bools, Floats, Ground

ON_ROW: Final = 0.003
"""A jack this near to a row stands on it, m."""

MUST: Final = 8.0
"""Price, in jacks, of leaving out what must not be left out."""

OFF_COLUMN: Final = 0.2
"""Price, in jacks, of a jack off the columns."""


@dataclass(frozen=True)
class Axis:
    """One coordinate of the frame: 0 or 1, and the coordinate of the mirror across it, None if there is none."""

    index: int
    mirror: float | None


def line_places(ground: Ground, axis: Axis, worth: float) -> Floats:
    """(n,) coordinates along an axis of the lines across it: rows along y, columns along x.

    Each edge across the axis wants a line at least the edge distance and at most the overhang from it; an edge too
    short to be worth a line of its own goes without. worth: of an edge, in jacks for each jack along it.
    """
    low, high = _extent(ground, axis)
    start = _first_step(low, axis)
    size = int(np.ceil((high - start) / STEP)) + 1
    at: Floats = start + STEP * np.arange(size, dtype=np.float64)
    chords = _chord_lengths(ground, axis, at)
    width = max(float(chords.max()), 0.1)
    if axis.mirror is not None:
        chords = np.maximum(chords, _chord_lengths(ground, axis, 2 * axis.mirror - at))
    price = np.maximum(chords / width, 0.4) - 1 + _openings_hit(ground, axis, at)
    line = Line(
        start=start - (axis.mirror or 0.0),
        allowed=chords > 0,
        price=price,
        limit=_line_limits(ground, axis, at),
        part=np.zeros(size, dtype=int),
        demands=_folded(tuple(_edge_demands(ground, axis, width, worth)), axis.mirror),
        least=ground.rules.least_spacing,
        folded=axis.mirror is not None,
    )
    return _unfolded(divide(line), axis.mirror)


def row_jacks(ground: Ground, height: float, *, columns: Floats, fixed: Floats, mirror: float | None) -> Floats:
    """(n, 2) jacks on the row at a height, on columns where these do, with those of (k, 2) fixed jacks that it meets.

    mirror: x of a mirror that the row keeps.
    """
    low, _, high, _ = ground.plan.bounds
    axis = Axis(0, mirror)
    start = _first_step(low, axis)
    size = int(np.ceil(((high if mirror is None else max(high, 2 * mirror - low)) - start) / STEP)) + 1
    at: Floats = start + STEP * np.arange(size, dtype=np.float64)
    part, ends = _chords(ground, height, at)
    on_row = fixed[np.abs(fixed[:, 1] - height) < ON_ROW] if len(fixed) else fixed
    allowed = _row_mask(ground, height, at, fixed)
    if mirror is not None:
        allowed &= _row_mask(ground, height, 2 * mirror - at, fixed)
    demands = [*ends, *_line_demands(ground, height)]
    demands += [Demand(x - STEP / 2, x + STEP / 2, MUST) for x in on_row[:, 0]]
    off = np.abs(at[:, None] - columns[None, :]).min(axis=1) > STEP / 2 if len(columns) else np.ones(size, dtype=bool)
    line = Line(
        start=start - (mirror or 0.0),
        allowed=allowed,
        price=OFF_COLUMN * off,
        limit=_row_limits(ground, height, at),
        part=part,
        demands=_folded(tuple(demands), mirror),
        least=ground.rules.least_spacing,
        folded=mirror is not None,
    )
    found = _unfolded(_on_columns(line, columns - (mirror or 0.0)), mirror)
    if len(on_row) and len(found):
        found = found[np.abs(found[:, None] - on_row[None, :, 0]).min(axis=1) > 2 * STEP]
    return np.stack([found, np.full(len(found), height)], axis=1)


def _on_columns(line: Line, columns: Floats) -> Floats:
    """The columns themselves where they divide the line as it wants, else the best division."""
    steps = np.round((columns - line.start) / STEP).astype(int)
    steps = steps[(steps >= 0) & (steps < len(line.allowed))]
    steps = steps[line.allowed[steps]]
    places = line.start + STEP * steps
    gaps = np.diff(places)
    same = line.part[steps[1:]] == line.part[steps[:-1]]
    near = np.all(gaps >= line.least - 1e-9)
    far = np.all((gaps <= np.minimum(line.limit[steps[1:]], line.limit[steps[:-1]]) + 1e-9) | ~same)
    over = (
        not line.folded
        or not len(places)
        or 2 * places[0] < 1e-9
        or (line.least - 1e-9 <= 2 * places[0] <= line.limit[0] + 1e-9 or line.part[0] < 0)
    )
    met = all(np.any((places >= want.low - 1e-6) & (places <= want.high + 1e-6)) for want in line.demands)
    return places if near and far and met and over and len(places) else divide(line)


def _first_step(low: float, axis: Axis) -> float:
    """A multiple of the step at or below the lowest coordinate, or the first at or above the mirror."""
    if axis.mirror is None:
        return float(np.floor(low / STEP) * STEP)
    beyond = -axis.mirror % STEP
    half = abs(beyond - STEP / 2) < 1e-6
    return axis.mirror + (STEP / 2 if half else 0.0)


def _folded(demands: tuple[Demand, ...], mirror: float | None) -> tuple[Demand, ...]:
    """Demands measured from the mirror, one for each pair."""
    if mirror is None:
        return demands
    found: dict[tuple[float, float], Demand] = {}
    for demand in demands:
        low, high = demand.low - mirror, demand.high - mirror
        if high < 0:
            low, high = -high, -low
        elif low < 0:
            low, high = 0.0, max(-low, high)
        found[round(low, 4), round(high, 4)] = Demand(low, high, demand.price)
    return tuple(found.values())


def _unfolded(places: Floats, mirror: float | None) -> Floats:
    if mirror is None:
        return places
    centre = places[places < 1e-9]
    others = places[places >= 1e-9]
    return mirror + np.concatenate([-others[::-1], centre, others])


def _extent(ground: Ground, axis: Axis) -> tuple[float, float]:
    bounds = ground.plan.bounds
    low, high = bounds[axis.index], bounds[axis.index + 2]
    return float(low), float(high if axis.mirror is None else max(high, 2 * axis.mirror - low))


def _across(ground: Ground, axis: Axis, at: Floats) -> NDArray[np.object_]:
    """Lines across the axis at the coordinates, wider than the plan."""
    low, high = ground.plan.bounds[1 - axis.index] - 1, ground.plan.bounds[3 - axis.index] + 1
    ends = np.empty((len(at), 2, 2))
    ends[:, :, axis.index] = at[:, None]
    ends[:, 0, 1 - axis.index], ends[:, 1, 1 - axis.index] = low, high
    return np.asarray(shapely.linestrings(ends))


def _chord_lengths(ground: Ground, axis: Axis, at: Floats) -> Floats:
    """(n,) lengths over which jacks may stand on lines across the axis."""
    coarse = at[::4] if len(at) > 4000 else at
    lengths = np.asarray(shapely.length(shapely.intersection(_across(ground, axis, coarse), ground.permitted)))
    return lengths if len(coarse) == len(at) else np.repeat(lengths, 4)[: len(at)]


def _openings_hit(ground: Ground, axis: Axis, at: Floats) -> Floats:
    """(n,) small price of a line for each small opening, such as a column, in its way."""
    price = np.zeros(len(at))
    clear = ground.rules.least_edge - 1e-6
    for hole in ground.small_openings:
        low, high = hole.bounds[axis.index] - clear, hole.bounds[axis.index + 2] + clear
        price += 0.08 * ((at > low) & (at < high))
    return np.minimum(price, 0.3)


def _edge_demands(ground: Ground, axis: Axis, width: float, worth: float) -> list[Demand]:
    """Lines wanted along the edges across the axis, along jack lines, and near tips that point along it."""
    rules, other = ground.rules, 1 - axis.index
    steps = ground.edges[:, 1] - ground.edges[:, 0]
    length = np.linalg.norm(steps, axis=1)
    flat = np.abs(steps[:, axis.index]) <= np.sin(np.radians(PARALLEL)) * length
    sign = np.sign(steps[:, other]) * (1 if axis.index == 1 else -1)  # +1: the slab lies on the side of higher values
    lengths: dict[tuple[float, int], float] = {}
    for edge, side, size in zip(ground.edges[flat], sign[flat], length[flat], strict=True):
        key = (round(float(edge[:, axis.index].mean()), 4), int(side))
        lengths[key] = lengths.get(key, 0.0) + float(size)
    found = []
    for (at, side), total in lengths.items():
        ends = sorted((at + side * (rules.least_edge + 1e-6), at + side * rules.greatest_overhang))
        found.append(Demand(ends[0], ends[1], worth * (total + rules.greatest_spacing) / width))
    for line in rules.lines:
        spread = np.ptp(line.path[:, axis.index])
        if spread <= ON_ROW:
            at = float(line.path[:, axis.index].mean())
            found.append(Demand(at - STEP / 2, at + STEP / 2, MUST))
        elif np.ptp(line.path[:, other]) <= ON_ROW:
            found += _end_demands(line.path[:, axis.index], line.spacing)
    return found


def _end_demands(along: Floats, spacing: float) -> list[Demand]:
    """Lines wanted within half the spacing of the ends of a jack line that runs along the axis."""
    low, high = float(along.min()), float(along.max())
    return [Demand(low, low + spacing / 2, 2.0), Demand(high - spacing / 2, high, 2.0)]


def _line_limits(ground: Ground, axis: Axis, at: Floats) -> Floats:
    """(n,) greatest gaps of lines: closer where steep edges and jack lines along the axis ask for it."""
    limit = np.full(len(at), ground.rules.greatest_spacing)
    steps = ground.edges[:, 1] - ground.edges[:, 0]
    length = np.linalg.norm(steps, axis=1)
    rise = np.abs(steps[:, axis.index]) / np.maximum(length, 1e-9)
    steep = (rise >= np.sin(np.radians(STEEP)) - 1e-9) & (rise < np.cos(np.radians(PARALLEL)))
    for edge, share in zip(ground.edges[steep], rise[steep], strict=True):
        _lower(limit, at, edge[:, axis.index], ground.rules.greatest_spacing * float(share), axis.mirror)
    for line in ground.rules.lines:
        if np.ptp(line.path[:, 1 - axis.index]) <= ON_ROW:
            _lower(limit, at, line.path[:, axis.index], line.spacing, axis.mirror)
    return limit


def _lower(limit: Floats, at: Floats, ends: Floats, most: float, mirror: float | None) -> None:
    """Lowers the limits between two ends, and between their mirror images."""
    stretches = [(ends.min(), ends.max())]
    if mirror is not None:
        stretches.append((2 * mirror - ends.max(), 2 * mirror - ends.min()))
    for low, high in stretches:
        inside = (at > low) & (at < high)
        limit[inside] = np.minimum(limit[inside], most)


def _row_limits(ground: Ground, height: float, at: Floats) -> Floats:
    """(n,) greatest gaps of jacks on a row: closer along a jack line on it."""
    limit = np.full(len(at), ground.rules.greatest_spacing)
    for line in ground.rules.lines:
        if np.abs(line.path[:, 1] - height).max() <= ON_ROW:
            _lower(limit, at, line.path[:, 0], line.spacing, None)
    return limit


def _line_demands(ground: Ground, height: float) -> list[Demand]:
    """Jacks wanted on a row by jack lines across it and along it."""
    found = []
    for line in ground.rules.lines:
        low, high = line.path[:, 1].min(), line.path[:, 1].max()
        if np.ptp(line.path[:, 0]) <= ON_ROW and low - 1e-6 <= height <= high + 1e-6:
            at = float(line.path[:, 0].mean())
            found.append(Demand(at - STEP / 2, at + STEP / 2, MUST))
        elif high - low <= ON_ROW and abs(low - height) <= ON_ROW:
            found += _end_demands(line.path[:, 0], line.spacing)
    return found


def _chords(ground: Ground, height: float, at: Floats) -> tuple[NDArray[np.int_], list[Demand]]:
    """(n,) number of the stretch of slab at each step of a row, −1 off it, and the jacks wanted at their ends."""
    low, _, high, _ = ground.plan.bounds
    row = LineString([(low - 1, height), (high + 1, height)])
    part = np.full(len(at), -1)
    demands: list[Demand] = []
    pieces = [piece for piece in shapely.get_parts(row.intersection(ground.outer)) if piece.length > STEP]
    for number, piece in enumerate(sorted(pieces, key=lambda found: found.bounds[0])):
        first, last = piece.bounds[0], piece.bounds[2]
        part[(at >= first) & (at <= last)] = number
        wanted = [_end_demand(ground, np.array([x, height]), side) for x, side in ((first, 1), (last, -1))]
        demands += [demand for demand in wanted if demand is not None]
    return part, demands


def _end_demand(ground: Ground, end: Floats, side: int) -> Demand | None:
    """The jack wanted at the end of a row, None at an edge that rows do not follow. side: 1 at a west end, −1 east."""
    steps = ground.edges[:, 1] - ground.edges[:, 0]
    share = np.sum((end - ground.edges[:, 0]) * steps, axis=1) / np.sum(steps**2, axis=1)
    foot = ground.edges[:, 0] + np.clip(share, 0, 1)[:, None] * steps
    edge = int(np.argmin(np.linalg.norm(foot - end, axis=1)))
    rise = abs(steps[edge, 1]) / float(np.linalg.norm(steps[edge]))
    if rise < np.sin(np.radians(STEEP)) - 1e-9:
        return None
    ends = sorted(end[0] + side * inset / rise for inset in (ground.rules.least_edge, ground.rules.greatest_overhang))
    return Demand(ends[0], ends[1], 3.0)


def _row_mask(ground: Ground, height: float, at: Floats, fixed: Floats) -> Bools:
    """(n,) whether a jack may stand at each step of a row, beside fixed jacks."""
    allowed = ground.allows(np.stack([at, np.full(len(at), height)], axis=1))
    least = ground.rules.least_spacing
    for x, y in fixed[np.abs(fixed[:, 1] - height) < least] if len(fixed) else ():
        if abs(y - height) < ON_ROW:
            allowed[(np.abs(at - x) < least - 1e-9) & (np.abs(at - x) > STEP / 2 + 1e-9)] = False
        else:
            allowed[np.abs(at - x) < np.sqrt(least**2 - (y - height) ** 2) - 1e-9] = False
    return allowed
