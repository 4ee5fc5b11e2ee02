"""Computed jack loads against the tributary estimate, in service."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from postprocess.colours import FAINT, HIGH, INK, LOW, PENCIL
from postprocess.drawing import NOTES, PLAN, Box, new_sheet, number, plan_axes
from postprocess.jack_labels import COMFORTABLE, fitted, label_jacks
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

Floats = NDArray[np.float64]

PART = 0.15
"""Relative difference from which a jack is marked; a threshold of these papers, no source."""
SYMBOLS: dict[str, dict[str, Any]] = {
    "more": {"marker": "s", "mfc": HIGH, "mec": INK, "mew": 0.7, "ms": 6.5},
    "near": {"marker": "o", "mfc": "white", "mec": PENCIL, "mew": 0.9, "ms": 5.5},
    "less": {"marker": "D", "mfc": LOW, "mec": INK, "mew": 0.7, "ms": 6},
}


def load_figure(view: PlanView) -> Figure:
    """Sheet with the difference at each jack on the plan, and both loads against each other beside it."""
    name = "Jack loads against the tributary estimate, service state"
    figure = new_sheet(view, name, "plan m; loads kN; differences %")
    ax = plan_axes(figure, PLAN, view, fill=True)
    labels, size = fitted(view, _labels(view), ax)
    _draw(ax, view, view.schedule.xy, min(1.0, size / COMFORTABLE) if size else 0.4)
    if size:
        label_jacks(ax, replace(view, items=()), labels, size)
    notes = SideNotes(figure, NOTES)
    _notes(notes, view, labelled=size > 0)
    side = 66.0
    place = Box(NOTES.left + 15.0, NOTES.bottom + notes.room - side - 6.0, side, side)
    _compare(place.axes(figure), view)
    return figure


def departures(view: PlanView) -> tuple[str, ...]:
    """(n,) "more", "near" or "less": the computed service load against the tributary estimate."""
    ratio = view.schedule.tributary_ratio
    return tuple("more" if r > 1 + PART else "less" if r < 1 - PART else "near" for r in ratio)


def _draw(ax: Axes, view: PlanView, places: Floats, share: float) -> None:
    """Each jack at its place (n, 2) by the symbol of its departure, at `share` of the full size."""
    kind = np.array(departures(view))
    for name, symbol in SYMBOLS.items():
        chosen = kind == name
        ax.plot(*places[chosen].T, ls="none", zorder=4, **symbol | {"ms": symbol["ms"] * share})


def _labels(view: PlanView) -> list[str]:
    schedule = view.schedule
    change = 100 * (schedule.tributary_ratio - 1)
    rows = zip(schedule.ids, schedule.loads["service"] / 1e3, change, strict=True)
    return [f"{name}\n{number(load, 2)}\n{change_words(percent)}" for name, load, percent in rows]


def change_words(percent: float) -> str:
    """A signed difference in whole per cent, with decimals where rounding would hide on which side of `PART` it is."""
    limit = 100 * PART
    digits = next((d for d in range(3) if round(abs(percent), d) != limit), 3)
    words = number(percent, digits)
    return f"+{words} %" if round(percent, digits) > 0 else f"{words} %"


def _notes(notes: SideNotes, view: PlanView, *, labelled: bool) -> None:
    kind = departures(view)
    notes.heading("Computed load over tributary estimate")
    notes.marker(f"more by over {100 * PART:.0f} %: {kind.count('more')} jacks", **SYMBOLS["more"])
    notes.marker(f"within {100 * PART:.0f} %: {kind.count('near')} jacks", **SYMBOLS["near"])
    notes.marker(f"less by over {100 * PART:.0f} %: {kind.count('less')} jacks", **SYMBOLS["less"])
    if labelled:
        notes.remark("At each jack its id, its computed load in kN and the difference from the estimate.")
    notes.remark(
        "The tributary estimate gives each jack the load on the area nearest to it. The slab is stiff against the "
        "springs and shares the load otherwise: the computed load counts."
    )
    notes.y += 4.0


def _compare(ax: Axes, view: PlanView) -> None:
    """Computed against tributary loads in kN, with the band of `PART`."""
    x, y = view.schedule.tributary_loads / 1e3, view.schedule.loads["service"] / 1e3
    top = 1.08 * max(x.max(), y.max())
    ax.fill_between([0, top], [0, top * (1 - PART)], [0, top * (1 + PART)], color=FAINT, lw=0, zorder=0.5)
    ax.plot([0, top], [0, top], color=PENCIL, lw=0.7, zorder=1)
    _draw(ax, view, np.column_stack([x, y]), 0.7)
    ax.set(xlim=(min(0.0, 1.08 * x.min()), top), ylim=(min(0.0, 1.08 * y.min()), top), aspect="equal")
    ax.set_xlabel("tributary estimate, kN", fontsize=7)
    ax.set_ylabel("computed load, kN", fontsize=7)
    ax.set_title(f"Band: within {100 * PART:.0f} %", fontsize=7, color=PENCIL, pad=3)
    ax.tick_params(labelsize=6.5, length=2, width=0.5)
