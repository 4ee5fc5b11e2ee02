"""`jackfield run`: everything that the case holds the data for."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from matplotlib.figure import Figure

from jackfield import papers
from jackfield.case_lift import case_lift
from jackfield.doubt import case_doubt
from jackfield.drawings import write_drawings
from jackfield.dynamics import case_checks, why_still
from jackfield.impact import RECORD as DYNAMICS
from jackfield.impact import motion_sheets, moved, record, write_motion_lists
from jackfield.job_record import level_record, lift_record
from jackfield.judged import judge
from jackfield.lists import case_lists, write_lists
from jackfield.outcome import papers_of, write_record
from jackfield.output import staged
from jackfield.pipeline import Solution, check_mesh, solve
from jackfield.report import Gathered, case_report
from jackfield.strength import slab_strength
from jackfield.terminal import Steps, progress, show_results
from postprocess.doubt.jack_file import write_jack_doubt
from postprocess.doubt.result import FloorDoubt
from postprocess.doubt_figure import doubt_figure
from postprocess.dynamics.views import DynamicsView
from postprocess.figures import drawing_floor, drawing_sheets, strength_sheets
from postprocess.report.html import write_html
from postprocess.report.pdf import PdfError, write_pdf
from postprocess.results import Results, write_results
from postprocess.scenes import render_scenes
from postprocess.schedule import JackSchedule
from postprocess.schedule_file import write_schedule
from postprocess.view import FloorView
from postprocess.vtu import write_vtu
from preprocess.case import Case
from preprocess.floor import build_floor
from preprocess.reader import read_case

RECORD = "results.json"
REPORT = "report"
STEPS = 11


@dataclass(frozen=True)
class Outcome:
    """What a run came to: its results and the folder of its papers."""

    results: Results
    folder: Path

    @property
    def all_met(self) -> bool:
        """Whether every check is met."""
        return all(check.ok for check in self.results.checks)


def run(case_folder: Path, out: Path | None, *, quiet: bool = False) -> Outcome:
    """Read, solve, check and write the papers of a case in `out` (default out/NAME-OF-CASE).

    Raises InputError or OutputError before anything is computed; then nothing is written.
    """
    case = read_case(case_folder)
    folder = out or Path("out") / case.name
    with staged(folder, RECORD) as staging, progress(STEPS, quiet=quiet) as steps:
        steps.begin("meshing the plan")
        floor = build_floor(case)
        steps.begin("solving three load states and the modes")
        solution = solve(floor)
        schedule = papers.jack_schedule(floor, solution.states)
        results = _papers(solution, schedule, _Places(staging, folder), steps)
        write_results(results, papers_of(staging, RECORD), staging / RECORD)
    if not quiet:
        show_results(results, folder)
    return Outcome(results, folder)


@dataclass(frozen=True)
class _Places:
    """Where papers are made, and where they come to lie."""

    staging: Path
    folder: Path

    @property
    def pictures(self) -> Path:
        """The folder of the drawings."""
        return self.staging / "pictures"


def _papers(solution: Solution, schedule: JackSchedule, places: _Places, steps: Steps) -> Results:
    """All findings and all papers but the results file.

    Child processes draw the sheets of every floor, those of its motion and the 3-D scenes while the work goes on.
    """
    case, staging = solution.floor.case, places.staging
    view = papers.floor_view(solution, schedule)
    with ThreadPoolExecutor(1) as pool, ExitStack() as drawing:
        scenes = pool.submit(render_scenes, view, staging / "scenes")
        drawing.enter_context(drawing_floor(view, places.pictures))
        judged = judge(solution.floor)
        steps.begin("checking the strength of the slab")
        view = replace(view, strength=slab_strength(solution, judged))
        steps.begin("weighing doubt and failure")
        doubt = case_doubt(solution)
        steps.begin("lifting, turn by turn")
        lift = case_lift(solution.floor, judged, steps.tell)
        steps.begin("moving the floor")
        motion = None if why_still(case) is not None else moved(case, steps.tell)[1]
        drawing.enter_context(drawing_sheets(_sheets(case, view, doubt, motion), view.title, places.pictures))
        steps.begin("solving again on another mesh")
        findings = papers.Findings(
            mesh=check_mesh(solution),
            strength=view.strength,
            doubt=doubt,
            lift=lift.checks,
            motion=() if motion is None else tuple(case_checks(motion, case)),
            lists=case_lists(solution, schedule, view.strength, lift.course),
        )
        results = papers.results(solution, schedule, findings)
        steps.begin("writing lists and drawings")
        _write_lists(solution, results, findings, motion, staging)
        drawings = staging / "drawings"
        write_drawings(case, schedule, findings.lists.fabric, lift.view, drawings, strength=view.strength)
        write_vtu(view, staging / "fields")
        steps.begin("writing the report")
        gathered = Gathered(
            solution=solution,
            schedule=schedule,
            findings=findings,
            results=results,
            view=view,
            motion=motion,
            lift=lift.view,
            level=level_record(places.folder, case.inputs),
            lift_job=lift_record(places.folder, case.inputs),
            existing=findings.lists.existing,
            fabric=findings.lists.fabric,
            quantities=findings.lists.quantities,
            inputs=case.inputs,
        )
        left_out = _write_report(gathered, staging)
        steps.begin("waiting for pictures")
        if missing := scenes.result().left_out:
            left_out.append(f"3-D scenes: {missing}")
    return replace(results, left_out=(*results.left_out, *left_out))


def _sheets(
    case: Case, view: FloorView, doubt: FloorDoubt | None, motion: DynamicsView | None
) -> dict[str, Callable[[], Figure]]:
    """The sheets that not every floor has: of its strength, of doubt, and of the floor in motion."""
    sheets = strength_sheets(view)
    if doubt is not None:
        sheets["doubt"] = partial(doubt_figure, view, doubt)
    if motion is not None:
        sheets |= motion_sheets(case, papers.plan_view(case, view.schedule), motion)
    return sheets


def _write_lists(
    solution: Solution, results: Results, findings: papers.Findings, motion: DynamicsView | None, folder: Path
) -> None:
    """All lists, and the record of the floor in motion."""
    case, schedule = solution.floor.case, results.schedule
    write_schedule(schedule, folder / "jack-schedule.csv")
    write_lists(findings.lists, schedule, results.checks, case.inputs, folder)
    if findings.doubt is not None:
        write_jack_doubt(findings.doubt, folder / "jack-doubt.csv")
    if motion is not None:
        write_motion_lists(case, motion, folder)
        write_record(record(case, motion, list(findings.motion)), folder, DYNAMICS)


def _write_report(gathered: Gathered, folder: Path) -> list[str]:
    """The report as a page and as a document; why a machine could not write one of them, in words."""
    report = case_report(gathered)
    write_html(report, folder / f"{REPORT}.html")
    try:
        write_pdf(report, folder / f"{REPORT}.pdf")
    except PdfError as error:
        return [f"{REPORT}.pdf: {error}; print {REPORT}.html from a browser instead"]
    return []
