"""What presses on the springs: of the advances that a survey shows, the part that screws and springs make.

A slab that was cast on a bowed floor stands bowed when it floats, without a force; a spring that is softer, or a screw
that is behind, bends it. A survey sees the sum b of what is off, K by covariance, and of the shape as cast, C, both as
advance, and estimates it as b' with the covariance V. A structural floor sags and tilts as a whole: C has planes and
parabolas of any size, and some unevenness at each jack. Then (law of total covariance)
    what is off is K (K + C)⁻¹ b',   of covariance K − K (K + C)⁻¹ (K + C − V) (K + C)⁻¹ K.
Where heights at rest are known the shape as cast is known with them, and rises alone say what is off.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem.screw_response import ScrewResponse
from postprocess.level.calibrate import Calibration
from postprocess.level.estimate import SlabEstimate

Floats = NDArray[np.float64]

BOW_DEVIATION = 0.02
"""Standard deviation of the planes and parabolas, m, rms over the jacks: more than any floor has, so they are free."""


@dataclass(frozen=True, eq=False)
class Belief:
    """shift: (n,) advances beyond those that heights are counted from, which press on the springs, m. covariance:
    (2n + 1, 2n + 1) of rates, N/m, of what the screws are off, m, and of the weight, as a share."""

    shift: Floats
    covariance: Floats

    def load_spread(self, response: ScrewResponse, advance: Floats, state: int) -> Floats:
        """(n,) standard deviation of the jack loads in a state with advances (n,), N.

        A spring of a rate that is off by δ and shortened by e presses as one whose screw is off by e δ/k.
        """
        change = response.load_change
        e = compression(response, advance, state)
        by = np.hstack([change * (e / response.rates), change, response.loads(advance, state)[:, None]])
        return np.asarray(np.sqrt(np.maximum(np.einsum("ij,jk,ik->i", by, self.covariance, by, optimize=True), 0.0)))


def compression(response: ScrewResponse, advance: Floats, state: int) -> Floats:
    """(n,) by which the springs are shortened, m."""
    return np.asarray(advance - response.heights(advance, state)[0])


def off_by(rates: Floats, shortened: Floats) -> Floats:
    """(n, 2n + 1) what is off, as advance, by rates, screws and weight. shortened: (n,) springs, m."""
    n = len(rates)
    return np.hstack([np.diag(shortened / rates), np.eye(n), np.zeros((n, 1))])


def believed(found: Calibration, shortened: Floats, slab: SlabEstimate, xy: Floats, *, shape_known: bool) -> Belief:
    """What is believed with a survey that shows `slab`, estimated with the covariance `known` of what is off.

    shortened: (n,) springs by, m. xy: (n, 2) jacks, m. shape_known: whether the rises that were calibrated with start
    from the shape as cast.
    """
    n, prior = len(found.rates), found.covariance
    if shape_known:
        return Belief(np.zeros(n), prior)
    by = off_by(found.rates, shortened)
    shared = prior @ by.T
    total = by @ shared + _as_cast(xy, slab.shape_deviation)
    gain = np.linalg.solve(total, shared.T).T
    posterior = slab.root[3:] @ slab.root[3:].T
    covariance = prior - gain @ (total - posterior) @ gain.T
    return Belief(by @ gain @ slab.advance, 0.5 * (covariance + covariance.T))


def _as_cast(xy: Floats, uneven: float) -> Floats:
    """(n, n) covariance of the shape as cast, as advance, m2."""
    x, y = (xy - xy.mean(axis=0)).T
    shapes = np.linalg.qr(np.column_stack([np.ones(len(x)), x, y, x * x, x * y, y * y]))[0]
    return np.asarray(len(x) * BOW_DEVIATION**2 * shapes @ shapes.T + uneven**2 * np.eye(len(x)))
