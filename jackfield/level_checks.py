"""The checks of a levelling."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from jackfield.level_surveys import Surveyed
from jackfield.levelling import LevelDesk
from postprocess.checks import PRACTICE, SOLID, Check
from postprocess.level.level import LevelResult
from postprocess.level.problem import LevelProblem
from postprocess.level.views import LevelView
from postprocess.strength.lift import tensile_basis

Floats = NDArray[np.float64]

STRAIGHTEDGE = "level.straightedge_mm of the case; BS 8204, SR1 is 3 mm under 2 m"


def level_checks(
    desk: LevelDesk, found: Surveyed, problem: LevelProblem, result: LevelResult, view: LevelView
) -> list[Check]:
    """Level, straightedge, loads and bending after the turns, expected, without margins for doubt."""
    case = desk.case
    jacks, rules = case.jacks, case.level
    low, high = case.target.load_ratio
    in_service = [limits.state for limits in problem.loads].index("service")
    ratio = result.after.loads[in_service] / jacks.rated_loads
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
    band = f"target.load_ratio of the case; {PRACTICE}"
    most, least = f"jack {jacks.ids[int(ratio.argmax())]}", f"jack {jacks.ids[int(ratio.argmin())]}"
    checks += [
        Check("largest load ratio, service", float(ratio.max()), high, "", "at most", band, most),
        Check("least load ratio, service", float(ratio.min()), low, "", "at least", band, least),
        _travel(desk, found.response.rates, problem, result),
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


def _travel(desk: LevelDesk, rates: Floats, problem: LevelProblem, result: LevelResult) -> Check:
    """Travel left to solid with all imposed load, of springs of the rates that are believed in."""
    jacks = desk.case.jacks
    full = [limits.state for limits in problem.loads].index("full")
    left = (problem.loads[full].high - result.after.loads[full]) / rates + desk.case.target.solid_reserve
    return Check(
        "least travel left to solid, full",
        float(left.min()) * 1e3,
        desk.case.target.solid_reserve * 1e3,
        "mm",
        "at least",
        SOLID,
        f"jack {jacks.ids[int(left.argmin())]}",
    )
