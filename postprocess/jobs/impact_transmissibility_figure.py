"""How much of a steady force gets into the structure, and at which frequencies groups and machines push."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from postprocess.colours import FAINT, HIGH, INK, LOW, PENCIL
from postprocess.drawing import DRAWING, NOTES, Box, new_sheet
from postprocess.dynamics.comparison_words import air_words
from postprocess.dynamics.dangers import ranked
from postprocess.dynamics.views import DynamicsView, SteadyView
from postprocess.dynamics.words import COILS
from postprocess.jobs.impact_charts import close_notes, closing_room, faint_grid, frame, short_name
from postprocess.jobs.table import write_lines
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

POINTS: Final = 5
"""Points on a sheet: more lines could not be told apart."""
MARKERS: Final = ("o", "s", "^", "D", "v")
EVERY: Final = 12
"""Marks on a line."""
HARMONICS: Final = 3
"""Of the weight of people who jump."""
ROW: Final = 7.2
"""Height of the row of a group or machine below the curves, mm."""
ROWS: Final = 10
OTHERS: Final = 45.0
"""Height of the notes below the stop signs, without cautions, mm."""
LEFT: Final = 28.0
WIDTH: Final = 288.0
COLOURS: Final = (INK, LOW, HIGH, "#4b8a3f", "#8a4f9e")
"""Of the points; black, blue, ochre, green and violet of different lightness, told apart by their marks as well."""
SPRINGS: Final[dict[str, Any]] = {"lw": 1.4, "ls": "-", "zorder": 3}
AIRLESS: Final[dict[str, Any]] = {"lw": 0.5, "ls": "-", "zorder": 2.8}
RUBBER: Final[dict[str, Any]] = {"lw": 0.9, "zorder": 2.9}
DASHES: Final = ((5, 1.6), (3, 1.2), (8, 2), (6, 1.4, 1.4, 1.4), (2, 1))
"""Of the rubber's lines of the points, in widths of the line."""
UNITY: Final[dict[str, Any]] = {"color": PENCIL, "lw": 2.0}


def transmissibility_sheets(dynamics: DynamicsView) -> int:
    """Number of sheets that the points take."""
    return max(1, -(-len(dynamics.transmissibility.names) // POINTS))


def transmissibility_figure(view: PlanView, dynamics: DynamicsView, cautions: Sequence[str], sheet: int = 0) -> Figure:
    """One sheet: curves on springs and on rubber of some points, and what pushes at which frequency below them."""
    sheets = transmissibility_sheets(dynamics)
    part = f", sheet {sheet + 1} of {sheets}" if sheets > 1 else ""
    figure = new_sheet(view, f"Steady forces: transmissibility{part}", "ratio of forces, without unit; frequency Hz")
    chosen = range(len(dynamics.transmissibility.names))[sheet * POINTS : (sheet + 1) * POINTS]
    rows = ranked(dynamics.steady)[:ROWS]
    below = 9.0 + (ROW * len(rows) + 8.0 if rows else 0.0)
    ax = Box(LEFT, DRAWING.bottom + below, WIDTH, DRAWING.height - below - 6.0).axes(figure)
    _curves(ax, dynamics, chosen)
    for each in rows:
        for _, low, high in spans(each):
            ax.axvspan(low, high, color=FAINT, alpha=0.35, lw=0, zorder=0.3)
    if rows:
        _pushing(Box(LEFT, DRAWING.bottom + 3.0, WIDTH, ROW * len(rows)).axes(figure), rows, ax.get_xlim())
    _notes(SideNotes(figure, NOTES), dynamics, chosen, cautions)
    return figure


def spans(each: SteadyView) -> list[tuple[int, float, float]]:
    """Harmonics and their lowest and highest frequency, Hz: three of a group, one of a machine."""
    low, high = float(each.rates.min()), float(each.rates.max())
    count = HARMONICS if each.kind == "group" else 1
    return [(harmonic, harmonic * low, harmonic * high) for harmonic in range(1, count + 1)]


def _curves(ax: Axes, dynamics: DynamicsView, chosen: Sequence[int]) -> None:
    """A colour and a mark a point; springs solid, without air thin, rubber dashed."""
    curves = dynamics.transmissibility
    every = max(1, len(curves.frequencies) // EVERY)
    for place, point in enumerate(chosen):
        start = (place * every) // POINTS
        mark = {"marker": MARKERS[place], "markevery": (start, every), "mfc": "white", "ms": 4.2, "mew": 0.8}
        rubber = RUBBER | {"ls": (0, DASHES[place])}
        lines = [("springs", curves.springs, SPRINGS | mark), ("rubber", curves.rubber, rubber | mark)]
        lines += [] if curves.airless is None else [("airless", curves.airless, AIRLESS)]
        for name, values, style in lines:
            ax.plot(curves.frequencies, values[point], color=COLOURS[place], gid=f"{name} {point}", **style)
    ax.axhline(1.0, zorder=2, gid="one", **UNITY)
    ax.set(xscale="log", yscale="log", xlim=(curves.frequencies[0], curves.frequencies[-1]))
    _decades(ax)
    faint_grid(ax)
    ticks = [f for f in (0.5, 1, 2, 5, 10, 20, 50, 100) if ax.get_xlim()[0] <= f <= ax.get_xlim()[1]]
    ax.set_xticks(ticks, [f"{tick:g}" for tick in ticks])
    ax.minorticks_off()
    frame(ax, "frequency, Hz", "Net force into the structure over the force that pushes; line at 1: all of it")


def _decades(ax: Axes) -> None:
    """Powers of ten from below the lowest to above the highest value, named as plain numbers."""
    low, high = ax.dataLim.y0, ax.dataLim.y1
    first, last = int(np.floor(np.log10(low))), int(np.ceil(np.log10(high)))
    first = max(first, last - 8)
    powers = range(first, last + 1)
    ax.set_ylim(10.0**first, 10.0**last)
    ax.set_yticks([10.0**power for power in powers], [f"{10.0**power:g}" for power in powers])


def _pushing(ax: Axes, rows: Sequence[SteadyView], limits: tuple[float, float]) -> None:
    """A row for each group or machine with the frequencies of its harmonics, on the scale of the curves."""
    ax.set(xscale="log", xlim=limits, ylim=(len(rows), 0))
    ax.axis("off")
    for row, each in enumerate(rows):
        found = spans(each)
        for harmonic, low, high in found:
            left, right = max(low, limits[0]), min(high, limits[1])
            if left < right:
                y = row + (0.5 if len(found) == 1 else harmonic / (HARMONICS + 1))
                ax.plot([left, right], [y, y], color=INK, lw=1.8, solid_capstyle="butt", gid="push")
        _name(ax, row, each, limits)


def _name(ax: Axes, row: int, each: SteadyView, limits: tuple[float, float]) -> None:
    """The name of a row on the side of its bars that has more room."""
    first, last = max(spans(each)[0][1], limits[0]), min(spans(each)[-1][2], limits[1])
    mm = WIDTH / float(np.log(limits[1] / limits[0]))
    before, after = mm * float(np.log(first / limits[0])), mm * float(np.log(limits[1] / last))
    words = short_name(each.name, max(before, after) - 6.0, 6.5)
    style: dict[str, Any] = {"va": "center", "fontsize": 6.5, "color": INK, "parse_math": False}
    place, side = (last * 1.02, "left") if after >= before else (first / 1.05, "right")
    ax.text(place, row + 0.5, words, ha=side, **style)


def _notes(notes: SideNotes, dynamics: DynamicsView, chosen: Sequence[int], cautions: Sequence[str]) -> None:
    notes.heading("Where the force pushes")
    for place, point in enumerate(chosen):
        style = {"marker": MARKERS[place], "mfc": "white", "mec": COLOURS[place], "ms": 5, "mew": 1.4}
        notes.marker(dynamics.transmissibility.names[point], **style)
    notes.heading("Lines, in the colour of their point")
    notes.stroke("on springs", color=INK, **SPRINGS)
    if dynamics.transmissibility.airless is not None:
        notes.stroke("on springs without the air", color=INK, **AIRLESS)
    notes.stroke("on the rubber layer", color=INK, ls=(0, DASHES[0]), **RUBBER)
    notes.stroke("above this line the structure gets more than what pushes", **UNITY)
    if dynamics.steady:
        notes.heading("Groups and machines")
        notes.remark("Bars below: frequencies at which each pushes, of people their first three harmonics; grey above.")
        if len(dynamics.steady) > ROWS:
            notes.line(f"and {len(dynamics.steady) - ROWS} more, see dynamics.json")
        stops = [f"STOP {each.name}: {words}" for each in ranked(dynamics.steady) for words in each.meets]
        keep = closing_room(notes, (), cautions) + OTHERS
        write_lines(notes, stops, "see the sheets of groups and machines", keep=keep)
    if dynamics.transmissibility.airless is not None:
        notes.heading("Air")
        notes.line(air_words(dynamics))
    notes.heading("What the curves leave out")
    notes.line(COILS)
    close_notes(notes, (), cautions)
