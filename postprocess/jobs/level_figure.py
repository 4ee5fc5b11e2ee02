"""The turns that bring a slab level, on the plan."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from postprocess.colours import HIGH, INK, LOW
from postprocess.drawing import NOTES, PLAN, new_sheet, plan_axes
from postprocess.jack_labels import LABELLED
from postprocess.jobs.level_words import all_met, gap_words, limit_words, one_survey_words, rise_words, summary
from postprocess.jobs.lift_words import mm, quarter_words
from postprocess.jobs.marks import DOT, draw_dots, label_some, sized, symbol_share, view_of
from postprocess.jobs.table import write_lines
from postprocess.level.views import LevelView
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

UP: Final[dict[str, Any]] = {"marker": "^", "mfc": HIGH, "mec": INK, "mew": 0.7, "ms": 9}
DOWN: Final[dict[str, Any]] = {"marker": "v", "mfc": LOW, "mec": INK, "mew": 0.7, "ms": 9}
LEAST: Final = 0.6
"""Size of arrows, at least, over the full size."""


def level_figure(view: PlanView, level: LevelView) -> Figure:
    """Sheet with the jacks to turn, up or down by shape and words, and what is reached by it."""
    figure = new_sheet(view, "Levelling: turns at the jacks", "plan m; turns, up: the slab goes up")
    ax = plan_axes(figure, PLAN, view, fill=True)
    contents = _draw_turns(ax, view, level)
    notes = SideNotes(figure, NOTES)
    touched = int((level.quarter_turns != 0).sum())
    notes.heading(f"Jacks to turn: {touched} of {len(level.quarter_turns)}")
    notes.line(summary(level))
    notes.marker("up: turn so that the slab goes up here", **UP)
    notes.marker("down: turn so that the slab goes down here", **DOWN)
    notes.marker("leave as it is", **DOT)
    if contents:
        notes.remark(contents)
    notes.heading("Level after these turns" if all_met(level) else "NOT MET after these turns")
    for words in (*limit_words(level), rise_words(level), *one_survey_words(level)):
        notes.line(words)
    notes.line(f"Mean level aimed at: {mm(level.level_aimed)} mm in the datum of the survey.")
    notes.heading("What can and cannot be reached")
    notes.line(level.reach)
    notes.line(gap_words(level))
    if level.notes:
        notes.heading("What to know")
        write_lines(notes, level.notes, "in the results file", keep=10.0)
    return figure


def _draw_turns(ax: Axes, view: PlanView, level: LevelView) -> str:
    """Arrows with ids and turns at the jacks to turn, dots elsewhere; returns what the labels say."""
    schedule, quarters = view.schedule, level.quarter_turns
    touched = np.flatnonzero(quarters)
    draw_dots(ax, schedule.xy[quarters == 0], len(schedule))
    if not len(touched):
        return ""
    turns = [quarter_words(quarters[jack]) for jack in touched]
    ids = [schedule.ids[jack] for jack in touched]
    full = [f"{name}\n{words}" for name, words in zip(ids, turns, strict=True)]
    options = [
        (full, "At each of these jacks its id and its turns."),
        (turns, "At each of these jacks its turns; ids are in the list for the crew."),
    ]
    options = options if len(touched) <= LABELLED else []
    _, size, words = label_some(ax, view_of(view, touched, ax), options, "Turns are in the list for the crew.")
    share = max(LEAST, symbol_share(size))
    for name, style, chosen in (("up", UP, quarters > 0), ("down", DOWN, quarters < 0)):
        ax.plot(*schedule.xy[chosen].T, ls="none", zorder=4.2, gid=name, **sized(style, share))
    return words
