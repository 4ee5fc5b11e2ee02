"""The sheet to read first: all drops in one table, what the comparison says, what is assumed and left out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from postprocess.colours import INK, PENCIL
from postprocess.drawing import DRAWING, Box, new_sheet, number, paper_axes
from postprocess.dynamics.steady_words import GRAVITY, velocity_of
from postprocess.dynamics.views import DropView, DynamicsView, SteadyView
from postprocess.dynamics.words import LIMITS, danger_words, kilonewtons
from postprocess.jobs.crew_form import framed
from postprocess.jobs.impact_charts import ELSEWHERE, close_notes
from postprocess.jobs.table import SIZE, Column, draw_wrapped_table, note_table, write_lines
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

DROPS: Final = (
    *(Column("No.", 9.0, True), Column("Drop", 68.0), Column("kg", 15.0, True), Column("from mm", 17.0, True)),
    *(Column("at x, y m", 26.0, True), Column("contact kN", 21.0, True), Column("springs kN", 21.0, True)),
    *(Column("rubber kN", 20.0, True), Column("bare kN", 18.0, True), Column("slab mm", 18.0, True)),
    *(Column("travel left mm", 26.0, True), Column("at jack", 32.0), Column("least load kN", 26.0, True)),
    *(Column("gap left mm", 22.0, True), Column("floor mm/s", 22.0, True), Column("day's dose", 22.0, True)),
)
TABLE: Final = 0.5
"""Share of the sheet that the table may take."""
GAP: Final = 8.0
LEFT_SHARE: Final = 0.64
DANGERS: Final = 6
"""Dangers that are written out."""
MODES: Final = 3
"""Lowest modes, and lowest sideways ones, that are named."""
MOST_STEADY: Final = 6
"""Groups and machines that are listed."""
NO_DROPS: Final = "The case gives no drops."
STEADY: Final = (
    *(Column("Group or machine", 40.0), Column("1/s", 14.0, True), Column("m/s2", 16.0, True)),
    *(Column("% of g", 16.0, True), Column("mm/s", 16.0, True), Column("kN", 16.0, True), Column("", 14.0)),
)
LOWEST: Final = Column("Hz", 14.0, True), Column("lowest modes, with bays and air", 118.0)
SIDEWAYS: Final = Column("Hz", 14.0, True), Column("lowest sideways, slab taken as rigid", 118.0)


def impact_summary_figure(view: PlanView, dynamics: DynamicsView, cautions: Sequence[str]) -> Figure:
    """Sheet with the table of drops, dangers in a frame, sentences, assumptions and cautions."""
    figure = new_sheet(view, "Floor in motion: summary", "forces kN; travel mm; velocity mm/s; dose m/s¹·⁷⁵")
    ax = paper_axes(figure, DRAWING)
    end = _table(ax, view, dynamics) + GAP
    room, width = DRAWING.height - end, LEFT_SHARE * DRAWING.width
    notes = SideNotes(figure, Box(DRAWING.left, DRAWING.bottom, width - GAP, room))
    notes.y = 0.0
    notes.heading("What it comes to")
    limits = [words for words in dynamics.sentences if words in LIMITS]
    write_lines(notes, [words for words in dynamics.sentences if words not in LIMITS], ELSEWHERE, keep=16.0)
    if limits and notes.room > 14.0:
        notes.heading("What the model leaves out")
        write_lines(notes, limits, ELSEWHERE)
    rest = SideNotes(figure, Box(DRAWING.left + width, DRAWING.bottom, DRAWING.width - width, room))
    rest.y = 0.0
    dangers = [f"{drop.name}: {words}" for drop in dynamics.drops for words in danger_words(drop, view.schedule.ids)]
    if dangers:
        more = [f"and {len(dangers) - DANGERS} more: see the table"] if len(dangers) > DANGERS else []
        framed(rest, "NOT SAFE under these drops", [*dangers[:DANGERS], *more])
    _frequencies(rest, dynamics)
    _steady(rest, dynamics)
    close_notes(rest, dynamics.assumed, cautions)
    return figure


def _frequencies(notes: SideNotes, dynamics: DynamicsView) -> None:
    """The lowest modes and the lowest sideways ones, with what they are."""
    heave, low, high = dynamics.springs_alone
    notes.heading("Own frequencies")
    notes.line(f"Slab on its springs alone: heave {heave:.2f} Hz, rocking {low:.2f} and {high:.2f} Hz.")
    for columns, each in ((LOWEST, dynamics.modes), (SIDEWAYS, dynamics.sideways)):
        pairs = zip(each.frequencies[:MODES], each.kinds[:MODES], strict=True)
        note_table(notes, columns, [(number(float(frequency), 2), kind) for frequency, kind in pairs])


def _steady(notes: SideNotes, dynamics: DynamicsView) -> None:
    """Groups and machines in a table, those that must stop first."""
    if not dynamics.steady:
        return
    notes.heading("Groups and machines, at their worst rate")
    shown = sorted(dynamics.steady, key=lambda each: not each.meets)[:MOST_STEADY]
    note_table(notes, STEADY, [steady_row(each) for each in shown])
    if len(dynamics.steady) > len(shown):
        notes.line(f"and {len(dynamics.steady) - len(shown)} more, {ELSEWHERE}")
    notes.remark("Greatest of any place. mm/s: peak, of machines. kN: into the structure. STOP: meets a mode.")


def steady_row(each: SteadyView) -> tuple[str, ...]:
    """Cells of one group or machine."""
    return (
        *(each.name, number(each.worst_rate, 2), f"{each.peak_acceleration:.3g}"),
        f"{100 * each.peak_acceleration / GRAVITY:.3g}",
        f"{1e3 * velocity_of(each):.3g}" if each.kind == "machine" else "",
        *(kilonewtons(each.peak_force).removesuffix(" kN"), "STOP" if each.meets else ""),
    )


def _table(ax: Axes, view: PlanView, dynamics: DynamicsView) -> float:
    """The drops; returns where the table ends, mm."""
    ax.text(0.0, 3.0, "Drops", fontsize=9.5, va="center", color=INK)
    if not dynamics.drops:
        ax.text(0.0, 9.0, NO_DROPS, fontsize=SIZE, va="center", color=INK)
        return 11.0
    rows = [drop_row(i + 1, drop, view.schedule.ids) for i, drop in enumerate(dynamics.drops)]
    end, drawn = draw_wrapped_table(ax, DROPS, rows, 6.5, TABLE * DRAWING.height)
    said = "Contact: greatest between weight and slab. Springs, rubber, bare: greatest into the structure on each. "
    said += "Floor: greatest speed at the middle of a bay, on springs. – : not known."
    if drawn < len(rows):
        said += f" {len(rows) - drawn} more in drops.csv."
    ax.text(1.2, end + 3.2, said, fontsize=SIZE, va="center", color=PENCIL)
    return end + 5.0


def drop_row(index: int, drop: DropView, ids: Sequence[str]) -> tuple[str, ...]:
    """Cells of one drop."""
    forces = float(drop.contact.max()), drop.springs.peak_force, drop.rubber.peak_force, drop.bare.peak_force
    floor = drop.springs.peak_velocity
    return (
        *(str(index), drop.name, f"{drop.mass:.4g}", number(1e3 * drop.height, 0)),
        f"{number(drop.place[0], 2)}, {number(drop.place[1], 2)}",
        *(number(force / 1e3, 2) for force in forces),
        *(number(1e3 * float(abs(drop.slab).max()), 1), number(1e3 * drop.reserve, 1), ids[drop.worst_jack]),
        number(drop.least_load / 1e3, 2),
        "–" if drop.clearance is None else number(1e3 * drop.clearance, 1),
        f"{1e3 * floor.max():.3g}" if len(floor) else "–",
        f"{drop.day_dose.max():.3g}" if drop.day_dose is not None and len(drop.day_dose) else "–",
    )
