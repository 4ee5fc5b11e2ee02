"""`jackfield run`: everything that the case holds the data for."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from jackfield import papers
from jackfield.doubt import case_doubt
from jackfield.dynamics import case_checks, why_still
from jackfield.impact import RECORD as DYNAMICS
from jackfield.impact import moved, record, write_papers
from jackfield.outcome import papers_of, write_record
from jackfield.output import staged
from jackfield.pipeline import Solution, check_mesh, solve
from jackfield.strength import slab_strength
from jackfield.terminal import Steps, progress, show_results
from postprocess.checks import Check
from postprocess.doubt.jack_file import write_jack_doubt
from postprocess.doubt_figure import doubt_figure
from postprocess.figures import drawing_floor, write_sheets, write_strength_sheets
from postprocess.results import Results, write_results
from postprocess.scenes import render_scenes
from postprocess.schedule import JackSchedule
from postprocess.schedule_file import write_schedule
from postprocess.vtu import write_vtu
from preprocess.floor import build_floor
from preprocess.reader import read_case

RECORD = "results.json"
STEPS = 9


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
        write_schedule(schedule, staging / "jack-schedule.csv")
        findings = _check_and_draw(solution, schedule, staging, steps)
        results = papers.results(solution, schedule, findings)
        write_results(results, papers_of(staging, RECORD), staging / RECORD)
    if not quiet:
        show_results(results, folder)
    return Outcome(results, folder)


def _check_and_draw(solution: Solution, schedule: JackSchedule, staging: Path, steps: Steps) -> papers.Findings:
    """The slab's strength, what is in doubt, the self-check on another mesh, pictures and field files.

    Child processes draw the sheets of every floor and the 3-D scenes meanwhile.
    """
    pictures, fields, scenes = (staging / name for name in ("pictures", "fields", "scenes"))
    for folder in (pictures, fields, scenes):
        folder.mkdir()
    view = papers.floor_view(solution, schedule)
    with ThreadPoolExecutor(1) as pool:
        drawn = pool.submit(render_scenes, view, scenes)
        with drawing_floor(view, pictures):
            steps.begin("checking the strength of the slab")
            strength = slab_strength(solution)
            steps.begin("weighing doubt and failure")
            doubt = case_doubt(solution)
            steps.begin("moving the floor")
            motion = _motion(solution, schedule, staging, steps)
            steps.begin("solving again on another mesh")
            mesh = check_mesh(solution)
            steps.begin("writing field files")
            write_vtu(view, fields)
            steps.begin("drawing pictures")
            write_strength_sheets(replace(view, strength=strength), pictures)
            if doubt is not None:
                write_jack_doubt(doubt, staging / "jack-doubt.csv")
                write_sheets({"doubt": partial(doubt_figure, view, doubt)}, view.title, pictures)
        steps.begin("drawing scenes")
        outcome = drawn.result()
    left_out = (f"3-D scenes: {outcome.left_out}",) if outcome.left_out else ()
    return papers.Findings(mesh, strength, doubt, motion, left_out)


def _motion(solution: Solution, schedule: JackSchedule, staging: Path, steps: Steps) -> tuple[Check, ...]:
    """Papers and verdicts of the floor in motion, where the case says what moves it."""
    case = solution.floor.case
    if why_still(case) is not None:
        return ()
    _, view = moved(case, steps.tell)
    checks = case_checks(view, case)
    write_papers(case, schedule, view, staging)
    write_record(record(case, view, checks), staging, DYNAMICS)
    return tuple(checks)
