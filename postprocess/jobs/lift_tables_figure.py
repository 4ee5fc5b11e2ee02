"""Which sizes of pass are safe from which age, what lowers the peak, and what happens if something goes wrong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from postprocess.colours import INK, PENCIL
from postprocess.drawing import DRAWING, Box, draw_datum, new_sheet, number, paper_axes, plan_axes
from postprocess.jobs.crew_form import warn_unsafe
from postprocess.jobs.crew_plan import LEAST_MAP
from postprocess.jobs.lift_charts import size_chart
from postprocess.jobs.lift_words import day_words, kn, mm, number_list, turn_words, use_percent
from postprocess.jobs.table import SIZE, Column, draw_wrapped_table, write_lines
from postprocess.lift.views import FaultView, LiftView, SizeView
from postprocess.side_notes import SideNotes
from postprocess.strength_marks_figure import Marks, draw_jacks
from postprocess.view import PlanView

SIZES: Final = (
    *(Column("turns a pass", 24.0, True), Column("moment, kN·m/m", 28.0, True), Column("of cracking", 24.0, True)),
    *(Column("safe from", 24.0), Column("worst in pass", 24.0, True), Column("at jack", 26.0), Column("place", 74.0)),
)
FAULTS: Final = (
    *(Column("No.", 9.0, True), Column("Fault", 100.0), Column("at jack", 26.0), Column("height, mm", 20.0, True)),
    *(Column("load, kN", 18.0, True), Column("of cracking", 21.0, True), Column("noticed", 138.0)),
    Column("harm", 56.0),
)
HEADING, FOOT = 7.0, 8.0
"""Above a table and below it, mm."""
TOP: Final = 0.45
"""Share of the sheet that the sizes of pass may take."""
GAP: Final = 6.0
CHART: Final = 110.0
"""Height of the chart of sizes at most, mm."""
MARKED: Final = 24
"""Jacks of faults that are marked on the plan."""
SIZE_WORDS: Final = (
    "Safe: the greatest bending at any single turn stays below the cracking moment of that day. Cube results decide."
)
FAULT_WORDS: Final = (
    "Height, load: the greatest change against the lift as planned. Of cracking: greatest bending over the cracking "
    "moment. Harm: the slab may crack, or a jack leaves its limits."
)


def lift_tables_figure(view: PlanView, lift: LiftView) -> Figure:
    """Sheet with the sizes of pass, notes, and the table of faults, the harmful ones first."""
    figure = new_sheet(view, "Lift: safe passes, and what can go wrong", "moments kN·m/m; heights mm; loads kN")
    ax = paper_axes(figure, DRAWING)
    width = sum(column.width for column in SIZES)
    words = [size_row(view, size) for size in lift.sizes]
    heading = f"Size of pass: safe from which age ({lift.order_name}, planned at {day_words(lift.age)})"
    end = _table(ax, (heading, SIZE_WORDS), SIZES, words, (1.0, TOP * DRAWING.height))
    notes = SideNotes(figure, Box(DRAWING.left + width + GAP, DRAWING.bottom, DRAWING.width - width - GAP, 249.0))
    notes.y = 0.5
    warn_unsafe(notes, lift.not_met)
    notes.heading("What lowers the peak, and what else to know")
    write_lines(notes, lift.notes or ("Nothing beside this table.",), "in the results file", keep=(1 - TOP) * 249.0)
    sorted_faults = sorted(lift.faults, key=lambda each: not each.harmful)
    faults = [(str(number), *fault_row(view, fault)) for number, fault in enumerate(sorted_faults, 1)]
    heading = "What can go wrong, and whether a survey shows it before it does harm"
    end = _table(ax, (heading, FAULT_WORDS), FAULTS, faults, (max(end, notes.y) + GAP, DRAWING.height))
    room = DRAWING.height - end - GAP
    if room >= LEAST_MAP:
        _draw_faults(figure, Box(DRAWING.left, DRAWING.bottom, 0.5 * DRAWING.width, room), view, sorted_faults)
        chart = Box(DRAWING.left + 0.55 * DRAWING.width, DRAWING.bottom + 12.0, 0.43 * DRAWING.width, CHART)
        if lift.sizes:
            size_chart(replace(chart, height=min(CHART, room - 20.0)).axes(figure), lift)
    return figure


def _draw_faults(figure: Figure, place: Box, view: PlanView, faults: Sequence[FaultView]) -> None:
    """The jacks of the faults, by the numbers of the table."""
    ax = plan_axes(figure, place, view, to_scale=False, fill=True)
    draw_datum(ax, view.plan)
    draw_jacks(ax, view)
    jacks = sorted({fault.jack for fault in faults})
    marks = Marks(ax, view, view.schedule.xy[jacks])
    for jack in jacks[:MARKED]:
        numbers = [number for number, fault in enumerate(faults, 1) if fault.jack == jack]
        marks.ring(view.schedule.xy[jack], number_list(numbers))
    ax.set_title("Jacks of the faults, by their numbers in the table", fontsize=7.5, color=INK, pad=3)


def _table(
    ax: Axes,
    words: tuple[str, str],
    columns: tuple[Column, ...],
    rows: list[tuple[str, ...]],
    span: tuple[float, float],
) -> float:
    """Heading, rows and a remark (words) within a span of y; returns where they end."""
    (heading, remark), (top, bottom) = words, span
    ax.text(0.0, top + 2.5, heading, fontsize=9.5, va="center", color=INK, parse_math=False)
    end, drawn = draw_wrapped_table(ax, columns, rows, top + HEADING, bottom - FOOT)
    more = f" {len(rows) - drawn} more in the results file." if drawn < len(rows) else ""
    ax.text(1.2, end + 4.0, (remark if rows else "None was tried.") + more, fontsize=SIZE, va="center", color=PENCIL)
    return end + FOOT


def size_row(view: PlanView, size: SizeView) -> tuple[str, ...]:
    """Cells of one size of pass."""
    safe = "no age" if size.earliest_age is None else day_words(size.earliest_age)
    peak = size.peak
    figures = turn_words(size.turns), number(peak.moment / 1e3, 2), use_percent(peak.use)
    return *figures, safe, str(peak.pass_number), view.schedule.ids[peak.jack], peak.place


def fault_row(view: PlanView, fault: FaultView) -> tuple[str, ...]:
    """Cells of one fault."""
    changes = mm(fault.height_change), kn(fault.load_change), use_percent(fault.use)
    harm = "HARM: stop and call the engineer" if fault.harmful else "no harm in this lift"
    return fault.words, view.schedule.ids[fault.jack], *changes, fault.noticed, harm
