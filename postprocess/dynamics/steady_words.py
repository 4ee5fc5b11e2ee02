"""What groups and machines do to the slab, in sentences: acceleration as a share of gravity, velocity, a measure."""

from __future__ import annotations

from typing import Final

import numpy as np

from fem.gravity import GRAVITY
from postprocess.dynamics.views import SteadyView
from postprocess.dynamics.words import kilonewtons

PEOPLE: Final = (
    "To compare with: people at rest notice some 0.5 % of g; 4 to 7 % of g is put up with during rhythmic exercise "
    "(AISC Design Guide 11, from memory)."
)
RATE: Final = {"group": "jumps a second", "machine": "turns a second"}


def gravity_words(acceleration: float) -> str:
    """An acceleration in m/s2 as a share of gravity."""
    return f"{100 * acceleration / GRAVITY:.3g} % of g"


def velocity_of(each: SteadyView) -> float:
    """Greatest velocity, m/s, of a harmonic motion with the greatest acceleration at the worst rate: a/(2πf)."""
    return each.peak_acceleration / (2 * np.pi * each.worst_rate)


def steady_words(each: SteadyView) -> str:
    """Acceleration, velocity of a machine's place and force, and at which rate, in one sentence."""
    parts = [f"{each.peak_acceleration:.3g} m/s2 ({gravity_words(each.peak_acceleration)})"]
    if each.kind == "machine":
        parts.append(f"{1e3 * velocity_of(each):.3g} mm/s peak")
    moved, force = ", ".join(parts), f"{kilonewtons(each.peak_force)} into the structure"
    shaken, pushed = (_rate(each, rate) for rate in (each.worst_rate, float(each.rates[int(each.force.argmax())])))
    return (
        f"at most {moved} and {force}, at {shaken}"
        if shaken == pushed
        else (f"at most {moved}, at {shaken}, and {force}, at {pushed}")
    )


def _rate(each: SteadyView, rate: float) -> str:
    turns = f" ({60 * rate:.0f} r/min)" if each.kind == "machine" else ""
    return f"{rate:.2f} {RATE.get(each.kind, '1/s')}{turns}"
