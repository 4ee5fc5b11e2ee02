"""Lists of a lift: every jack in every pass, and the form for a survey of heights."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from postprocess.jobs.swap_lists import kilonewtons
from postprocess.lift.views import LiftView
from postprocess.schedule import JackSchedule
from postprocess.tables import write_table

Floats = NDArray[np.float64]

PASSES = ("pass", "order", "id", "turns", "height_mm", "load_kN", "reserve_mm")
SURVEY = ("id", "height_mm", "deviation_mm", "turns")


def write_lift_passes(schedule: JackSchedule, lift: LiftView, path: Path) -> None:
    """Write one row a jack and pass, in the order of turning: turns made in the pass, and the state after it."""
    rows = []
    for each in lift.passes:
        for place, jack in enumerate(each.order, 1):
            state = kilonewtons(each.loads[jack]), f"{1e3 * each.reserves[jack]:z.2f}"
            height = f"{1e3 * each.heights[jack]:z.3f}"
            rows.append((str(each.number), str(place), schedule.ids[jack], plain_turns(each.turns), height, *state))
    write_table(PASSES, rows, path)


def write_survey_form(schedule: JackSchedule, turns: Floats, path: Path) -> None:
    """Write one row a jack with its full turns (n,) since the survey before; heights in mm are filled in on site."""
    rows = [(name, "", "", plain_turns(each)) for name, each in zip(schedule.ids, turns, strict=True)]
    write_table(SURVEY, rows, path)


def lift_turns(lift: LiftView) -> Floats:
    """(n,) full turns of each jack in all passes."""
    return np.asarray(lift.passes[-1].advance / lift.pitch)


def plain_turns(turns: float) -> str:
    """Full turns as a decimal number without needless zeros."""
    return f"{turns:z.4f}".rstrip("0").rstrip(".")
