"""Where the tributary habit would have picked another spring, whether that is wrong, and the spring that was chosen."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from postprocess.drawing import NOTES, PLAN, new_sheet, plan_axes
from postprocess.jack_labels import LABELLED
from postprocess.jobs.marks import DOT, draw_dots, draw_status, label_some, ratio_words, symbol_share, view_of
from postprocess.jobs.table import PITCH, Column, note_table
from postprocess.jobs.views import ChoiceView
from postprocess.plan_figure import SYMBOLS
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

Indices = NDArray[np.int64]

COLUMNS = (
    *(Column("Jack", 17.0), Column("Habit", 22.0), Column("ratio", 11.0, True)),
    *(Column("Chosen", 22.0), Column("ratio", 11.0, True)),
)


def habit_figure(view: PlanView, choice: ChoiceView) -> Figure:
    """Sheet with the jacks where loads by area would pick another spring: which one, and the ratio it gives."""
    units = "plan m; load ratio: computed service load / rated load"
    figure = new_sheet(view, "Springs that the tributary habit would pick", units)
    ax = plan_axes(figure, PLAN, view, fill=True)
    schedule, other = view.schedule, other_picks(view, choice)
    draw_dots(ax, np.delete(schedule.xy, other, axis=0), len(schedule))
    status = habit_status(view, choice)
    contents = ""
    if len(other):
        part = view_of(view, other, ax)
        none = "Ids and springs are in the list of the habit."
        _, size, contents = label_some(ax, part, _labels(view, choice, other), none)
        draw_status(ax, part.schedule.xy, [status[jack] for jack in other], symbol_share(size))
    notes = SideNotes(figure, NOTES)
    _key(notes, view, [status[jack] for jack in other], choice.habit.wrong_together, contents)
    _list_other(notes, view, choice, other)
    return figure


def other_picks(view: PlanView, choice: ChoiceView) -> Indices:
    """Jacks at which the habit picks another spring than the chosen one."""
    pairs = zip(choice.habit.springs, view.schedule.springs, strict=True)
    return np.flatnonzero([pick != spring for pick, spring in pairs])


def _labels(view: PlanView, choice: ChoiceView, other: Indices) -> list[tuple[list[str], str]]:
    """What may stand at the jacks with another spring, the fullest first; on a large floor ids only."""
    schedule, habit = view.schedule, choice.habit
    ids = [schedule.ids[jack] for jack in other]
    ratios = [ratio_words(habit.ratios[jack], schedule.band) for jack in other]
    full = [f"{name}\n{habit.springs[jack]}\n{ratio}" for name, jack, ratio in zip(ids, other, ratios, strict=True)]
    words = "At each of these jacks its id, the habit's spring and the load ratio which that would give."
    options = [(full, words), (ids, "At each of these jacks its id; springs and ratios are in the list of the habit.")]
    return options if len(schedule) <= LABELLED else options[1:]


def habit_status(view: PlanView, choice: ChoiceView) -> tuple[str, ...]:
    """(n,) "under", "ok" or "over": the habit's load ratio against the band."""
    low, high = view.schedule.band
    return tuple("under" if r < low else "over" if r > high else "ok" for r in choice.habit.ratios)


def _key(notes: SideNotes, view: PlanView, other: list[str], together: int, contents: str) -> None:
    """other: status of the jacks with another spring. together: as `Habit.wrong_together`."""
    low, high = view.schedule.band
    wrong = len(other) - other.count("ok")
    notes.heading(f"Other springs by habit: {len(other)} of {len(view.schedule)}, wrong: {wrong}")
    notes.marker(f"ok: {other.count('ok')} would stay within {low:.2f} to {high:.2f}", **SYMBOLS["ok"])
    for name, words in (("under", f"below {low:.2f}"), ("over", f"above {high:.2f}")):
        notes.marker(f"{name}, wrong: {other.count(name)} would have a load ratio {words}", **SYMBOLS[name])
    notes.marker("the same spring as chosen", **DOT)
    if contents:
        notes.remark(contents)
    notes.remark(
        "The habit gives each jack the load on the area nearest to it, and picks the spring by that. The slab is stiff "
        "against the springs and shares the load otherwise. The ratio is that of the computed load with the habit's "
        "spring at this jack and the chosen springs elsewhere."
    )
    notes.line(f"With the habit's springs under all jacks, {together} of {len(view.schedule)} would be out of band.")


def _list_other(notes: SideNotes, view: PlanView, choice: ChoiceView, other: Indices) -> None:
    """The habit's picks beside what was chosen, those farthest from the middle of the band first."""
    if not len(other):
        return
    notes.heading("Habit against choice")
    schedule, habit, ratios = view.schedule, choice.habit, view.schedule.load_ratio("service")
    off = np.abs(habit.ratios[other] - np.mean(schedule.band))
    rows = [
        (
            *(schedule.ids[jack], habit.springs[jack], ratio_words(habit.ratios[jack], schedule.band)),
            *(schedule.springs[jack], ratio_words(ratios[jack], schedule.band)),
        )
        for jack in other[np.argsort(-off, kind="stable")]
    ]
    fits = max(0, int(notes.room / PITCH) - 3)
    note_table(notes, COLUMNS, rows[:fits])
    if len(rows) > fits:
        notes.line(f"and {len(rows) - fits} more in the list of the habit")
