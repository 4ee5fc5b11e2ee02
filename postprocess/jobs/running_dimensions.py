"""Row lines on a plan, with their running dimensions from the datum corner at the ends of those along x and y."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass
from math import nan
from typing import Any, Literal

import numpy as np
import shapely
from matplotlib.axes import Axes
from numpy.typing import NDArray
from scipy.optimize import isotonic_regression
from shapely import LineString, Polygon

from postprocess.colours import INK, PENCIL
from postprocess.drawing import MM_PER_POINT, datum_corner, paper_scale, text_width
from postprocess.jobs.setout_lists import millimetres

Floats = NDArray[np.float64]

STRAIGHT = 3.5e-3
"""Departure from a line along x or y, m, up to which a row counts as parallel to it."""
MARKED = 0.6e-3
"""A jack this near to the dimension of its row, m, is marked by it: people mark to a millimetre."""
SIZE = 7.0
"""Font of the dimensions, points; rows that stand closer are written apart, down to `SMALLEST`."""
SMALLEST = 5.0
PITCH = 1.15
"""Of dimensions that stand side by side, over the size of their font."""
LONG_EDGE, FEW_EDGES = 0.3, 14
"""Edges of the slab and its openings from this length on, m, have their dimension, if there are not more."""
EDGES = 3
"""Dimensions of the datum and the ends of the slab, at most, at one side."""
ELBOW = 4.0
"""From the edge of the axes to the figures, mm."""
LETTER_GAP = 1.5
BEYOND = 3.0
"""By which a slanted row's line passes the edge of the slab, mm on paper."""
LINE: dict[str, Any] = {"color": PENCIL, "lw": 0.45, "zorder": 2.0}


@dataclass(frozen=True, eq=False)
class RowLine:
    """One straight row: name, its jacks, ends (2, 2) in m, and whether it runs along "x", along "y" or is "slanted".

    at: the y of a row along x or the x of a row along y, m; NaN for a slanted one.
    """

    name: str
    jacks: tuple[int, ...]
    ends: Floats
    kind: Literal["x", "y", "slanted"]
    at: float


def row_lines(xy: Floats, rows: Sequence[Sequence[int]], names: Sequence[str]) -> tuple[RowLine, ...]:
    """The lines of rows (jack indices) through jacks at `xy` (n, 2); a row of one jack has no line."""
    return tuple(_line(xy[list(row)], tuple(row), name) for row, name in zip(rows, names, strict=True) if len(row) > 1)


def _line(places: Floats, jacks: tuple[int, ...], name: str) -> RowLine:
    across = np.ptp(places, axis=0)
    kind: Literal["x", "y", "slanted"] = "x" if across[1] <= STRAIGHT else "y" if across[0] <= STRAIGHT else "slanted"
    at = nan if kind == "slanted" else _most_common(places[:, 1 if kind == "x" else 0])
    return RowLine(name, jacks, places[[0, -1]], kind, at)


def _most_common(values: Floats) -> float:
    """The value, m, that most jacks of a row have to a tenth of a millimetre; the first of equals."""
    rounded = np.round(values, 4)
    kinds, counts = np.unique(rounded, return_counts=True)
    return float(values[np.argmax(rounded == kinds[np.argmax(counts)])])


def readable(ax: Axes, lines: Sequence[RowLine]) -> tuple[RowLine, ...]:
    """The rows whose dimensions have room at the sides of the plan; those with the fewest jacks are left out."""
    kept = [line for line in lines if line.kind == "slanted"]
    for kind, (low, high) in (("x", ax.get_ylim()), ("y", ax.get_xlim())):
        most = int((high - low) * paper_scale(ax) / (PITCH * SMALLEST * MM_PER_POINT)) - EDGES
        kept += sorted((line for line in lines if line.kind == kind), key=lambda line: -len(line.jacks))[:most]
    return tuple(line for line in lines if line in kept)


def draw_row_lines(ax: Axes, plan: Polygon, lines: Sequence[RowLine]) -> None:
    """All rows as thin lines; those along x and y reach the figures at the left and below, slanted ones have names."""
    for line in lines:
        if line.kind == "slanted":
            _draw_slanted(ax, plan, line)
    for kind in ("x", "y"):
        _draw_parallel(ax, plan, [line for line in lines if line.kind == kind], kind)


def _draw_slanted(ax: Axes, plan: Polygon, line: RowLine) -> None:
    """From edge to edge of the slab and a little on, its name at the end that leaves the slab sooner."""
    scale = paper_scale(ax)
    along = (line.ends[1] - line.ends[0]) / np.hypot(*(line.ends[1] - line.ends[0]))
    ends = [_leaves(plan, end, way) + way * BEYOND / scale for end, way in zip(line.ends, (-along, along), strict=True)]
    ax.plot(*np.transpose(ends), gid="row", **LINE)
    for end, way in zip(ends, (-along, along), strict=True):
        x, y = end + way * 1.8 / scale
        ax.text(x, y, line.name, **_style(INK, SIZE), weight="bold", ha="center", va="center", gid="row name")


def _leaves(plan: Polygon, start: Floats, way: Floats) -> Floats:
    """Where a ray from a jack first meets an edge of the outline."""
    far = start + way * 4 * np.hypot(*np.subtract(plan.bounds[2:], plan.bounds[:2]))
    met = shapely.get_coordinates(LineString([start, far]).intersection(plan.exterior))
    return np.asarray(met[np.argmin(np.hypot(*(met - start).T))]) if len(met) else start


def _draw_parallel(ax: Axes, plan: Polygon, lines: Sequence[RowLine], kind: Literal["x", "y"]) -> None:
    """Rows along x have their y at the left side, rows along y their x below; rows on one line share a figure."""
    axis = 1 if kind == "x" else 0
    datum, scale, low = datum_corner(plan), paper_scale(ax), (ax.get_xlim()[0], ax.get_ylim()[0])
    groups = _together(lines, axis)
    edges = [(edge, "") for edge in _edges(plan, datum, axis) if all(abs(edge - at) > MARKED for at in groups)]
    named = sorted([*edges, *((at, ", ".join(line.name for line in group)) for at, group in groups.items())])
    if not named:
        return
    at = np.array([place for place, _ in named])
    size, spread = _spread(at, scale)
    for place, shown, (_, name) in zip(at, spread, named, strict=True):
        end = max((line.ends[:, 1 - axis].max() for line in groups.get(place, ())), default=low[1 - axis])
        start = low[1 - axis]
        points = [(end, place), (start, place), (start - (ELBOW - 1.0) / scale, shown)]
        corners = np.array(points) if axis == 1 else np.array(points)[:, ::-1]
        ax.plot(*corners.T, clip_on=False, gid="row" if name else "edge", **LINE)
        _write(ax, (start - ELBOW / scale, shown), axis, (signed(place - datum[axis]), name), size)


def _together(lines: Sequence[RowLine], axis: int) -> dict[float, list[RowLine]]:
    """Where rows lie across themselves, m -> the rows there."""
    groups: dict[float, list[RowLine]] = {}
    for line in lines:
        place = next((at for at in groups if abs(at - line.at) <= MARKED), line.at)
        groups.setdefault(place, []).append(line)
    return groups


def _edges(plan: Polygon, datum: Floats, axis: int) -> list[float]:
    """The datum, the far ends of the outline, and edges of slab and openings across the axis unless there are many."""
    found = [float(datum[axis])]
    steps = [np.asarray(ring.coords) for ring in (plan.exterior, *plan.interiors)]
    across = [
        float(start[axis])
        for ring in steps
        for start, end in itertools.pairwise(ring)
        if abs(end[axis] - start[axis]) <= MARKED and abs(end[1 - axis] - start[1 - axis]) >= LONG_EDGE
    ]
    for edge in (plan.bounds[axis], plan.bounds[axis + 2], *(across if len(across) <= FEW_EDGES else ())):
        if all(abs(edge - other) > MARKED for other in found):
            found.append(edge)
    return found


def _spread(at: Floats, scale: float) -> tuple[float, Floats]:
    """The size of figures in points and where each is written, as near to its row as its neighbours let it."""
    room = (at[-1] - at[0]) * scale + 8.0
    size = float(np.clip(room / (len(at) * PITCH * MM_PER_POINT), SMALLEST, SIZE))
    steps = np.arange(len(at)) * PITCH * size * MM_PER_POINT / scale
    spread = isotonic_regression(at - steps).x + steps
    return size, np.asarray(spread - max(0.0, spread[-1] - at[-1] - 4.0 / scale))


def signed(length: float) -> str:
    """A length in m as mm, with a true minus sign."""
    return millimetres(length).replace("-", "\N{MINUS SIGN}")


def _write(ax: Axes, spot: tuple[float, float], axis: int, words: tuple[str, str], size: float) -> None:
    """The dimension, and further out the name of the row; figures below the plan are turned to be read from the right.

    spot: across the side of the plan and along it, m.
    """
    (away, along), (figures, name) = spot, words
    scale = paper_scale(ax)
    turn: dict[str, Any] = {"rotation": 0, "ha": "right", "va": "center"}
    if axis == 0:
        turn = {"rotation": 90, "ha": "center", "va": "top"}
    style = {"clip_on": False} | turn
    place = (away, along) if axis == 1 else (along, away)
    ax.text(place[0], place[1], figures, **_style(INK if name else PENCIL, size), **style, gid="dimension")
    if name:
        beyond = away - (text_width(figures, size) + LETTER_GAP) / scale
        place = (beyond, along) if axis == 1 else (along, beyond)
        ax.text(place[0], place[1], name, **_style(INK, size), weight="bold", **style, gid="row name")


def _style(colour: str, size: float) -> dict[str, Any]:
    return {"color": colour, "fontsize": size, "parse_math": False, "zorder": 6}
