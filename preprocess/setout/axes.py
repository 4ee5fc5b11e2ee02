"""One coordinate of a frame, in steps from its low end or from a mirror, and what is wanted along it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from preprocess.setout.division import STEP, Demand
from preprocess.setout.ground import Floats

ON_ROW: Final = 0.003
"""A jack this near to a row stands on it, m."""

MUST: Final = 8.0
"""Price, in jacks, of leaving out what must not be left out."""


@dataclass(frozen=True)
class Axis:
    """One coordinate of the frame: 0 or 1, and the coordinate of the mirror across it, None if there is none."""

    index: int
    mirror: float | None


def first_step(low: float, axis: Axis) -> float:
    """Where steps begin: at a multiple of the step at or below the lowest coordinate, or at or above the mirror."""
    if axis.mirror is None:
        return float(np.floor(low / STEP) * STEP)
    beyond = -axis.mirror % STEP
    half = abs(beyond - STEP / 2) < 1e-6
    return axis.mirror + (STEP / 2 if half else 0.0)


def folded(demands: tuple[Demand, ...], mirror: float | None) -> tuple[Demand, ...]:
    """Demands measured from the mirror, one for each pair."""
    if mirror is None:
        return demands
    found: dict[tuple[float, float], Demand] = {}
    for demand in demands:
        low, high = demand.low - mirror, demand.high - mirror
        if high < 0:
            low, high = -high, -low
        elif low < 0:
            low, high = 0.0, max(-low, high)
        found[round(low, 4), round(high, 4)] = Demand(low, high, demand.price)
    return tuple(found.values())


def unfolded(places: Floats, mirror: float | None) -> Floats:
    """Places measured from the mirror, with their mirror images, as coordinates."""
    if mirror is None:
        return places
    centre = places[places < 1e-9]
    others = places[places >= 1e-9]
    return mirror + np.concatenate([-others[::-1], centre, others])


def lower(limit: Floats, at: Floats, ends: Floats, most: float, mirror: float | None) -> None:
    """Lowers the limits between two ends, and between their mirror images."""
    stretches = [(ends.min(), ends.max())]
    if mirror is not None:
        stretches.append((2 * mirror - ends.max(), 2 * mirror - ends.min()))
    for low, high in stretches:
        inside = (at > low) & (at < high)
        limit[inside] = np.minimum(limit[inside], most)


def end_demands(along: Floats, spacing: float) -> list[Demand]:
    """Lines wanted within half the spacing of the ends of a jack line that runs along the axis."""
    low, high = float(along.min()), float(along.max())
    return [Demand(low, low + spacing / 2, 2.0), Demand(high - spacing / 2, high, 2.0)]
