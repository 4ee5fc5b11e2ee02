"""One drop in third-octave bands: levels on the three supports, and what springs and rubber take off."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from postprocess.colours import HIGH, INK, LOW, SLAB
from postprocess.drawing import DRAWING, NOTES, Box, new_sheet, text_width
from postprocess.drawing import number as fixed
from postprocess.dynamics.bands import CENTRES, LEAST_LEVEL, NOMINAL
from postprocess.dynamics.comparison_words import air_of_drop, bare_words
from postprocess.dynamics.views import DropView, DynamicsView
from postprocess.dynamics.words import AUDIBLE, amplify_words, band_runs, bay_words
from postprocess.jobs.impact_charts import (
    MARKERS,
    STYLES,
    SUPPORTS,
    close_notes,
    faint_grid,
    frame,
    key_of_supports,
    short_name,
    support,
)
from postprocess.jobs.impact_history_figure import worst_bay
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

Floats = NDArray[np.float64]

SHOWN: Final = 140.0
"""Span of levels that a chart shows at most, dB: what is lower is cut off below."""
LEFT: Final = 26.0
WIDTH: Final = 290.0
GAP: Final = 17.0
"""Between two charts: title and figures, mm."""
BARS: Final[dict[str, dict[str, Any]]] = {
    "springs": {"fc": SLAB, "ec": INK, "hatch": "////", "hatch_linewidth": 0.5, "lw": 0.8},
    "rubber": {"fc": "white", "ec": LOW, "hatch": "....", "hatch_linewidth": 0.5, "lw": 0.8},
}
WIDE: Final = 0.38
"""Width of a bar, bands."""
WORDS: Final = 7.0
"""Font of the words in a chart, points."""
FIRST_ROW: Final = 0.115
NEXT_ROW: Final = 0.115
ABOVE_LINE: Final = 0.018
"""Lines that mark bands with more force, below the lowest bar, and words above them: shares of the span of bars."""
PAPER: Final[dict[str, Any]] = {"fc": "white", "ec": "none", "pad": 0.4}


def impact_bands_figure(view: PlanView, dynamics: DynamicsView, number: int, cautions: Sequence[str]) -> Figure:
    """Sheet of the drop of index `number`: levels of force and floor velocity, and the reduction of the force."""
    drop = dynamics.drops[number]
    figure = new_sheet(view, f"Drop {number + 1}: third-octave bands", "levels and reduction dB; bands Hz")
    boxes = _boxes(3 if dynamics.bays else 2)
    levels = {name: support(drop, name).force_levels for name in SUPPORTS}
    if drop.airless is not None:
        levels["airless"] = drop.airless.force_levels
    levels_chart(boxes[0].axes(figure), levels, "Exposure level of the force into the structure, dB re 1 N²·s")
    if dynamics.bays:
        bay = worst_bay(drop)
        levels = {name: support(drop, name).velocity_levels[:, bay] for name in SUPPORTS}
        name = short_name(bay_words(dynamics.bay_names[bay]), 70.0)
        title = f"Exposure level of the floor's velocity, middle of {name}, dB re (1 nm/s)²·s"
        levels_chart(boxes[1].axes(figure), levels, title)
    reduction_chart(boxes[-1].axes(figure), drop)
    _notes(SideNotes(figure, NOTES), drop, cautions)
    return figure


def _boxes(count: int) -> list[Box]:
    pitch = DRAWING.height / count
    top = DRAWING.bottom + DRAWING.height
    return [Box(LEFT, top - (row + 1) * pitch + 10.0, WIDTH, pitch - GAP) for row in range(count)]


def levels_chart(ax: Axes, levels: dict[str, Floats], title: str) -> None:
    """Levels (24,) of each support, over the bands."""
    faint_grid(ax)
    places = np.arange(len(CENTRES))
    for name, values in levels.items():
        style = STYLES[name] | {"marker": MARKERS[name], "mfc": "white", "mec": STYLES[name]["color"], "ms": 4.2}
        ax.plot(places, np.where(values > LEAST_LEVEL, values, np.nan), gid=f"level {name}", **style)
    found = np.concatenate([values[values > LEAST_LEVEL] for values in levels.values()])
    high = float(found.max()) if len(found) else 0.0
    low = max(float(found.min()), high - SHOWN) if len(found) else -10.0
    ax.set_ylim(low - 0.05 * (high - low) - 1.0, high + 0.08 * (high - low) + 1.0)
    _name_bands(ax)
    frame(ax, "band, Hz", title)


def reduction_chart(ax: Axes, drop: DropView) -> None:
    """Bare floor less springs and less rubber; below zero, where they amplify, the bands are named in words."""
    faint_grid(ax)
    places = np.arange(len(CENTRES))
    values = {"springs": drop.reduction, "rubber": drop.rubber_reduction}
    for side, (name, each) in zip((-WIDE / 2, WIDE / 2), values.items(), strict=True):
        ax.bar(places + side, each, WIDE, gid=f"reduction {name}", zorder=2, **BARS[name])
    ax.axhline(0.0, color=INK, lw=1.4, zorder=3, gid="zero")
    both = np.concatenate(list(values.values()))
    low, high = min(0.0, float(both.min())), max(0.0, float(both.max()))
    span = max(high - low, 1.0)
    ax.set_ylim(low - (FIRST_ROW + NEXT_ROW + 0.04) * span, high + 0.06 * span)
    _name_bands(ax)
    _amplified(ax, values, low, span)
    frame(ax, "band, Hz", "Reduction of the force: bare floor less springs, bare floor less rubber, dB")


def _amplified(ax: Axes, values: dict[str, Floats], low: float, span: float) -> None:
    """Brackets below the bars, a row each for springs and rubber, with words above the first, never past the frame."""
    for row, (name, each) in enumerate(values.items()):
        runs = band_runs(each < -AUDIBLE)
        y = low - (FIRST_ROW + NEXT_ROW * row) * span
        for first, last in runs:
            ax.plot([first - 0.5, last + 0.5], [y, y], color=HIGH, lw=2.0, solid_capstyle="butt", gid="amplify")
        if runs:
            verb = f"{name} amplif{'y' if name == 'springs' else 'ies'}"
            words = f"{verb}, by {fixed(float(-each.min()), 1)} dB at most"
            room = len(CENTRES) - 0.5 - text_width(words, WORDS) * len(CENTRES) / WIDTH
            place = min(runs[0][0] - 0.5, room)
            style: dict[str, Any] = {"fontsize": WORDS, "color": INK, "bbox": PAPER, "zorder": 2.5}
            ax.text(place, y + ABOVE_LINE * span, words, ha="left", va="bottom", gid="amplify words", **style)


def _name_bands(ax: Axes) -> None:
    ax.set_xticks(np.arange(len(CENTRES)), NOMINAL)
    ax.set_xlim(-0.7, len(CENTRES) - 0.3)


def _notes(notes: SideNotes, drop: DropView, cautions: Sequence[str]) -> None:
    notes.heading(drop.name)
    notes.line(f"{drop.mass:.4g} kg from {1e3 * drop.height:.0f} mm.")
    notes.heading("Levels")
    key_of_supports(notes, SUPPORTS if drop.airless is None else (*SUPPORTS, "airless"), markers=True)
    notes.remark("Energy of the whole event in the band. A band without a mark holds nothing that can be shown.")
    notes.heading("Reduction")
    notes.swatch("springs against the bare floor", **BARS["springs"])
    notes.swatch("rubber against the bare floor", **BARS["rubber"])
    notes.stroke("bands below zero: more than on the bare floor", color=HIGH, lw=2.0)
    notes.remark("Above the zero line less goes into the structure than on the bare floor, below it more.")
    for words in amplify_words(drop):
        notes.line(words)
    for words in (*air_of_drop(drop), *bare_words(drop)):
        notes.line(words)
    close_notes(notes, drop.assumed, cautions)
