"""The sheets for surveys of heights: every jack with its place and expected height, and room for two readings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from matplotlib.figure import Figure
from numpy import float64
from numpy.typing import NDArray

from postprocess.drawing import DRAWING, Box, datum_corner, new_sheet
from postprocess.jobs.crew_form import CREW_NOTES, CrewNotes, draw_blocks, part_of, sheets_for, warn_unsafe
from postprocess.jobs.crew_plan import crew_plan, draw_order, roomiest
from postprocess.jobs.lift_words import mm, place_mm
from postprocess.jobs.table import Column
from postprocess.view import PlanView

Floats = NDArray[float64]

PLACE: Final = (
    *(Column("No.", 7.0, True), Column("Jack", 10.5), Column("x, mm", 10.5, True), Column("y, mm", 10.5, True)),
)
TO_FILL: Final = (
    *("Date and time", "Who reads", "Who writes", "Instrument and its error", "Bench mark, where"),
    *("Bench mark, reading at the start, mm", "Bench mark, reading at the end, mm", "Temperature, °C"),
)
"""What is written above the readings. Common practice, no source."""
HOW: Final = (
    "Read every jack to 0.1 mm on the slab beside its housing, on the same spot each time, heights up positive.",
    "Take the 2nd reading in the opposite order of the 1st. Read again where they differ by more than the "
    "instrument errs.",
    "Read the bench mark at the start and at the end: if it has moved by more than the instrument errs, start again.",
    "Nothing is turned, and nothing is moved on the slab, while heights are read.",
)
"""Common practice, no source."""


@dataclass(frozen=True, eq=False)
class SurveyForm:
    """What a sheet for a survey says. stage: when it is read, such as "after pass 10".

    columns, by_hand: beside those of the place, the last `by_hand` of them to be filled in; values: (n,) printed in
    each of the others, m. about: what the columns are, and into which file they are typed. warning: reasons, if any,
    why the work is not to begin.
    """

    stage: str
    columns: tuple[Column, ...]
    by_hand: int
    values: tuple[Floats, ...]
    about: tuple[str, ...]
    warning: tuple[str, ...] = ()


def zero_form(warning: tuple[str, ...]) -> SurveyForm:
    """Before the first turn: the readings that all later ones are compared with."""
    about = (
        "These zero readings are the survey from which later ones count: they let the unit, the datum and the sense of "
        "later heights be checked, and tell an uneven structural floor from springs that are off.",
        "Type the means into survey-form-0.csv: id, height_mm, and deviation_mm where the instrument's error is known; "
        "its column turns is 0. The survey after the last pass goes into survey-form.csv; give both, in this order.",
    )
    columns = *_readings(), Column("zero (mean), mm", 24.0), Column("remarks", 33.0)
    return SurveyForm("before the first turn (zero readings)", columns, 4, (), about, warning)


def lifted_form(stage: str, heights: Floats, warning: tuple[str, ...]) -> SurveyForm:
    """After the last pass; heights: (n,) expected above the zero readings, m."""
    about = (
        "Expected: height above where the slab lay before the first turn. It is compared with the difference: mean of "
        "the readings less the zero reading (sheet survey-zero, read before the first turn).",
        "Type the means of the readings, not the differences, into survey-form.csv: id, height_mm, and deviation_mm "
        "where the instrument's error is known. The zero readings are in survey-form-0.csv: with both, unit, datum and "
        "sense of the heights can be checked. Column turns holds the full turns of each jack since the survey before; "
        "correct it where other turns were made.",
    )
    columns = (
        *(Column("expected, mm", 20.3, True), Column("zero, mm", 14.2)),
        *(*_readings(), Column("difference, mm", 21.3)),
    )
    return SurveyForm(stage, columns, 4, (heights,), about, warning)


def levelled_form(before: Floats, expected: Floats, level: float) -> SurveyForm:
    """After levelling; before, expected: (n,) in the datum of the survey, m. level: the mean level there, m."""
    about = (
        f"Before, expected: height as the surveyor reads it, in the datum of the last survey, before the first turn "
        f"and after the last; the mean level is {mm(level)} mm. Difference: mean of the readings less the expected.",
        "Type the means of the readings into survey-form.csv: id, height_mm, and deviation_mm where the instrument's "
        "error is known. Column turns holds the full turns of each jack since the survey before; correct it where "
        "other turns were made.",
    )
    columns = (
        *(Column("before, mm", 16.8, True), Column("expected, mm", 20.3, True)),
        *(*_readings(), Column("difference, mm", 21.3)),
    )
    return SurveyForm("after levelling", columns, 3, (before, expected), about)


def _readings() -> tuple[Column, ...]:
    return Column("1st, mm", 14.0), Column("2nd, mm", 14.0)


def survey_sheets(view: PlanView) -> int:
    """Number of sheets that the jacks take."""
    return sheets_for(len(view.schedule), DRAWING)


def survey_figure(view: PlanView, form: SurveyForm, cautions: Sequence[str], sheet: int = 0) -> Figure:
    """One sheet to fill in; cautions: those of all papers."""
    sheets = survey_sheets(view)
    part = f", sheet {sheet + 1} of {sheets}" if sheets > 1 else ""
    figure = new_sheet(view, f"Survey of heights {form.stage}{part}", "x, y, heights mm, up positive")
    lines = part_of(len(view.schedule), sheets, sheet)
    schedule, datum = view.schedule, datum_corner(view.plan)
    rows = []
    for jack in range(lines.start, lines.stop):
        x, y = schedule.xy[jack] - datum
        line = str(jack + 1), schedule.ids[jack], place_mm(x), place_mm(y)
        rows.append((*line, *(mm(values[jack]) for values in form.values), *[""] * form.by_hand))
    places = draw_blocks(figure, (*PLACE, *form.columns), rows, form.by_hand)
    notes = CrewNotes(figure, CREW_NOTES)
    notes.y = 0.5
    warn_unsafe(notes, form.warning)
    notes.heading("To fill in")
    notes.blank_lines(TO_FILL)
    notes.sentences("How to read", [*HOW, *form.about])
    notes.sentences("Cautions", cautions)
    places.append(Box(CREW_NOTES.left, CREW_NOTES.bottom, CREW_NOTES.width, notes.room - 1.0))
    place = roomiest(view, places)
    if place is not None:
        ax = crew_plan(figure, place, view, "Jacks of this sheet by their ids, and the datum")
        draw_order(ax, view, range(lines.start, lines.stop), arrows=False)
    return figure
