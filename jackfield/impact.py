"""`jackfield impact`: what the building will feel of drops, people and machines."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from matplotlib.figure import Figure
from threadpoolctl import threadpool_limits

from jackfield import CAUTIONS, papers
from jackfield.dynamics import LARGEST, case_checks, floor_dynamics, why_still
from jackfield.impact_terminal import show_impact
from jackfield.moving import MovingFloor
from jackfield.outcome import JobOutcome, write_record
from jackfield.output import staged
from jackfield.terminal import progress
from postprocess.checks import Check
from postprocess.dynamics.as_json import dynamics_json
from postprocess.dynamics.views import DynamicsView
from postprocess.figures import drawing_sheets, write_sheets
from postprocess.jobs.impact_lists import write_bands, write_drops, write_jack_loads
from postprocess.jobs.impact_sheets import impact_sheets
from postprocess.results import check_json
from postprocess.view import PlanView
from preprocess.case import Case
from preprocess.errors import InputError, Problem
from preprocess.reader import read_case
from preprocess.schema import CASE_FILE

FORMAT = "jackfield-dynamics/1"
RECORD = "dynamics.json"
WANTED = "a table [[impacts]], [[groups]], [[machines]], [[bays]] or [air]: what moves the floor, or what it stands on"


def impact(case_folder: Path, out: Path | None, *, quiet: bool = False) -> JobOutcome:
    """Drop, jump and turn on the floor of a case, and write what the structure below feels.

    Raises InputError or OutputError where the input cannot be used; then nothing is written.
    """
    case = read_case(case_folder)
    if not case.dynamics.given:
        raise InputError([Problem(CASE_FILE, "impacts", "nothing that moves the floor", WANTED)])
    if why_still(case) is not None:
        value, allowed = f"a slab of {case.slab.plan.area:,.0f} m2", f"at most {LARGEST:,.0f} m2 to be set in motion"
        raise InputError([Problem(CASE_FILE, "slab.outline_mm", value, allowed)])
    folder = out or Path("out") / case.name / "impact"
    with staged(folder, RECORD) as staging, progress(2, quiet=quiet) as steps:
        steps.begin("moving the floor")
        moving, view = moved(case, steps.tell)
        checks = case_checks(view, case)
        steps.begin("drawing")
        schedule = papers.jack_schedule(moving.floor, moving.states)
        write_motion_lists(case, view, staging)
        _draw(case, papers.plan_view(case, schedule), view, staging / "pictures")
        write_record(record(case, view, checks), staging, RECORD)
    if not quiet:
        show_impact(case, schedule, checks, view=view, folder=folder)
    return JobOutcome(tuple(checks), folder)


def moved(case: Case, said: Callable[[str], None]) -> tuple[MovingFloor, DynamicsView]:
    """The floor meshed for motion, and all that papers show of it."""
    with threadpool_limits(1, "blas"):  # its products are small: threads would wait for each other
        return floor_dynamics(case, said)


def record(case: Case, view: DynamicsView, checks: Sequence[Check]) -> dict[str, Any]:
    """Everything that dynamics.json holds."""
    return {
        "format": FORMAT,
        "case": papers.case_json(case),
        **dynamics_json(view, case.jacks.ids),
        "checks": [check_json(check) for check in checks],
    }


def write_motion_lists(case: Case, view: DynamicsView, folder: Path) -> None:
    """The lists of all drops."""
    if view.drops:
        write_drops(view, case.jacks.ids, folder / "drops.csv")
        write_bands(view, folder / "drop-bands.csv")
        write_jack_loads(view, case.jacks.ids, folder)


def motion_sheets(case: Case, plan: PlanView, view: DynamicsView) -> dict[str, Callable[[], Figure]]:
    """The sheets of a floor in motion by name."""
    return dict(impact_sheets(plan, view, CAUTIONS, acceleration_limit=case.dynamics.limits.acceleration))


def _draw(case: Case, plan: PlanView, view: DynamicsView, folder: Path) -> None:
    """All sheets; a child process draws every other one meanwhile."""
    sheets = motion_sheets(case, plan, view)
    half, rest = (dict(list(sheets.items())[first::2]) for first in (0, 1))
    with drawing_sheets(half, plan.title, folder):
        write_sheets(rest, plan.title, folder)
