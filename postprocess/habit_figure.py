"""Where the tributary habit would have picked a wrong spring, beside the spring that was chosen."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from postprocess.drawing import NOTES, PLAN, new_sheet, plan_axes
from postprocess.jack_labels import LABELLED
from postprocess.job_marks import DOT, draw_dots, draw_status, label_some, ratio_words, symbol_share, view_of
from postprocess.job_table import PITCH, Column, note_table
from postprocess.job_views import ChoiceView
from postprocess.plan_figure import SYMBOLS
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

Indices = NDArray[np.int64]

COLUMNS = (
    *(Column("Jack", 17.0), Column("Habit", 22.0), Column("ratio", 11.0, True)),
    *(Column("Chosen", 22.0), Column("ratio", 11.0, True)),
)


def habit_figure(view: PlanView, choice: ChoiceView) -> Figure:
    """Sheet with the jacks where loads by area would mislead: the spring they would pick and the ratio it gives."""
    units = "plan m; load ratio: computed service load / rated load"
    figure = new_sheet(view, "Springs that the tributary habit would pick wrongly", units)
    ax = plan_axes(figure, PLAN, view, fill=True)
    schedule, wrong = view.schedule, np.flatnonzero(choice.habit.wrong)
    draw_dots(ax, schedule.xy[~choice.habit.wrong], len(schedule))
    status = habit_status(view, choice)
    contents = ""
    if len(wrong):
        part = view_of(view, wrong, ax)
        none = "Ids and springs are in the list of the habit."
        _, size, contents = label_some(ax, part, _labels(view, choice, wrong), none)
        draw_status(ax, part.schedule.xy, [status[jack] for jack in wrong], symbol_share(size))
    notes = SideNotes(figure, NOTES)
    _key(notes, view, [status[jack] for jack in wrong], choice.habit.wrong_together, contents)
    _list_wrong(notes, view, choice, wrong)
    return figure


def _labels(view: PlanView, choice: ChoiceView, wrong: Indices) -> list[tuple[list[str], str]]:
    """What may stand at the wrongly picked jacks, the fullest first; on a large floor ids only."""
    schedule, habit = view.schedule, choice.habit
    ids = [schedule.ids[jack] for jack in wrong]
    ratios = [ratio_words(habit.ratios[jack], schedule.band) for jack in wrong]
    full = [f"{name}\n{habit.springs[jack]}\n{ratio}" for name, jack, ratio in zip(ids, wrong, ratios, strict=True)]
    words = "At each of these jacks its id, the habit's spring and the load ratio which that would give."
    options = [(full, words), (ids, "At each of these jacks its id; springs and ratios are in the list of the habit.")]
    return options if len(schedule) <= LABELLED else options[1:]


def habit_status(view: PlanView, choice: ChoiceView) -> tuple[str, ...]:
    """(n,) "under", "ok" or "over": the habit's load ratio against the band."""
    low, high = view.schedule.band
    return tuple("under" if r < low else "over" if r > high else "ok" for r in choice.habit.ratios)


def _key(notes: SideNotes, view: PlanView, wrong: list[str], together: int, contents: str) -> None:
    """wrong: status of the wrongly picked jacks. together: as `Habit.wrong_together`."""
    low, high = view.schedule.band
    notes.heading(f"Wrong springs by habit: {len(wrong)} of {len(view.schedule)}")
    for name, words in (("under", f"below {low:.2f}"), ("over", f"above {high:.2f}")):
        notes.marker(f"{name}: {wrong.count(name)} would have a load ratio {words}", **SYMBOLS[name])
    if "ok" in wrong:
        notes.marker(f"wrong for another reason: {wrong.count('ok')}", **SYMBOLS["ok"])
    notes.marker("another jack", **DOT)
    if contents:
        notes.remark(contents)
    notes.remark(
        "The habit gives each jack the load on the area nearest to it, and picks the spring by that. The slab is stiff "
        "against the springs and shares the load otherwise. The ratio is that of the computed load with the habit's "
        "spring at this jack and the chosen springs elsewhere."
    )
    notes.line(f"With the habit's springs under all jacks, {together} of {len(view.schedule)} would be out of band.")


def _list_wrong(notes: SideNotes, view: PlanView, choice: ChoiceView, wrong: Indices) -> None:
    """The wrong picks beside what was chosen, those farthest from the band first."""
    if not len(wrong):
        return
    notes.heading("Habit against choice")
    schedule, habit, ratios = view.schedule, choice.habit, view.schedule.load_ratio("service")
    off = np.abs(habit.ratios[wrong] - np.mean(schedule.band))
    rows = [
        (
            *(schedule.ids[jack], habit.springs[jack], ratio_words(habit.ratios[jack], schedule.band)),
            *(schedule.springs[jack], ratio_words(ratios[jack], schedule.band)),
        )
        for jack in wrong[np.argsort(-off, kind="stable")]
    ]
    fits = max(0, int(notes.room / PITCH) - 3)
    note_table(notes, COLUMNS, rows[:fits])
    if len(rows) > fits:
        notes.line(f"and {len(rows) - fits} more in the list of the habit")
