"""The drawing of a choice of springs: spring and load ratio at each jack, ratios against the band, what to buy."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from postprocess.colours import FAINT, INK, PENCIL
from postprocess.drawing import NOTES, PLAN, Box, new_sheet, number, plan_axes
from postprocess.jack_labels import label_jacks
from postprocess.jobs.marks import RING, draw_status, most_that_fits, ratio_words, sized, symbol_share
from postprocess.jobs.table import PITCH, Column, note_table, write_lines
from postprocess.jobs.views import ChoiceView
from postprocess.plan_figure import SYMBOLS
from postprocess.schedule import JackSchedule
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

Floats = NDArray[np.float64]

CHART = 44.0
"""Height of the chart of load ratios, mm."""
BUYING = (
    *(Column("Coil", 20.0), Column("N/mm", 12.0, True), Column("rated kN", 15.0, True)),
    *(Column("jacks", 11.0, True), Column("spares", 12.0, True), Column("total", 11.0, True)),
)
COILS = 8
"""Kinds of coil for which room is kept below what is not met."""
LEFT_OUT = 3 * PITCH
"""Kept free below the list of coils, mm."""


def choice_figure(view: PlanView, choice: ChoiceView) -> Figure:
    """Sheet with the spring of each jack, and what the choice comes to beside the plan."""
    figure = new_sheet(view, "Choice of springs", "plan m; load ratio: service load / rated load")
    ax = plan_axes(figure, PLAN, view, fill=True)
    labels, size, contents = _labels(view, ax)
    share = symbol_share(size)
    draw_status(ax, view.schedule.xy, view.schedule.status, share)
    pairs = np.array([len(coils) == 2 for coils in choice.coils])
    ax.plot(*view.schedule.xy[pairs].T, ls="none", zorder=4.1, gid="pairs", **sized(RING, share))
    if size:
        label_jacks(ax, replace(view, items=()), labels, size)
    notes = SideNotes(figure, NOTES)
    _key(notes, view.schedule, int(pairs.sum()), contents)
    _outcome(notes, view.schedule, choice)
    _chart(notes, view.schedule)
    if choice.shortfalls:
        notes.heading("NOT MET: no choice of springs works")
        table = (min(len(choice.buying), COILS) + 2) * PITCH + LEFT_OUT + 9.0
        write_lines(notes, choice.shortfalls, "in the results file", keep=table)
    _buying(notes, choice)
    return figure


def _labels(view: PlanView, ax: Axes) -> tuple[list[str], float, str]:
    schedule = view.schedule
    rows = list(zip(schedule.ids, schedule.load_ratio("service"), schedule.status, schedule.springs, strict=True))
    ratios = [ratio_words(ratio, schedule.band) + ("" if good == "ok" else f" {good}") for _, ratio, good, _ in rows]
    full = [f"{name}\n{spring}\n{ratio}" for (name, _, _, spring), ratio in zip(rows, ratios, strict=True)]
    plain = [f"{name}\n{spring}" for name, _, _, spring in rows]
    return most_that_fits(
        view,
        ax,
        [
            (full, "At each jack its id, its spring and its load ratio."),
            (plain, "At each jack its id and its spring; its load ratio is in the jack schedule."),
        ],
        "Ids, springs and ratios of all jacks are in the jack schedule.",
    )


def _key(notes: SideNotes, schedule: JackSchedule, pairs: int, contents: str) -> None:
    low, high = schedule.band
    count = Counter(schedule.status)
    notes.heading(f"Jacks: {len(schedule)}")
    notes.marker(f"ok: {count['ok']} with service load ratio {low:.2f} to {high:.2f}", **SYMBOLS["ok"])
    for name, words in (("under", f"below {low:.2f}"), ("over", f"above {high:.2f}")):
        if count[name]:
            notes.marker(f"{name}: {count[name]} {words}", **SYMBOLS[name])
    if pairs:
        notes.axes.plot(4.0, notes.y + 1.3, **SYMBOLS["ok"] | {"ms": 5})
        notes.marker(f"ring around the symbol: {pairs} with a nested pair", **RING | {"ms": 8})
    notes.remark(contents)


def _outcome(notes: SideNotes, schedule: JackSchedule, choice: ChoiceView) -> None:
    """Frequency, deflections, travel to solid and number of types, each against what is asked for."""
    notes.heading("What the choice comes to")
    target, found = choice.target_frequency, choice.heave_frequency
    asked = "no target given" if target is None else f"target at most {target:.2f} Hz: {met(found <= target)}"
    notes.line(f"Heave frequency {found:.2f} Hz; {asked}.")
    notes.line(deflection_words(1e3 * schedule.compression("service")))
    reserve = schedule.solid_reserve("full")
    least = int(np.argmin(reserve))
    asked = f"at least {1e3 * choice.solid_reserve:.1f} mm asked for: {met(reserve[least] >= choice.solid_reserve)}"
    travel = number(1e3 * float(reserve[least]), 1)
    notes.line(f"Least travel to solid, full state: {travel} mm at jack {schedule.ids[least]}; {asked}.")
    types = len(set(schedule.springs))
    most = choice.most_types
    asked = "no limit given" if most is None else f"at most {most} asked for: {met(types <= most)}"
    notes.line(f"Different springs and pairs: {types}; {asked}.")


def met(ok: bool | np.bool_) -> str:
    """The verdict in words."""
    return "met" if ok else "NOT MET"


def deflection_words(compression: Floats) -> str:
    """Range of the springs' deflections, mm, and how even they are."""
    mean = float(compression.mean())
    spread = f", standard deviation {100 * compression.std() / mean:.1f} % of the mean" if mean > 0 else ""
    reach = f"{compression.min():.1f} to {compression.max():.1f} mm"
    return f"Springs deflect by {reach} in service, mean {mean:.1f} mm{spread}."


def _chart(notes: SideNotes, schedule: JackSchedule) -> None:
    """Load ratios of all jacks from the smallest to the largest, against the band."""
    ratio = schedule.load_ratio("service")
    order = np.argsort(ratio, kind="stable")
    low, high = schedule.band
    notes.y += 6.0
    bottom = notes.box.bottom + notes.room - CHART
    ax = Box(notes.box.left + 11.0, bottom, notes.box.width - 14.0, CHART).axes(notes.figure)
    places = np.column_stack([np.arange(1.0, len(ratio) + 1), ratio[order]])
    ax.axhspan(low, high, color=FAINT, lw=0, zorder=0.5, gid="band")
    for edge in (low, high):
        ax.axhline(edge, color=PENCIL, lw=0.7, zorder=1)
    draw_status(ax, places, [schedule.status[jack] for jack in order], 0.55 if len(ratio) <= 100 else 0.35)
    reach = max(high, float(ratio.max())), min(low, float(ratio.min()))
    air = 0.15 * (reach[0] - reach[1])
    ax.set(xlim=(0, len(ratio) + 1), ylim=(reach[1] - air, reach[0] + air))
    ax.set_title(f"Load ratios, smallest first; grey band {low:.2f} to {high:.2f}", fontsize=7, color=INK, pad=3)
    ax.tick_params(labelsize=6.5, length=2, width=0.5)
    ax.xaxis.set_major_locator(MaxNLocator(integer=True))
    ax.set_xlabel("jacks in this order", fontsize=6.5, labelpad=1)
    notes.y += CHART + 7.0


def _buying(notes: SideNotes, choice: ChoiceView) -> None:
    """The list of coils as far as there is room, with its sum."""
    notes.heading("Coils to buy")
    fits = max(0, int((notes.room - LEFT_OUT) / PITCH) - 2)
    rows = [
        (row.coil, f"{row.rate / 1e3:.4g}", f"{row.rated_load / 1e3:.2f}", *counts)
        for row in choice.buying
        if (counts := (str(row.under_jacks), str(row.spares), str(row.total)))
    ]
    under, spares = (sum(getattr(row, name) for row in choice.buying) for name in ("under_jacks", "spares"))
    note_table(notes, BUYING, [*rows[:fits], ("All", "", "", str(under), str(spares), str(under + spares))])
    if len(rows) > fits:
        notes.line(f"and {len(rows) - fits} kinds more in the buying list")
