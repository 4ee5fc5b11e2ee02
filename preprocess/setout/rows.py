"""The jacks on straight rows.

Two neighbouring rows at most the greatest spacing apart, each with gaps of at most that, leave no point between
them further than greatest spacing/√2 from a jack, however their jacks are staggered: a point is within half the
distance of the rows from one of them and within half a gap from a jack of it. So each row may be divided by itself.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString

from preprocess.setout.axes import MUST, ON_ROW, Axis, end_demands, first_step, folded, lower, unfolded
from preprocess.setout.chains import STEEP
from preprocess.setout.division import STEP, Demand, Line, divide
from preprocess.setout.ground import Bools, Floats, Ground

OFF_COLUMN: Final = 0.2
"""Price, in jacks, of a jack off the columns."""


def row_jacks(ground: Ground, height: float, *, columns: Floats, fixed: Floats, mirror: float | None) -> Floats:
    """(n, 2) jacks on the row at a height, on columns where these do, with those of (k, 2) fixed jacks that it meets.

    mirror: x of a mirror that the row keeps.
    """
    low, _, high, _ = ground.plan.bounds
    axis = Axis(0, mirror)
    start = first_step(low, axis)
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
        demands=folded(tuple(demands), mirror),
        least=ground.rules.least_spacing,
        folded=mirror is not None,
    )
    found = unfolded(_on_columns(line, columns - (mirror or 0.0)), mirror)
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


def _row_limits(ground: Ground, height: float, at: Floats) -> Floats:
    """(n,) greatest gaps of jacks on a row: closer along a jack line on it."""
    limit = np.full(len(at), ground.rules.greatest_spacing)
    for line in ground.rules.lines:
        if np.abs(line.path[:, 1] - height).max() <= ON_ROW:
            lower(limit, at, line.path[:, 0], line.spacing, None)
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
            found += end_demands(line.path[:, 0], line.spacing)
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
