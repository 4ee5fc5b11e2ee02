"""What sheets for crews share: notes read at arm's length, lists to tick and initial, lines to sign."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from postprocess.colours import FAINT, INK
from postprocess.drawing import DRAWING, MM_PER_POINT, Box, paper_axes, text_width, wrapped
from postprocess.jobs.table import AIR, PITCH, Column, draw_table
from postprocess.side_notes import SideNotes

SIZE: Final = 8.0
"""Font of the notes, points: they are read on site."""
ROW: Final = 9.5
"""Height of a line that is written in by hand, mm."""
LEAST_ROW: Final = 7.0
"""The same where many lines share a sheet, mm."""
BOX: Final = 4.5
"""Side of the box to tick, mm."""
ONE_BLOCK: Final = 14
"""Lines up to which a list stands in one block; more stand in two side by side, which leaves room for a large plan."""
GAP: Final = 4.0
"""Between two blocks of a list, mm."""
FULL: Final = 7.4
"""Font of the notes on a sheet that is full, points."""
SMALL: Final = 7.0
"""Font of lists of many lines, points."""
LIST_SHARE: Final = 0.55
"""Part of the sheet that a list may take whose lines could stand closer."""
PLAN_BELOW: Final = 75.0
"""Height for which lines are drawn closer, so that a plan has room below them, mm."""
WIDER: Final = 1.2
"""Width of columns where a list stands in one block, over that in two."""
BOLD: Final = 1.13
"""Width of bold words over that of plain ones."""
SENSE: Final = "On these jacks UP (the slab goes up) is: clockwise / anticlockwise, seen from above:"
TRIED: Final = "(tried at one jack before the work)"
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

    def large(self, words: str) -> None:
        """One value that all reading starts from, in large type."""
        self.y += 1.0
        style: dict[str, Any] = {"va": "top", "color": INK, "parse_math": False, "fontweight": "bold"}
        size = min(13.0, 13.0 * (self.box.width - 1.0) / (BOLD * text_width(words, 13.0)))
        self.axes.text(0.0, self.y, words, fontsize=size, **style)
        self.y += 1.3 * size * MM_PER_POINT + 1.5

    def sense_line(self) -> None:
        """Which way the screws of these jacks turn for up, to be filled in."""
        self._blanks([SENSE], "sense")
        self.line(TRIED)

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


def warn_unsafe(notes: SideNotes, reasons: Sequence[str]) -> None:
    """On every sheet of a lift of which a check is not met; reasons: what is not met, none if all is."""
    if reasons:
        framed(notes, "LIFT NOT SAFE AS PLANNED: do not begin", reasons)


def framed(notes: SideNotes, heading: str, sentences: Sequence[str]) -> None:
    """A warning in bold with its reasons, in a heavy frame."""
    top, width = notes.y, notes.box.width
    notes.y += 2.0
    style: dict[str, Any] = {"va": "top", "color": INK, "parse_math": False, "fontweight": "bold"}
    for words, size in ((heading, 11.0), *((words, FULL) for words in sentences)):
        for row in wrapped(words, BOLD * size, width - 6.0):
            notes.axes.text(2.5, notes.y, row, fontsize=size, **style)
            notes.y += 1.3 * size * MM_PER_POINT
        notes.y += 0.9
    notes.y += 1.0
    frame: dict[str, Any] = {"fill": False, "ec": INK, "lw": 2.4, "gid": "warning"}
    notes.axes.add_patch(Rectangle((0.5, top), width - 1.0, notes.y - top, **frame))
    notes.y += 1.0


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
    wider = 1.0
    if len(parts) == 1:
        room = LISTS - max(0.0, _wanted_for_ids(columns, rows, SIZE))
        wider = min(WIDER, max(SMALL / SIZE, room / sum(column.width for column in columns)))
    size = SIZE if len(parts) == 1 and wider >= 1 else SMALL
    columns = [replace(column, width=wider * column.width) for column in columns]
    columns = _room_for_ids(columns, rows, size, len(parts))
    width, ends, left = sum(column.width for column in columns), [], DRAWING.left
    lines = max(1, len(rows[parts[0]]))
    closest = max(LEAST_ROW, LIST_SHARE * DRAWING.height / lines)
    below = lines * closest <= DRAWING.height - PLAN_BELOW
    pitch = min(ROW, closest if below else ROW, (DRAWING.height - PITCH - 1.0) / lines)
    for part in parts:
        ax = paper_axes(figure, Box(left, DRAWING.bottom, width, DRAWING.height))
        ends.append(draw_form(ax, columns, rows[part], by_hand, pitch=pitch, size=size))
        left += width + GAP
    beside = Box(left, DRAWING.bottom, CREW_NOTES.left - left - GAP, DRAWING.height)
    return [Box(DRAWING.left, DRAWING.bottom, LISTS, DRAWING.height - max(ends) - 3.0), beside]


def _jack_column(columns: Sequence[Column]) -> int:
    return next(number for number, column in enumerate(columns) if column.heading == "Jack")


def _wanted_for_ids(columns: Sequence[Column], rows: Sequence[Sequence[str]], size: float) -> float:
    """By how much the column of ids would have to be wider for the longest, mm; less than 0 where it need not."""
    at = _jack_column(columns)
    return max((text_width(cells[at], size) + 2 * AIR + 0.2 for cells in rows), default=0.0) - columns[at].width


def _room_for_ids(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], size: float, blocks: int
) -> Sequence[Column]:
    """Columns whose ids are in full, as far as the blocks have room beside the notes."""
    wanted, at = _wanted_for_ids(columns, rows, size), _jack_column(columns)
    spare = (LISTS - (blocks - 1) * GAP) / blocks - sum(column.width for column in columns)
    more = max(0.0, min(wanted, spare))
    return [replace(column, width=column.width + more * (number == at)) for number, column in enumerate(columns)]
