"""The real rates of the springs, from surveys with turns between them: a linear Bayesian update, linearised again.

What is observed is how a point rose between two surveys, so the shape in which the slab was cast drops out. Where the
first survey was made at rest, before any turn, the compression of the springs is observed; else only what uneven turns
did. Rates are normal about the nominal ones with half the tolerance as deviation; readings, screws and the slab's
weight have deviations of their own. With J the derivative of the observed rises y by the rates, P their covariance and
R that of the errors (Rasmussen and Williams, Gaussian Processes, 2006, eq. 2.11 in its dual form; from memory):
    G = P Jᵀ (J P Jᵀ + R)⁻¹,   k = k0 + G (y − f(k') − J (k0 − k')),   covariance P − G J P,
with k' the rates about which f is linearised: first the nominal, then the answer (Gauss and Newton).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.condensed import CondensedFloor
from fem.screw_response import ScrewResponse

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ROUNDS = 3
LEAST_RATE = 0.2
"""Share of the nominal rate that no estimate falls below."""
ADVANCE_DEVIATION = 0.0002
"""Standard deviation of what a screw really advances between two surveys, m: an assumption."""
WEIGHT_DEVIATION = 0.02
"""Standard deviation of the slab's weight, as a share: an assumption."""


@dataclass(frozen=True, eq=False)
class SurveySeries:
    """Heights of q points in s surveys, in their order, all above one datum.

    heights: (s, q) m, up positive; NaN where a survey lacks the point. deviation: (s, q) m. advance: (s, n) of every
    jack in all until then, m, less the slack taken up. at_rest: (s,) whether the slab lay on the structural floor.
    """

    heights: Floats
    deviation: Floats
    advance: Floats
    at_rest: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Calibration:
    """rates: (n,) estimated, N/m. spread: (n,) their standard deviations. covariance: (n, n). informed: by how many
    observed rises. residual: rms of what the rates leave unexplained of them, m."""

    rates: Floats
    spread: Floats
    covariance: Floats
    informed: int
    residual: float


def calibrate(
    floor: CondensedFloor,
    factors: Floats,
    points: sparse.csr_array,
    series: SurveySeries,
    nominal: Floats,
    *,
    tolerance: float = 0.10,
    advance_deviation: float = ADVANCE_DEVIATION,
    weight_deviation: float = WEIGHT_DEVIATION,
) -> Calibration:
    """The rates (n,) that the surveys make most likely.

    factors: (p,) multipliers of the load patterns in the state surveyed. points: (q, unknowns) rows of the points.
    nominal: (n,) N/m. tolerance: of the rates, as a share: two standard deviations.
    """
    prior = np.diag((0.5 * tolerance * nominal) ** 2)
    later, first = _rises(series)
    rates, covariance, residual = nominal, prior, 0.0
    if not len(later):
        return Calibration(rates, np.sqrt(np.diag(prior)), prior, 0, 0.0)
    read = series.heights.ravel()
    for _ in range(ROUNDS):
        response = ScrewResponse.of(floor, rates, factors[:, None], points)
        heights, slope, errors = _predicted(response, series, advance_deviation, weight_deviation)
        J, E = slope[later] - slope[first], errors[later] - errors[first]
        noise = E @ E.T + _reading(series, later, first)
        G = np.linalg.solve(J @ prior @ J.T + noise, J @ prior).T
        off = (read[later] - read[first]) - (heights[later] - heights[first])
        rates = np.maximum(nominal + G @ (off - J @ (nominal - rates)), LEAST_RATE * nominal)
        covariance = prior - G @ J @ prior
    response = ScrewResponse.of(floor, rates, factors[:, None], points)
    heights = _predicted(response, series, advance_deviation, weight_deviation)[0]
    residual = float(np.sqrt(np.mean(((read[later] - read[first]) - (heights[later] - heights[first])) ** 2)))
    covariance = 0.5 * (covariance + covariance.T)
    return Calibration(rates, np.sqrt(np.maximum(np.diag(covariance), 0.0)), covariance, len(later), residual)


def _rises(series: SurveySeries) -> tuple[Ints, Ints]:
    """Numbers in the flattened heights of each reading that has one before it, and of the first of its point."""
    surveys, points = series.heights.shape
    known = np.isfinite(series.heights)
    start = known.argmax(axis=0)
    later = known & (np.arange(surveys)[:, None] > start)
    survey, point = np.nonzero(later)
    return survey * points + point, start[point] * points + point


def _reading(series: SurveySeries, later: Ints, first: Ints) -> Floats:
    """Covariance of the errors of reading: rises of one point share its first reading."""
    variance = series.deviation.ravel() ** 2
    shared = np.where(first[:, None] == first, variance[first], 0.0)
    return np.asarray(shared + np.diag(variance[later]))


def _predicted(
    response: ScrewResponse, series: SurveySeries, advance_deviation: float, weight_deviation: float
) -> tuple[Floats, Floats, Floats]:
    """Heights (s q,), their derivative by the rates (s q, n), and factors (s q, r) of the covariance of what screws and
    weight make uncertain. A slab at rest has none of these."""
    surveys, points = series.heights.shape
    n = len(response.rates)
    turned = np.concatenate([[np.any(series.advance[0] != 0)], np.any(np.diff(series.advance, axis=0) != 0, axis=1)])
    heights = np.zeros((surveys, points))
    slope = np.zeros((surveys, points, n))
    errors = np.zeros((surveys, points, 1 + surveys * n))
    for survey in np.flatnonzero(~series.at_rest):
        advance = series.advance[survey]
        at_jacks, heights[survey] = response.heights(advance, 0)
        slope[survey] = response.rate_derivative(advance - at_jacks)[1]
        errors[survey, :, 0] = -weight_deviation * response.point_deflection[:, 0]
        for interval in np.flatnonzero(turned[: survey + 1]):
            columns = slice(1 + interval * n, 1 + (interval + 1) * n)
            errors[survey, :, columns] = advance_deviation * response.point_rise
    return heights.ravel(), slope.reshape(-1, n), errors.reshape(surveys * points, -1)
