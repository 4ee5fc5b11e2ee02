"""Writes the jack schedule as a table of comma-separated values, in the units of case files."""

from __future__ import annotations

from pathlib import Path

from postprocess.schedule import STATES, JackSchedule
from postprocess.tables import fixed, write_table


def schedule_columns(schedule: JackSchedule) -> dict[str, list[str]]:
    """Name of the column, with its unit, -> (n,) entries as text."""
    x, y = schedule.xy.T
    columns = {
        "id": list(schedule.ids),
        "x_mm": fixed(1e3 * x, 1),
        "y_mm": fixed(1e3 * y, 1),
        "spring": list(schedule.springs),
        "advance_mm": fixed(1e3 * schedule.advance, 2),
        "rate_N_mm": fixed(schedule.rates / 1e3, 2),
        "rated_load_kN": fixed(schedule.rated_loads / 1e3, 3),
    }
    columns |= {f"load_{state}_kN": fixed(schedule.loads[state] / 1e3, 3) for state in STATES}
    columns |= {f"deflection_{state}_mm": fixed(1e3 * schedule.deflections[state], 3) for state in STATES}
    columns |= {f"load_ratio_{state}": fixed(schedule.load_ratio(state), 3) for state in STATES}
    return columns | {
        "tributary_load_kN": fixed(schedule.tributary_loads / 1e3, 3),
        "computed_over_tributary": fixed(schedule.tributary_ratio, 3),
        "solid_reserve_full_mm": fixed(1e3 * schedule.solid_reserve("full"), 2),
        "status": list(schedule.status),
    }


def write_schedule(schedule: JackSchedule, path: Path) -> None:
    """Write one row a jack, in the order of the jack list. Loads positive in compression, deflection downward."""
    columns = schedule_columns(schedule)
    write_table(columns, zip(*columns.values(), strict=True), path)
