"""Whether the turns explain how a slab rose between two surveys, as a whole and point by point, in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.level.calibrate import Calibration
from postprocess.level.plausibility import LEAST_POINTS, SLIP, slip_words, too_many, worst_of

Floats = NDArray[np.float64]

LEAST_LIMIT = 0.003
"""What a mean rise may differ from the turns made, m, where springs are stiff: readings, datum and slack."""
LIMIT_SHARE = 0.3
"""The same as a share of the springs' mean compression, by which the slab hangs lower if all springs are softer by as
much; at most `SLIP`."""
UNITS = {"metres": 1000.0, "inches": 25.4, "feet": 304.8}
SURPRISE = 4.0
"""Deviations beyond which the change of a rate is said to be in doubt: of hundreds of jacks none by chance."""
NAMED = 6
"""Jacks that are named at most."""


@dataclass(frozen=True, eq=False)
class ExaminedRises:
    """problems: why surveys are refused. doubts: what is said beside. kept: (q,) points that rates are estimated by."""

    problems: tuple[str, ...]
    doubts: tuple[str, ...]
    kept: NDArray[np.bool_]


def rise_limit(compression: float) -> float:
    """How far a mean rise may be off, m, for a mean compression of the springs, m."""
    return float(np.clip(LIMIT_SHARE * compression, LEAST_LIMIT, SLIP))


def rise_problems(before: Floats, after: Floats, expected: Floats, limit: float) -> tuple[str, ...]:
    """Why the rise from one survey to the next is refused as a whole.

    before, after, expected: (q,) heights and expected rise of the points of both, m. limit: as `rise_limit`.
    """
    if not len(expected):
        return ()
    seen, wanted = float(np.median(after - before)), float(np.median(expected))
    if abs(seen - wanted) <= limit:
        return ()
    text = f"the slab rose by {seen * 1e3:.1f} mm since the survey before, the turns made give {wanted * 1e3:.1f} mm"
    for unit, factor in UNITS.items():
        if abs(seen * factor - wanted) < 0.25 * abs(wanted):
            return (f"{text}: are the heights in {unit}? They are wanted in mm.",)
    return (f"{text}: check unit, datum and turns, and the order of the surveys.",)


def examine_rises(off: Floats, covariance: Floats, names: Sequence[str], before: str) -> ExaminedRises:
    """Leave out point after point while its rise is in doubt.

    off: (q,) rises less what the turns give, m, with their covariance (q, q). A point is held against what the others
    say of it: with S the covariance, (S⁻¹ off)ⱼ / (S⁻¹)ⱼⱼ, of variance 1 / (S⁻¹)ⱼⱼ (Rasmussen and Williams, Gaussian
    Processes, 2006, eq. 5.12; from memory). before: name of the survey before. names: of the points.
    """
    off = off - np.median(off) if len(off) else off
    kept = np.ones(len(off), dtype=bool)
    slips: list[str] = []
    doubts: list[str] = []
    problems: list[str] = []
    while int(kept.sum()) > LEAST_POINTS:
        inverse = np.linalg.inv(covariance[np.ix_(kept, kept)])
        alone, variance = inverse @ off[kept] / np.diag(inverse), 1 / np.diag(inverse)
        worst = worst_of(alone, np.sqrt(variance))
        if worst is None:
            break
        point, by = int(np.flatnonzero(kept)[worst]), float(alone[worst])
        kept[point] = False
        text = (
            f"{names[point]}: it rose by {abs(by) * 1e3:.1f} mm {'more' if by > 0 else 'less'} since {before} than the "
            f"turns and the points around it say{slip_words(by)}"
        )
        (slips if abs(by) > SLIP else doubts).append(text)
        if too_many(left := int((~kept).sum()), len(off)):
            problems.append(
                f"{left} of {len(off)} points or more rose since {before} by something else than the turns and the "
                "other points say: check the unit, and that every height stands at its own point."
            )
            break
    return ExaminedRises(
        (*(f"{text}: survey it again." for text in slips), *problems),
        tuple(f"{text}: it is left out of the rates; survey it again." for text in doubts),
        kept,
    )


def rate_doubts(found: Calibration, names: Sequence[str]) -> tuple[str, ...]:
    """What is said of rates that have moved further than springs of their tolerance do. names: of the jacks."""
    surprise = np.abs(found.surprise)
    odd = np.argsort(-surprise, kind="stable")[: int(np.sum(surprise > SURPRISE))]
    if not len(odd):
        return ()
    return (
        f"{_some([names[jack] for jack in odd.tolist()])}: springs within their tolerance and the turns as stated do "
        "not explain how the slab rose there. Look for a turn missed or made twice, or a spring of another type, "
        "before levelling: the rates given here are not to be relied on.",
    )


def _some(names: Sequence[str]) -> str:
    """The first of many names."""
    more = len(names) - NAMED
    return ", ".join(names[:NAMED]) + (f" and {more} more" if more > 0 else "")
