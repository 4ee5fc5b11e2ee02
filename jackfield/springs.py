"""`jackfield springs`: a spring or nested pair for each jack, or the fewest swaps of those that stand already."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any

from matplotlib.figure import Figure

from jackfield import papers
from jackfield.choosing import Chosen, choice_view, choose_springs, keep_springs
from jackfield.desk import draft_desk, solve_floor
from jackfield.job_terminal import show_springs
from jackfield.outcome import JobOutcome, write_record
from jackfield.output import staged
from jackfield.swapping import kept_view, swap_json, swap_sheets, write_swap_lists
from jackfield.terminal import progress
from postprocess.checks import Check
from postprocess.figures import write_sheets
from postprocess.jobs.choice_figure import choice_figure
from postprocess.jobs.choice_lists import write_buying_list, write_habit, write_nested_pairs
from postprocess.jobs.habit_figure import habit_figure
from postprocess.jobs.setout_lists import write_jack_list
from postprocess.jobs.views import ChoiceView, Habit, RevisionView
from postprocess.results import check_json, schedule_json
from postprocess.schedule import JackSchedule
from postprocess.schedule_file import write_schedule
from preprocess.coil_figures import catalogue_figures
from preprocess.kept_list import read_kept
from preprocess.reader import read_draft

FORMAT = "jackfield-springs/1"
RECORD = "springs.json"


def springs(case_folder: Path, out: Path | None, keep: Path | None, *, quiet: bool = False) -> JobOutcome:
    """Choose springs for the jacks of a case and write schedule, lists and drawings.

    keep: a schedule of springs that stand already, of which as few as possible are changed.
    Raises InputError or OutputError before anything is computed; then nothing is written.
    """
    draft = read_draft(case_folder, "positions")
    kept = None if keep is None else read_kept(keep, draft)
    folder = out or Path("out") / draft.name / "springs"
    with staged(folder, RECORD) as staging, progress(4, quiet=quiet) as steps:
        steps.begin("meshing and condensing the floor")
        desk = draft_desk(draft)
        steps.begin("choosing springs")
        chosen = choose_springs(desk) if kept is None else keep_springs(desk, kept)
        steps.begin("solving the floor on them")
        floor = desk.with_springs(chosen.springs)
        states, modes = solve_floor(floor)
        schedule = papers.jack_schedule(floor, states)
        checks = papers.spring_checks(floor.case, schedule, modes.heave_frequency)
        view = choice_view(chosen, schedule, modes.heave_frequency)
        changes = None if kept is None else kept_view(chosen, kept, floor.case.project.revision)
        steps.begin("drawing")
        plan = papers.plan_view(floor.case, schedule)
        write_schedule(schedule, staging / "jack-schedule.csv")
        write_jack_list(schedule, staging / "jacks.csv")
        sheets: Mapping[str, Callable[[], Figure]]
        if changes is not None:
            write_swap_lists(schedule, changes, staging)
            sheets = swap_sheets(plan, changes)
        else:
            write_buying_list(view.buying, staging / "buying-list.csv")
            write_nested_pairs(schedule, view, staging / "nested-pairs.csv")
            write_habit(schedule, view, staging / "tributary-habit.csv")
            sheets = {
                "springs": partial(choice_figure, plan, view),
                "tributary-habit": partial(habit_figure, plan, view),
            }
        write_sheets(sheets, floor.case.project.title, staging / "pictures")
        write_record(_record(chosen, schedule, view, changes, checks), staging, RECORD)
    if not quiet:
        show_springs(floor.case, schedule, checks, view=view, changes=changes, folder=folder)
    return JobOutcome(tuple(checks), folder)


def _record(
    chosen: Chosen,
    schedule: JackSchedule,
    view: ChoiceView,
    changes: RevisionView | None,
    checks: list[Check],
) -> dict[str, Any]:
    case = chosen.desk.floor.case
    return {
        "format": FORMAT,
        "case": papers.case_json(case),
        "works": chosen.choice.works,
        "heave_frequency_hz": view.heave_frequency,
        "types": list(chosen.choice.types_used),
        "jacks": [
            {**jack, "coils": list(coils), "tributary_habit": pick}
            for jack, coils, pick in zip(schedule_json(schedule), view.coils, _habit(view.habit), strict=True)
        ],
        "nested_pairs": {schedule.ids[jack]: reason for jack, reason in view.pair_reasons.items()},
        "buying": [
            {"coil": row.coil, "under_jacks": row.under_jacks, "spares": row.spares, "total": row.total}
            for row in view.buying
        ],
        "shortfall": list(view.shortfalls),
        "swaps": None if changes is None else swap_json(schedule, changes),
        "coils": catalogue_figures(case.catalogue),
        "checks": [check_json(check) for check in checks],
    }


def _habit(habit: Habit) -> list[dict[str, Any]]:
    """For each jack the spring that loads by area would have picked, its load ratio there, and whether it is wrong."""
    picks = zip(habit.springs, habit.ratios.tolist(), habit.wrong.tolist(), strict=True)
    return [{"spring": spring, "load_ratio": ratio, "wrong": wrong} for spring, ratio, wrong in picks]
