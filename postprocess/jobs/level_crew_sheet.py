"""The sheet for the crew that levels a slab: jacks to turn in the order of work, what to expect, when to stop."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from postprocess.drawing import DRAWING, Box, datum_corner, new_sheet
from postprocess.jobs.crew_form import CREW_NOTES, CrewNotes, draw_blocks, framed, part_of, sheets_for
from postprocess.jobs.crew_plan import crew_plan, draw_order, roomiest
from postprocess.jobs.level_words import all_met, limit_words, one_survey_words, rise_words, summary
from postprocess.jobs.lift_crew_sheet import LIFT_CAUTIONS, STOP_DIFFERENCE, sign_off, stop_words
from postprocess.jobs.lift_words import kn, mm, place_mm, quarter_words
from postprocess.jobs.table import Column
from postprocess.level.views import LevelView
from postprocess.view import PlanView

Floats = NDArray[np.float64]

COLUMNS: Final = (
    *(Column("No.", 8.0, True), Column("Jack", 16.0), Column("x, mm", 13.5, True), Column("y, mm", 13.5, True)),
    *(Column("turns", 18.5), Column("lower packs by, mm", 30.0, True)),
    *(Column("now, mm", 15.5, True), Column("when done, mm", 25.0, True), Column("at end, mm", 18.5, True)),
    *(Column("now, kN", 14.5, True), Column("end, kN", 14.5, True)),
    *(Column("read, mm", 16.5), Column("done", 10.0), Column("initials", 14.0)),
)
BY_HAND: Final = 3
"""Columns that are filled in by hand, the last ones."""
HOLD_POINTS: Final = (
    "A  Before the first turn: the survey is the one that these turns were worked out from, nothing was turned, and "
    "nothing moved on the slab, since then, and the engineer has released this sheet.",
    "B  At every jack: the foreman sees that the packs follow the slab, checks the sense (up: the slab goes up) before "
    "the turn, and that the line is ticked before the next jack is touched. Before a turn down, packs come down "
    "first, by the list.",
    "C  After the last jack: all jacks are surveyed again, and the heights go to the engineer.",
)
"""Common practice, no source."""


def level_crew_sheets(level: LevelView) -> int:
    """Number of sheets that the turns take, at least one."""
    return sheets_for(len(level.steps), DRAWING, 1)


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
    lines = part_of(len(level.steps), sheets, sheet)
    places = draw_blocks(figure, COLUMNS, _rows(view, level, lines), BY_HAND, 1)
    notes = CrewNotes(figure, CREW_NOTES)
    notes.y = 0.5
    if not all_met(level):
        framed(notes, "NOT MET: the engineer decides before you start", [STILL_OUT, *limit_words(level)])
    notes.large(f"Mean level: {mm(level.level_aimed)} mm in the survey's datum")
    notes.sentences("Turns for level", [*_what_for(level), *packs_words(level)])
    notes.sense_line()
    notes.sentences("Hold points", HOLD_POINTS)
    notes.sentences("STOP, touch no other jack and call the engineer", stop_words(stop_difference, DONE))
    notes.sentences("Cautions", [*LIFT_CAUTIONS, *cautions])
    sign_off(notes, sheet, sheets)
    places.append(Box(CREW_NOTES.left, CREW_NOTES.bottom, CREW_NOTES.width, notes.room - 1.0))
    place = roomiest(view, places)
    if level.steps and place is not None:
        ax = crew_plan(figure, place, view, "Order of work from the bold circle; dashed: a long way")
        draw_order(ax, view, [jack for jack, _ in level.steps[lines]])
    return figure


STILL_OUT: Final = "The slab is not within its limits after these turns."
DONE: Final = "that in the column when done"
HEIGHTS: Final = (
    "Heights are as the surveyor reads them, in the datum of the last survey: now, before the first turn; when done, "
    "at this jack right after the line; at end, after the last line. In between, every jack's height changes with the "
    "others."
)
PACKS: Final = (
    "Packs follow the slab: up, they are tightened after the turn; where the slab comes down at the jack, they are "
    "lowered before the first turn by the millimetres of the list and follow it."
)
ROUNDS: Final = (
    "The turns are shared out over rounds: a jack comes more than once, and each line has the turns of that line only."
)
ROOM: Final = 1e-3
"""By which packs are lowered beyond the fall of the slab, m; an assumption of these papers, no source."""


LEAST_FALL: Final = 5e-5
"""Fall of the slab below which packs may stay, m."""


def packs_down(level: LevelView) -> Floats:
    """(n,) by how much packs are lowered, m: the fall of the slab over all turns in whole mm, and 1 mm; 0 for none."""
    fall = level.heights_before - np.minimum(level.heights_done, level.heights_after)
    return np.where(fall > LEAST_FALL, np.ceil(1e3 * fall - 1e-6) / 1e3 + ROOM, 0.0)


def packs_words(level: LevelView) -> list[str]:
    """What is done to packs, also where the slab comes down at jacks that are left alone."""
    others = np.setdiff1d(np.arange(len(level.quarter_turns)), level.order)
    most = float(packs_down(level)[others].max(initial=0.0))
    if most <= 0:
        return [PACKS]
    return [PACKS, f"The slab also comes down at jacks that are left alone: lower packs there by {mm(most, 0)} mm."]


def _what_for(level: LevelView) -> list[str]:
    """How many turns, what they reach, and what the columns are."""
    limits = limit_words(level) if all_met(level) else ()
    rounds = [ROUNDS] if len(level.steps) > len(level.order) else []
    return [summary(level), *limits, rise_words(level), HEIGHTS, *rounds, *one_survey_words(level)]


def _rows(view: PlanView, level: LevelView, lines: slice) -> list[tuple[str, ...]]:
    datum, schedule = datum_corner(view.plan), view.schedule
    packs, seen = packs_down(level), {jack for jack, _ in level.steps[: lines.start]}
    rows: list[tuple[str, ...]] = []
    for number, (jack, quarters) in enumerate(level.steps[lines], lines.start + 1):
        x, y = schedule.xy[jack] - datum
        place = str(number), schedule.ids[jack], place_mm(x), place_mm(y)
        lower = mm(packs[jack], 0) if packs[jack] > 0 and jack not in seen else "–"
        seen.add(jack)
        reached = level.heights_before[jack], level.step_heights[number - 1], level.heights_after[jack]
        heights = [mm(height + level.level_aimed) for height in reached]
        loads = kn(level.loads_before[jack]), kn(level.loads_after[jack])
        rows.append((*place, quarter_words(quarters), lower, *heights, *loads, "", "", ""))
    return rows
