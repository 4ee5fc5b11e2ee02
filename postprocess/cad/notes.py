"""Notes beside a plan, row by row: headings, words, symbols with their meaning, tables."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from postprocess.cad.pen import Pen, lines_of, width_of
from postprocess.drawing import Box

Draw = Callable[[Pen, float, float], None]
LAYER = "LEGEND"
CAP = 1.8
"""Height of capitals of plain words, mm on A3."""
HEAD = 2.3
PITCH = 1.75
"""Of lines of words, over the height of their capitals."""
SYMBOL = 11.0
"""Room for a symbol before its words, mm on A3."""


@dataclass(frozen=True)
class Row:
    """height: mm. draw: with a pen, the left side and the top. keeps: stands in one column with the row below it.

    again: drawn once more where the row comes to stand at the top of a further column.
    """

    height: float
    draw: Draw
    keeps: bool = False
    again: Row | None = None


@dataclass(frozen=True)
class Notes:
    """Makes rows for columns of `width` mm; unit: size of figures over that on A3."""

    width: float
    unit: float

    @property
    def cap(self) -> float:
        """Height of capitals of plain words, mm."""
        return CAP * self.unit

    def heading(self, words: str) -> list[Row]:
        """Larger words with a line below; they stand with what follows."""
        cap = HEAD * self.unit
        lines = lines_of(words, cap, self.width)
        gap = 2.2 * cap
        rows = [self._line(line, 0.0, cap, gap if i == 0 else 0.0, keeps=True) for i, line in enumerate(lines)]
        width = self.width

        def rule(pen: Pen, left: float, top: float) -> None:
            pen.line((left, top - 0.3), (left + width, top - 0.3), LAYER)

        return [*rows, Row(1.6 * self.unit, rule, keeps=True)]

    def words(self, words: str, *, indent: float = 0.0) -> list[Row]:
        """Plain words in as many lines as they need."""
        lines = lines_of(words, self.cap, self.width - indent)
        return [self._line(line, indent, self.cap, 0.0, keeps=i + 1 < len(lines)) for i, line in enumerate(lines)]

    def gap(self) -> list[Row]:
        """Some room."""
        return [Row(1.2 * self.unit, lambda pen, left, top: None)]

    def key(self, symbol: Draw, words: str, *, height: float = 0.0) -> list[Row]:
        """A symbol (drawn about the middle of its room) with its words; height: least, mm on A3."""
        room = SYMBOL * self.unit
        rows = self.words(words, indent=room)
        needed = max(0.0, height * self.unit - sum(row.height for row in rows))
        middle = (sum(row.height for row in rows) + needed) / 2

        def draw(pen: Pen, left: float, top: float) -> None:
            symbol(pen, left + room / 2 - 0.8 * self.unit, top - middle)

        marks = [Row(0.0, draw, keeps=True)]
        return [*marks, *_spaced(needed / 2, keeps=True), *rows, *_spaced(needed / 2)]

    def table(
        self,
        heads: Sequence[str],
        rows: Sequence[Sequence[str]],
        *,
        left: Sequence[int] = (0,),
        folds: int | None = None,
    ) -> list[Row]:
        """A table; left: columns whose words start at the left, others end at the right. folds: column with long words.

        Columns are as wide as their words; the folding one has the rest.
        """
        cap, gap = 0.93 * self.cap, 2.2 * self.unit
        widths = [max(width_of(line[i], cap) for line in (heads, *rows)) for i in range(len(heads))]
        others = sum(width for i, width in enumerate(widths) if i != folds) + gap * (len(widths) - 1)
        if folds is not None:
            widths[folds] = max(min(widths[folds] + 0.5, self.width - others), 12.0 * self.unit)
        if (total := sum(widths) + gap * (len(widths) - 1)) > self.width:
            cap *= self.width / total
            gap *= self.width / total
            widths = [width * self.width / total for width in widths]
        setting = _Setting(tuple(widths), gap, cap, tuple(left), folds)
        head = Row(PITCH * cap + 1.0 * self.unit, setting.head(heads, self.width), keeps=True)
        made = [head]
        for line in rows:
            cells = [lines_of(words, cap, widths[i]) if i == folds else [words] for i, words in enumerate(line)]
            made.append(Row(PITCH * cap * max(map(len, cells)), setting.line(cells), again=head))
        return [*_spaced(0.6 * self.unit, keeps=True), *made, *self.gap()]

    def _line(self, words: str, indent: float, cap: float, above: float, *, keeps: bool) -> Row:
        height = PITCH * cap

        def draw(pen: Pen, left: float, top: float) -> None:
            pen.text(words, (left + indent, top - above - 1.3 * cap), cap, LAYER)

        return Row(height + above, draw, keeps)


def _spaced(height: float, *, keeps: bool = False) -> list[Row]:
    return [Row(height, lambda pen, left, top: None, keeps)] if height > 0 else []


@dataclass(frozen=True)
class _Setting:
    """How a table is set: widths of its columns, the gap between them, height of capitals, mm."""

    widths: tuple[float, ...]
    gap: float
    cap: float
    left: tuple[int, ...]
    folds: int | None

    def head(self, heads: Sequence[str], width: float) -> Draw:
        """The heads of the columns and a line below them."""
        cells = self.line([[words] for words in heads])

        def draw(pen: Pen, left: float, top: float) -> None:
            cells(pen, left, top)
            low = top - PITCH * self.cap - 0.2
            pen.line((left, low), (left + width, low), LAYER)

        return draw

    def line(self, cells: Sequence[Sequence[str]]) -> Draw:
        """One line of the table; cells: lines of words."""

        def draw(pen: Pen, left: float, top: float) -> None:
            for i, (lines, width) in enumerate(zip(cells, self.widths, strict=True)):
                at_left = i in self.left
                for number, words in enumerate(lines):
                    place = (left if at_left else left + width, top - (1.3 + PITCH * number) * self.cap)
                    pen.text(words, place, self.cap, LAYER, align="left" if at_left else "right")
                left += width + self.gap

        return draw


def flow(rows: Sequence[Row], boxes: Sequence[Box]) -> list[tuple[Row, float, float]] | None:
    """Where each row stands (left side and top), column after column; None where they do not fit."""
    placed: list[tuple[Row, float, float]] = []
    columns = iter(boxes)
    box = next(columns)
    top = box.bottom + box.height
    for block in _kept_together(rows):
        if top - sum(row.height for row in block) < box.bottom:
            following = next(columns, None)
            if following is None:
                return None
            box = following
            top = box.bottom + box.height
            if (again := block[0].again) is not None:
                placed.append((again, box.left, top))
                top -= again.height
        for row in block:
            placed.append((row, box.left, top))
            top -= row.height
    return placed if top >= box.bottom else None


def _kept_together(rows: Sequence[Row]) -> Iterator[list[Row]]:
    block: list[Row] = []
    for row in rows:
        block.append(row)
        if not row.keeps:
            yield block
            block = []
    if block:
        yield block
