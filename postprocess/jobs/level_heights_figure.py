"""Heights before and after the turns and in service, on plans and against the limits."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from postprocess.colours import FAINT, INK, SIGNED
from postprocess.drawing import NOTES, PLAN, Box, draw_datum, new_sheet, number, panels, plan_axes
from postprocess.jack_labels import LABELLED, shortened
from postprocess.jobs.level_words import limit_words, one_survey_words, rise_words, state_words
from postprocess.jobs.lift_charts import finish
from postprocess.jobs.lift_words import mm
from postprocess.jobs.marks import label_some, symbol_share, view_of
from postprocess.jobs.table import write_lines
from postprocess.level.views import LevelView
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

Floats = NDArray[np.float64]

SHAPES: Final = (("above", "^"), ("within", "o"), ("below", "v"))
"""Against the limit on the departure from level."""
POINT: Final[dict[str, Any]] = {"marker": "s", "mec": INK, "mew": 0.4, "ms": 3.4}
NEAR: Final = 0.05
"""Points of the survey that are nearer to a jack than this are shown by the jack, m."""
LONGEST: Final = 8
"""Characters of an id below the chart."""
NAMED: Final = 90
"""Jacks up to which the chart has their ids."""
SERIES: Final[tuple[tuple[str, dict[str, Any]], ...]] = (
    ("before", {"marker": "o", "mfc": "white"}),
    ("after", {"marker": "o", "mfc": INK}),
    ("judged", {"marker": "x"}),
)


@dataclass(frozen=True, eq=False)
class _State:
    """What one plan shows. heights: (n,) at the jacks, points: (q,) or none at the points of the survey, m.

    judged: whether the limits hold for the slab in this state.
    """

    title: str
    heights: Floats
    points: Floats
    judged: bool


def level_heights_figure(view: PlanView, level: LevelView) -> Figure:
    """Sheet with three plans in one scale of colours, a value at each jack where there is room, and a chart."""
    figure = new_sheet(view, "Levelling: heights before, after and in service", "plan m; heights mm, up positive")
    surveyed, same = state_words(level.state_surveyed), level.state_surveyed == level.state_level
    states = (
        _State(f"Before the turns, {surveyed}", level.heights_before, level.points_before, same),
        _State(f"After the turns, {surveyed}", level.heights_after, level.points_after, same),
        _State(f"After the turns, {state_words(level.state_level)}", level.heights_service, np.zeros(0), True),
    )
    greatest = max(1e-6, *(float(np.abs([*each.heights, *each.points]).max()) for each in states))
    locator = MaxNLocator(8, steps=[1, 2, 2.5, 5, 10], symmetric=True)
    ticks = np.asarray(locator.tick_values(-1e3 * greatest, 1e3 * greatest))
    colours = ScalarMappable(Normalize(ticks[0], ticks[-1]), SIGNED)
    *boxes, last = panels(view, 4, PLAN)
    labelled = [
        _panel(plan_axes(figure, box, view, to_scale=False), view, level, each, colours)
        for box, each in zip(boxes, states, strict=True)
    ]
    chart = Box(last.left + 13.0, last.bottom + 18.0, last.width - 17.0, last.height - 30.0)
    _chart(chart.axes(figure), view, level)
    _notes(
        SideNotes(figure, NOTES),
        level,
        (colours, ticks),
        labelled=all(labelled),
        others=bool(_others(view, level).any()),
    )
    return figure


def against_limit(heights: Floats, limit: float) -> tuple[str, ...]:
    """(n,) "above", "within" or "below"."""
    return tuple("above" if h > limit else "below" if h < -limit else "within" for h in heights)


def _others(view: PlanView, level: LevelView) -> NDArray[np.bool_]:
    """(q,) which points of the survey are not shown by a jack."""
    return np.asarray(cKDTree(view.schedule.xy).query(level.points_xy)[0] > NEAR)


def _panel(ax: Axes, view: PlanView, level: LevelView, state: _State, colours: ScalarMappable) -> bool:
    """Jacks by shape and colour, each with its height where there is room; returns whether there is."""
    schedule = view.schedule
    draw_datum(ax, view.plan)
    if len(state.points):
        others = _others(view, level)
        fills = colours.to_rgba(1e3 * state.points[others])
        for place, fill in zip(level.points_xy[others], fills, strict=True):
            ax.plot(*place, ls="none", zorder=3.5, mfc=fill, gid="point", **POINT)
    part = view_of(view, np.arange(len(schedule)), ax)
    labels = [mm(height) for height in state.heights]
    _, size, _ = label_some(ax, part, [(labels, "")], "") if len(schedule) <= LABELLED else ((), 0.0, "")
    share, kinds = max(0.5, symbol_share(size)), _kinds(state, level)
    fills = colours.to_rgba(1e3 * state.heights)
    for kind, marker in SHAPES:
        chosen = kinds == kind
        if chosen.any():
            extent = (7.5 * share) ** 2
            style: dict[str, Any] = {"marker": marker, "s": extent, "c": fills[chosen], "edgecolors": INK, "lw": 0.6}
            ax.scatter(*schedule.xy[chosen].T, zorder=4, gid=kind, **style)
    ax.set(xlabel="", ylabel="")
    low, high = mm(state.heights.min()), mm(state.heights.max())
    ax.set_title(f"{state.title}: {low} to {high} mm", fontsize=7.5, color=INK, pad=3)
    return size > 0


def _kinds(state: _State, level: LevelView) -> NDArray[np.str_]:
    """(n,) against the limit where it holds for the state, else "within" for all: a plain circle."""
    kinds = against_limit(state.heights, level.overall_limit)
    return np.array(kinds if state.judged else ("within",) * len(kinds))


def _chart(ax: Axes, view: PlanView, level: LevelView) -> None:
    """Heights of all jacks in the three states against the limit, those that lay lowest first."""
    order = np.argsort(level.heights_before, kind="stable")
    place, limit = np.arange(len(order)), 1e3 * level.overall_limit
    ax.axhspan(-limit, limit, color=FAINT, lw=0, zorder=0.5, gid="limit")
    for (words, marker), heights in zip(
        SERIES, (level.heights_before, level.heights_after, level.heights_service), strict=True
    ):
        style: dict[str, Any] = {"mec": INK, "mew": 0.7, "ms": min(3.6, 320 / len(order))} | marker
        ax.plot(place, 1e3 * heights[order], ls="none", zorder=3, label=words, **style)
    low, high = ax.get_ylim()
    ax.set(xlim=(-1, len(order)), ylim=(min(low, -1.1 * limit), max(high, 1.1 * limit) + 0.12 * (high - low)))
    ax.legend(fontsize=6.5, frameon=False, ncols=3, loc="upper left", borderpad=0.1, handletextpad=0.2)
    along = "jacks, those that lay lowest first"
    if len(order) <= NAMED:
        names = [shortened(view.schedule.ids[jack], LONGEST) for jack in order]
        ax.set_xticks(place, names, rotation=90, parse_math=False)
        along = ""
    else:
        ax.set_xticks([])
    judged = state_words(level.state_level)
    finish(ax, along, f"Heights at the jacks, mm; shaded: limit of {number(limit, 1)} mm, which holds {judged}")
    ax.tick_params(axis="x", labelsize=min(6.0, 370 / len(order)) if len(order) <= NAMED else 6.0)


def _notes(
    notes: SideNotes, level: LevelView, scale: tuple[ScalarMappable, Floats], *, labelled: bool, others: bool
) -> None:
    limit = mm(level.overall_limit)
    notes.heading("Height above the mean level aimed at")
    notes.colour_bar(scale[0], "mm, up positive; the same scale for all plans", scale[1])
    style: dict[str, Any] = {"mfc": "white", "mec": INK, "mew": 0.7, "ms": 6}
    state = state_words(level.state_level)
    kinds = against_limit(level.heights_service, level.overall_limit)
    for kind, marker in SHAPES:
        words = f"within {limit} mm" if kind == "within" else f"more than {limit} mm {kind}"
        notes.marker(f"jack {words}: {kinds.count(kind)} after the turns, {state}", marker=marker, **style)
    if level.state_surveyed != level.state_level:
        notes.remark(f"The limits hold for the slab {state}: in the other plans all jacks are circles.")
    if others:
        notes.marker("other point of the survey", mfc="white", **POINT)
    notes.remark("At each jack its height in mm." if labelled else "Heights at the jacks: see the table.")
    notes.heading("Against the limits")
    for words in (*limit_words(level), rise_words(level), *one_survey_words(level)):
        notes.line(words)
    notes.heading("What can and cannot be reached")
    notes.line(level.reach)
    if level.notes:
        notes.heading("What to know")
        write_lines(notes, level.notes, "in the results file", keep=6.0)
