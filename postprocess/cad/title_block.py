"""Frame and title block: our own."""

from __future__ import annotations

from postprocess.cad.pen import Pen, lines_of, width_of
from postprocess.cad.sheet import Sheet
from postprocess.drawing import CAUTION

DO_NOT_SCALE = "Do not scale: use written dimensions."
UNITS = "mm, unless said otherwise"
LAYER = "TITLE"
CAPTION, VALUE, SMALLEST = 1.8, 2.2, 1.8
"""Heights of capitals, mm on A3: captions, and values from largest to smallest."""


def scale_words(sheet: Sheet) -> str:
    """The scale, as in the title block."""
    return f"1:{sheet.denominator}"


def draw_title_block(pen: Pen, sheet: Sheet, names: dict[str, str]) -> None:
    """The frame and, in its lower right corner, the block.

    names: title, drawing, reference, revision and date.
    """
    frame, block, u = sheet.frame, sheet.title_block, sheet.paper.unit
    pen.box(frame.left, frame.bottom, frame.width, frame.height, "FRAME")
    pen.box(block.left, block.bottom, block.width, block.height, "FRAME")
    rows = (
        (12.0, (("Title", names["title"], 1.0),)),
        (12.0, (("Drawing", names["drawing"], 1.0),)),
        (9.0, (("Reference", names["reference"] or "–", 0.7), ("Revision", names["revision"] or "–", 0.3))),
        (9.0, (("Date of input", names["date"], 0.55), ("Units", UNITS, 0.45))),
        (9.0, (("Scale", scale_words(sheet), 0.35), ("Sheet", sheet.paper.name, 0.2), ("", DO_NOT_SCALE, 0.45))),
    )
    top = block.bottom + block.height
    for height, cells in rows:
        left = block.left
        for caption, value, share in cells:
            _cell(pen, (left, top - height * u, share * block.width, height * u), (caption, value), u)
            left += share * block.width
            if left < block.left + block.width - 0.1:
                pen.line((left, top), (left, top - height * u), LAYER)
        top -= height * u
        pen.line((block.left, top), (block.left + block.width, top), LAYER)
    _caution(pen, (block.left, block.bottom, block.width, top - block.bottom), u)


def _cell(pen: Pen, cell: tuple[float, float, float, float], words: tuple[str, str], u: float) -> None:
    """A caption and its value, which is written smaller and on two lines until it fits."""
    left, bottom, width, height = cell
    caption, value = words
    pad = 1.5 * u
    pen.text(caption, (left + pad, bottom + height - pad - CAPTION * u), CAPTION * u, LAYER)
    low, high = bottom + 0.9 * u, bottom + height - (pad + 1.3 * CAPTION * u if caption else 0.9 * u)
    lines, cap = fitted(value, width - 2 * pad, high - low, u)
    step = 1.75 * cap
    start = (high + low) / 2 + (len(lines) - 1) * step / 2 - cap / 2
    for number, line in enumerate(lines):
        pen.text(line, (left + pad, start - number * step), cap, LAYER)


def fitted(words: str, width: float, height: float, unit: float) -> tuple[list[str], float]:
    """Words as lines within width and height, mm, and the height of their capitals; words too long are cut short."""
    cap = VALUE * unit
    while True:
        lines = lines_of(words, cap, width)
        if (len(lines) - 1) * 1.75 * cap + 1.4 * cap <= height:
            return lines, cap
        if cap <= SMALLEST * unit:
            break
        cap = max(SMALLEST * unit, 0.92 * cap)
    most = max(1, int((height - 1.4 * cap) / (1.75 * cap)) + 1)
    last = lines[most - 1]
    while last and width_of(last + "…", cap) > width:
        last = last[:-1]
    return [*lines[: most - 1], last + "…"], cap


def _caution(pen: Pen, box: tuple[float, float, float, float], u: float) -> None:
    left, bottom, width, height = box
    lines, cap = fitted(CAUTION, width - 3 * u, height - 1.0 * u, u)
    start = bottom + height / 2 + (len(lines) - 1) * 1.75 * cap / 2 - cap / 2
    for number, line in enumerate(lines):
        pen.text(line, (left + 1.5 * u, start - 1.75 * cap * number), cap, LAYER)
