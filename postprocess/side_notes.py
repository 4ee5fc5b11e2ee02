"""The column of notes beside a drawing: headings, lines, keys to symbols and the colour bar."""

from __future__ import annotations

import textwrap
from typing import Any

from matplotlib.cm import ScalarMappable
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from numpy.typing import ArrayLike

from postprocess.colours import INK, PENCIL
from postprocess.drawing import MM_PER_POINT, Box, paper_axes

CHARACTER = 0.56
"""Mean width of a character over the size of its font."""


class SideNotes:
    """Writes from the top of a box downward, mm."""

    def __init__(self, figure: Figure, box: Box) -> None:
        self.figure = figure
        self.box = box
        self.axes = paper_axes(figure, box)
        self.y = 4.0

    @property
    def room(self) -> float:
        """Height left, mm."""
        return self.box.height - self.y

    def heading(self, words: str) -> None:
        """A bold line."""
        self.y += 3.0
        self._write(words, 0.0, 9.5, color=INK)

    def line(self, words: str, *, indent: float = 0.0, colour: str = INK) -> None:
        """Plain words, wrapped to the box."""
        self._write(words, indent, 7.0, color=colour)

    def remark(self, words: str) -> None:
        """Plain words in grey."""
        self.line(words, colour=PENCIL)

    def marker(self, words: str, **style: Any) -> None:
        """A symbol of a plot and what it means."""
        self.axes.plot(4.0, self.y + 1.3, ls="none", **style)
        self.line(words, indent=9.0)

    def stroke(self, words: str, **style: Any) -> None:
        """A line and what it means."""
        self.axes.plot([1.0, 7.0], [self.y + 1.3] * 2, **style)
        self.line(words, indent=9.0)

    def swatch(self, words: str, **style: Any) -> None:
        """A filled area and what it means."""
        self.axes.add_patch(Rectangle((1.0, self.y - 0.2), 6.0, 3.0, **style))
        self.line(words, indent=9.0)

    def colour_bar(self, mappable: ScalarMappable, words: str, ticks: ArrayLike | None = None) -> None:
        """A horizontal colour bar with its quantity and unit; `ticks`: values to name, else round ones."""
        self.line(words)
        bottom = self.box.bottom + self.room - 6.0
        width = min(self.box.width - 6.0, 110.0)
        place = Box(self.box.left + 3.0, bottom, width, 4.5).axes(self.figure)
        bar = self.figure.colorbar(mappable, cax=place, orientation="horizontal", ticks=ticks)
        bar.ax.tick_params(labelsize=6.5, length=2, width=0.5)
        bar.outline.set_linewidth(0.4)
        self.y += 14.0

    def _write(self, words: str, indent: float, size: float, **style: Any) -> None:
        characters = int((self.box.width - indent - 1.0) / (CHARACTER * size * MM_PER_POINT))
        lines = textwrap.wrap(words, characters)
        pitch = 1.3 * size * MM_PER_POINT
        for words_of_line in lines:
            self.axes.text(indent, self.y, words_of_line, fontsize=size, va="top", parse_math=False, **style)
            self.y += pitch
        self.y += 0.9
