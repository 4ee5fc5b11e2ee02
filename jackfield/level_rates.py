"""The springs of a floor before its surveys, and what the surveys are held against."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from jackfield.doubt import coils_under
from jackfield.levelling import LevelDesk, Reading
from postprocess.level.calibrate import SpringFloor, SurveySeries
from preprocess.case import Case
from preprocess.schema import DoubtTable

Floats = NDArray[np.float64]

_USUAL = DoubtTable()


def rate_root(case: Case) -> Floats:
    """(n, r) such that its product with its transpose is the covariance of the rates, N/m.

    As floors are drawn at random where a case has [doubt], whose usual values hold where it has none: part of the
    variance is common to all coils of one kind, the rest of each coil. The parts of nested pairs are coils.
    """
    doubt = case.doubt
    tolerance = _USUAL.rate_tolerance_percent / 100 if doubt is None else doubt.rate_tolerance
    share = _USUAL.batch_percent / 100 if doubt is None else doubt.batch_share
    coils = coils_under(case)
    batch, single = np.zeros((coils.jacks, coils.kinds)), np.zeros((coils.jacks, len(coils.rate)))
    np.add.at(batch, (coils.jack, coils.kind), coils.rate)
    single[coils.jack, np.arange(len(coils.rate))] = coils.rate
    return 0.5 * tolerance * np.hstack([sqrt(share) * batch, sqrt(1 - share) * single])


def spring_floor(desk: LevelDesk) -> SpringFloor:
    """The floor in the state in which it is surveyed."""
    factors = np.eye(len(desk.states))[desk.states.index(desk.case.level.surveyed_in)]
    rates = desk.case.jacks.rates
    return SpringFloor(desk.condensed, factors, desk.rows[: len(desk.points)], rates, rate_root(desk.case))


def survey_series(desk: LevelDesk, readings: Sequence[Reading], kept: Sequence[NDArray[np.bool_]]) -> SurveySeries:
    """The surveys over all points of the desk. kept: which heights of each survey count."""
    heights = np.full((len(readings), len(desk.points)), np.nan)
    deviation = np.ones_like(heights)
    for row, (each, sound) in enumerate(zip(readings, kept, strict=True)):
        heights[row, each.at[sound]] = each.survey.height[sound]
        deviation[row, each.at] = each.survey.deviation
    return SurveySeries(
        heights,
        deviation,
        np.array([desk.advance(each.turns) if each.turns.any() else each.turns for each in readings]),
        np.array([each.at_rest for each in readings]),
    )
