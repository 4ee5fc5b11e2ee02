"""Plan of the floor: jacks with service load ratio and status, and what stands on the slab."""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from postprocess.colours import HIGH, INK, LOW
from postprocess.drawing import NOTES, PLAN, new_sheet, plan_axes
from postprocess.jack_labels import COMFORTABLE, fitted, label_jacks
from postprocess.plan_items import draw_items, list_items, tag_items
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

SYMBOLS: dict[str, dict[str, Any]] = {
    "under": {"marker": "v", "mfc": LOW, "mec": INK, "mew": 0.7, "ms": 8},
    "ok": {"marker": "o", "mfc": "white", "mec": INK, "mew": 0.9, "ms": 7},
    "over": {"marker": "^", "mfc": HIGH, "mec": INK, "mew": 0.7, "ms": 8},
}


def plan_figure(view: PlanView) -> Figure:
    """Sheet with jacks (id, service load over rated load, status, spring) and all that stands on the slab."""
    figure = new_sheet(view, "Plan of jacks, springs and loads", "plan m; load ratio: service load / rated load")
    ax = plan_axes(figure, PLAN, view, fill=True)
    labels, size, contents = _labels(view, ax)
    draw_items(ax, view)
    _draw_symbols(ax, view, min(1.0, size / COMFORTABLE) if size else 0.4)
    tag_items(ax, view, label_jacks(ax, view, labels, size) if size else np.zeros((0, 4)))
    notes = SideNotes(figure, NOTES)
    _jack_notes(notes, view, contents)
    list_items(notes, view)
    return figure


def _labels(view: PlanView, ax: Axes) -> tuple[list[str], float, str]:
    """Labels of the jacks, their size (0 for none) and what they say in words."""
    schedule = view.schedule
    rows = zip(schedule.ids, schedule.load_ratio("service"), schedule.status, strict=True)
    plain = [f"{name}\n{ratio:.2f}" + ("" if status == "ok" else f" {status}") for name, ratio, status in rows]
    full = [f"{label}\n{spring}" for label, spring in zip(plain, schedule.springs, strict=True)]
    labels, size = fitted(view, full, ax)
    words = "At each jack its id, its load ratio and its spring."
    if not size:
        labels, size = fitted(view, plain, ax)
        words = "At each jack its id and its load ratio; its spring: see the jack schedule."
    if not size:
        words = "Ids, ratios and springs: see the jack schedule."
    elif labels not in (full, plain):
        words += " Words with … are in full in the jack schedule."
    return labels, size, words


def _draw_symbols(ax: Axes, view: PlanView, share: float) -> None:
    """Each jack by the symbol of its status, at `share` of the full size."""
    status = np.array(view.schedule.status)
    for name, symbol in SYMBOLS.items():
        x, y = view.schedule.xy[status == name].T
        ax.plot(x, y, ls="none", zorder=4, **symbol | {"ms": symbol["ms"] * share})


def _jack_notes(notes: SideNotes, view: PlanView, contents: str) -> None:
    schedule = view.schedule
    low, high = schedule.band
    count = Counter(schedule.status)
    notes.heading(f"Jacks: {len(schedule)}")
    notes.marker(f"ok: {count['ok']} with service load ratio {low:.2f} to {high:.2f}", **SYMBOLS["ok"])
    notes.marker(f"under: {count['under']} below {low:.2f}", **SYMBOLS["under"])
    notes.marker(f"over: {count['over']} above {high:.2f}", **SYMBOLS["over"])
    notes.remark(contents)
    notes.heading("Springs")
    for spring, number in Counter(schedule.springs).most_common(12):
        i = schedule.springs.index(spring)
        rate, rated = schedule.rates[i] / 1e3, schedule.rated_loads[i] / 1e3
        notes.line(f"{spring}: {number} jacks, {rate:.0f} N/mm, rated load {rated:.2f} kN")
    housing = view.footprint * 1e3
    notes.remark(f"Slab {view.thickness * 1e3:.0f} mm thick, jack housings {housing:.0f} mm in diameter.")
