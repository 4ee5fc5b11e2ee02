"""The table of strength checks: its cells, their lines and how many rows a sheet holds."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.patches import Rectangle

from postprocess.checks import Check
from postprocess.colours import FAINT, INK, PENCIL, SLAB
from postprocess.drawing import DRAWING, MM_PER_POINT, wrapped
from postprocess.strength_bending_figure import use_words
from postprocess.strength_marks_figure import shown_pair

SIZE: Final = 7.0
"""Font of the cells, points."""
PITCH: Final = 1.22 * SIZE * MM_PER_POINT
AIR: Final = 0.9
"""Paper above and below the lines of a row, mm."""
HEAD: Final = 7.0
"""Height of the heading, mm."""
GAP: Final = 2.8
"""Between two columns, mm."""
COLUMNS: Final = (
    ("No.", 7.0),
    ("Check", 46.0),
    ("Value", 15.0),
    ("Limit", 17.0),
    ("Unit", 14.0),
    ("Use", 11.0),
    ("Verdict", 16.0),
    ("Clause", 60.0),
    ("Place, combination", 82.0),
)
"""Headings and widths, mm."""
WIDTH: Final = sum(width for _, width in COLUMNS)


@dataclass(frozen=True)
class Row:
    """One check. number: on the plan. cells: the lines of each column."""

    number: int
    check: Check
    cells: tuple[tuple[str, ...], ...]

    @property
    def height(self) -> float:
        """mm."""
        return max(len(lines) for lines in self.cells) * PITCH + 2 * AIR


def table_rows(checks: Sequence[Check]) -> tuple[Row, ...]:
    """A row for each check, in their order, numbered from 1."""
    return tuple(Row(number, check, _cells(number, check)) for number, check in enumerate(checks, 1))


def sheets_of(rows: Sequence[Row]) -> tuple[tuple[Row, ...], ...]:
    """The rows of each sheet, as many as it holds; at least one sheet."""
    sheets: list[list[Row]] = [[]]
    room = DRAWING.height - HEAD
    for row in rows:
        if sheets[-1] and sum(other.height for other in sheets[-1]) + row.height > room:
            sheets.append([])
        sheets[-1].append(row)
    return tuple(tuple(sheet) for sheet in sheets)


def verdict(check: Check) -> str:
    """Whether a check is met."""
    return "met" if check.ok else "NOT MET"


def check_use(check: Check) -> str:
    """Value over limit, or limit over value where the limit is the least allowed; a dash where it says nothing."""
    above, below = (check.value, check.limit) if check.sense == "at most" else (check.limit, check.value)
    if below == 0:
        return "0" if above == 0 else "∞" if above > 0 else "–"
    return use_words(above / below) if below > 0 and above >= 0 else "–"


def draw_table(ax: Axes, rows: Sequence[Row]) -> None:
    """Rows from the top of paper axes downward; rows that are not met stand on a grey ground, their verdict bold."""
    style: dict[str, Any] = {"fontsize": SIZE, "va": "top", "parse_math": False, "linespacing": 1.0}
    for (words, _), left in zip(COLUMNS, _lefts(), strict=True):
        ax.text(left, HEAD - 2.2, words, va="baseline", fontsize=SIZE, color=PENCIL)
    y, rules = HEAD, [[(0.0, HEAD), (WIDTH, HEAD)]]
    for row in rows:
        if not row.check.ok:
            ax.add_patch(Rectangle((0.0, y), WIDTH, row.height, fc=SLAB, ec="none", zorder=0.5))
        for (words, _), left, lines in zip(COLUMNS, _lefts(), row.cells, strict=True):
            bold = words == "Verdict" and not row.check.ok
            weight = "bold" if bold else "normal"
            for number, line in enumerate(lines):
                ax.text(left, y + AIR + number * PITCH, line, weight=weight, color=INK, **style)
        y += row.height
        rules.append([(0.0, y), (WIDTH, y)])
    ax.add_collection(LineCollection(rules, colors=[PENCIL, *[FAINT] * (len(rules) - 1)], lw=0.5, zorder=0.6))


def _lefts() -> Iterator[float]:
    """Left ends of the columns, mm."""
    left = 0.0
    for _, width in COLUMNS:
        yield left + 0.8
        left += width


def _cells(number: int, check: Check) -> tuple[tuple[str, ...], ...]:
    value, limit = shown_pair(check.value, check.limit)
    sign = "≤" if check.sense == "at most" else "≥"
    place = "; ".join(words for words in (check.where, check.combination) if words)
    words = (
        *(str(number), check.name, value, f"{sign} {limit}", check.unit.replace("mm2", "mm²")),
        *(check_use(check), verdict(check), check.basis, place),
    )
    return tuple(tuple(wrapped(text, SIZE, width - GAP)) for text, (_, width) in zip(words, COLUMNS, strict=True))
