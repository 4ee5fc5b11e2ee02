"""`jackfield level`: from surveyed heights to the turns that bring the slab level."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from jackfield import CAUTIONS, papers
from jackfield.desk import solve_loads
from jackfield.level_problem import level_problem, surface
from jackfield.level_surveys import Surveyed, surveyed
from jackfield.levelling import LevelDesk, level_desk, readings
from jackfield.lift import lift_rules
from jackfield.lift_terminal import show_level
from jackfield.outcome import JobOutcome, write_record
from jackfield.output import staged
from jackfield.terminal import progress
from postprocess.checks import PRACTICE, Check
from postprocess.figures import write_sheets
from postprocess.jobs.level_lists import write_level_turns
from postprocess.jobs.level_sheets import level_sheets
from postprocess.jobs.lift_lists import write_survey_form
from postprocess.level.level import LevelResult
from postprocess.level.level import level as bring_level
from postprocess.level.problem import LevelProblem
from postprocess.level.views import LevelView, RatesView
from postprocess.results import check_json
from postprocess.strength.lift import tensile_basis
from preprocess.reader import read_case
from preprocess.survey import read_surveys

Floats = NDArray[np.float64]

FORMAT = "jackfield-level/1"
RECORD = "level.json"
STRAIGHTEDGE = "level.straightedge_mm of the case; BS 8204, SR1 is 3 mm under 2 m"


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
        checks = level_checks(desk, problem, result, view)
        steps.begin("drawing")
        schedule = papers.jack_schedule(desk.floor, solve_loads(desk.floor))
        plan = replace(papers.plan_view(case, schedule), items=())
        write_level_turns(schedule, view, staging / "level-turns.csv")
        write_survey_form(schedule, view.quarter_turns / 4, staging / "survey-form.csv")
        write_sheets(level_sheets(plan, view, CAUTIONS), case.project.title, staging / "pictures")
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


def level_view(desk: LevelDesk, found: Surveyed, problem: LevelProblem, result: LevelResult) -> LevelView:
    """The levelling as its papers show it: heights about the mean that the jacks come to in each state."""
    rules = desk.case.level
    surveyed_in, level_in = desk.states.index(rules.surveyed_in), desk.states.index(rules.level_in)
    change = problem.step * result.quarter_turns
    now = surface(desk, found, surveyed_in, surveyed_in, at_jacks=True)
    after = now.heights + now.rise @ change
    aim = float(after.mean())
    points = found.reading.survey
    rise = found.response.point_rise[found.reading.at]
    loads = found.response.loads(found.advance + found.slab.advance, level_in)
    calibration = found.calibration
    return LevelView(
        quarter_turns=result.quarter_turns,
        order=result.order.jacks,
        heights_before=now.heights - aim,
        heights_after=after - aim,
        heights_service=result.after.heights,
        loads_before=result.before.loads[0],
        loads_after=result.after.loads[0],
        loads_service=loads + found.response.load_change @ change,
        overall_before=result.before.overall,
        overall_after=result.after.overall,
        overall_limit=rules.overall,
        straightedge_before=result.before.straightedge,
        straightedge_after=result.after.straightedge,
        straightedge_limit=rules.straightedge,
        points_xy=points.xy,
        points_before=points.height - aim,
        points_after=points.height + rise @ change - aim,
        reach=result.reach,
        gap=result.gap,
        notes=(*found.notes, *_assumed(desk, found), *result.notes),
        rates=None
        if calibration is None
        else RatesView(desk.case.jacks.rates, calibration.rates, calibration.spread),
    )


def _assumed(desk: LevelDesk, found: Surveyed) -> list[str]:
    """What was taken for granted."""
    rules, notes = desk.case.level, []
    if not found.reading.survey.turns_given and found.calibration is None:
        notes.append("The survey has no column turns: all passes of [lift] are taken as done, alike at every jack.")
    if rules.surveyed_in != rules.level_in:
        notes.append(
            f"Surveyed in the state {rules.surveyed_in}, brought level for the state {rules.level_in}: after the turns "
            "the slab stands uneven by what it will settle unevenly."
        )
    return notes


def level_checks(desk: LevelDesk, problem: LevelProblem, result: LevelResult, view: LevelView) -> list[Check]:
    """Level, straightedge, loads and bending after the turns, expected, without margins for doubt."""
    case = desk.case
    jacks, rules = case.jacks, case.level
    low, high = case.target.load_ratio
    ratio = view.loads_service / jacks.rated_loads
    limit = problem.moments[0].limit
    peak = result.order.peak
    checks = [
        Check(
            f"departure from level, {rules.level_in}",
            view.overall_after * 1e3,
            rules.overall * 1e3,
            "mm",
            "at most",
            f"level.overall_mm of the case; {PRACTICE}",
        ),
        Check(
            f"gap under the straightedge, {rules.level_in}",
            view.straightedge_after * 1e3,
            rules.straightedge * 1e3,
            "mm",
            "at most",
            STRAIGHTEDGE,
        ),
        Check(
            f"least jack load after the turns, {rules.surveyed_in}",
            float(view.loads_after.min()) / 1e3,
            0.0,
            "kN",
            "at least",
            "a spring cannot pull",
            f"jack {jacks.ids[int(view.loads_after.argmin())]}",
        ),
    ]
    if rules.level_in == "service":
        band = f"target.load_ratio of the case; {PRACTICE}"
        most, least = f"jack {jacks.ids[int(ratio.argmax())]}", f"jack {jacks.ids[int(ratio.argmin())]}"
        checks += [
            Check("largest load ratio, service", float(ratio.max()), high, "", "at most", band, most),
            Check("least load ratio, service", float(ratio.min()), low, "", "at least", band, least),
        ]
    if peak is not None:
        checks.append(
            Check(
                "cracking, while levelling",
                peak.moment / 1e3,
                limit / 1e3,
                "kN·m/m",
                "at most",
                tensile_basis(desk.concrete),
                f"after jack {jacks.ids[peak.jack]}",
            )
        )
    return checks


def level_json(desk: LevelDesk, found: Surveyed, result: LevelResult, view: LevelView) -> dict[str, Any]:
    """The levelling in the units of level.json."""
    ids = desk.case.jacks.ids
    place = {jack: number for number, jack in enumerate(view.order, 1)}
    rates = view.rates
    return {
        "surveyed_in": desk.case.level.surveyed_in,
        "level_in": desk.case.level.level_in,
        "age_days": desk.concrete.age,
        "reach": {
            "words": view.reach,
            "overall_mm": {
                "before": view.overall_before * 1e3,
                "after": view.overall_after * 1e3,
                "limit": view.overall_limit * 1e3,
            },
            "straightedge_mm": {
                "before": view.straightedge_before * 1e3,
                "after": view.straightedge_after * 1e3,
                "limit": view.straightedge_limit * 1e3,
            },
            "off_the_best_at_most": view.gap,
        },
        "jacks": [
            {
                "id": name,
                "quarter_turns": int(view.quarter_turns[jack]),
                "order": place.get(jack),
                "height_mm": {
                    "before": float(view.heights_before[jack]) * 1e3,
                    "after": float(view.heights_after[jack]) * 1e3,
                    desk.case.level.level_in: float(view.heights_service[jack]) * 1e3,
                },
                "load_kN": {
                    "before": float(view.loads_before[jack]) / 1e3,
                    "after": float(view.loads_after[jack]) / 1e3,
                    desk.case.level.level_in: float(view.loads_service[jack]) / 1e3,
                },
                "rate_N_mm": None
                if rates is None
                else {
                    "nominal": float(rates.nominal[jack]) / 1e3,
                    "estimate": float(rates.estimate[jack]) / 1e3,
                    "spread": float(rates.spread[jack]) / 1e3,
                },
            }
            for jack, name in enumerate(ids)
        ],
        "steps": [
            {
                "jack": ids[step.jack],
                "quarter_turns": step.quarter_turns,
                "moment_kNm_m": step.moment / 1e3,
                "cracking_use": step.use,
            }
            for step in result.order.steps
        ],
        "points_left_out": [
            name for name, kept in zip(found.reading.survey.points, found.last.kept.tolist(), strict=True) if not kept
        ],
        "notes": list(view.notes),
    }
