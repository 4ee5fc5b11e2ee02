"""The common lines of a layout: where rows run, and columns across them."""

from __future__ import annotations

from typing import Literal

import numpy as np
import shapely
from shapely import Polygon
from shapely.geometry.polygon import orient

from preprocess.setout.axes import MUST, ON_ROW, Axis, end_demands, first_step, folded, lower, unfolded
from preprocess.setout.chains import PARALLEL, STEEP
from preprocess.setout.division import STEP, Demand, Line, divide
from preprocess.setout.ground import Floats, Ground


def line_places(ground: Ground, axis: Axis, worth: float) -> Floats:
    """(n,) coordinates along an axis of the lines across it: rows along y, columns along x.

    Each edge across the axis wants a line at least the edge distance and at most the overhang from it; an edge too
    short to be worth a line of its own goes without. worth: of an edge, in jacks for each jack along it.
    """
    low, high = _extent(ground, axis)
    start = first_step(low, axis)
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
        demands=folded(tuple(_edge_demands(ground, axis, width, worth)), axis.mirror),
        least=ground.rules.least_spacing,
        folded=axis.mirror is not None,
    )
    return unfolded(divide(line), axis.mirror)


def _extent(ground: Ground, axis: Axis) -> tuple[float, float]:
    bounds = ground.plan.bounds
    low, high = bounds[axis.index], bounds[axis.index + 2]
    return float(low), float(high if axis.mirror is None else max(high, 2 * axis.mirror - low))


def _chord_lengths(ground: Ground, axis: Axis, at: Floats) -> Floats:
    """(n,) lengths over which jacks may stand on lines across the axis at coordinates in either order."""
    levels = np.sort(at)
    pieces = [orient(piece) for piece in shapely.get_parts(ground.permitted) if isinstance(piece, Polygon)]
    rings = [shapely.get_coordinates(ring) for piece in pieces for ring in (piece.exterior, *piece.interiors)]
    edges = [np.stack([ring[:-1], ring[1:]], axis=1) for ring in rings]
    crossed = np.concatenate([np.empty((0, 2, 2)), *edges])[:, :, [axis.index, 1 - axis.index]]
    lengths = np.maximum(_just_beside(levels, crossed, "left"), _just_beside(levels, crossed, "right"))
    lengths[lengths < 1e-9] = 0.0
    return lengths if at[0] <= at[-1] else lengths[::-1]


def _just_beside(levels: Floats, edges: Floats, side: Literal["left", "right"]) -> Floats:
    """(n,) lengths of an area on lines across the first coordinate, just below or just above ascending levels.

    edges: (m, 2, 2) ends of its edges. Each that a line crosses adds the second coordinate of the crossing, or takes
    it away where the area ends there.
    """
    low, high = edges[:, :, 0].min(axis=1), edges[:, :, 0].max(axis=1)
    first, last = np.searchsorted(levels, low, side), np.searchsorted(levels, high, side)
    edge = np.repeat(np.arange(len(edges)), last - first)
    level = np.arange(len(edge)) - np.repeat(np.cumsum(last - first) - last, last - first)
    start, step = edges[edge, 0], edges[edge, 1] - edges[edge, 0]
    reached = start[:, 1] + (levels[level] - start[:, 0]) / step[:, 0] * step[:, 1]
    return np.abs(np.bincount(level, weights=np.sign(step[:, 0]) * reached, minlength=len(levels)))


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
            found += end_demands(line.path[:, axis.index], line.spacing)
    return found


def _line_limits(ground: Ground, axis: Axis, at: Floats) -> Floats:
    """(n,) greatest gaps of lines: closer where steep edges and jack lines along the axis ask for it."""
    limit = np.full(len(at), ground.rules.greatest_spacing)
    steps = ground.edges[:, 1] - ground.edges[:, 0]
    length = np.linalg.norm(steps, axis=1)
    rise = np.abs(steps[:, axis.index]) / np.maximum(length, 1e-9)
    steep = (rise >= np.sin(np.radians(STEEP)) - 1e-9) & (rise < np.cos(np.radians(PARALLEL)))
    for edge, share in zip(ground.edges[steep], rise[steep], strict=True):
        lower(limit, at, edge[:, axis.index], ground.rules.greatest_spacing * float(share), axis.mirror)
    for line in ground.rules.lines:
        if np.ptp(line.path[:, 1 - axis.index]) <= ON_ROW:
            lower(limit, at, line.path[:, axis.index], line.spacing, axis.mirror)
    return limit
