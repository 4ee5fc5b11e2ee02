"""The sheet for a survey of heights: every jack with its place and expected height, and room for two readings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from postprocess.colours import INK
from postprocess.drawing import DRAWING, Box, datum_corner, draw_datum, new_sheet, plan_axes
from postprocess.jobs.crew_form import CREW_NOTES, CrewNotes, draw_blocks, draw_order, part_of, roomiest, sheets_for
from postprocess.jobs.lift_words import mm
from postprocess.jobs.marks import draw_dots
from postprocess.jobs.setout_lists import millimetres
from postprocess.jobs.table import Column
from postprocess.view import PlanView

Floats = NDArray[np.float64]

COLUMNS: Final = (
    *(Column("No.", 8.0, True), Column("Jack", 15.5), Column("x, mm", 13.5, True), Column("y, mm", 13.5, True)),
    *(Column("expected", 15.0, True), Column("reading 1", 17.0), Column("reading 2", 17.0), Column("remarks", 24.5)),
)
BY_HAND: Final = 3
"""Columns that are filled in by hand, the last ones."""
TO_FILL: Final = (
    *("Date and time", "Who reads", "Who writes", "Instrument and its error", "Bench mark, where"),
    *("Bench mark, reading at the start", "Bench mark, reading at the end", "Temperature"),
)
"""What is written above the readings. Common practice, no source."""
HOW: Final = (
    "Read every jack to 0.1 mm on the slab beside its housing, on the same spot each time, heights up positive.",
    "Take reading 2 in the opposite order of reading 1. Read again where they differ by more than the instrument errs.",
    "Read the bench mark at the start and at the end: if it has moved by more than the instrument errs, start again.",
    "Nothing is turned, and nothing is moved on the slab, while heights are read.",
    "Type the means into survey-form.csv: id, height_mm, and deviation_mm where the instrument's error is known. Its "
    "column turns holds the full turns of each jack since the survey before; correct it where other turns were made.",
)
"""Common practice, no source."""


def survey_sheets(view: PlanView) -> int:
    """Number of sheets that the jacks take."""
    return sheets_for(len(view.schedule), DRAWING)


def survey_figure(
    view: PlanView, expected: Floats, cautions: Sequence[str], sheet: int = 0, *, stage: str, zero: str
) -> Figure:
    """One sheet to fill in.

    expected: (n,) heights of the slab at the jacks, m. cautions: those of all papers. stage: when it is read, such as
    "after pass 10". zero: what the heights are above, in words.
    """
    sheets = survey_sheets(view)
    part = f", sheet {sheet + 1} of {sheets}" if sheets > 1 else ""
    figure = new_sheet(view, f"Survey of heights {stage}{part}", "x, y, heights mm, up positive")
    lines = part_of(len(view.schedule), sheets, sheet)
    schedule, datum = view.schedule, datum_corner(view.plan)
    rows = []
    for jack in range(lines.start, lines.stop):
        x, y = schedule.xy[jack] - datum
        place = str(jack + 1), schedule.ids[jack], millimetres(x), millimetres(y)
        rows.append((*place, mm(expected[jack]), "", "", ""))
    places = draw_blocks(figure, COLUMNS, rows, BY_HAND)
    notes = CrewNotes(figure, CREW_NOTES)
    notes.y = 0.5
    notes.heading("To fill in")
    notes.blank_lines(TO_FILL)
    notes.sentences("How to read", [f"Expected: height {zero}.", *HOW])
    notes.sentences("Cautions", cautions)
    places.append(Box(CREW_NOTES.left, CREW_NOTES.bottom, CREW_NOTES.width, notes.room - 1.0))
    _draw_map(figure, roomiest(view, places), view, lines)
    return figure


def _draw_map(figure: Figure, place: Box | None, view: PlanView, lines: slice) -> None:
    """The jacks of this sheet by id."""
    if place is None:
        return
    ax = plan_axes(figure, place, view, to_scale=False, fill=True)
    draw_datum(ax, view.plan)
    chosen = np.arange(lines.start, lines.stop)
    xy = view.schedule.xy
    draw_dots(ax, np.delete(xy, chosen, axis=0), len(xy))
    draw_order(ax, xy[chosen], lines.start + 1, arrows=False)
    ax.set_title("Jacks of this sheet by their numbers, and the datum", fontsize=7.5, color=INK, pad=3)
