"""What a page needs to answer questions on a plan of jacks: its figures as data, and its table row by row."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from postprocess.report.jack_plan import JackPlan, Quantity
from postprocess.report.jack_values import (
    colour_scale,
    first_state,
    heading,
    hex_colours,
    limit_words,
    outside,
    shown,
    states_of,
    values_of,
)
from postprocess.report.numbered import plain
from postprocess.report.plan_sheet import PlanSheet

EXACT = 6
"""Decimals kept beyond those shown, so that rounding for show has one outcome everywhere."""
FIXED_COLUMNS = ("Jack", "Spring", "Status in service", "x, m", "y, m")


def plan_data(sheet: PlanSheet) -> dict[str, Any]:
    """Figures of the plan for the page's script; lengths on the sheet in mm, missing values None."""
    plan = sheet.plan
    return {
        "ids": [plain(name) for name in plan.ids],
        "springs": [plain(spring) for spring in plan.springs],
        "status": list(plan.status),
        "metres": [[round(float(value), 4) for value in point] for point in plan.xy],
        "sheet": [[round(float(value), 3) for value in point] for point in sheet.jacks],
        "radius": sheet.radius,
        "words": sheet.words,
        "room": sheet.room,
        "states": [[key, plain(words.short), plain(words.full)] for key, words in plan.states.items()],
        "quantities": [_quantity(plan, quantity) for quantity in plan.quantities],
        "colours": {"one-signed": list(hex_colours(False)), "signed": list(hex_colours(True))},
        "governing": plan.governing,
    }


def _quantity(plan: JackPlan, quantity: Quantity) -> dict[str, Any]:
    scale = colour_scale(quantity)
    return {
        "key": quantity.key,
        "heading": plain(heading(quantity)),
        "unit": plain(quantity.unit),
        "digits": quantity.digits,
        "limits": [_exact(limit, quantity.digits) for limit in quantity.limits],
        "limitWords": plain(limit_words(quantity)),
        "low": scale.low,
        "high": scale.high,
        "colours": "signed" if scale.signed else "one-signed",
        "first": first_state(plan, quantity),
        "states": list(states_of(plan, quantity)),
        "values": {
            state: [_exact(float(value), quantity.digits) for value in values]
            for state, values in quantity.values.items()
        },
    }


def _exact(value: float, digits: int) -> float | None:
    return round(value, digits + EXACT) if math.isfinite(value) else None


def as_script(data: object) -> str:
    """JSON that can stand in a script element: no text in it can end the element or open a comment."""
    words = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    for sign in "<>&\u2028\u2029":
        words = words.replace(sign, f"\\u{ord(sign):04x}")
    return words


def table_rows(plan: JackPlan, state: str, quantities: Iterable[Quantity]) -> list[tuple[str, ...]]:
    """A row for each jack: id, spring, status, place, and the quantities in a state."""
    columns = [
        [shown(float(value), quantity.digits) for value in values_of(plan, quantity, state)] for quantity in quantities
    ]
    places = [(shown(float(x), 3), shown(float(y), 3)) for x, y in plan.xy]
    fixed = zip(map(plain, plan.ids), map(plain, plan.springs), plan.status, places, strict=True)
    values = zip(*columns, strict=True) if columns else [()] * len(plan.ids)
    return [
        (name, spring, status, *place, *row) for (name, spring, status, place), row in zip(fixed, values, strict=True)
    ]


def values_by_state(plan: JackPlan, jack: int) -> list[tuple[str, tuple[str, ...]]]:
    """Heading of each quantity, and the values of one jack in the states of the plan."""
    rows = []
    for quantity in plan.quantities:
        values = (float(values_of(plan, quantity, state)[jack]) for state in plan.states)
        rows.append((plain(heading(quantity)), tuple(shown(value, quantity.digits) for value in values)))
    return rows


def beyond_any(plan: JackPlan) -> frozenset[int]:
    """Jacks of which any quantity is beyond a limit in any state."""
    flags = np.zeros(len(plan.ids), dtype=bool)
    for quantity in plan.quantities:
        for values in quantity.values.values():
            flags |= outside(np.asarray(values, dtype=float), quantity.limits)
    return frozenset(np.flatnonzero(flags).tolist())
