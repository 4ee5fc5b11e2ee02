"""Figures of jacks as text, and the colour scale on which each quantity is shown."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from postprocess.colours import DEFLECTION, SIGNED
from postprocess.drawing import number
from postprocess.report.jack_plan import JackPlan, Quantity, StateWords

Floats = NDArray[np.float64]

NO_VALUE = "–"
NO_COLOUR = "#ffffff"
EVERY_STATE = "all"
"""The state of quantities that are the same in all states."""


def shown(value: float, digits: int) -> str:
    """The value with fixed decimals and a true minus sign; a dash where there is none."""
    return number(value, digits) if math.isfinite(value) else NO_VALUE


def heading(quantity: Quantity) -> str:
    """Name with its unit."""
    return f"{quantity.name}, {quantity.unit}" if quantity.unit else quantity.name


def state_words(plan: JackPlan, state: str) -> StateWords:
    """What a state is called; one that the plan does not know by its key."""
    return plan.states.get(state, StateWords(state, state))


def states_of(plan: JackPlan, quantity: Quantity) -> tuple[str, ...]:
    """States of the plan in which the quantity is known of any jack; all of them if it is the same in all states."""
    return tuple(state for state in plan.states if np.isfinite(values_of(plan, quantity, state)).any())


def values_of(plan: JackPlan, quantity: Quantity, state: str) -> Floats:
    """(n,) values in a state, NaN where it is not known in it."""
    found = quantity.values.get(state, quantity.values.get(EVERY_STATE))
    return np.full(len(plan.ids), np.nan) if found is None else np.asarray(found, dtype=float)


def limit_words(quantity: Quantity) -> str:
    """What is allowed, in words; "" without a limit."""
    low, high = (None if math.isnan(limit) else shown(limit, quantity.digits) for limit in quantity.limits)
    unit = f" {quantity.unit}" if quantity.unit else ""
    if low is not None and high is not None:
        return f"allowed {low} to {high}{unit}"
    if low is not None:
        return f"at least {low}{unit} is needed"
    return f"at most {high}{unit} is allowed" if high is not None else ""


def outside(values: Floats, limits: tuple[float, float]) -> NDArray[np.bool_]:
    """Whether each value is beyond a limit."""
    low, high = limits
    return np.asarray((values < low) | (values > high))


def first_state(plan: JackPlan, quantity: Quantity) -> str:
    """The state in which a quantity is shown first: service if it is known there."""
    known = states_of(plan, quantity)
    return "service" if "service" in known or not known else known[0]


@dataclass(frozen=True, eq=False)
class ColourScale:
    """From `low` to `high` over the colours of a map, `signed` or not; ticks: round numbers from low to high."""

    low: float
    high: float
    signed: bool
    ticks: Floats

    def places(self, values: Floats) -> Floats:
        """Place of each value on the scale, 0 to 1; what lies beyond an end stands at the end. NaN stays."""
        return np.clip((values - self.low) / (self.high - self.low), 0.0, 1.0)

    def fills(self, values: Floats) -> list[str]:
        """A colour "#rrggbb" for each value, white where there is none."""
        table = hex_colours(self.signed)
        steps = np.floor(self.places(values) * (len(table) - 1) + 0.5)
        return [NO_COLOUR if math.isnan(step) else table[int(step)] for step in steps]


def colour_scale(quantity: Quantity) -> ColourScale:
    """One scale for all states of a quantity; limits lie on it unless they are further off than the values spread."""
    values = np.concatenate([np.ravel(part) for part in quantity.values.values()] or [np.zeros(0)]).astype(float)
    values = values[np.isfinite(values)]
    low, high = (float(values.min()), float(values.max())) if len(values) else (0.0, 1.0)
    signed = low < 0 < high
    spread = max(high - low, 0.2 * max(abs(low), abs(high)), 10.0**-quantity.digits)
    near = [limit for limit in quantity.limits if low - spread <= limit <= high + spread]
    low, high = min([low, *near]), max([high, *near])
    if signed:
        high = max(-low, high)
        low = -high
    if high - low < 10.0**-quantity.digits:
        low, high = low - 10.0**-quantity.digits, high + 10.0**-quantity.digits
    ticks = MaxNLocator(nbins=6, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)
    return ColourScale(float(ticks[0]), float(ticks[-1]), signed, np.asarray(ticks))


@lru_cache(maxsize=4)
def hex_colours(signed: bool) -> tuple[str, ...]:
    """All colours of the map for quantities of both signs, or of one, as "#rrggbb"."""
    steps = np.floor(255 * np.asarray((SIGNED if signed else DEFLECTION).colors, dtype=float) + 0.5).astype(int)
    return tuple(f"#{red:02x}{green:02x}{blue:02x}" for red, green, blue in steps.tolist())
