"""At most three pictures of the floor in motion: the worst drop over time and by bands, and forces passed on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, Literal

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from postprocess.colours import FAINT, INK
from postprocess.drawing import Box
from postprocess.dynamics.bands import NOMINAL
from postprocess.dynamics.views import DropView, DynamicsView, TransmissibilityView
from postprocess.jobs.impact_charts import NAMES, STYLES, SUPPORTS, draw_history, support
from postprocess.report.model import Picture
from postprocess.report.paper import WIDTH, new_figure, picture
from postprocess.svg import drawing_settings

TALL: Final = 70.0
LAST: Final = 0.6
"""Time of the history, s."""
BARS: Final = {"springs": -0.2, "rubber": 0.2}


def motion_pictures(motion: DynamicsView) -> Iterator[Picture]:
    """The drop that sends most force into the structure, if any drops; and what springs pass on of a steady force."""
    if motion.drops:
        worst = max(motion.drops, key=lambda drop: drop.springs.peak_force)
        yield history_picture(worst)
        yield band_picture(worst)
    yield passing_picture(motion.transmissibility)


def history_picture(drop: DropView) -> Picture:
    """Force into the structure on springs, on rubber and on the bare floor."""
    figure, ax = _chart("time from the first touch, ms", "force into the structure, kN")
    until = min(LAST, float(drop.time[-1]))
    with drawing_settings():
        for name in ("bare", "rubber", *(() if drop.airless is None else ("airless",)), "springs"):
            each = support(drop, name)
            draw_history(ax, each.time, each.force / 1e3, until, label=NAMES[name], **STYLES[name])
    top = 1.1 * max(drop.springs.peak_force, drop.rubber.peak_force) / 1e3
    ax.set(xlim=(0, 1e3 * until), ylim=(min(-0.25 * top, 1.1 * float(drop.springs.force.min()) / 1e3), top))
    _legend(ax)
    peaks = ", ".join(f"{support(drop, name).peak_force / 1e3:.1f} kN {NAMES[name]}" for name in SUPPORTS)
    caption = (
        f"{drop.name}: force into the structure over time, without the static load. Peaks: {peaks}; what is higher "
        "than the chart is cut off."
    )
    return picture(figure, "drop-history", caption, f"Peaks of the force: {peaks}.")


def band_picture(drop: DropView) -> Picture:
    """Reduction of the force in third-octave bands, springs and rubber against the bare floor."""
    figure, ax = _chart("third-octave band, Hz", "reduction of the force, dB")
    places = np.arange(len(NOMINAL))
    for name, values in (("springs", drop.reduction), ("rubber", drop.rubber_reduction)):
        ax.bar(places + BARS[name], values, 0.38, fc=STYLES[name]["color"], ec=INK, lw=0.3, label=NAMES[name])
    ax.axhline(0.0, color=INK, lw=0.8)
    ax.set_xticks(places, NOMINAL, rotation=90)
    ax.set_xlim(-0.7, len(places) - 0.3)
    _legend(ax, "lower right")
    caption = f"{drop.name}: bare floor less springs, and bare floor less rubber; below zero they amplify."
    best, worst = int(drop.reduction.argmax()), int(drop.reduction.argmin())
    words = (
        f"Springs reduce the force by up to {drop.reduction[best]:.0f} dB at {NOMINAL[best]} Hz; the least is "
        f"{drop.reduction[worst]:.0f} dB at {NOMINAL[worst]} Hz."
    )
    return picture(figure, "drop-bands", caption, words)


def passing_picture(curves: TransmissibilityView) -> Picture:
    """Net force into the structure over a steady force, the mean in energy over the points looked at."""
    figure, ax = _chart("frequency, Hz", "force passed on / force")
    lines = [("springs", curves.springs), ("rubber", curves.rubber)]
    if curves.airless is not None:
        lines.append(("airless", curves.airless))
    for name, values in lines:
        mean = np.sqrt(np.mean(np.abs(values) ** 2, axis=0))
        ax.plot(curves.frequencies, mean, label=NAMES[name], **STYLES[name])
    ax.axhline(1.0, color=INK, lw=0.5)
    ax.set(xscale="log", yscale="log", xlim=(curves.frequencies[0], curves.frequencies[-1]))
    ax.minorticks_off()
    ax.xaxis.set_major_formatter("{x:g}")
    ax.yaxis.set_major_formatter("{x:g}")
    _legend(ax)
    points = ", ".join(curves.names)
    caption = f"What is passed on of a steady force (mean in energy over {points}); above 1 it is amplified."
    return picture(figure, "passed-on", caption, caption)


def _chart(along: str, up: str) -> tuple[Figure, Axes]:
    figure = new_figure(WIDTH, TALL)
    ax = Box(18.0, 14.0, WIDTH - 22.0, TALL - 18.0).axes(figure)
    ax.grid(color=FAINT, lw=0.4)
    ax.set_axisbelow(True)
    ax.tick_params(labelsize=6.5, length=2, width=0.5)
    ax.set_xlabel(along, fontsize=7, labelpad=2)
    ax.set_ylabel(up, fontsize=7, labelpad=2)
    return figure, ax


def _legend(ax: Axes, place: Literal["upper right", "lower right"] = "upper right") -> None:
    ax.legend(fontsize=7, frameon=True, framealpha=0.9, edgecolor=FAINT, loc=place)
