"""Writes and draws on a layout or block with sizes in mm of paper."""

from __future__ import annotations

import warnings
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.base import BaseLayout

from postprocess.cad.plain_text import escaped
from postprocess.cad.svg_page import CAP_HEIGHT
from postprocess.drawing import MM_PER_POINT, text_width, wrapped

Point = tuple[float, float]
STYLE = "PLAIN"
"""Name of the text style."""
ALIGNMENTS = {
    "left": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.MIDDLE_CENTER,
    "middle left": TextEntityAlignment.MIDDLE_LEFT,
    "middle right": TextEntityAlignment.MIDDLE_RIGHT,
    "right": TextEntityAlignment.RIGHT,
}


def points_of(height: float) -> float:
    """Size of a font in points whose capitals are `height` mm high."""
    return height / CAP_HEIGHT / MM_PER_POINT


def width_of(words: str, height: float) -> float:
    """Length of a line of text with capitals of `height` mm, mm."""
    with _letters_of_other_fonts():
        return text_width(words, 1.0) * points_of(height)


def lines_of(words: str, height: float, width: float) -> list[str]:
    """Words in lines that are at most `width` mm long."""
    with _letters_of_other_fonts():
        return wrapped(words, points_of(height), width)


@contextmanager
def _letters_of_other_fonts() -> Iterator[None]:
    """Letters that the font does not have are measured as its empty box: they stand in the file all the same."""
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Glyph .* missing from font")
        yield


@dataclass(frozen=True)
class Pen:
    """layout: paper space, model space or a block. size: units of the layout to a mm of paper."""

    layout: BaseLayout
    size: float = 1.0

    def text(self, words: str, at: Point, height: float, layer: str, *, align: str = "left", turn: float = 0.0) -> None:
        """One line of plain text; at: in units of the layout; height: of capitals in mm of paper; turn: degrees."""
        if not words.strip():
            return
        attributes = {"layer": layer, "style": STYLE}
        entity = self.layout.add_text(escaped(words), height=height * self.size, rotation=turn, dxfattribs=attributes)
        entity.set_placement(at, align=ALIGNMENTS[align])

    def line(self, start: Point, end: Point, layer: str, **attributes: Any) -> None:
        """A straight line."""
        self.layout.add_line(start, end, dxfattribs={"layer": layer, **attributes})

    def ring(self, corners: Iterable[Sequence[float]], layer: str, **attributes: Any) -> None:
        """A closed polyline."""
        points = [(float(x), float(y)) for x, y in corners]
        self.layout.add_lwpolyline(points, close=True, dxfattribs={"layer": layer, **attributes})

    def path(self, corners: Iterable[Sequence[float]], layer: str, **attributes: Any) -> None:
        """An open polyline."""
        points = [(float(x), float(y)) for x, y in corners]
        self.layout.add_lwpolyline(points, dxfattribs={"layer": layer, **attributes})

    def circle(self, centre: Point, radius: float, layer: str, **attributes: Any) -> None:
        """A circle; radius: in units of the layout."""
        self.layout.add_circle(centre, radius, dxfattribs={"layer": layer, **attributes})

    def box(self, left: float, bottom: float, width: float, height: float, layer: str) -> None:
        """A rectangle."""
        right, top = left + width, bottom + height
        self.ring([(left, bottom), (right, bottom), (right, top), (left, top)], layer)

    def area(self, rings: Iterable[Iterable[Sequence[float]]], layer: str) -> None:
        """A filled area; rings: outline and holes."""
        hatch = self.layout.add_hatch(color=256, dxfattribs={"layer": layer})
        for ring in rings:
            hatch.paths.add_polyline_path([(float(x), float(y)) for x, y in ring], is_closed=True)


LINE_STEP = 1.9
"""From the lower edge of a line to that of the line below it, over the height of the lower one's capitals."""


def two_lines(
    pen: Pen, middle: Point, first: tuple[str, float], second: tuple[str, float], *, upright: bool = False
) -> None:
    """Two centred lines of words (words, height of capitals) about a middle; upright: to be read from the right."""
    up = (-pen.size, 0.0) if upright else (0.0, pen.size)
    height = first[1] + LINE_STEP * second[1]
    for (words, cap), reach in ((first, (height - first[1]) / 2), (second, (second[1] - height) / 2)):
        place = middle[0] + up[0] * reach, middle[1] + up[1] * reach
        pen.text(words, place, cap, "LABELS", align="middle", turn=90.0 if upright else 0.0)
