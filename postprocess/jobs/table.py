"""Tables on the sheets of single jobs, and notes that stop where the paper ends."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection

from postprocess.colours import FAINT, INK, PENCIL
from postprocess.drawing import MM_PER_POINT, text_width, wrapped
from postprocess.jack_labels import shortened
from postprocess.side_notes import CHARACTER, SideNotes

SIZE = 7.0
"""Font of tables, points; that of `SideNotes.line` as well."""
PITCH = 3.9
"""Height of a row, mm."""
AIR = 1.2
"""White at both sides of a cell, mm."""


@dataclass(frozen=True)
class Column:
    """heading: short words. width: mm. right: numbers stand at the right side."""

    heading: str
    width: float
    right: bool = False


def draw_table(
    ax: Axes,
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    top: float,
    *,
    pitch: float = PITCH,
    size: float = SIZE,
) -> float:
    """Headings and rows downward from `top`, mm on paper axes; words that are too long are shortened, never cut.

    pitch: height of a row, mm. size: of the font, points. Returns where the table ends, mm.
    """
    y, rules = top, []
    for number, cells in enumerate([[column.heading for column in columns], *rows]):
        height, left = PITCH if number == 0 else pitch, 0.0
        for column, words in zip(columns, cells, strict=True):
            place, side = (left + column.width - AIR, "right") if column.right else (left + AIR, "left")
            colour = INK if number else PENCIL
            style: dict[str, Any] = {"ha": side, "va": "center", "color": colour, "parse_math": False}
            ax.text(place, y + height / 2, fitted_words(words, column.width - 2 * AIR, size), fontsize=size, **style)
            left += column.width
        y += height
        rules.append([(0.0, y), (left, y)])
    colours = [PENCIL, *[FAINT] * (len(rules) - 1)]
    ax.add_collection(LineCollection(rules, colors=colours, lw=0.5, zorder=0.6), autolim=False)
    return y


def fitted_words(words: str, width: float, size: float = SIZE) -> str:
    """Words of at most `width` mm at `size` points, an ellipsis for the middle of longer ones."""
    length = len(words)
    while length > 2 and text_width(words, size) > width:
        length -= 1
        words = shortened(words, length)
    return words


def draw_wrapped_table(
    ax: Axes, columns: Sequence[Column], rows: Sequence[Sequence[str]], top: float, bottom: float
) -> tuple[float, int]:
    """As `draw_table`, but words that are too long go on in the next line; rows that do not fit are left out.

    Returns where the table ends, mm, and the number of rows in it.
    """
    line, y = 1.25 * SIZE * MM_PER_POINT, draw_table(ax, columns, [], top)
    rules, drawn = [], 0
    for cells in rows:
        lines = [wrapped(words, SIZE, each.width - 2 * AIR) for words, each in zip(cells, columns, strict=True)]
        room = max(map(len, lines)) * line + 1.4
        if y + room > bottom:
            break
        left = 0.0
        for column, parts in zip(columns, lines, strict=True):
            place, side = (left + column.width - AIR, "right") if column.right else (left + AIR, "left")
            style: dict[str, Any] = {"ha": side, "va": "center", "color": INK, "parse_math": False}
            for number, words in enumerate(parts):
                ax.text(place, y + 0.7 + (number + 0.5) * line, words, fontsize=SIZE, **style)
            left += column.width
        y, drawn = y + room, drawn + 1
        rules.append([(0.0, y), (left, y)])
    ax.add_collection(LineCollection(rules, colors=FAINT, lw=0.5, zorder=0.6), autolim=False)
    return y, drawn


def note_table(notes: SideNotes, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
    """A table in the column of notes."""
    notes.y = draw_table(notes.axes, columns, rows, notes.y) + 2.0


def write_lines(notes: SideNotes, sentences: Sequence[str], elsewhere: str, *, keep: float = 0.0) -> None:
    """Sentences as far as there is room but for `keep` mm; then how many more there are, and `elsewhere` they are."""
    for number, words in enumerate(sentences):
        last = number == len(sentences) - 1
        if height(notes, words) + (0.0 if last else height(notes, "more")) > notes.room - keep:
            notes.line(f"and {len(sentences) - number} more, {elsewhere}")
            return
        notes.line(words)


def height(notes: SideNotes, words: str) -> float:
    """What `SideNotes.line` takes for these words, mm."""
    characters = int((notes.box.width - 1.0) / (CHARACTER * SIZE * MM_PER_POINT))
    return len(textwrap.wrap(words, characters)) * 1.3 * SIZE * MM_PER_POINT + 0.9
