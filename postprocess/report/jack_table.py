"""The one table of all jacks that is kept on paper."""

from __future__ import annotations

import numpy as np

from postprocess.report.jack_plan import JackPlan
from postprocess.report.jack_values import shown, values_of
from postprocess.report.model import Column, Table
from postprocess.report.plan_data import beyond_any


def jack_table(plan: JackPlan) -> Table:
    """All jacks with the figures kept on paper; a row is marked if any value in any state is beyond a limit."""
    found = {quantity.key: quantity for quantity in plan.quantities}
    kept = [column for column in plan.paper if column.quantity in found]
    values = [
        [
            shown(float(value), found[column.quantity].digits)
            for value in values_of(plan, found[column.quantity], column.state)
        ]
        for column in kept
    ]
    places = [[shown(1e3 * float(value), 0) for value in axis] for axis in np.reshape(plan.xy, (-1, 2)).T]
    columns = (
        *(Column("Jack"), Column("Spring"), Column("x, mm", "right"), Column("y, mm", "right")),
        *(Column(column.heading, "right") for column in kept),
    )
    rows = tuple(zip(plan.ids, plan.springs, *places, *values, strict=True))
    states = (
        words.full if words.full.startswith(words.short) else f"{words.short}: {words.full}"
        for words in plan.states.values()
    )
    caption = f"All jacks. {'; '.join(states)}"
    return Table(caption, columns, rows, beyond_any(plan))
