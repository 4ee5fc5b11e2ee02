"""The sheet to read first: drops or moving loads in one table, what it comes to, what is assumed and left out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from fem.gravity import GRAVITY
from postprocess.colours import INK, PENCIL
from postprocess.drawing import DRAWING, Box, new_sheet, number, paper_axes
from postprocess.dynamics.dangers import all_dangers, ranked
from postprocess.dynamics.steady_words import velocity_of
from postprocess.dynamics.views import DropView, DynamicsView, SteadyView
from postprocess.dynamics.words import LIMITS, kilonewtons
from postprocess.jobs.crew_form import framed
from postprocess.jobs.impact_charts import ELSEWHERE, HEADING, SIZES, close_notes, closing_room
from postprocess.jobs.table import SIZE, Column, draw_wrapped_table, height, note_table, write_lines
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

DROPS: Final = (
    *(Column("No.", 8.0, True), Column("Drop", 60.0), Column("kg", 13.0, True), Column("from mm", 15.0, True)),
    *(Column("at x, y m", 24.0, True), Column("contact kN", 19.0, True), Column("covering mm", 21.0, True)),
    *(Column("springs kN", 19.0, True), Column("no air kN", 17.0, True), Column("rubber kN", 18.0, True)),
    *(Column("bare kN", 16.0, True), Column("slab mm", 16.0, True), Column("left mm", 15.0, True)),
    *(Column("at jack", 26.0), Column("left, full mm", 22.0, True), Column("least load kN", 23.0, True)),
    *(Column("gap left mm", 20.0, True), Column("floor mm/s", 19.0, True), Column("day's dose", 19.0, True)),
)
DROPS_SAID: Final = (
    "Contact: greatest between weight and slab; covering: how deep it is pressed. Springs, rubber, bare: greatest into "
    "the structure on each; no air: on springs without the air. Left: travel to solid; full: with all imposed load as "
    "well.",
    "Floor: greatest speed at the middle of a bay, on springs. – : not known.",
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
"""Groups and machines that are listed beside a table of drops."""
NO_DROPS: Final = "The case gives no drops."
STEADY: Final = (
    *(Column("Group or machine", 40.0), Column("1/s", 14.0, True), Column("m/s2", 16.0, True)),
    *(Column("% of g", 16.0, True), Column("mm/s", 16.0, True), Column("kN", 16.0, True), Column("", 14.0)),
)
STEADY_WIDE: Final = (
    *(Column("Group or machine", 90.0), Column("1/s", 16.0, True), Column("m/s2", 18.0, True)),
    *(Column("% of g", 18.0, True), Column("mm/s", 18.0, True), Column("kN", 18.0, True), Column("", 16.0)),
    *(Column("left mm", 20.0, True), Column("at jack", 40.0), Column("least load kN", 26.0, True)),
    Column("gap left mm", 24.0, True),
)
STEADY_SAID: Final = "Greatest of any place. mm/s: peak, of machines. kN: into the structure. STOP: meets a mode."
LOWEST: Final = Column("Hz", 14.0, True), Column("lowest modes, with bays and air", 118.0)
SIDEWAYS: Final = Column("Hz", 14.0, True), Column("lowest sideways, slab taken as rigid", 118.0)
CONTINUED: Final = "What it comes to, continued"


def impact_summary_figure(view: PlanView, dynamics: DynamicsView, cautions: Sequence[str]) -> Figure:
    """Sheet with the table of drops, or of groups and machines where nothing drops, dangers in a frame, sentences,
    assumptions and cautions."""
    figure = new_sheet(view, "Floor in motion: summary", "forces kN; travel mm; velocity mm/s; dose m/s¹·⁷⁵")
    ax = paper_axes(figure, DRAWING)
    end = (_drops(ax, view, dynamics) if dynamics.drops else _moving(ax, view, dynamics)) + GAP
    room, width = DRAWING.height - end, LEFT_SHARE * DRAWING.width
    left = SideNotes(figure, Box(DRAWING.left, DRAWING.bottom, width - GAP, room))
    right = SideNotes(figure, Box(DRAWING.left + width, DRAWING.bottom, DRAWING.width - width, room))
    left.y = right.y = 0.0
    dangers = all_dangers(dynamics, view.schedule.ids)
    if dangers:
        more = [f"and {len(dangers) - DANGERS} more: see the tables"] if len(dangers) > DANGERS else []
        framed(right, "NOT SAFE", [*dangers[:DANGERS], *more])
    _frequencies(right, dynamics)
    if dynamics.drops:
        _steady(right, dynamics)
    full = closing_room(right, dynamics.assumed, cautions, SIZES[0]) > right.room
    close_notes(right, () if full else dynamics.assumed, cautions)
    said = [words for words in dynamics.sentences if words not in dangers]
    _sentences(left, right, said, dynamics.assumed if full else ())
    return figure


def _sentences(left: SideNotes, right: SideNotes, sentences: Sequence[str], assumed: Sequence[str]) -> None:
    """What it comes to, and in full what the model leaves out; what the left column has no room for at the right.

    assumed: what the right column has no room for.
    """
    limits = [words for words in sentences if words in LIMITS]
    said = [words for words in sentences if words not in LIMITS]
    keep = HEADING + sum(height(left, words) for words in limits) if limits else 0.0
    keep += closing_room(left, assumed, (), SIZES[0])
    left.heading("What it comes to")
    while said and height(left, said[0]) <= left.room - keep:
        left.line(said.pop(0))
    if limits:
        left.heading("What the model leaves out")
        write_lines(left, limits, ELSEWHERE)
    close_notes(left, assumed, ())
    if said:
        if right.room > HEADING + height(right, said[0]) + height(right, "more"):
            right.heading(CONTINUED)
        write_lines(right, said, ELSEWHERE)


def _frequencies(notes: SideNotes, dynamics: DynamicsView) -> None:
    """The lowest modes and the lowest sideways ones, with what they are."""
    heave, low, high = dynamics.springs_alone
    notes.heading("Own frequencies")
    notes.line(f"Slab on its springs alone: heave {heave:.2f} Hz, rocking {low:.2f} and {high:.2f} Hz.")
    for columns, each in ((LOWEST, dynamics.modes), (SIDEWAYS, dynamics.sideways)):
        pairs = zip(each.frequencies[:MODES], each.kinds[:MODES], strict=True)
        note_table(notes, columns, [(number(float(frequency), 2), kind) for frequency, kind in pairs])


def _steady(notes: SideNotes, dynamics: DynamicsView) -> None:
    """Groups and machines in a table beside the drops, those that are not safe or must stop first."""
    if not dynamics.steady:
        return
    notes.heading("Groups and machines, at their worst rate")
    shown = ranked(dynamics.steady)[:MOST_STEADY]
    note_table(notes, STEADY, [steady_row(each) for each in shown])
    if len(dynamics.steady) > len(shown):
        notes.line(f"and {len(dynamics.steady) - len(shown)} more, {ELSEWHERE}")
    notes.remark(STEADY_SAID)


def steady_row(each: SteadyView) -> tuple[str, ...]:
    """Cells of one group or machine."""
    return (
        *(each.name, number(each.worst_rate, 2), f"{each.peak_acceleration:.3g}"),
        f"{100 * each.peak_acceleration / GRAVITY:.3g}",
        f"{1e3 * velocity_of(each):.3g}" if each.kind == "machine" else "",
        *(kilonewtons(each.peak_force).removesuffix(" kN"), "STOP" if each.meets else ""),
    )


def _moving(ax: Axes, view: PlanView, dynamics: DynamicsView) -> float:
    """Groups and machines over the whole width where nothing drops; returns where the table ends, mm."""
    if not dynamics.steady:
        ax.text(0.0, 3.0, NO_DROPS, fontsize=SIZE, va="center", color=INK)
        return 5.0
    ax.text(0.0, 3.0, "Groups and machines, at their worst rate", fontsize=9.5, va="center", color=INK)
    rows = [(*steady_row(each), *_room_left(each, view.schedule.ids)) for each in ranked(dynamics.steady)]
    end, drawn = draw_wrapped_table(ax, STEADY_WIDE, rows, 6.5, TABLE * DRAWING.height)
    more = f" {len(rows) - drawn} more in dynamics.json." if drawn < len(rows) else ""
    said = f"{STEADY_SAID} Left: travel to solid. – : not known. {NO_DROPS}{more}"
    ax.text(1.2, end + 3.2, said, fontsize=SIZE, va="center", color=PENCIL)
    return end + 5.0


def _room_left(each: SteadyView | DropView, ids: Sequence[str]) -> tuple[str, str, str, str]:
    """Cells: travel left, the jack that has it, least load, gap left."""
    gap = "–" if each.clearance is None else number(1e3 * each.clearance, 1)
    return number(1e3 * each.reserve, 1), ids[each.worst_jack], number(each.least_load / 1e3, 2), gap


def _drops(ax: Axes, view: PlanView, dynamics: DynamicsView) -> float:
    """The drops; returns where the table ends, mm."""
    ax.text(0.0, 3.0, "Drops", fontsize=9.5, va="center", color=INK)
    rows = [drop_row(i + 1, drop, view.schedule.ids) for i, drop in enumerate(dynamics.drops)]
    end, drawn = draw_wrapped_table(ax, DROPS, rows, 6.5, TABLE * DRAWING.height)
    more = f" {len(rows) - drawn} more in drops.csv." if drawn < len(rows) else ""
    for words in (DROPS_SAID[0], DROPS_SAID[1] + more):
        end += 3.2
        ax.text(1.2, end, words, fontsize=SIZE, va="center", color=PENCIL)
    return end + 1.8


def drop_row(index: int, drop: DropView, ids: Sequence[str]) -> tuple[str, ...]:
    """Cells of one drop."""
    floor = drop.springs.peak_velocity
    left, jack, least, gap = _room_left(drop, ids)
    return (
        *(str(index), drop.name, f"{drop.mass:.4g}", number(1e3 * drop.height, 0)),
        f"{number(drop.place[0], 2)}, {number(drop.place[1], 2)}",
        *(number(float(drop.contact.max()) / 1e3, 2), number(1e3 * drop.depth, 1)),
        number(drop.springs.peak_force / 1e3, 2),
        "–" if drop.airless is None else number(drop.airless.peak_force / 1e3, 2),
        *(number(each.peak_force / 1e3, 2) for each in (drop.rubber, drop.bare)),
        *(number(1e3 * float(abs(drop.slab).max()), 1), left, jack, number(1e3 * drop.full_reserve, 1), least, gap),
        f"{1e3 * floor.max():.3g}" if len(floor) else "–",
        f"{drop.day_dose.max():.3g}" if drop.day_dose is not None and len(drop.day_dose) else "–",
    )
