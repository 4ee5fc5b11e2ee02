"""The sheet for the crew of one pass: the jacks in the order of turning, what to expect, and when to stop."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from matplotlib.figure import Figure

from postprocess.drawing import DRAWING, Box, datum_corner, new_sheet
from postprocess.jobs.crew_form import (
    CREW_NOTES,
    FULL,
    SIZE,
    CrewNotes,
    blocks_of,
    draw_blocks,
    part_of,
    sheets_for,
    warn_unsafe,
)
from postprocess.jobs.crew_plan import crew_plan, draw_order, mark_place, roomiest
from postprocess.jobs.lift_words import (
    contact_words,
    crew_peak_words,
    day_words,
    face_words,
    kn,
    mm,
    pass_turns,
    place_mm,
    turn_words,
)
from postprocess.jobs.table import Column
from postprocess.lift.views import LiftView, PassView
from postprocess.view import PlanView

COLUMNS: Final = (
    *(Column("No.", 8.0, True), Column("Jack", 15.0), Column("x, mm", 12.0, True), Column("y, mm", 12.0, True)),
    *(Column("turns", 10.0, True), Column("height, mm", 17.0, True), Column("load, kN", 13.5, True)),
    *(Column("read, mm", 14.5), Column("done", 9.5), Column("initials", 12.0)),
)
BY_HAND: Final = 3
"""Columns that are filled in by hand, the last ones."""
STOP_DIFFERENCE: Final = 2e-3
"""Difference from the expected height at which the crew stops, m; an assumption of these papers, no source."""

HIDDEN: Final = (
    "Heights may not show a missed turn, a stuck jack or a wrong spring before it does harm: count every turn, feel "
    "every torque, read every code."
)
"""Where a fault was found that does harm and stays below the difference at which the crew stops."""

LIFT_CAUTIONS: Final = (
    "Nobody has a hand or foot below the slab's edge while a jack is turned.",
    "One jack at a time, in the order of the list, by the turns given: no more, no less, none left out.",
)
"""For this work, beside those of all papers."""


def lift_crew_sheets(each: PassView) -> int:
    """Number of sheets that a pass takes."""
    return sheets_for(len(each.order), DRAWING)


def lift_crew_figure(
    view: PlanView,
    lift: LiftView,
    index: int,
    cautions: Sequence[str],
    sheet: int = 0,
    *,
    stop_difference: float = STOP_DIFFERENCE,
) -> Figure:
    """One sheet of pass `index` (0 for the first).

    cautions: those of all papers. stop_difference: from the expected height, at which the crew stops, m.
    """
    each = lift.passes[index]
    sheets = lift_crew_sheets(each)
    part = f", sheet {sheet + 1} of {sheets}" if sheets > 1 else ""
    name = f"Lift: sheet for the crew, pass {each.number} of {len(lift.passes)}{part}"
    figure = new_sheet(view, name, "x, y, heights mm; loads kN")
    lines = part_of(len(each.order), sheets, sheet)
    places = _draw_list(figure, view, each, lines)
    notes = CrewNotes(figure, CREW_NOTES, FULL if len(blocks_of(lines.stop - lines.start)) > 1 else SIZE)
    notes.y = 0.5
    warn_unsafe(notes, lift.not_met)
    if each.peak.use > 1:
        notes.heading("NOT SAFE: do not start this pass")
        notes.line("The slab may crack in this pass: the engineer decides.")
    notes.sentences(f"Pass {each.number}: {pass_turns(each.turns)} at each jack", _expected(view, lift, index))
    notes.sense_line()
    notes.sentences("Hold points", _hold_points(lift, index))
    hidden = any(fault.harmful and fault.height_change <= stop_difference for fault in lift.faults)
    stops = [*stop_words(stop_difference), *([HIDDEN] if hidden else [])]
    notes.sentences("STOP, touch no other jack and call the engineer", stops)
    notes.sentences("Cautions", [*LIFT_CAUTIONS, *cautions])
    sign_off(notes, sheet, sheets)
    places.append(Box(CREW_NOTES.left, CREW_NOTES.bottom, CREW_NOTES.width, notes.room - 1.0))
    _draw_map(figure, roomiest(view, places), view, each, lines)
    return figure


def sign_off(notes: CrewNotes, sheet: int, sheets: int) -> None:
    """Lines to sign on the last sheet of several, where all jacks are done."""
    if sheet == sheets - 1:
        notes.sign_lines(("Hold point A, engineer", "Hold point C, foreman"))
    else:
        notes.line(f"To be signed on sheet {sheets} of {sheets}.")


def _draw_list(figure: Figure, view: PlanView, each: PassView, lines: slice) -> list[Box]:
    """The list in one block or two; returns the places that are left free beside and below it."""
    datum, schedule = datum_corner(view.plan), view.schedule
    rows = []
    for number, jack in enumerate(each.order[lines], lines.start + 1):
        x, y = schedule.xy[jack] - datum
        expected = turn_words(each.turns), mm(each.heights[jack]), kn(each.loads[jack])
        rows.append((str(number), schedule.ids[jack], place_mm(x), place_mm(y), *expected, "", "", ""))
    return draw_blocks(figure, COLUMNS, rows, BY_HAND)


def _expected(view: PlanView, lift: LiftView, index: int) -> list[str]:
    """What the pass does to the slab, and where to look for cracks."""
    each, ids = lift.passes[index], view.schedule.ids
    before = lift.passes[index - 1] if index else None
    heights = each.heights
    low = int(np.argmin(heights))
    contact = "the slab leaves the floor in this pass" if each.contact_share <= 0 else contact_words(each.contact_share)
    if before is not None and before.contact_share <= 0:
        rise = mm(float(np.mean(heights - before.heights)))
        contact = f"the slab floats, as before this pass, and rises by {rise} mm"
    return [
        f"Height: of the slab at the jack above where it lay before the first turn, when the pass is done. Lowest "
        f"{mm(heights.min())} mm at {ids[low]}, mean {mm(heights.mean())} mm, highest {mm(heights.max())} mm; "
        f"{contact}.",
        f"Greatest bending at any turn: {crew_peak_words(each.peak, view)}. Look for cracks there, and at every corner "
        f"of an opening. {face_words(each.peak)}",
    ]


def _hold_points(lift: LiftView, index: int) -> list[str]:
    """What is checked and released before, during and after a pass. Common practice, no source."""
    if index == 0:
        start = (
            f"A  Before the first pass: cube results of the concrete at {day_words(lift.age)} are at hand and reach "
            f"the strength that was assumed; heights of all jacks are read as zero (sheet survey-zero, file "
            f"survey-form-0.csv); the code on each spring is that of the schedule; the engineer has released the lift."
        )
    else:
        start = (
            f"A  Before this pass: the heights read after pass {lift.passes[index - 1].number} agree with the expected "
            f"ones, and the engineer has released this pass."
        )
    last = index == len(lift.passes) - 1
    after = "before the survey and the levelling" if last else "before the next pass"
    return [
        start,
        "B  At every jack: the foreman sees that the packs follow the slab, that the turn is counted from a mark, and "
        "that the line is ticked before the next jack is touched.",
        f"C  After the last jack: read the height at every jack, write it in the list, compare with the expected one, "
        f"look for cracks; the engineer has the list {after}.",
    ]


def stop_words(stop_difference: float, expected: str = "the expected one") -> list[str]:
    """When the crew stops; stop_difference in m from the height that `expected` names."""
    return [
        f"if a height differs from {expected} by more than {mm(stop_difference)} mm, or jumps; if a crack shows or "
        f"a noise is heard; if a jack takes abnormal torque, or turns freely without load; if a turn was missed or "
        f"made twice."
    ]


def _draw_map(figure: Figure, place: Box | None, view: PlanView, each: PassView, lines: slice) -> None:
    """The order of turning of this sheet on a plan, and where the slab bends most."""
    if place is None:
        return
    ax = crew_plan(figure, place, view, "Order of turning from the bold circle; dashed: a long way")
    rings = draw_order(ax, view, each.order[lines])
    mark_place(ax, view, each.peak.xy, "look for cracks", rings)
