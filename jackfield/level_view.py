"""A levelling as its papers show it."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from jackfield.level_problem import surface
from jackfield.level_surveys import Surveyed
from jackfield.levelling import LevelDesk
from postprocess.level.level import LevelResult
from postprocess.level.problem import LevelProblem
from postprocess.level.views import LevelView, RatesView

Floats = NDArray[np.float64]

MUCH_SPREAD = 0.10
"""Two standard deviations of a load, as a share of the load, that are said."""


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
    loads = found.response.loads(found.pressing, level_in)
    calibration = found.calibration
    steps, step_heights = _on_the_way(problem, result, now.heights - aim, now.rise)
    done = now.heights - aim
    for (jack, _), height in zip(steps, step_heights, strict=True):
        done[jack] = height
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
        notes=(*found.notes, *_assumed(desk, found), *_load_notes(desk, found), *result.notes),
        rates=None if calibration is None else RatesView(desk.case.jacks.rates, calibration.rates, calibration.spread),
        level_aimed=aim,
        heights_done=done,
        steps=steps,
        step_heights=step_heights,
        surveys=found.surveys,
        state_surveyed=rules.surveyed_in,
        state_level=rules.level_in,
    )


def _on_the_way(
    problem: LevelProblem, result: LevelResult, heights: Floats, rise: Floats
) -> tuple[tuple[tuple[int, int], ...], Floats]:
    """Jack and quarter turns of each step of the work, and the height (s,) at that jack right after it, m. heights:
    (n,) before all turns, rise: (n, n) by a unit advance."""
    steps = tuple((step.jack, step.quarter_turns) for step in result.order.steps)
    reached = []
    for jack, quarters in steps:
        heights = heights + rise[:, jack] * (problem.step * quarters)
        reached.append(float(heights[jack]))
    return steps, np.array(reached)


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


def load_spread(desk: LevelDesk, found: Surveyed) -> Floats:
    """(n,) standard deviation of the jack loads, N, the greater of those as surveyed and in the state to be level."""
    rules = desk.case.level
    states = (desk.states.index(state) for state in (rules.surveyed_in, rules.level_in))
    return np.asarray(
        np.max([found.belief.load_spread(found.response, found.pressing, state) for state in states], axis=0)
    )


def _load_notes(desk: LevelDesk, found: Surveyed) -> list[str]:
    """How uncertain loads are, where that is much."""
    ids, spread = desk.case.jacks.ids, load_spread(desk, found)
    loads = found.response.loads(found.pressing, desk.states.index(desk.case.level.surveyed_in))
    share = 2 * spread / np.abs(loads)
    if share.max() <= MUCH_SPREAD:
        return []
    worst = int(share.argmax())
    notes = [
        "Loads are what springs, screws and weight make likely, not what was measured: "
        f"{loads[worst] / 1e3:.1f} ± {2e-3 * spread[worst]:.1f} kN at jack {ids[worst]}, "
        f"±{2e-3 * float(np.median(spread)):.1f} kN at most jacks (two standard deviations). Limits on loads and "
        "moments do not allow for that, nor for turns that were not made as written, which heights of a stiff slab "
        "hardly show: measure springs where a load matters."
    ]
    if found.calibration is None:
        notes.append(
            "Without a survey before the first turn a bow of the structural floor and springs that are off look alike: "
            "heights show both, loads and moments count the part that springs and screws are likely to have."
        )
    return notes


def level_json(desk: LevelDesk, found: Surveyed, result: LevelResult, view: LevelView) -> dict[str, Any]:
    """The levelling in the units of level.json."""
    ids = desk.case.jacks.ids
    place = {jack: number for number, jack in enumerate(view.order, 1)}
    rates, spread = view.rates, load_spread(desk, found)
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
                    "spread": float(spread[jack]) / 1e3,
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
