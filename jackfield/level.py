"""`jackfield level`: from surveyed heights to the turns that bring the slab level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from jackfield import CAUTIONS, papers
from jackfield.desk import solve_loads
from jackfield.level_checks import level_checks
from jackfield.level_problem import level_problem
from jackfield.level_surveys import surveyed
from jackfield.level_view import level_json, level_view
from jackfield.levelling import level_desk, readings
from jackfield.lift import lift_rules
from jackfield.lift_terminal import show_level
from jackfield.outcome import JobOutcome, write_record
from jackfield.output import staged
from jackfield.terminal import progress
from postprocess.figures import drawing_sheets, write_sheets
from postprocess.jobs.level_lists import write_level_turns
from postprocess.jobs.level_sheets import level_sheets
from postprocess.jobs.lift_lists import write_survey_form
from postprocess.level.level import level as bring_level
from postprocess.level.views import LevelView
from postprocess.results import check_json
from postprocess.view import PlanView
from preprocess.reader import read_case
from preprocess.survey import read_surveys

FORMAT = "jackfield-level/1"
RECORD = "level.json"


def level(case_folder: Path, surveys: Sequence[Path], out: Path | None, *, quiet: bool = False) -> JobOutcome:
    """Find the quarter turns that bring the slab of a case level and write what crew and engineer need.

    surveys: CSV files in the order in which they were made, each with the turns made before it.
    Raises InputError or OutputError where they cannot be used; then nothing is written.
    """
    case = read_case(case_folder)
    rules = lift_rules(case)
    read = read_surveys(surveys, case)
    folder = out or Path("out") / case.name / "level"
    with staged(folder, RECORD) as staging, progress(4, quiet=quiet) as steps:
        steps.begin("meshing and condensing the floor")
        desk = level_desk(case, rules, read)
        steps.begin("comparing surveys with what the slab can do")
        found = surveyed(desk, readings(desk, read))
        steps.begin("choosing turns")
        problem = level_problem(desk, found)
        result = bring_level(problem)
        view = level_view(desk, found, problem, result)
        checks = level_checks(desk, found, problem, result, view)
        steps.begin("drawing")
        schedule = papers.jack_schedule(desk.floor, solve_loads(desk.floor))
        plan = replace(papers.plan_view(case, schedule), items=())
        write_level_turns(schedule, view, staging / "level-turns.csv")
        write_survey_form(schedule, view.quarter_turns / 4, staging / "survey-form.csv")
        _draw(plan, view, staging / "pictures")
        record = {
            "format": FORMAT,
            "case": papers.case_json(case),
            **level_json(desk, found, result, view),
            "checks": [check_json(check) for check in checks],
        }
        write_record(record, staging, RECORD)
    if not quiet:
        show_level(case, schedule, checks, view=view, folder=folder)
    return JobOutcome(tuple(checks), folder)


def _draw(plan: PlanView, view: LevelView, folder: Path) -> None:
    """All sheets; a child process draws every other one meanwhile."""
    sheets = list(level_sheets(plan, view, CAUTIONS).items())
    with drawing_sheets(dict(sheets[1::2]), plan.title, folder):
        write_sheets(dict(sheets[::2]), plan.title, folder)
