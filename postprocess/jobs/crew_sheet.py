"""The sheet for the crew that swaps springs: order of work, hold points, cautions, and a line to sign for each jack."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from postprocess.colours import INK
from postprocess.drawing import DRAWING, Box, datum_corner, draw_datum, new_sheet, paper_axes, plan_axes
from postprocess.jobs.crew_form import CrewNotes, draw_form
from postprocess.jobs.crew_plan import LEAST_MAP
from postprocess.jobs.marks import draw_dots, label_some, view_of
from postprocess.jobs.setout_lists import millimetres
from postprocess.jobs.swap_figure import SWAP
from postprocess.jobs.swap_lists import kilonewtons
from postprocess.jobs.table import Column
from postprocess.jobs.views import Coils, RevisionView, Swap
from postprocess.view import PlanView

COLUMNS = (
    *(Column("No.", 9.0, True), Column("Jack", 19.0), Column("x, mm", 16.0, True), Column("y, mm", 16.0, True)),
    *(Column("take out", 36.0), Column("put in", 36.0)),
    *(Column("kN old", 15.0, True), Column("kN moved", 17.0, True), Column("kN after", 16.0, True)),
    *(Column("turns out", 18.0), Column("turns in", 18.0), Column("done", 11.0), Column("initials", 19.0)),
)
BY_HAND = 4
"""Columns that are filled in by hand, the last ones."""
WIDTH = sum(column.width for column in COLUMNS)
ROWS = 25
"""Jacks on a sheet."""
TABLE = Box(DRAWING.left, DRAWING.bottom, WIDTH, DRAWING.height)
NOTES = Box(DRAWING.left + WIDTH + 7.0, DRAWING.bottom + 1.0, DRAWING.width - WIDTH - 7.0, DRAWING.height - 1.0)

CREW_CAUTIONS = (
    "The slab is packed before anyone works at it.",
    "A spring is unloaded, and seen to be loose, before anyone reaches for it.",
    "One jack at a time: its neighbours stay loaded.",
    "Stop, keep clear and call the engineer on cracks, uneven height or abnormal torque.",
)
"""For this work, beside those of all papers."""
LOADS = "Loads in service: old, the old layout; moved, the new layout on the old springs; after, all swaps done."
ORDER = (
    "1  HOLD POINT A: the engineer has checked the strength of the slab and its lift on the new springs, has said "
    "whether equipment stands at its old or its new place during this work, and has released this sheet.",
    "2  Count the coils against the list below and read the code on each of them. Measure the free length of each "
    "spring that comes out and of each that goes in.",
    "3  Take the jacks in the order of the list. Find each by x and y from the datum corner and by its id on the plan.",
    "4  Pack the slab tight beside the jack. HOLD POINT B, at every jack: the foreman checks the packs before the jack "
    "is touched.",
    "5  Turn the jack back until its spring is loose: it carries up to the larger of its loads old and moved. Write "
    "down the turns out. The neighbours stay loaded.",
    "6  Take the spring out, both coils of a pair. Put the new one in, both coils of a pair, upright and centred.",
    "7  Turn the jack up by the turns out, fewer by (free length of the new spring less that of the old) / pitch of "
    "the screw. The screw then stands to the others as before, which the loads after are worked out for. Do not turn "
    "to the old height: that would give the old load again. Write down the turns in.",
    "8  Check torque, take the packs out, tick and initial the line. Only then go on to the next jack.",
    "9  HOLD POINT C, after the last jack: the heights of all jacks are surveyed and go to the engineer. Sign below.",
)
"""Common practice, no source."""


def crew_sheets(changes: RevisionView) -> int:
    """Number of sheets that the list of jacks takes, at least one."""
    return max(1, -(-len(changes.swaps) // ROWS))


def crew_figure(view: PlanView, changes: RevisionView, cautions: Sequence[str], sheet: int = 0) -> Figure:
    """One sheet of the list; beside it order of work, hold points, coils to bring and all cautions in full.

    view: the new revision with its swaps. cautions: those of all papers.
    """
    sheets = crew_sheets(changes)
    name = f"Swapping springs: sheet for the crew, {sheet + 1} of {sheets}"
    figure = new_sheet(view, name, "mm from the datum corner; loads kN, service")
    first = sheet * ROWS
    chosen = changes.swaps[first : first + ROWS]
    end = _draw_list(paper_axes(figure, TABLE), view, chosen, first)
    notes = CrewNotes(figure, NOTES)
    if changes.problems:
        notes.heading("NOT MET: do not start")
        notes.line("Not every condition is met after these swaps: see the drawing of swaps. The engineer decides.")
    notes.heading(f"Revision {changes.old_revision} to {changes.new_revision}: {len(changes.swaps)} springs to swap")
    notes.line(LOADS)
    notes.sentences("Cautions", [*CREW_CAUTIONS, *cautions])
    notes.sentences("Order of work", ORDER)
    notes.sentences("Coils", coil_counts(changes.swaps))
    notes.sign_lines(("Hold point A, engineer", "Hold point C, foreman"))
    below = Box(TABLE.left, TABLE.bottom, TABLE.width, TABLE.height - end - 8.0)
    beside = Box(NOTES.left, NOTES.bottom, NOTES.width, notes.room - 2.0)
    _draw_map(figure, max(below, beside, key=lambda place: place.height), view, chosen)
    return figure


def coil_words(coils: Coils) -> str:
    """The coils under a jack by name; both of a pair."""
    if not coils:
        return "nothing"
    return coils[0] if len(coils) == 1 else f"{coils[0]} outer + {coils[1]} inner"


def _draw_list(ax: Axes, view: PlanView, swaps: Sequence[Swap], first: int) -> float:
    """The list; returns where it ends, mm from the top."""
    datum = datum_corner(view.plan)
    rows = []
    for number, swap in enumerate(swaps, first + 1):
        x, y = view.schedule.xy[swap.jack] - datum
        place = str(number), view.schedule.ids[swap.jack], millimetres(x), millimetres(y)
        carried = swap.load_before, swap.load_unswapped, swap.load_after
        loads = [kilonewtons(load, 2, "–") for load in carried]
        rows.append((*place, coil_words(swap.out_coils), coil_words(swap.in_coils), *loads, "", "", "", ""))
    bottom = draw_form(ax, COLUMNS, rows, BY_HAND)
    if not rows:
        ax.text(1.0, 12.0, "No springs to swap.", fontsize=9, color=INK)
    return bottom


def coil_counts(swaps: Sequence[Swap]) -> tuple[str, ...]:
    """Coils to bring and those that come out, counted by code over all sheets."""
    sides = (("To bring", "in_coils"), ("Come out", "out_coils"))
    counts = [(words, Counter(coil for swap in swaps for coil in getattr(swap, side))) for words, side in sides]
    return tuple(
        f"{words}: {', '.join(f'{count} × {coil}' for coil, count in sorted(found.items())) or 'none'}."
        for words, found in counts
    )


def _draw_map(figure: Figure, place: Box, view: PlanView, swaps: Sequence[Swap]) -> None:
    """A plan with the jacks of this sheet in the room that is left; none where that is too little."""
    if not swaps or place.height < LEAST_MAP:
        return
    ax = plan_axes(figure, place, view, to_scale=False, fill=True)
    draw_datum(ax, view.plan)
    chosen = np.array([swap.jack for swap in swaps])
    draw_dots(ax, np.delete(view.schedule.xy, chosen, axis=0), len(view.schedule))
    ax.plot(*view.schedule.xy[chosen].T, ls="none", zorder=4.2, gid="swaps", **SWAP | {"ms": 4.5, "mew": 1.4})
    part = view_of(view, chosen, ax)
    _, size, _ = label_some(ax, part, [(part.schedule.ids, "")], "")
    title = "Jacks of this sheet and the datum" + ("" if size else "; ids: see the drawing of swaps")
    ax.set_title(title, fontsize=7.5, color=INK, pad=3)
