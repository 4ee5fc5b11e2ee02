"""Slab, structural floor and air together: their modes, the bays, what the air does, and sideways motion."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from postprocess.colours import INK, PENCIL
from postprocess.drawing import DRAWING, Box, draw_datum, new_sheet, number, paper_axes, paper_scale, plan_axes
from postprocess.dynamics.views import BayView, DynamicsView, SidewaysView
from postprocess.jobs.impact_charts import ELSEWHERE, close_notes, closing_room
from postprocess.jobs.table import SIZE, Column, draw_table, draw_wrapped_table, note_table, write_lines
from postprocess.side_notes import SideNotes
from postprocess.strength_marks_figure import draw_jacks
from postprocess.view import PlanView

TABLES: Final = 226.0
"""Width of the tables of modes and bays, mm."""
GAP: Final = 6.0
SIDE: Final = DRAWING.width - TABLES - GAP
PLAN_HEIGHT: Final = 112.0
MOST_MODES: Final = 22
"""Modes of the table at most."""
LOWEST: Final = 9
"""Modes that stand in it anyway; then those in which the structural floor or the air takes part."""
PART: Final = 0.1
"""Share of the kinetic energy from which it does."""
APART: Final = 0.7
"""By which the dashed outline of a bay is smaller, so that those of neighbours stand apart, mm."""
MODES: Final = (
    *(Column("Mode", 11.0, True), Column("Hz", 15.0, True), Column("damping %", 19.0, True)),
    *(Column("heave %", 16.0, True), Column("rock x %", 16.0, True), Column("rock y %", 16.0, True)),
    *(Column("slab %", 14.0, True), Column("floor %", 14.0, True), Column("air %", 13.0, True)),
    Column("kind", 92.0),
)
BAYS: Final = (
    *(Column("No.", 9.0, True), Column("Bay", 40.0), Column("Hz", 14.0, True), Column("mass t", 15.0, True)),
    *(Column("jacks", 12.0, True), Column("springs mm", 19.0, True), Column("floor mm", 16.0, True)),
    *(Column("ratio", 12.0, True), Column("mode Hz", 16.0, True), Column("remarks", 73.0)),
)
SIDEWAYS: Final = (
    *(Column("Hz", 13.0, True), Column("x %", 11.0, True), Column("y %", 11.0, True), Column("heave %", 15.0, True)),
    *(Column("rock x %", 16.0, True), Column("rock y %", 16.0, True), Column("twist %", 14.0, True)),
    Column("kind", SIDE - 96.0),
)
BAY: Final[dict[str, Any]] = {"fc": "none", "ec": PENCIL, "lw": 1.0, "ls": (0, (5, 2)), "zorder": 3.5}
MODES_TITLE: Final = "Modes, in service: the lowest, and those with a tenth or more in structural floor or air"
BLANK: Final = "blank: under 0.5 %"
AIR: Final = (
    *(Column("gap mm", 15.0, True), Column("edge", 16.0), Column("heave: springs", 25.0, True)),
    *(Column("with air", 16.0, True), Column("sealed", 15.0, True), Column("all open", 17.0, True)),
    *(Column("rocking: springs", 28.0, True), Column("with air", 16.0, True), Column("open m", 15.0, True)),
    Column("of m", 13.0, True),
)
NO_BAYS: Final = "The case gives no bays: the structural floor is taken as rigid."
NO_AIR: Final = "The case says nothing of the air below the slab: it is left out."


def coupled_modes_figure(view: PlanView, dynamics: DynamicsView, cautions: Sequence[str]) -> Figure:
    """Sheet with the tables of modes, bays and sideways modes, the bays in plan and the sentence on the air."""
    figure = new_sheet(view, "Modes of slab, structural floor and air", "frequencies Hz; shares %; deflections mm")
    ax = paper_axes(figure, Box(DRAWING.left, DRAWING.bottom, TABLES, DRAWING.height))
    end = _modes(ax, dynamics, 1.0)
    end = _bays(ax, dynamics, end + GAP)
    left = DRAWING.left + TABLES + GAP
    top = DRAWING.bottom + DRAWING.height
    _plan(figure, Box(left, top - PLAN_HEIGHT, SIDE, PLAN_HEIGHT), view, dynamics)
    notes = SideNotes(figure, Box(left, DRAWING.bottom, SIDE, DRAWING.height - PLAN_HEIGHT))
    notes.y = 0.0
    _sideways(notes, dynamics.sideways, closing_room(notes, (), cautions))
    below = SideNotes(figure, Box(DRAWING.left, DRAWING.bottom, TABLES, DRAWING.height - end))
    below.y = 0.0
    _air(below, dynamics)
    close_notes(below, dynamics.assumed, ())
    close_notes(notes, (), cautions)
    return figure


def _heading(ax: Axes, words: str, top: float) -> float:
    ax.text(0.0, top + 2.5, words, fontsize=9.5, va="center", color=INK, parse_math=False)
    return top + 6.5


def _modes(ax: Axes, dynamics: DynamicsView, top: float) -> float:
    """Table of the lowest modes; returns where it ends."""
    modes = dynamics.modes
    shares = modes.heave, modes.rock_x, modes.rock_y, modes.slab, modes.floor, modes.air
    rows = [
        (
            *(str(i + 1), number(modes.frequencies[i], 2), number(100 * modes.damping[i], 2)),
            *(percent(share[i]) for share in shares),
            modes.kinds[i],
        )
        for i in shown_modes(dynamics)
    ]
    heave, low, high = dynamics.springs_alone
    end = draw_table(ax, MODES, rows, _heading(ax, MODES_TITLE, top))
    said = f"Springs alone: heave {heave:.2f} Hz, rocking {low:.2f} and {high:.2f} Hz. "
    said += f"Heave, rock: of the slab's mass; slab, floor, air: of the kinetic energy; {BLANK}."
    if len(modes.kinds) > len(rows):
        said += f" {len(modes.kinds) - len(rows)} more in dynamics.json."
    ax.text(1.2, end + 3.2, said, fontsize=SIZE, va="center", color=PENCIL)
    return end + 6.0


def shown_modes(dynamics: DynamicsView) -> list[int]:
    """Indices of the modes of the table: the lowest, and those in which more than the slab takes part."""
    modes = dynamics.modes
    more = (modes.floor >= PART) | (modes.air >= PART)
    return [i for i in range(len(modes.kinds)) if i < LOWEST or more[i]][:MOST_MODES]


def percent(share: float) -> str:
    """A share in whole percent; nothing where it is less than half of one."""
    words = number(100 * share, 0)
    return "" if words == "0" else words


def _bays(ax: Axes, dynamics: DynamicsView, top: float) -> float:
    """Table of the bays; returns where it ends."""
    end = _heading(ax, "Bays of the structural floor", top)
    if not dynamics.bays:
        ax.text(1.2, end + 1.5, NO_BAYS, fontsize=SIZE, va="center", color=INK)
        return end + 6.0
    rows = [bay_row(index + 1, bay) for index, bay in enumerate(dynamics.bays)]
    end, drawn = draw_wrapped_table(ax, BAYS, rows, end, DRAWING.height - 42.0)
    said = "Springs, floor: deflections in service. Ratio: springs over floor, to be ten or more. "
    said += "Mode: the nearest in which the slab moves."
    if drawn < len(rows):
        said += f" {len(rows) - drawn} more in dynamics.json."
    ax.text(1.2, end + 3.2, said, fontsize=SIZE, va="center", color=PENCIL)
    return end + 6.0


def bay_row(index: int, bay: BayView) -> tuple[str, ...]:
    """Cells of one bay."""
    ratio = number(bay.spring_deflection / bay.floor_deflection, 1) if bay.floor_deflection > 0 else "–"
    return (
        *(str(index), bay.name, number(bay.frequency, 2), number(bay.mass / 1e3, 2), str(bay.jacks)),
        *(number(1e3 * bay.spring_deflection, 1), number(1e3 * bay.floor_deflection, 2), ratio),
        *(number(bay.nearest, 2), "; ".join(bay.notes) or "none"),
    )


def _plan(figure: Figure, box: Box, view: PlanView, dynamics: DynamicsView) -> None:
    """The slab with its jacks and the bays below it, by the numbers of the table; bays are cut off at the plan."""
    ax = plan_axes(figure, box, view, to_scale=False, fill=True)
    draw_datum(ax, view.plan)
    draw_jacks(ax, view)
    (left, right), (bottom, top) = ax.get_xlim(), ax.get_ylim()
    gap = APART / paper_scale(ax)
    for index, bay in enumerate(dynamics.bays):
        low, high = np.array(bay.low), np.array(bay.high)
        corner, (width, height) = low + gap, high - low - 2 * gap
        ax.add_patch(Rectangle((corner[0], corner[1]), width, height, gid="bay", **BAY))
        x, y = (np.clip(low, (left, bottom), (right, top)) + np.clip(high, (left, bottom), (right, top))) / 2
        frame = {"boxstyle": "circle,pad=0.25", "fc": "white", "ec": INK, "lw": 0.8}
        ax.text(x, y, str(index + 1), fontsize=8, ha="center", va="center", bbox=frame, zorder=6, gid="bay number")
    words = "Bays below the slab, dashed, by their numbers" if dynamics.bays else "No bays: structural floor rigid"
    ax.set_title(words, fontsize=7.5, color=INK, pad=3)


def _sideways(notes: SideNotes, sideways: SidewaysView, keep: float) -> None:
    """The six motions of the rigid slab. keep: height that is left free for what follows, mm."""
    notes.heading("Sideways: the rigid slab in six motions")
    rows = [
        (number(f, 2), *(percent(share[axis]) for axis in range(6)), kind)
        for f, kind, share in zip(sideways.frequencies, sideways.kinds, sideways.shares, strict=True)
    ]
    notes.y, _ = draw_wrapped_table(notes.axes, SIDEWAYS, rows, notes.y, notes.box.height - 20.0)
    notes.y += 1.5
    x, y = sideways.sway_rates / 1e3
    notes.remark(f"Shares of the kinetic energy; {BLANK}. Sway rates {x:.0f} N/mm along x, {y:.0f} N/mm along y.")
    write_lines(notes, sideways.notes, ELSEWHERE, keep=keep)


def _air(notes: SideNotes, dynamics: DynamicsView) -> None:
    """What the air does, in a sentence and numbers."""
    notes.heading("Air below the slab")
    air = dynamics.air
    if air is None:
        notes.line(NO_AIR)
        return
    notes.line(air.sentence)
    open_edge = "none" if air.open_length is None else number(air.open_length, 1)
    frequencies = air.heave, air.heave_with, air.sealed, air.opened, air.rock, air.rock_with
    row = (number(1e3 * air.gap, 0), air.edge, *(number(each, 2) for each in frequencies), open_edge)
    note_table(notes, AIR, [(*row, number(air.perimeter, 1))])
    notes.remark("Hz; springs: without air. Open m: of edge, in even parts, that brings heave within 5 % of springs'.")
