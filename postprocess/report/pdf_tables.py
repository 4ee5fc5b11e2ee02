"""Widths of a table's columns on paper, from the widths of its words, so that no value is cut or runs into another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from matplotlib.ft2font import FT2Font, LoadFlags

from postprocess.report.page_font import FACES, font_folder

Widths = tuple[float, ...]

PORTRAIT, LANDSCAPE = 180.0, 267.0
"""Room for a table, mm."""
SIZES = (8.0, 7.5, 7.0, 6.5, 6.0)
"""Sizes of words that are tried, points."""
PAD = 1.2
"""Room at either side of the words in a cell, mm."""
MM_PER_POINT = 25.4 / 72
ZERO_WIDTH_SPACE = "\N{ZERO WIDTH SPACE}"
WHOLE, LONG_WORD = 16, 40
"""Characters up to which a right-hand cell stays on one line, and up to which a word does."""
READY, WORTH = 7.0, 0.02
"""Words down to this size are taken for a shorter table, if each point saves this share of its height or more."""
STEPS = 40
"""Steps in which width is given to columns."""
WIDE = 1.25
"""Width of a character that the font does not have, as a share of the size."""


@dataclass(frozen=True)
class TableLayout:
    """widths: of the columns, mm. size: of the words, points. lines: that heading and rows take."""

    widths: Widths
    size: float
    landscape: bool
    lines: int


@lru_cache(maxsize=2)
def _font(weight: int) -> FT2Font:
    font = FT2Font(str(font_folder() / FACES[weight]))
    font.set_size(72.0, 72.0)
    return font


@lru_cache(maxsize=4096)
def _advance(character: str, weight: int) -> float:
    font = _font(weight)
    if not font.get_char_index(ord(character)):
        return WIDE
    return font.load_char(ord(character), LoadFlags.NO_HINTING).linearHoriAdvance / 65536 / 72.0


@lru_cache(maxsize=65536)
def width_of(text: str, weight: int = 400) -> float:
    """Width of one line of text, mm for each point of its size."""
    return sum(_advance(character, weight) for character in text) * MM_PER_POINT


def table_layout(headings: Sequence[str], rows: Sequence[Sequence[str]], aligns: Sequence[str]) -> TableLayout:
    """Words as large as they can be, on a portrait page if at all possible, with every word on one line.

    Where cells run over several lines, words may be smaller, down to `READY` points, if that makes the table shorter.
    """
    columns = [(heading, [row[i] for row in rows]) for i, heading in enumerate(headings)]
    least = [_least(*column, align) for column, align in zip(columns, aligns, strict=True)]
    pads = 2 * PAD * len(columns)
    for landscape, room in ((False, PORTRAIT), (True, LANDSCAPE)):
        fitting = [size for size in SIZES if sum(least) * size + pads <= room]
        if fitting:
            tried = [size for size in fitting if size >= READY] or fitting[:1]
            found = [_shared(columns, least, size, room - pads) for size in tried]
            best = int(np.argmin([n * size * (1 - WORTH * size) for (_, n), size in zip(found, tried, strict=True)]))
            return TableLayout(found[best][0], tried[best], landscape, found[best][1])
    share = (LANDSCAPE - pads) / sum(least)
    return TableLayout(tuple(2 * PAD + part * share for part in least), SIZES[-1], True, 2 * len(rows))


def _least(heading: str, cells: Sequence[str], align: str) -> float:
    """Width below which a word, or a figure with its unit or sign, would have to be broken; words as long as
    sentences do not count.
    """
    whole = {cell for cell in cells if align == "right" and len(cell) <= WHOLE}
    words = {word for cell in {*cells} - whole for word in cell.split() if len(word) <= LONG_WORD}
    if not heading and not any(cells):
        return width_of("00")
    parts = [width_of("0000"), *(width_of(word, 700) for word in heading.split()), *map(width_of, whole | words)]
    return max(parts) * 1.01


def _shared(
    columns: Sequence[tuple[str, Sequence[str]]], least: list[float], size: float, room: float
) -> tuple[Widths, int]:
    """Each column its least width; what is left goes, step by step, to the column that makes the table shortest.

    Returns the widths and the lines that all rows take.
    """
    full = np.array([[width_of(cell) for cell in cells] for _, cells in columns]).T.reshape(-1, len(columns))
    full = np.vstack([[width_of(heading, 700) for heading, _ in columns], full]) * 1.02 * size
    widths = np.array(least) * size
    step = (room - widths.sum()) / STEPS
    for _ in range(STEPS):
        lines = np.maximum(full / widths, 1.0)
        others = np.sort(lines, axis=1)[:, -2:] if len(columns) > 1 else np.ones((len(full), 2))
        wider = np.maximum(full / (widths + step), 1.0)
        rest = np.where(lines >= others[:, 1:], others[:, :1], others[:, 1:])
        gain = (others[:, 1:] - np.maximum(wider, rest)).sum(axis=0) + 1e-3 * (lines - wider).sum(axis=0)
        best = int(np.argmax(gain))
        if gain[best] <= 1e-9:
            break
        widths[best] += step
    count = int(np.ceil(full / widths - 1e-9).max(axis=1).sum())
    return tuple(float(width) + 2 * PAD for width in widths), count


def breakable(text: str, room: float) -> str:
    """Text in which words wider than `room` (mm for each point of size) may be broken anywhere."""
    if len(text) * WIDE * MM_PER_POINT <= room or all(width_of(word) <= room for word in text.split()):
        return text
    return " ".join(ZERO_WIDTH_SPACE.join(w) if width_of(w) > room else w for w in text.split(" "))
