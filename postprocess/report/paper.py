"""The pieces of paper on which the report's pictures are drawn: as wide as its column of text."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.tri import Triangulation
from numpy.typing import ArrayLike, NDArray
from shapely import LineString, get_coordinates

from postprocess.colours import INK
from postprocess.drawing import PAD, TICK_ROOM, Box, paper_scale, plan_axes
from postprocess.report.model import Picture
from postprocess.svg import svg_of
from postprocess.view import PlanView

Floats = NDArray[np.float64]

WIDTH = 180.0
"""mm: the column of text on A4 between margins of 15 mm."""
TALLEST = 215.0
"""mm: room for a caption stays on A4."""
FINE = 0.03
"""mm by which lines may be off: less than can be printed."""
BAR = 15.0
"""Height for a colour bar with its words, mm."""
TITLE = 7.0
"""Size of titles, points."""


@dataclass(frozen=True, eq=False)
class Paper:
    """A figure in mm and the boxes of its plans, from the top left. below: the strip below them."""

    figure: Figure
    boxes: tuple[Box, ...]
    below: Box

    def plan(self, number: int, view: PlanView, title: str, *, fill: bool = False) -> Axes:
        """Plan axes in box `number`, with a title of one line or two in the room above them."""
        ax = plan_axes(self.figure, self.boxes[number], view, to_scale=False, fill=fill)
        ax.set_title(title, fontsize=TITLE, color=INK, pad=3, linespacing=1.3, parse_math=False)
        return ax

    def colour_bar(self, mappable: ScalarMappable, words: str, ticks: ArrayLike | None = None) -> None:
        """A colour bar with its quantity in words, in the strip below."""
        place = Box(self.below.left + 30.0, self.below.bottom + 8.0, self.below.width - 60.0, 3.5).axes(self.figure)
        bar = self.figure.colorbar(mappable, cax=place, orientation="horizontal", ticks=ticks)
        bar.ax.tick_params(labelsize=6.5, length=2, width=0.5)
        bar.outline.set_linewidth(0.4)
        bar.ax.set_xlabel(words, fontsize=TITLE, color=INK, labelpad=1.5)


def plan_paper(view: PlanView, count: int, *, columns: int, bar: bool, width: float = WIDTH) -> Paper:
    """Paper for `count` plans in columns, at most `TALLEST` high. bar: with room for a colour bar."""
    x0, y0, x1, y1 = view.plan.bounds
    rows, below = -(-count // columns), BAR if bar else 0.0
    wanted = (width / columns - TICK_ROOM - 2 * PAD) * (y1 - y0) / (x1 - x0) + 2 * (PAD + TICK_ROOM)
    height = min(rows * wanted, TALLEST - below) + below
    figure = new_figure(width, height)
    cell = width / columns, (height - below) / rows
    boxes = tuple(
        Box(i % columns * cell[0], height - (i // columns + 1) * cell[1], cell[0], cell[1]) for i in range(count)
    )
    return Paper(figure, boxes, Box(0.0, 0.0, width, below))


def new_figure(width: float, height: float) -> Figure:
    """An empty white figure, mm."""
    return Figure(figsize=(width / 25.4, height / 25.4), facecolor="white")


def draw_level(ax: Axes, triangles: Triangulation, values: Floats, level: float, width: float) -> None:
    """The line on which values (v,) at the vertices are at a level, with no more points than paper can show."""
    contours = ax.tricontour(triangles, values, levels=[level])
    parts = [np.asarray(part) for path in contours.get_paths() for part in path.to_polygons(closed_only=False)]
    lines = [part for part in parts if len(part) > 1]
    contours.remove()
    simple = [shapely.simplify(LineString(line), FINE / paper_scale(ax)) for line in lines]
    drawn = [get_coordinates(line) for line in simple]
    ax.add_collection(LineCollection(drawn, colors=INK, lw=width, zorder=1.2), autolim=False)


def picture(figure: Figure, name: str, caption: str, words: str) -> Picture:
    """The figure as a block of the report. name: unlike that of any other picture of it."""
    return Picture(caption, svg_of(figure, f"report-{name}"), words)
