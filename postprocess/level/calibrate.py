"""The real rates of the springs, from surveys with turns between them: a linear Bayesian update, linearised again.

What is observed is how a point rose between two surveys, so the shape in which the slab was cast drops out. Where the
first survey was made at rest, before any turn, the compression of the springs is observed; else only what uneven turns
did. Rates are normal about the nominal ones; readings, screws and the slab's weight have deviations of their own. With
z the unknowns in units of their deviations (rates, weight, what each screw is off in each interval), A the derivative
of the observed rises by them and R the covariance of reading (Rasmussen and Williams, Gaussian Processes, 2006,
eq. 2.11 in its dual form; from memory):
    z = Aᵀ (A Aᵀ + R)⁻¹ r,   covariance of z: I − Aᵀ (A Aᵀ + R)⁻¹ A,
with r the rises less those of the nominal rates, linearised first about these, then about the answer (Gauss and
Newton).
"""

from __future__ import annotations

from collections.abc import Sequence
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

    def part(self, surveys: Sequence[int]) -> SurveySeries:
        """Some of the surveys only."""
        chosen = list(surveys)
        return SurveySeries(self.heights[chosen], self.deviation[chosen], self.advance[chosen], self.at_rest[chosen])


@dataclass(frozen=True, eq=False)
class SpringFloor:
    """What surveys are held against: a floor on n jacks in one state of loads.

    factors: (p,) multipliers of the load patterns. points: (q, unknowns) rows of the points of the surveys. nominal:
    (n,) rates, N/m. rate_root: (n, r), N/m, such that its product with its transpose is their covariance.
    advance_deviation, weight_deviation: of a screw between two surveys, m, and of the weight, as a share.
    """

    floor: CondensedFloor
    factors: Floats
    points: sparse.csr_array
    nominal: Floats
    rate_root: Floats
    advance_deviation: float = ADVANCE_DEVIATION
    weight_deviation: float = WEIGHT_DEVIATION

    def response(self, rates: Floats) -> ScrewResponse:
        """The response of the points for rates (n,)."""
        return ScrewResponse.of(self.floor, rates, self.factors[:, None], self.points)


@dataclass(frozen=True, eq=False)
class Calibration:
    """rates: (n,) estimated, N/m. spread: (n,) their standard deviations. advance: (n,) what the screws are off in all
    at the last survey, m. covariance: (2n + 1, 2n + 1) of rates, of that, and of the weight as a share. surprise: (n,)
    how far the rate has moved in units of the deviation that such moves have. informed: by how many observed rises.
    residual: rms of what the estimate leaves unexplained of them, m."""

    rates: Floats
    spread: Floats
    advance: Floats
    covariance: Floats
    surprise: Floats
    informed: int
    residual: float

    @property
    def rate_covariance(self) -> Floats:
        """(n, n) of the rates."""
        n = len(self.rates)
        return self.covariance[:n, :n]


@dataclass(frozen=True, eq=False)
class Rises:
    """Rises that were observed, less those of the nominal rates: off (m,), m, of the points (m,), with what makes them
    uncertain: causes (m, z) by unknowns in units of their deviations, reading (m, m) covariance."""

    off: Floats
    points: Ints
    causes: Floats
    reading: Floats

    @property
    def covariance(self) -> Floats:
        """(m, m) of what is off."""
        return np.asarray(self.causes @ self.causes.T + self.reading)


def rises(springs: SpringFloor, series: SurveySeries, rates: Floats) -> Rises:
    """The rises of a series, linearised about rates (n,)."""
    later, first = _rises(series)
    heights, slope, errors = _predicted(springs, springs.response(rates), series)
    causes = np.hstack([(slope[later] - slope[first]) @ springs.rate_root, errors[later] - errors[first]])
    read = series.heights.ravel()
    off = (read[later] - read[first]) - (heights[later] - heights[first])
    off = off - (slope[later] - slope[first]) @ (springs.nominal - rates)
    return Rises(off, later % series.heights.shape[1], causes, _reading(series, later, first))


def calibrate(springs: SpringFloor, series: SurveySeries) -> Calibration:
    """The rates (n,) that the surveys make most likely, and what else is believed of the floor at the last of them.

    Of a single survey, or of surveys that share no point, all is as it was thought to be.
    """
    nominal, (later, first) = springs.nominal, _rises(series)
    shares = _shares(springs, series)
    if not len(later):
        covariance, none = shares @ shares.T, np.zeros(len(nominal))
        return Calibration(nominal, np.sqrt(np.sum(springs.rate_root**2, axis=1)), none, covariance, none, 0, 0.0)
    rates = nominal
    for _ in range(ROUNDS):
        seen = rises(springs, series, rates)
        gain = np.linalg.solve(seen.covariance, seen.causes @ shares.T).T
        moved = gain @ seen.off
        rates = np.maximum(nominal + moved[: len(nominal)], LEAST_RATE * nominal)
    learnt = gain @ seen.causes @ shares.T
    covariance = shares @ shares.T - 0.5 * (learnt + learnt.T)
    n = len(nominal)
    covariance[2 * n, 2 * n] += moved[2 * n] ** 2  # loads are given for the weight that was stated
    expected = np.sqrt(np.maximum(np.diag(learnt)[:n], (1e-6 * nominal) ** 2))
    heights = _predicted(springs, springs.response(rates), series)[0]
    read = series.heights.ravel()
    left = (read[later] - read[first]) - (heights[later] - heights[first])
    return Calibration(
        rates=rates,
        spread=np.sqrt(np.maximum(np.diag(covariance)[:n], 0.0)),
        advance=moved[n : 2 * n],
        covariance=covariance,
        surprise=moved[:n] / expected,
        informed=len(later),
        residual=float(np.sqrt(np.mean(left**2))),
    )


def _shares(springs: SpringFloor, series: SurveySeries) -> Floats:
    """(2n + 1, z) rates, advances at the last survey and weight by unknowns in units of their deviations."""
    n, coils = springs.rate_root.shape
    turned = _turned(series)
    shares = np.zeros((2 * n + 1, coils + 1 + len(turned) * n))
    shares[:n, :coils] = springs.rate_root
    shares[2 * n, coils] = springs.weight_deviation
    for interval in np.flatnonzero(turned):
        start = coils + 1 + interval * n
        shares[n : 2 * n, start : start + n] = springs.advance_deviation * np.eye(n)
    return shares


def _turned(series: SurveySeries) -> NDArray[np.bool_]:
    """(s,) whether a jack was turned in the interval before each survey."""
    return np.concatenate([[np.any(series.advance[0] != 0)], np.any(np.diff(series.advance, axis=0) != 0, axis=1)])


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


def _predicted(springs: SpringFloor, response: ScrewResponse, series: SurveySeries) -> tuple[Floats, Floats, Floats]:
    """Heights (s q,), their derivative by the rates (s q, n), and by weight and screws in units of their deviations
    (s q, r). A slab at rest has none of these."""
    surveys, points = series.heights.shape
    n = len(response.rates)
    turned = _turned(series)
    heights = np.zeros((surveys, points))
    slope = np.zeros((surveys, points, n))
    errors = np.zeros((surveys, points, 1 + surveys * n))
    for survey in np.flatnonzero(~series.at_rest):
        advance = series.advance[survey]
        at_jacks, heights[survey] = response.heights(advance, 0)
        slope[survey] = response.rate_derivative(advance - at_jacks)[1]
        errors[survey, :, 0] = -springs.weight_deviation * response.point_deflection[:, 0]
        for interval in np.flatnonzero(turned[: survey + 1]):
            columns = slice(1 + interval * n, 1 + (interval + 1) * n)
            errors[survey, :, columns] = springs.advance_deviation * response.point_rise
    return heights.ravel(), slope.reshape(-1, n), errors.reshape(surveys * points, -1)
