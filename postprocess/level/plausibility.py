"""Whether turns can explain the heights of a survey: what is refused, and what is said to be in doubt, in words.

A slab follows its jacks in long waves only, so a height that its neighbours speak against was misread or mistyped, or
the surface has a fault there, which no turns mend. Such heights are left out of the estimate.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.level.estimate import SHAPE_DEVIATION, SURFACE_DEVIATION, SlabEstimate, Survey, estimate

Floats = NDArray[np.float64]

DOUBT = 5.0
"""Standard deviations from what the other points say, beyond which a height is left out."""
SLIP = 0.015
"""Difference from what the other points say, m, beyond which a height is refused; likewise the rms of all residuals."""
ROUGH = 4.0
"""Residuals of all points, as a multiple of the deviation expected, from which on the survey is in doubt."""
SMOOTH = 0.1
"""The same, below which it is too smooth for its unit, or its deviation is too great."""
MOST_LEFT_OUT = 0.15
"""Share of the points in doubt beyond which the whole survey is refused."""
LEAST_POINTS = 4


@dataclass(frozen=True, eq=False)
class Examined:
    """problems: why the survey is refused; if there are any, the rest means little. doubts: what is said beside.
    kept: (q,) points that the estimate goes by. slab: that estimate, None where there are too few points."""

    problems: tuple[str, ...]
    doubts: tuple[str, ...]
    kept: NDArray[np.bool_]
    slab: SlabEstimate | None


def examine(
    survey: Survey,
    names: Sequence[str],
    shape_deviation: float | None = None,
    surface_deviation: float | None = None,
    known: Floats | None = None,
) -> Examined:
    """Leave out point after point while one is in doubt, then judge the whole. names: of the q points; the rest as
    `estimate`."""
    kept = np.ones(len(names), dtype=bool)
    if fault := _too_few(survey.xy) or _flat(survey):
        return Examined((fault,), (), kept, None)
    slips: list[str] = []
    doubts: list[str] = []
    problems: list[str] = []
    # deviations estimated from the survey would take a fault of one point for roughness of all
    usual = shape_deviation or SHAPE_DEVIATION, SURFACE_DEVIATION if surface_deviation is None else surface_deviation
    while True:
        slab = estimate(survey.part(kept), *usual, known)
        worst = worst_of(slab.leave_one_out, slab.expected_deviation)
        if worst is None:
            break
        point = int(np.flatnonzero(kept)[worst])
        off = float(slab.leave_one_out[worst])
        text = _off_words(names[point], float(survey.height[point]), off)
        (slips if abs(off) > SLIP else doubts).append(text)
        kept[point] = False
        left = len(names) - int(kept.sum())
        if too_many(left, len(names)) or _too_few(survey.xy[kept]):
            problems.append(
                f"{left} of {len(names)} heights or more differ from what the others say by more than any turns "
                "explain: check the unit, and that every height stands at its own point."
            )
            break
    of_all = _of_all(slab, survey.part(kept))
    slab = estimate(survey.part(kept), shape_deviation, surface_deviation, known)
    return Examined(
        (*(f"{text}: survey it again." for text in slips), *problems, *of_all[0]),
        (*(f"{text}: it is left out; survey it again, and look at the surface there." for text in doubts), *of_all[1]),
        kept,
        slab,
    )


def too_many(left_out: int, of_all: int) -> bool:
    """Whether so many points are in doubt that the whole is."""
    return left_out > max(MOST_LEFT_OUT * of_all, 1)


def worst_of(off: Floats, deviation: Floats) -> int | None:
    """The point that is most in doubt, if any is: differences (q,) and their deviations. Where all are rougher than
    expected, that is not the fault of one."""
    score = np.abs(off) / deviation
    if len(score) <= LEAST_POINTS:
        return None
    scale = max(1.0, 1.4826 * float(np.median(score)))  # of a normal distribution
    worst = int(score.argmax())
    return worst if score[worst] > DOUBT * scale else None


def slip_words(off: float) -> str:
    """What a difference that is a round figure may come from."""
    for slip in (0.01, 0.1, 1.0):
        if abs(abs(off) - slip) < 0.1 * slip:
            return f" (a slip of {slip * 1e3:.0f} mm?)"
    return ""


def _flat(survey: Survey) -> str:
    """What is wrong with heights that are nearer to each other than readings of one and the same height would be."""
    range_mm, stated_mm = float(np.ptp(survey.height)) * 1e3, float(survey.deviation.mean()) * 1e3
    if len(survey.height) <= 2 * LEAST_POINTS or range_mm >= stated_mm:
        return ""
    return (
        f"all heights lie within {range_mm:.2g} mm of each other, which {len(survey.height)} readings of "
        f"±{stated_mm:.2g} mm never do: are they in mm, as read? Feet, inches or metres written for mm look like this."
    )


def _too_few(xy: Floats) -> str:
    """What is wrong with the points, or nothing."""
    centred = xy - xy.mean(axis=0) if len(xy) else xy
    if len(xy) < LEAST_POINTS:
        return f"got {len(xy)} heights: at least {LEAST_POINTS} are needed, and one at every jack is better."
    if np.linalg.matrix_rank(centred, tol=0.05 * max(float(np.abs(centred).max()), 1e-9)) < 2:
        return "all heights lie in one line: they do not tell how the slab lies across it."
    return ""


def _off_words(name: str, height: float, off: float) -> str:
    return (
        f"{name}: {height * 1e3:.1f} mm is {abs(off) * 1e3:.1f} mm {'above' if off > 0 else 'below'} what the points "
        f"around it say, and no turns bend a slab like that{slip_words(off)}"
    )


def _of_all(slab: SlabEstimate, survey: Survey) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Problems and doubts of the survey as a whole."""
    residual = float(np.sqrt(np.mean(slab.residual**2)))
    ratio = float(np.sqrt(np.mean((slab.leave_one_out / slab.expected_deviation) ** 2)))
    stated = float(np.sqrt(np.mean(slab.leave_one_out**2)) / survey.deviation.mean())
    if residual > SLIP:
        return (
            f"no set of turns explains these heights: they differ by {residual * 1e3:.0f} mm (rms) from any shape that "
            "the slab can have. Check the unit, and that every height stands at its own point.",
        ), ()
    if len(slab.residual) > 2 * LEAST_POINTS and stated < SMOOTH:
        return (), (
            f"the heights are smoother than a survey of ±{survey.deviation.mean() * 1e3:.2g} mm can be: are they in "
            "mm, as read? Feet, inches or metres written for mm look like this.",
        )
    if ratio > ROUGH:
        return (), (
            f"the heights differ by {residual * 1e3:.1f} mm (rms) from any shape that the slab can have, which is much "
            f"for a survey of ±{survey.deviation.mean() * 1e3:.2g} mm: what follows is to be taken with care.",
        )
    return (), ()
