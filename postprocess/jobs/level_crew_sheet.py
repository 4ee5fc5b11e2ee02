"""The sheet for the crew that levels a slab: jacks to turn in the order of work, what to expect, when to stop."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from matplotlib.figure import Figure

from postprocess.colours import INK
from postprocess.drawing import DRAWING, Box, datum_corner, draw_datum, new_sheet, plan_axes
from postprocess.jobs.crew_form import CREW_NOTES, CrewNotes, draw_blocks, draw_order, part_of, roomiest, sheets_for
from postprocess.jobs.level_words import all_met, limit_words, summary
from postprocess.jobs.lift_crew_sheet import LIFT_CAUTIONS, STOP_DIFFERENCE, stop_words
from postprocess.jobs.lift_words import kn, mm, quarter_words
from postprocess.jobs.marks import draw_dots
from postprocess.jobs.setout_lists import millimetres
from postprocess.jobs.table import Column
from postprocess.level.views import LevelView
from postprocess.view import PlanView

COLUMNS: Final = (
    *(Column("No.", 8.0, True), Column("Jack", 15.5), Column("x, mm", 13.5, True), Column("y, mm", 13.5, True)),
    *(Column("turn", 23.0), Column("h before", 14.5, True), Column("h after", 13.0, True)),
    *(Column("kN before", 16.5, True), Column("kN after", 14.5, True)),
    *(Column("read", 14.0), Column("done", 9.5), Column("initials", 14.0)),
)
BY_HAND: Final = 3
"""Columns that are filled in by hand, the last ones."""
HOLD_POINTS: Final = (
    "A  Before the first turn: the survey is the one that these turns were worked out from, nothing was turned, and "
    "nothing moved on the slab, since then, and the engineer has released this sheet.",
    "B  At every jack: the foreman sees that the packs follow the slab, checks the sense (up: the slab goes up) before "
    "the turn, and that the line is ticked before the next jack is touched. Before a turn down, packs come down first.",
    "C  After the last jack: all jacks are surveyed again, and the heights go to the engineer.",
)
"""Common practice, no source."""


def level_crew_sheets(level: LevelView) -> int:
    """Number of sheets that the jacks to turn take, at least one."""
    return sheets_for(len(level.order), DRAWING, 1)


def level_crew_figure(
    view: PlanView,
    level: LevelView,
    cautions: Sequence[str],
    sheet: int = 0,
    *,
    stop_difference: float = STOP_DIFFERENCE,
) -> Figure:
    """One sheet of the list; cautions: those of all papers; stop_difference: at which the crew stops, m."""
    sheets = level_crew_sheets(level)
    part = f", sheet {sheet + 1} of {sheets}" if sheets > 1 else ""
    figure = new_sheet(view, f"Levelling: sheet for the crew{part}", "x, y, heights mm; loads kN")
    lines = part_of(len(level.order), sheets, sheet)
    places = draw_blocks(figure, COLUMNS, _rows(view, level, lines), BY_HAND, 1)
    notes = CrewNotes(figure, CREW_NOTES)
    notes.y = 0.5
    if not all_met(level):
        notes.heading("NOT MET: the engineer decides before you start")
        notes.line("The slab is not within its limits after these turns.")
    notes.sentences("Turns for level", [summary(level), *limit_words(level), HEIGHTS])
    notes.sentences("Hold points", HOLD_POINTS)
    notes.sentences("STOP, touch no other jack and call the engineer", stop_words(stop_difference))
    notes.sentences("Cautions", [*LIFT_CAUTIONS, *cautions])
    notes.sign_lines(("Hold point A, engineer", "Hold point C, foreman"))
    places.append(Box(CREW_NOTES.left, CREW_NOTES.bottom, CREW_NOTES.width, notes.room - 1.0))
    if level.order:
        _draw_map(figure, roomiest(view, places), view, level, lines)
    return figure


HEIGHTS: Final = (
    "h: height of the slab at the jack above the mean level aimed at, before the first turn and after the last. In "
    "between, heights change as each jack is turned."
)


def _rows(view: PlanView, level: LevelView, lines: slice) -> list[tuple[str, ...]]:
    datum, schedule = datum_corner(view.plan), view.schedule
    rows: list[tuple[str, ...]] = []
    for number, jack in enumerate(level.order[lines], lines.start + 1):
        x, y = schedule.xy[jack] - datum
        place = str(number), schedule.ids[jack], millimetres(x), millimetres(y)
        heights = mm(level.heights_before[jack]), mm(level.heights_after[jack])
        loads = kn(level.loads_before[jack]), kn(level.loads_after[jack])
        rows.append((*place, quarter_words(level.quarter_turns[jack]), *heights, *loads, "", "", ""))
    return rows


def _draw_map(figure: Figure, place: Box | None, view: PlanView, level: LevelView, lines: slice) -> None:
    """The order of work of this sheet on a plan."""
    if place is None:
        return
    ax = plan_axes(figure, place, view, to_scale=False, fill=True)
    draw_datum(ax, view.plan)
    chosen = np.array(level.order[lines], dtype=np.int64)
    xy = view.schedule.xy
    draw_dots(ax, np.delete(xy, chosen, axis=0), len(xy))
    draw_order(ax, xy[chosen], lines.start + 1)
    ax.set_title("Order of work, and the datum", fontsize=7.5, color=INK, pad=3)
