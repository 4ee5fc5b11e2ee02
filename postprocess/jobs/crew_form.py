"""What sheets for crews share: notes read at arm's length, lists to tick and initial, the order of work on a plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from postprocess.colours import FAINT, INK, PENCIL
from postprocess.drawing import DRAWING, MM_PER_POINT, Box, paper_axes, paper_scale, text_width, wrapped
from postprocess.jobs.table import AIR, PITCH, Column, draw_table
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

Floats = NDArray[np.float64]

SIZE: Final = 8.0
"""Font of the notes, points: they are read on site."""
ROW: Final = 9.5
"""Height of a line that is written in by hand, mm."""
LEAST_ROW: Final = 7.0
"""The same where many lines share a sheet, mm."""
BOX: Final = 4.5
"""Side of the box to tick, mm."""
LEAST_MAP: Final = 40.0
"""Height below which a plan of the jacks is left out, mm."""
ONE_BLOCK: Final = 25
"""Lines up to which a list stands in one block; more stand in two side by side."""
SMALLEST, LARGEST = 5.0, 7.5
"""Size of the numbers in the order of work, points: below the smallest only some jacks have theirs."""
RING: Final = 5.6
"""Diameter of the circle around such a number, at most, mm."""
HEAD: Final = 3.0
"""Room from which there is an arrow between two circles, mm."""
SOME: Final = 10
"""Where there is no room for all numbers, every tenth has room."""


GAP: Final = 4.0
"""Between two blocks of a list, mm."""
FULL: Final = 7.4
"""Font of the notes on a sheet that is full, points."""
SMALL: Final = 7.0
"""Font of lists of many lines, points."""
WIDER: Final = 1.2
"""Width of columns where a list stands in one block, over that in two."""
NOTES_WIDTH: Final = 136.0
CREW_NOTES: Final = Box(DRAWING.left + DRAWING.width - NOTES_WIDTH, DRAWING.bottom, NOTES_WIDTH, DRAWING.height)
"""Beside lists of many lines."""
LISTS: Final = DRAWING.width - NOTES_WIDTH - GAP
"""Width of the room for lists, mm."""


class CrewNotes(SideNotes):
    """Notes that are read at arm's length."""

    def __init__(self, figure: Figure, box: Box, size: float = SIZE) -> None:
        super().__init__(figure, box)
        self.size = size

    def line(self, words: str, *, indent: float = 0.0, colour: str = INK) -> None:
        """Plain words, wrapped to the box, larger than on drawings."""
        for row in wrapped(words, self.size, self.box.width - indent - 1.0):
            self.axes.text(indent, self.y, row, fontsize=self.size, va="top", color=colour, parse_math=False)
            self.y += 1.3 * self.size * MM_PER_POINT
        self.y += 0.9

    def sentences(self, heading: str, sentences: Sequence[str]) -> None:
        """A heading and what stands below it."""
        self.heading(heading)
        for words in sentences:
            self.line(words)

    def sign_lines(self, hold_points: Sequence[str]) -> None:
        """A line to sign for each hold point that comes once."""
        self._blanks([f"{words}: name, date, signature" for words in hold_points], "signature")

    def blank_lines(self, captions: Sequence[str]) -> None:
        """A line to fill in for each caption."""
        self._blanks(captions, "blank")

    def _blanks(self, captions: Sequence[str], name: str) -> None:
        for said in captions:
            self.y += 6.5
            self.axes.text(0.0, self.y, said, fontsize=SIZE, va="baseline", color=INK)
            start = text_width(said, SIZE) + 3.0
            self.axes.plot([start, self.box.width - 1.0], [self.y + 0.5] * 2, color=INK, lw=0.5, gid=name)
        self.y += 2.0


def draw_form(
    ax: Axes,
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    by_hand: int,
    *,
    pitch: float = ROW,
    size: float = SIZE,
) -> float:
    """A list whose last `by_hand` columns are filled in by hand, with a box to tick under the heading "done".

    pitch: height of a line, mm. size: of the font, points. Returns where the list ends, mm from the top.
    """
    bottom = draw_table(ax, columns, rows, 0.5, pitch=pitch, size=size)
    edges = np.cumsum([0.0, *(column.width for column in columns)])
    for place in edges[len(columns) - by_hand :]:
        ax.plot([place, place], [bottom - len(rows) * pitch, bottom], color=FAINT, lw=0.5, zorder=0.6)
    style: dict[str, Any] = {"fill": False, "ec": INK, "lw": 0.9}
    for column, left in zip(columns, edges[:-1], strict=True):
        for number in range(len(rows) if column.heading == "done" else 0):
            y = bottom - (len(rows) - number) * pitch
            corner = left + (column.width - BOX) / 2, y + (pitch - BOX) / 2
            ax.add_patch(Rectangle(corner, BOX, BOX, gid="tick", **style))
    return bottom


def sheets_for(lines: int, box: Box, blocks: int = 2) -> int:
    """Number of sheets that so many lines take in `blocks` blocks side by side, at least one."""
    return max(1, -(-lines // (blocks * int((box.height - PITCH - 1.0) / LEAST_ROW))))


def part_of(lines: int, sheets: int, sheet: int) -> slice:
    """The lines of one sheet of several, spread evenly."""
    each = -(-lines // sheets)
    return slice(sheet * each, min(lines, (sheet + 1) * each))


def blocks_of(lines: int) -> tuple[slice, ...]:
    """The lines of one sheet in one block, or in two where they are many."""
    return (slice(0, lines),) if lines <= ONE_BLOCK else tuple(part_of(lines, 2, block) for block in range(2))


def draw_blocks(
    figure: Figure, columns: Sequence[Column], rows: Sequence[Sequence[str]], by_hand: int, blocks: int = 2
) -> list[Box]:
    """A list in one block, or in two where it is long and `blocks` allows; returns the free places beside and below."""
    parts = blocks_of(len(rows)) if blocks > 1 else (slice(0, len(rows)),)
    size = SIZE if len(parts) == 1 else SMALL
    columns = [replace(column, width=WIDER * column.width) for column in columns] if len(parts) == 1 else columns
    columns = _room_for_ids(columns, rows, size, len(parts))
    width, ends, left = sum(column.width for column in columns), [], DRAWING.left
    pitch = min(ROW, (DRAWING.height - PITCH - 1.0) / max(1, len(rows[parts[0]])))
    for part in parts:
        ax = paper_axes(figure, Box(left, DRAWING.bottom, width, DRAWING.height))
        ends.append(draw_form(ax, columns, rows[part], by_hand, pitch=pitch, size=size))
        left += width + GAP
    beside = Box(left, DRAWING.bottom, CREW_NOTES.left - left - GAP, DRAWING.height)
    return [Box(DRAWING.left, DRAWING.bottom, LISTS, DRAWING.height - max(ends) - 3.0), beside]


def _room_for_ids(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], size: float, blocks: int
) -> Sequence[Column]:
    """Columns whose ids are in full, as far as the blocks have room beside the notes."""
    at = next(number for number, column in enumerate(columns) if column.heading == "Jack")
    wanted = max((text_width(cells[at], size) + 2 * AIR + 0.2 for cells in rows), default=0.0) - columns[at].width
    spare = (LISTS - (blocks - 1) * GAP) / blocks - sum(column.width for column in columns)
    more = max(0.0, min(wanted, spare))
    return [replace(column, width=column.width + more * (number == at)) for number, column in enumerate(columns)]


def roomiest(view: PlanView, places: Sequence[Box]) -> Box | None:
    """The place in which the plan is drawn largest; None where all are too small."""
    x0, y0, x1, y1 = view.plan.bounds
    large = [place for place in places if min(place.width, place.height) >= LEAST_MAP]
    return max(large, key=lambda place: min(place.width / (x1 - x0), place.height / (y1 - y0)), default=None)


def draw_order(ax: Axes, xy: Floats, first: int, *, arrows: bool = True) -> None:
    """The order of work on a plan: a number in a circle at each place (k, 2), from `first`, and arrows between.

    Where the circles would be too small, the places are dots and only some have their numbers beside them.
    """
    scale = paper_scale(ax)
    room = float(np.median(np.asarray(cKDTree(xy).query(xy, k=2)[0])[:, 1])) * scale if len(xy) > 1 else 2 * RING
    ring = min(RING, 0.68 * room)
    widest = text_width(str(first + len(xy) - 1), 1.0)
    size = min(LARGEST, 0.92 * ring / max(widest, 1.6 * MM_PER_POINT))
    ring = ring if size >= SMALLEST else 1.2
    if arrows:
        _draw_arrows(ax, xy, ring / scale)
    style: dict[str, Any] = {"mfc": "white", "mec": INK, "mew": 0.7} if size >= SMALLEST else {"mfc": INK, "mec": INK}
    ax.plot(*xy.T, ls="none", marker="o", ms=ring / MM_PER_POINT, zorder=4.2, gid="order", **style)
    for number, (x, y) in enumerate(xy, first):
        words: dict[str, Any] = {"ha": "center", "va": "center", "color": INK, "zorder": 4.4, "gid": "order number"}
        if size >= SMALLEST:
            ax.text(x, y, str(number), fontsize=size, **words)
        elif number in (first, first + len(xy) - 1) or number % SOME == 0:
            paper = {"fc": "white", "ec": "none", "alpha": 0.85, "pad": 0.4}
            ax.text(x, y + 2.2 / scale, str(number), fontsize=5.5, bbox=paper, **words)


def _draw_arrows(ax: Axes, xy: Floats, ring: float) -> None:
    """Arrows from each place to the next, from circle to circle of diameter `ring`, m; lines where they are near."""
    steps = np.diff(xy, axis=0)
    length = np.hypot(*steps.T)
    far = length - ring > HEAD / paper_scale(ax)
    pairs = np.stack([xy[:-1], xy[1:]], axis=1)
    ax.add_collection(LineCollection(list(pairs[~far]), colors=PENCIL, lw=0.9, zorder=3.6), autolim=False)
    start, along, length = xy[:-1][far], steps[far] / length[far, None], length[far]
    tails, ends = start + along * ring / 2, along * (length - ring)[:, None]
    style: dict[str, Any] = {"angles": "xy", "scale_units": "xy", "scale": 1, "units": "xy", "color": PENCIL}
    style |= {"width": 0.45 / paper_scale(ax), "headwidth": 4.2, "headlength": 4.6, "headaxislength": 4.2}
    if len(tails):
        ax.quiver(*tails.T, *ends.T, zorder=3.6, **style)
