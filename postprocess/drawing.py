"""The base of all drawings: an A3 sheet with its title block, and plan axes to scale in metres on any paper."""

from __future__ import annotations

import math
import textwrap
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.patches import PathPatch, Rectangle
from matplotlib.path import Path
from matplotlib.textpath import TextToPath
from matplotlib.tri import Triangulation
from numpy.typing import NDArray
from shapely import Polygon, get_coordinates, get_parts
from shapely.geometry.base import BaseGeometry

from fem.mesh import Mesh
from postprocess.colours import FAINT, INK, PENCIL, SLAB
from postprocess.view import PlanView

Floats = NDArray[np.float64]

CAUTION = "Assists, does not approve: check by a chartered or licensed structural engineer; local codes rule."
STATE_WORDS = {
    "bare": "bare slab: self-weight only, as lifted",
    "service": "service: self-weight, finishes, equipment and the sustained share of the imposed load",
    "full": "full: self-weight, finishes, equipment and all of the imposed load",
}
SHEET = (420.0, 297.0)
"""A3 landscape, mm (ISO 216)."""
PAPERS = {(210.0, 297.0): "A4", (297.0, 210.0): "A4", (297.0, 420.0): "A3", SHEET: "A3"}
"""Names of sheets by width and height, mm (ISO 216)."""
SCALES = (10, 15, 20, 25, 30, 40, 50, 60, 75, 100, 125, 150, 200, 250, 300, 400, 500, 750, 1000, 2000)
"""Denominators of the usual metric scales; a plan is drawn to the first that fits."""
MM_PER_POINT = 25.4 / 72
SIDE = 84.0
"""Width of the column of notes at the right, mm."""
PAD, TICK_ROOM = 5.0, 11.0
"""Paper around the slab inside its axes, and room for the figures outside them, mm."""


def paper_size(figure: Figure) -> tuple[float, float]:
    """Width and height of the figure, mm."""
    width, height = figure.get_size_inches()
    return round(float(width) * 25.4, 6), round(float(height) * 25.4, 6)


@dataclass(frozen=True)
class Box:
    """A rectangle on the sheet, mm from its lower left corner."""

    left: float
    bottom: float
    width: float
    height: float

    def inset(self, left: float) -> Box:
        """The box without a strip at its left side."""
        return Box(self.left + left, self.bottom, self.width - left, self.height)

    def axes(self, figure: Figure) -> Axes:
        """New axes that fill the box."""
        width, height = paper_size(figure)
        return figure.add_axes((self.left / width, self.bottom / height, self.width / width, self.height / height))


DRAWING = Box(13.0, 36.0, 394.0, 249.0)
PLAN = Box(13.0, 36.0, 390.0 - SIDE, 249.0)
NOTES = Box(407.0 - SIDE, 36.0, SIDE, 249.0)
FRAME = Box(10.0, 10.0, 400.0, 277.0)
TITLE_BLOCK = Box(10.0, 10.0, 400.0, 24.0)


def new_sheet(view: PlanView, name: str, units: str) -> Figure:
    """An empty sheet with its title block; `name` says what is drawn, `units` in which units."""
    figure = Figure(figsize=(SHEET[0] / 25.4, SHEET[1] / 25.4), facecolor="white")
    for box in (FRAME, TITLE_BLOCK):
        ax = paper_axes(figure, box)
        ax.add_patch(Rectangle((0, 0), box.width, box.height, fill=False, lw=1.0, ec=INK, clip_on=False))
    ax.axhline(17.0, color=INK, lw=0.5)
    cells = [("Title", view.title, 128), ("Drawing", name, 112), ("Units", units, 84)]
    cells += [("Reference", view.reference or "–", 46), ("Revision", view.revision or "–", 30)]
    left = 0.0
    for caption, words, width in cells:
        ax.plot([left, left], [0, 17], color=INK, lw=0.5)
        ax.text(left + 2, 4.2, caption, fontsize=5.5, color=PENCIL)
        _fitted(ax, words, left + 2, width - 4)
        left += width
    ax.text(TITLE_BLOCK.width / 2, 21.8, CAUTION, fontsize=8, ha="center", color=INK)
    return figure


def paper_axes(figure: Figure, box: Box) -> Axes:
    """Blank axes over `box` in mm of paper, y downward from the top."""
    ax = box.axes(figure)
    ax.set(xlim=(0, box.width), ylim=(box.height, 0))
    ax.axis("off")
    return ax


@lru_cache(maxsize=4096)
def text_width(words: str, size: float) -> float:
    """Width of one line in mm at `size` points."""
    width, _, _ = TextToPath().get_text_width_height_descent(words, FontProperties(size=size), False)
    return float(width) * MM_PER_POINT


def wrapped(words: str, size: float, width: float) -> list[str]:
    """Lines of words, each at most `width` mm long at `size` points; a word that is longer by itself is cut in two."""
    room, space = width / size, text_width(" ", 1.0)
    lines, taken = [""], 0.0
    for word in words.split(" "):
        long = text_width(word, 1.0)
        if lines[-1] and taken + space + long <= room:
            lines[-1] += f" {word}"
            taken += space + long
            continue
        rest = word
        while long > room and len(rest) > 1:
            kept = next(n for n in range(len(rest) - 1, 0, -1) if n == 1 or text_width(rest[:n], 1.0) <= room)
            lines.append(rest[:kept])
            rest = rest[kept:]
            long = text_width(rest, 1.0)
        lines.append(rest)
        taken = long
    return [line for line in lines if line] or [""]


def _fitted(ax: Axes, words: str, left: float, width: float) -> None:
    """Words on one line or two, shrunk until they fit the width."""
    for rows in (1, 2):
        lines = textwrap.wrap(words, math.ceil(len(words) / rows) + 3 * (rows - 1)) or [""]
        size = min(10.0, 10.0 * width / max(text_width(line, 10.0) for line in lines))
        if size >= 8.0:
            break
    ax.text(left, 10.6, "\n".join(lines), fontsize=size, va="center", color=INK, parse_math=False, linespacing=1.1)


def plan_axes(figure: Figure, box: Box, view: PlanView, *, to_scale: bool = True, fill: bool = False) -> Axes:
    """Axes in metres, equal in x and y, with grid, outline, openings and datum, in the middle of `box`.

    to_scale: drawn to one of `SCALES` and said so; otherwise as large as fits.
    """
    x0, y0, x1, y1 = view.plan.bounds
    mm_per_m = _fit(box, view)
    denominator = next((n for n in SCALES if 1000 / n <= mm_per_m), None) if to_scale else None
    mm_per_m = 1000 / denominator if denominator else mm_per_m
    width, height = (x1 - x0) * mm_per_m + 2 * PAD, (y1 - y0) * mm_per_m + 2 * PAD
    left = box.left + TICK_ROOM + (box.width - TICK_ROOM - width) / 2
    bottom = box.bottom + TICK_ROOM + (box.height - 2 * TICK_ROOM - height) / 2
    ax = Box(left, bottom, width, height).axes(figure)
    pad = PAD / mm_per_m
    ax.set(xlim=(x0 - pad, x1 + pad), ylim=(y0 - pad, y1 + pad), autoscale_on=False, aspect="equal")
    _running_grid(ax, mm_per_m)
    _draw_slab(ax, view.plan, fill)
    if to_scale:
        _mark_datum(ax, view.plan)
        paper = PAPERS.get(paper_size(figure))
        scale = f"1:{denominator}" + (f" on {paper}" if paper else "") if denominator else "to fit"
        ax.set_title(f"Scale {scale}, running dimensions in m", fontsize=7, color=PENCIL, loc="right", pad=3)
    return ax


def _fit(box: Box, view: PlanView) -> float:
    """The largest mm of paper per m of plan for which plan and figures fit the box."""
    x0, y0, x1, y1 = view.plan.bounds
    room = box.width - TICK_ROOM - 2 * PAD, box.height - 2 * TICK_ROOM - 2 * PAD
    return min(room[0] / (x1 - x0), room[1] / (y1 - y0))


def panels(view: PlanView, count: int, box: Box = DRAWING) -> tuple[Box, ...]:
    """`count` equal boxes in the rows and columns that show the plan largest, from the top left."""
    options = [Box(0, 0, box.width / columns, box.height / math.ceil(count / columns)) for columns in range(1, count)]
    cell = max(options, key=lambda option: _fit(option, view))
    columns, top = round(box.width / cell.width), box.bottom + box.height
    return tuple(
        Box(
            box.left + i % columns * cell.width,
            top - (i // columns + 1) * cell.height,
            cell.width,
            cell.height,
        )
        for i in range(count)
    )


def paper_scale(ax: Axes) -> float:
    """mm of paper per m of plan."""
    low, high = ax.get_xlim()
    figure = ax.get_figure(root=True)
    assert figure is not None
    return float(ax.get_position().width * paper_size(figure)[0] / (high - low))


def _running_grid(ax: Axes, mm_per_m: float) -> None:
    step = next((s for s in (0.5, 1, 2, 5, 10, 20, 50) if s * mm_per_m >= 11.0), 100)
    ax.grid(color=FAINT, lw=0.4)
    ax.tick_params(labelsize=6.5, length=2, width=0.5, color=PENCIL, labelcolor=PENCIL, pad=1.5)
    for axis, (low, high) in ((ax.xaxis, ax.get_xlim()), (ax.yaxis, ax.get_ylim())):
        axis.set_ticks(np.arange(math.ceil(low / step), math.floor(high / step) + 1) * step)
        axis.set_major_formatter("{x:g}")
    ax.set_axisbelow(True)
    ax.set_xlabel("x, m", fontsize=6.5, color=PENCIL, labelpad=1)
    ax.set_ylabel("y, m", fontsize=6.5, color=PENCIL, labelpad=1)
    for spine in ax.spines.values():
        spine.set(linewidth=0.4, color=FAINT)


def shape_path(shape: BaseGeometry) -> Path:
    """All rings of polygons and all points of lines as one path; holes stay holes."""
    rings: list[BaseGeometry] = []
    for part in get_parts(shape):
        rings += [part.exterior, *part.interiors] if isinstance(part, Polygon) else [part]
    return Path.make_compound_path(*(Path(get_coordinates(ring)) for ring in rings))


def _draw_slab(ax: Axes, plan: Polygon, fill: bool) -> None:
    for ring in plan.interiors:
        style = {"fc": "white", "ec": PENCIL, "hatch": "xx", "lw": 0.0, "hatch_linewidth": 0.4}
        ax.add_patch(PathPatch(shape_path(Polygon(ring)), zorder=1.5, **style))
    if fill:
        ax.add_patch(PathPatch(shape_path(plan), fc=SLAB, ec="none", zorder=0.4))
    ax.add_patch(PathPatch(shape_path(plan), fc="none", ec=INK, lw=1.3, zorder=3.9))


def datum_corner(plan: Polygon) -> Floats:
    """(2,) the corner of the outline nearest to the lower left of its extent, m."""
    corners = np.asarray(plan.exterior.coords)
    return np.asarray(corners[np.argmin(np.hypot(*(corners - plan.bounds[:2]).T))])


def draw_datum(ax: Axes, plan: Polygon) -> Floats:
    """The symbol of the datum at its corner; returns the corner (2,), m."""
    corner = datum_corner(plan)
    ax.plot(*corner, marker="o", ms=9, mfc="none", mec=INK, mew=0.8, zorder=6)
    ax.plot(*corner, marker="+", ms=14, mec=INK, mew=0.8, zorder=6)
    return corner


def _mark_datum(ax: Axes, plan: Polygon) -> None:
    """Mark the corner from which the floor is set out, with its coordinates."""
    x, y = draw_datum(ax, plan)
    words = f"Datum corner at x {x:.3f} m, y {y:.3f} m"
    ax.set_title(words, fontsize=7, color=INK, loc="left", pad=3)


def triangulation(mesh: Mesh) -> Triangulation:
    """The display mesh for contours: it leaves out the openings by itself."""
    return Triangulation(mesh.vertices[:, 0], mesh.vertices[:, 1], mesh.triangles)


def number(value: float, digits: int) -> str:
    """Fixed decimals with a true minus sign, and no sign on zero."""
    return f"{value:z.{digits}f}".replace("-", "\N{MINUS SIGN}")
