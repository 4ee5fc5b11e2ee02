"""Groups that jump and machines that turn: acceleration and force over the rate, and where to stop."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from postprocess.colours import HIGH, INK
from postprocess.drawing import DRAWING, Box, new_sheet
from postprocess.dynamics.dangers import danger_words, ranked
from postprocess.dynamics.steady_words import PEOPLE, RATE, steady_words
from postprocess.dynamics.views import DynamicsView, SteadyView
from postprocess.dynamics.words import kilonewtons, millimetres
from postprocess.jobs.crew_form import framed
from postprocess.jobs.impact_charts import ELSEWHERE, close_notes, closing_room, faint_grid, frame, place_words
from postprocess.jobs.table import write_lines
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

Floats = NDArray[np.float64]

ROWS: Final = 4
"""Groups and machines on a sheet."""
CHARTS: Final = (24.0, 125.0), (164.0, 125.0)
"""Where a chart begins, and its width, mm."""
NOTES_LEFT: Final = 296.0
STOPS: Final = 3
"""Reasons to stop that stand beside the charts."""
WORST: Final[dict[str, Any]] = {"marker": "v", "mfc": "white", "mec": INK, "ms": 6, "clip_on": False}
UNSAFE: Final = "NOT SAFE"
STOP: Final = "STOP: a harmonic meets a mode"
FEWEST: Final = 2
"""Rows into which the sheet is parted at least."""


def steady_sheets(dynamics: DynamicsView) -> int:
    """Number of sheets that groups and machines take; none where there are none."""
    return -(-len(dynamics.steady) // ROWS)


def steady_figure(
    view: PlanView,
    dynamics: DynamicsView,
    cautions: Sequence[str],
    sheet: int = 0,
    *,
    acceleration_limit: float | None = None,
) -> Figure:
    """One sheet of groups and machines; acceleration_limit: of the case, m/s2, drawn where it is given."""
    sheets = steady_sheets(dynamics)
    part = f", sheet {sheet + 1} of {sheets}" if sheets > 1 else ""
    figure = new_sheet(view, f"Groups and machines{part}", "acceleration m/s2; force kN; rate 1/s")
    shown = ranked(dynamics.steady)[sheet * ROWS : (sheet + 1) * ROWS]
    pitch = DRAWING.height / max(FEWEST, len(shown))
    for row, each in enumerate(shown):
        bottom = DRAWING.bottom + DRAWING.height - (row + 1) * pitch
        _charts(figure, each, bottom, pitch, acceleration_limit)
        last = row == len(shown) - 1
        height = pitch if not last else bottom + pitch - DRAWING.bottom
        box = Box(NOTES_LEFT, bottom + pitch - height, DRAWING.left + DRAWING.width - NOTES_LEFT, height)
        notes = SideNotes(figure, box)
        keep = closing_room(notes, (), cautions) if last else 0.0
        _notes(notes, view, each, limit=acceleration_limit, keep=keep)
        if last:
            close_notes(notes, (), cautions)
    return figure


def _charts(figure: Figure, each: SteadyView, bottom: float, pitch: float, limit: float | None) -> None:
    rate = RATE.get(each.kind, "rate, 1/s")
    curves = (
        (each.acceleration, "Greatest acceleration of the slab, m/s2", limit),
        (each.force / 1e3, "Force into the structure, greatest size, kN", None),
    )
    for (left, width), (values, title, line) in zip(CHARTS, curves, strict=True):
        ax = Box(left, bottom + 11.0, width, pitch - 18.0).axes(figure)
        _curve(ax, each, values, line)
        frame(ax, rate, title)


def _curve(ax: Axes, each: SteadyView, values: Floats, limit: float | None) -> None:
    """A curve over the rate, with its worst rate marked."""
    faint_grid(ax)
    ax.plot(each.rates, values, color=INK, lw=1.1, gid=each.kind)
    worst = int(values.argmax())
    ax.plot(each.rates[worst], values[worst], zorder=4, gid="worst", **WORST)
    top = float(values.max())
    if limit is not None:
        ax.axhline(limit, color=HIGH, lw=1.4, zorder=2, gid="limit")
        top = max(top, limit)
    ax.set_ylim(0.0, 1.15 * top if top > 0 else 1.0)
    if each.rates[-1] > each.rates[0]:
        ax.set_xlim(each.rates[0], each.rates[-1])


def _notes(notes: SideNotes, view: PlanView, each: SteadyView, *, limit: float | None, keep: float) -> None:
    """keep: height that is left free for what follows, mm."""
    notes.y = 0.0
    notes.heading(each.name)
    dangers = danger_words(each, view.schedule.ids)
    if dangers:
        framed(notes, UNSAFE, dangers)
    if each.meets:
        more = len(each.meets) - STOPS
        framed(notes, STOP, (*each.meets[:STOPS], *([f"and {more} more, {ELSEWHERE}"] if more > 0 else [])))
    words = steady_words(each)
    notes.line(f"{words[:1].upper()}{words[1:]}. The place that moves most: {place_words(each.where)}.")
    if not dangers:
        notes.line(_room_left(each, view.schedule.ids))
    if limit is not None:
        verdict = "Within" if each.peak_acceleration <= limit else "OVER"
        notes.line(f"{verdict} the limit of {limit:g} m/s2 of the case (line).")
    said = [f"Basis: {each.basis}."] * bool(each.basis) + [PEOPLE] * (each.kind == "group")
    write_lines(notes, said, ELSEWHERE, keep=keep)


def _room_left(each: SteadyView, ids: Sequence[str]) -> str:
    """Travel, load and gap that are left at the worst rate for each."""
    gap = "" if each.clearance is None else f", {millimetres(each.clearance)} of gap"
    return (
        f"Left at the worst: {millimetres(each.reserve)} of travel to solid at jack {ids[each.worst_jack]}, "
        f"{kilonewtons(each.least_load)} on the least loaded jack{gap}."
    )
