"""The lists of a run that have no home of their own: jacks, springs to buy, checks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from postprocess.checks import Check
from postprocess.jobs.views import BuyingRow
from postprocess.list_table import Cell, Column, ListTable
from postprocess.schedule import STATES, JackSchedule


def jack_table(schedule: JackSchedule) -> ListTable:
    """What jack-schedule.csv has, with the sums of the loads below."""
    x, y = schedule.xy.T * 1e3
    numbers = {
        Column("advance_mm", "Advance, mm", 2): 1e3 * schedule.advance,
        Column("rate_N_mm", "Rate, N/mm", 2): schedule.rates / 1e3,
        Column("rated_load_kN", "Rated load, kN", 3): schedule.rated_loads / 1e3,
        **{Column(f"load_{state}_kN", f"Load {state}, kN", 3): schedule.loads[state] / 1e3 for state in STATES},
        **{
            Column(f"deflection_{state}_mm", f"Deflection {state}, mm", 3): 1e3 * schedule.deflections[state]
            for state in STATES
        },
        **{Column(f"load_ratio_{state}", f"Load ratio {state}", 3): schedule.load_ratio(state) for state in STATES},
        Column("tributary_load_kN", "Tributary load service, kN", 3): schedule.tributary_loads / 1e3,
        Column("computed_over_tributary", "Computed over tributary", 3): schedule.tributary_ratio,
        Column("solid_reserve_full_mm", "Travel left full, mm", 2): 1e3 * schedule.solid_reserve("full"),
    }
    columns = (
        *(Column("id", "Jack"), Column("x_mm", "x, mm", 1), Column("y_mm", "y, mm", 1), Column("spring", "Spring")),
        *numbers,
        Column("status", "Status"),
    )
    values = np.column_stack(list(numbers.values())).tolist()
    rows = [
        (schedule.ids[j], float(x[j]), float(y[j]), schedule.springs[j], *values[j], status)
        for j, status in enumerate(schedule.status)
    ]
    sums = {f"load_{state}_kN": float(schedule.loads[state].sum()) / 1e3 for state in STATES}
    total: tuple[Cell, ...] = tuple("all jacks" if c.key == "id" else sums.get(c.key) for c in columns)
    return ListTable("Jacks", "", columns, tuple(rows), (total,))


def buying_table(springs: Sequence[BuyingRow]) -> ListTable:
    """A row for each kind of coil; buying-list.csv is written by `jobs.choice_lists`."""
    columns = (
        Column("coil", "Coil"),
        Column("rate_N_mm", "Rate, N/mm", 2),
        Column("rated_load_kN", "Rated load, kN", 3),
        Column("under_jacks", "Under jacks", 0),
        Column("spares", "Spares", 0),
        Column("total", "To buy", 0),
    )
    rows = tuple(
        (row.coil, row.rate / 1e3, row.rated_load / 1e3, row.under_jacks, row.spares, row.total) for row in springs
    )
    sums = (sum(getattr(row, name) for row in springs) for name in ("under_jacks", "spares", "total"))
    return ListTable("Springs to buy", "", columns, rows, (("all coils", None, None, *sums),))


def check_table(checks: Sequence[Check]) -> ListTable:
    """A row for each verdict, those that are not met first."""
    columns = (
        Column("name", "Check"),
        Column("verdict", "Verdict"),
        Column("value", "Value", 4),
        Column("sense", "Must be"),
        Column("limit", "Limit", 4),
        Column("unit", "Unit"),
        Column("where", "Where"),
        Column("combination", "Combination"),
        Column("basis", "Basis"),
    )
    rows = tuple(
        (
            *(check.name, "met" if check.ok else "NOT MET", float(check.value), check.sense, float(check.limit)),
            *(check.unit, check.where, check.combination, check.basis),
        )
        for check in sorted(checks, key=lambda check: bool(check.ok))
    )
    return ListTable("Checks", "", columns, rows, ())
