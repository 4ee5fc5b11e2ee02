"""The table of a levelling: turns, heights and loads of every jack before, after and in service, and spring rates."""

from __future__ import annotations

from typing import Final

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from postprocess.colours import PENCIL
from postprocess.drawing import DRAWING, Box, new_sheet, number, paper_axes, wrapped
from postprocess.jobs.level_words import rise_words
from postprocess.jobs.lift_words import kn, mm, quarter_words
from postprocess.jobs.table import Column, draw_table
from postprocess.level.views import LevelView, RatesView
from postprocess.view import PlanView

Floats = NDArray[np.float64]

COLUMNS: Final = (
    *(Column("Jack", 19.0), Column("turn", 21.0)),
    *(Column("before, mm", 17.0, True), Column("done, mm", 15.0, True), Column("after, mm", 15.0, True)),
    *(Column("judged, mm", 18.0, True), Column("before, kN", 16.0, True), Column("after, kN", 14.0, True)),
    Column("judged, kN", 16.0, True),
)
RATES: Final = (Column("rate", 13.0, True), Column("found", 13.0, True), Column("±", 11.0, True))
GAP: Final = 10.0
"""Between two blocks, mm."""
FOOT, FOOT_SIZE = 5.0, 6.2
"""Height of the words below, mm, and their font, points."""
LARGEST: Final = 6.5
"""Height of a row where there is room, mm."""
ROWS: Final = 60
"""Jacks in a block; a sheet has two."""
WORDS: Final = (
    "mm: height above the mean level aimed at, up positive; done: right after the jack's turn. kN: load on the spring. "
)
RATE_WORDS: Final = (
    " rate, found, ±: N/mm; rate: of the schedule; found: from the surveys; ±: one standard deviation; * where they "
    "differ by more than two."
)


def level_table_sheets(level: LevelView) -> int:
    """Number of sheets that the table takes."""
    return max(1, -(-len(level.quarter_turns) // (2 * ROWS)))


def level_table_figure(view: PlanView, level: LevelView, sheet: int = 0) -> Figure:
    """One sheet of the table."""
    sheets = level_table_sheets(level)
    part = f", sheet {sheet + 1} of {sheets}" if sheets > 1 else ""
    figure = new_sheet(view, f"Levelling: heights and loads{part}", "heights mm; loads kN; rates N/mm")
    columns = COLUMNS + (RATES if level.rates is not None else ())
    width = sum(column.width for column in columns)
    rows = [_row(view, level, jack) for jack in range(len(view.schedule))]
    rows = rows[2 * ROWS * sheet : 2 * ROWS * (sheet + 1)]
    each = -(-len(rows) // 2) if len(rows) > ROWS // 2 else len(rows)
    for block in range(-(-len(rows) // each)):
        box = Box(DRAWING.left + block * (width + GAP), DRAWING.bottom, width, DRAWING.height)
        shown = rows[block * each : (block + 1) * each]
        draw_table(paper_axes(figure, box), columns, shown, 0.5, pitch=min(LARGEST, (DRAWING.height - 10.0) / each))
    foot = paper_axes(figure, Box(DRAWING.left, DRAWING.bottom, DRAWING.width, FOOT))
    said = WORDS + rise_words(level) + (RATE_WORDS if level.rates is not None else "")
    for place, line in enumerate(wrapped(said, FOOT_SIZE, 0.8 * DRAWING.width)):
        foot.text(0.0, 1.0 + 2.8 * place, line, fontsize=FOOT_SIZE, va="center", color=PENCIL, parse_math=False)
    return figure


def _row(view: PlanView, level: LevelView, jack: int) -> tuple[str, ...]:
    heights = [mm(values[jack]) for values in heights_of(level)]
    loads = [kn(values[jack]) for values in (level.loads_before, level.loads_after, level.loads_service)]
    rates = () if level.rates is None else _rate_words(level.rates, jack)
    return view.schedule.ids[jack], quarter_words(level.quarter_turns[jack]), *heights, *loads, *rates


def heights_of(level: LevelView) -> tuple[Floats, ...]:
    """Before the first turn, right after the jack's own, after all of them, and in the state that is judged."""
    return level.heights_before, level.heights_done, level.heights_after, level.heights_service


def _rate_words(rates: RatesView, jack: int) -> tuple[str, ...]:
    """Nominal rate, estimate and spread in N/mm; a star where the estimate is more than two deviations off."""
    nominal, estimate, spread = rates.nominal[jack], rates.estimate[jack], rates.spread[jack]
    star = "*" if abs(estimate - nominal) > 2 * spread else ""
    return number(nominal / 1e3, 0), number(estimate / 1e3, 0) + star, number(spread / 1e3, 0)
