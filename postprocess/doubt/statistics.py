"""What samples say, and how far they can be trusted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ROUNDING: Final = 1e-16
"""Variance over the square of the mean below which nothing varies but by rounding."""
LOW, HIGH = 5.0, 95.0
"""Percentiles of the papers."""
CONFIDENT: Final = 1.959963984540054
"""Standard deviations of a two-sided interval of 95 %, normal law."""


@dataclass(frozen=True)
class Probability:
    """`count` of `samples` samples do what is asked."""

    count: int
    samples: int

    @property
    def value(self) -> float:
        """The share of the samples."""
        return self.count / self.samples

    @property
    def bounds(self) -> tuple[float, float]:
        """Between which the probability lies with 95 % confidence, as far as the number of samples goes.

        E. B. Wilson, Journal of the American Statistical Association 22, 1927, 209-212.
        """
        n, z = self.samples, CONFIDENT
        middle = (self.value + z**2 / (2 * n)) / (1 + z**2 / n)
        half = z / (1 + z**2 / n) * sqrt(self.value * (1 - self.value) / n + z**2 / (4 * n**2))
        low = 0.0 if self.count == 0 else max(middle - half, 0.0)
        return low, 1.0 if self.count == n else min(middle + half, 1.0)


@dataclass(frozen=True, eq=False)
class JackScatter:
    """Service loads of n jacks, N. mean, low, high: (n,) mean, 5th and 95th percentile.

    under, over: (n,) numbers of samples in which the load ratio is below or above the band.
    """

    samples: int
    mean: Floats
    low: Floats
    high: Floats
    under: Ints
    over: Ints

    @classmethod
    def of(cls, loads: Floats, rated: Floats, band: tuple[float, float]) -> JackScatter:
        """From the loads (s, n) of all samples, the rated loads (n,), N, and the allowed band of their ratio."""
        low, high = np.percentile(loads, [LOW, HIGH], axis=0)
        under, over = leaving(loads, rated, band)
        return cls(len(loads), loads.mean(axis=0), low, high, under.sum(axis=0), over.sum(axis=0))

    def leaves(self, jack: int) -> Probability:
        """That this jack leaves the band."""
        return Probability(int(self.under[jack] + self.over[jack]), self.samples)


def leaving(loads: Floats, rated: Floats, band: tuple[float, float]) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """(s, n) whether each jack is under, and whether it is over the band in each sample."""
    ratio = loads / rated
    return ratio < band[0], ratio > band[1]


@dataclass(frozen=True, eq=False)
class FrequencyScatter:
    """Heave frequency in service, Hz. nominal: with nothing in doubt. values: (s,) of the samples. target: or None."""

    nominal: float
    values: Floats
    target: float | None

    @property
    def mean(self) -> float:
        """Mean of the samples, Hz."""
        return float(self.values.mean())

    @property
    def range(self) -> tuple[float, float]:
        """5th and 95th percentile, Hz."""
        low, high = np.percentile(self.values, [LOW, HIGH])
        return float(low), float(high)

    @property
    def deviation(self) -> float:
        """Standard deviation, Hz."""
        return float(self.values.std(ddof=1))

    @property
    def above(self) -> Probability | None:
        """That the target, an upper limit, is exceeded."""
        if self.target is None:
            return None
        return Probability(int((self.values > self.target).sum()), len(self.values))


@dataclass(frozen=True)
class Source:
    """One source of doubt, taken alone: its share of the sum of all single variances; 0 where nothing varies.

    of_loads: of the variances of load over rated load, averaged over the jacks. of_frequency: of the heave frequency's.
    load_deviation: root mean square over the jacks of the standard deviation of load over rated load.
    frequency_deviation: Hz.
    """

    name: str
    of_loads: float
    of_frequency: float
    load_deviation: float
    frequency_deviation: float


def sources(answers: Mapping[str, tuple[Floats, Floats]], rated: Floats) -> tuple[Source, ...]:
    """Shares of the sources by name, from jack loads (s, n), N, and heave frequencies (s,), Hz, of each alone."""
    by_load = np.array([float((loads / rated).var(axis=0, ddof=1).mean()) for loads, _ in answers.values()])
    by_frequency = np.array([float(heave.var(ddof=1)) for _, heave in answers.values()])
    shares = [part / part.sum() if part.sum() > ROUNDING else 0 * part for part in (by_load, by_frequency)]
    rows = zip(answers, *shares, np.sqrt(by_load), np.sqrt(by_frequency), strict=True)
    return tuple(Source(name, *map(float, numbers)) for name, *numbers in rows)


def additivity(alone: Sequence[Floats], together: Floats) -> float:
    """Sum of the variances of jack loads (s, n) by each source alone over that of all together; 1 where none varies."""
    total = float(together.var(axis=0).sum())
    mean = float((together.mean(axis=0) ** 2).sum())
    return sum(float(loads.var(axis=0).sum()) for loads in alone) / total if total > ROUNDING * mean else 1.0
