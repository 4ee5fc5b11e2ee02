"""From a survey to the heights of the slab at all jacks and anywhere, with their doubt.

A floating slab departs from where its springs and screws would hold it by a plane and a bow, which the floor that it
was cast on has, and by what is off with screws and springs. Both are long waves, so both are written as what small
advances would do to a plane slab: a is normal about the nominal advances with the covariance of what screws and springs
are off, as far as that is known, and, of each jack by itself, `shape_deviation`. The surface has errors of its own,
which look like further noise of the survey. So the height read at a point is h = p · (1, x, y) + rise · a − w + noise,
a regularised least-squares problem, whose answer is smoothed by the slab's stiffness. Only a part of these advances
presses on springs: what the slab was cast with is free of forces (`postprocess.level.belief`).
Rows of leverage H give the residual of a point against an estimate without it, r / (1 − H), of variance σ² / (1 − H)
(Belsley, Kuh and Welsch, Regression Diagnostics, 1980, ch. 2; from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SHAPE_DEVIATION = 0.002
"""Standard deviation of the shape as cast, as advance of each jack, m: an assumption."""
SURFACE_DEVIATION = 0.0003
"""Standard deviation of the surface against the slab, as cast and floated, m: an assumption."""
SHAPE_TRIES = (0.5, 1.0, 2.0, 4.0)
SURFACE_TRIES = (0.5, 1.0, 2.0, 4.0)
"""Multiples of both that are tried, where a survey has points enough to tell."""
ENOUGH = 20
"""Points from which on both are estimated."""


@dataclass(frozen=True, eq=False)
class Survey:
    """Heights read at q points, and what the slab would be there with its nominal advances.

    xy: (q, 2) m. height: (q,) m, up positive, above any datum. deviation: (q,) standard deviation of the reading, m.
    rise: (q, n) of the points by a unit advance of each jack. expected: (q,) height with the nominal advances above
    where the slab lay, m: `ScrewResponse.heights`.
    """

    xy: Floats
    height: Floats
    deviation: Floats
    rise: Floats
    expected: Floats

    def part(self, chosen: NDArray[np.bool_]) -> Survey:
        """The points `chosen` (q,) only."""
        return Survey(
            self.xy[chosen], self.height[chosen], self.deviation[chosen], self.rise[chosen], self.expected[chosen]
        )


@dataclass(frozen=True, eq=False)
class SlabEstimate:
    """plane: (3,) height at the origin, slopes along x and y. advance: (n,) of each jack beyond its nominal one, m.

    root: (3 + n, r) such that root · rootᵀ is the covariance of both. residual: (q,) read less estimated, m.
    leave_one_out: (q,) the same against an estimate without the point; its standard deviation: (q,) expected_deviation.
    shape_deviation, surface_deviation: that were taken, m.
    """

    plane: Floats
    advance: Floats
    root: Floats
    residual: Floats
    leave_one_out: Floats
    expected_deviation: Floats
    shape_deviation: float
    surface_deviation: float

    def heights(self, xy: Floats, rise: Floats, expected: Floats) -> Floats:
        """(m,) heights at points (m, 2) in m above the datum of the survey; rise, expected: as those of `Survey`."""
        return np.asarray(expected + _columns(xy, rise) @ np.concatenate([self.plane, self.advance]))

    def doubt(self, xy: Floats, rise: Floats) -> Floats:
        """(m, r) factors of these heights' covariance: that of sums g is g · doubt · doubtᵀ · gᵀ."""
        return np.asarray(_columns(xy, rise) @ self.root)


def estimate(
    survey: Survey,
    shape_deviation: float | None = None,
    surface_deviation: float | None = None,
    known: Floats | None = None,
) -> SlabEstimate:
    """The slab that a survey shows. Deviations that are not given are those that the survey makes most likely.

    known: (n, n) covariance of what screws and springs are off, as advance, m2; nothing where it is not given.
    Needs three points that are not in a line.
    """
    enough = len(survey.height) >= ENOUGH
    shapes = [shape_deviation or SHAPE_DEVIATION]
    surfaces = [SURFACE_DEVIATION if surface_deviation is None else surface_deviation]
    if enough and shape_deviation is None:
        shapes = [share * SHAPE_DEVIATION for share in SHAPE_TRIES]
    if enough and surface_deviation is None:
        surfaces = [share * SURFACE_DEVIATION for share in SURFACE_TRIES]
    n = survey.rise.shape[1]
    off = _Off(*np.linalg.eigh(np.zeros((n, n)) if known is None else known))
    tries = [(_Fit.of(survey, off, shape, surface), shape, surface) for shape in shapes for surface in surfaces]
    fit, shape, surface = max(tries, key=lambda tried: tried[0].likelihood)
    return fit.estimate(shape, surface)


@dataclass(frozen=True, eq=False)
class _Off:
    """Covariance of what is off, by its eigenvalues (n,) and vectors (n, n)."""

    values: Floats
    vectors: Floats

    def deviations(self, shape: float) -> Floats:
        """(n,) along the vectors, with the shape as cast."""
        return np.asarray(np.sqrt(np.maximum(self.values, 0.0) + shape**2))


@dataclass(frozen=True, eq=False)
class _Fit:
    """Least squares of a survey in units of standard deviations; likelihood: log, but for a constant, with the plane
    integrated out."""

    unknowns: Floats
    root: Floats
    residual: Floats
    leverage: Floats
    noise: Floats
    likelihood: float

    @classmethod
    def of(cls, survey: Survey, off: _Off, shape: float, surface: float) -> _Fit:
        n, deviations = survey.rise.shape[1], off.deviations(shape)
        noise = np.hypot(survey.deviation, surface)
        columns, size = _columns(survey.xy, survey.rise), len(noise)
        prior = np.hstack([np.zeros((n, 3)), off.vectors.T / deviations[:, None]])
        Q, R = np.linalg.qr(np.vstack([columns / noise[:, None], prior]))
        right = np.concatenate([(survey.height - survey.expected) / noise, np.zeros(n)])
        unknowns = np.linalg.solve(R, Q.T @ right)
        residual = survey.height - survey.expected - columns @ unknowns
        sum_of_squares = np.sum((residual / noise) ** 2) + np.sum((prior @ unknowns) ** 2)
        spread = np.log(np.abs(np.diag(R))).sum() + np.log(deviations).sum() + np.log(noise).sum()
        root = np.linalg.inv(R)
        leverage = np.minimum(np.sum(Q[:size] ** 2, axis=1), 1 - 1e-9)
        return cls(unknowns, root, residual, leverage, noise, float(-0.5 * sum_of_squares - spread))

    def estimate(self, shape: float, surface: float) -> SlabEstimate:
        return SlabEstimate(
            plane=self.unknowns[:3],
            advance=self.unknowns[3:],
            root=self.root,
            residual=self.residual,
            leave_one_out=self.residual / (1 - self.leverage),
            expected_deviation=self.noise / np.sqrt(1 - self.leverage),
            shape_deviation=shape,
            surface_deviation=surface,
        )


def _columns(xy: Floats, rise: Floats) -> Floats:
    """(m, 3 + n) of plane and advances."""
    return np.hstack([np.ones((len(xy), 1)), xy, rise])
