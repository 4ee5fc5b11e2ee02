"""Running dimensions from the datum: jack lines at the left and below, edges at the right and above."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from ezdxf.document import Drawing
from numpy.typing import NDArray
from scipy.optimize import isotonic_regression
from shapely import Polygon

from postprocess.cad.jack_lines import JackLines
from postprocess.cad.pen import STYLE, Pen, width_of
from postprocess.cad.sheet import Sheet
from postprocess.drawing import datum_corner
from postprocess.jobs.running_dimensions import RowLine

Floats = NDArray[np.float64]

CAP = 1.9
"""Height of the figures, mm on A3."""
PITCH = 1.45
"""Of figures side by side, over their height."""
START, REACH = 2.0, 11.0
"""From the slab's extent to where a leader starts, and its length, mm on A3."""
BUBBLE = 2.9
"""Radius of a bubble with the name of a line, mm on A3."""
BEYOND = 8.0
"""By which figures may stand beyond the extent of the slab, mm on A3."""
SAME = 0.1
"""Edges nearer than this, mm, have one dimension."""
STYLE_NAME = "RUNNING"
TINY = 1e-6


@dataclass(frozen=True)
class Mark:
    """One dimension: its coordinate, where its line starts across the side, mm in plan, and the name of its line."""

    at: float
    start: float
    name: str = ""


@dataclass(frozen=True, eq=False)
class Marks:
    """What is dimensioned. lines: those jack lines that find room. corners: of edges that do not, (c, 2) mm."""

    below: tuple[Mark, ...]
    left: tuple[Mark, ...]
    above: tuple[Mark, ...]
    right: tuple[Mark, ...]
    lines: JackLines
    corners: Floats


def marks(plan: Polygon, lines: JackLines, sheet: Sheet) -> Marks:
    """The dimensions that find room on a sheet; lines with the fewest jacks are left out first."""
    columns, rows = (_with_room(part, _most(sheet, axis)) for axis, part in enumerate((lines.columns, lines.rows)))
    corners = 1e3 * np.concatenate([np.asarray(r.coords)[:-1] for r in (plan.exterior, *plan.interiors)])
    low_x, above, left_out_x = _edges(corners, 0, _most(sheet, 0), both=not columns)
    low_y, right, left_out_y = _edges(corners, 1, _most(sheet, 1), both=not rows)
    return Marks(
        below=_lines_to_marks(columns, 0) or low_x,
        left=_lines_to_marks(rows, 1) or low_y,
        above=above,
        right=right,
        lines=JackLines(rows, columns),
        corners=corners[left_out_x | left_out_y],
    )


def _most(sheet: Sheet, axis: int) -> int:
    """Figures that find room side by side along a side."""
    length = (sheet.bounds[axis + 2] - sheet.bounds[axis]) / sheet.denominator + 2 * BEYOND * sheet.paper.unit
    return int(length / (PITCH * CAP * sheet.paper.unit))


def _with_room(lines: Sequence[RowLine], most: int) -> tuple[RowLine, ...]:
    kept = sorted(lines, key=lambda line: -len(line.jacks))[:most]
    return tuple(line for line in lines if line in kept)


def _lines_to_marks(lines: Sequence[RowLine], axis: int) -> tuple[Mark, ...]:
    """Each starts at the jack that is furthest from the side."""
    found = [Mark(1e3 * line.at, 1e3 * float(line.ends[:, 1 - axis].max()), line.name) for line in lines]
    return tuple(sorted(found, key=lambda mark: mark.at))


def _edges(
    corners: Floats, axis: int, most: int, *, both: bool
) -> tuple[tuple[Mark, ...], tuple[Mark, ...], NDArray[np.bool_]]:
    """Dimensions of corners at the low and at the high side, and the corners that are left out.

    both: whether the low side is free for corners that are nearer to it. Ends come first where room is short, then
    edges.
    """
    groups: list[list[int]] = []
    for corner in np.argsort(corners[:, axis], kind="stable"):
        if groups and corners[corner, axis] - corners[groups[-1][0], axis] <= SAME:
            groups[-1].append(int(corner))
        else:
            groups.append([int(corner)])
    ends = {0, len(groups) - 1}
    order = sorted(range(len(groups)), key=lambda i: (i not in ends, -len(groups[i])))
    kept = sorted(order[:most])
    left_out = np.ones(len(corners), dtype=bool)
    low: list[Mark] = []
    high: list[Mark] = []
    across = corners[:, 1 - axis]
    for number in kept:
        group = groups[number]
        left_out[group] = False
        at = float(corners[group[0], axis])
        nearest, furthest = float(across[group].min()), float(across[group].max())
        if both and nearest - across.min() < across.max() - furthest:
            low.append(Mark(at, nearest))
        else:
            high.append(Mark(at, furthest))
    return tuple(low), tuple(high), left_out


def add_dimension_style(document: Drawing, sheet: Sheet) -> None:
    """Ordinate dimensions in whole and tenths of mm with figures of `CAP`."""
    u = sheet.paper.unit
    style = document.dimstyles.add(STYLE_NAME)
    for key, value in {
        "dimtxt": CAP * u,
        "dimtxsty": STYLE,
        "dimscale": float(sheet.denominator),
        "dimasz": 1.0 * u,
        "dimexo": 0.0,
        "dimgap": 0.8 * u,
        "dimtad": 0,
        "dimdec": 1,
        "dimzin": 8,
        "dimdsep": ord("."),
        "dimlunit": 2,
        "dimlfac": 1.0,
        "dimrnd": 0.0,
    }.items():
        style.dxf.set(key, value)


def draw_dimensions(pen: Pen, plan: Polygon, found: Marks, sheet: Sheet) -> None:
    """All running dimensions on layer DIMENSIONS, lines of jacks on GRID, their names on BUBBLES."""
    datum = tuple(float(1e3 * c) for c in datum_corner(plan))
    x0, y0, x1, y1 = sheet.bounds
    for axis, side, outward, all_marks in (
        (0, y0, -1, found.below),
        (1, x0, -1, found.left),
        (0, y1, 1, found.above),
        (1, x1, 1, found.right),
    ):
        _Side(pen, sheet, axis, side, outward, (datum[0], datum[1])).draw(all_marks)


@dataclass(frozen=True)
class _Side:
    """One side of the plan. axis: the coordinate that is dimensioned. side: the extent there. outward: -1 or 1."""

    pen: Pen
    sheet: Sheet
    axis: int
    side: float
    outward: int
    datum: tuple[float, float]

    def draw(self, found: Sequence[Mark]) -> None:
        """Leaders with figures, spread so that they do not touch."""
        size, u = self.pen.size, self.sheet.paper.unit
        if not found:
            return
        at = np.array([mark.at for mark in found])
        bounds = self.sheet.bounds
        low, high = bounds[self.axis] - BEYOND * u * size, bounds[self.axis + 2] + BEYOND * u * size
        pitch = PITCH * CAP * u * size
        if any(mark.name for mark in found):
            pitch = min(max(pitch, (2 * BUBBLE + 0.6) * u * size), (high - low) / len(found))
        shown = spread(at, pitch, low, high)
        texts = [self._figures(mark.at) for mark in found]
        longest = max(width_of(f"  {words}", CAP * u) for words in texts)
        radius = min(BUBBLE * u * size, 0.49 * float(np.min(np.diff(shown), initial=np.inf)))
        for mark, place in zip(found, shown, strict=True):
            self._extension(mark)
            self._dimension(mark.at, float(place))
            if mark.name:
                self._bubble(mark.name, float(place), longest, radius)

    def _at(self, along: float, outward: float) -> tuple[float, float]:
        """A place by its coordinate and its distance from the extent of the slab, mm of paper."""
        across = self.side + self.outward * outward * self.pen.size
        return (along, across) if self.axis == 0 else (across, along)

    def _figures(self, at: float) -> str:
        return figures(at - self.datum[self.axis])

    def _extension(self, mark: Mark) -> None:
        """From the furthest jack or from the edge's end to the leader."""
        start = (mark.at, mark.start) if self.axis == 0 else (mark.start, mark.at)
        gap = 1.2 * self.sheet.paper.unit * self.pen.size
        if not mark.name:
            if abs(mark.start - self.side) < 2 * gap:
                start = self._at(mark.at, 0.8 * self.sheet.paper.unit)
            elif self.axis == 0:
                start = (start[0], start[1] + self.outward * gap)
            else:
                start = (start[0] + self.outward * gap, start[1])
        end = self._at(mark.at, START * self.sheet.paper.unit)
        self.pen.line(start, end, "GRID" if mark.name else "EXTENSIONS")

    def _dimension(self, at: float, shown: float) -> None:
        u = self.sheet.paper.unit
        feature, end = self._at(at, START * u), self._at(shown, (START + REACH) * u)
        offset = (end[0] - feature[0], end[1] - feature[1])
        layout = self.pen.layout
        add = layout.add_ordinate_x_dim if self.axis == 0 else layout.add_ordinate_y_dim
        behind = at - self.datum[self.axis] < -TINY
        dimension = add(
            feature,
            offset,
            origin=self.datum,
            dimstyle=STYLE_NAME,
            text=" \N{MINUS SIGN}<> " if behind else " <> ",
            dxfattribs={"layer": "DIMENSIONS"},
        )
        dimension.render()

    def _bubble(self, name: str, shown: float, longest: float, radius: float) -> None:
        u = self.sheet.paper.unit
        out = (START + REACH + 1.6) * u + longest
        self.pen.line(self._at(shown, out), self._at(shown, out + 1.2 * u), "BUBBLES")
        centre = self._at(shown, out + 1.2 * u + radius / self.pen.size)
        self.pen.circle(centre, radius, "BUBBLES")
        room = 1.5 * radius / self.pen.size
        cap = min(2.1 * u, 0.8 * radius / self.pen.size, 2.1 * u * room / width_of(name, 2.1 * u))
        self.pen.text(name, centre, cap, "BUBBLES", align="middle")


def figures(length: float) -> str:
    """A length in mm as a dimension: whole, or with a tenth where it counts, with a true minus sign."""
    return f"{length:z.1f}".removesuffix(".0").replace("-", "\N{MINUS SIGN}")


def spread(at: Floats, pitch: float, low: float, high: float) -> Floats:
    """Ascending places at least `pitch` apart, as near to `at` as may be in least squares, between low and high."""
    steps = np.arange(len(at)) * pitch
    level = isotonic_regression(at - steps).x
    return np.asarray(np.clip(level, low, max(low, high - steps[-1])) + steps)
