"""What is known about a floor whose springs, thickness and masses are uncertain, and whose springs may fail."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.doubt.failures import Failures
from postprocess.doubt.statistics import FrequencyScatter, JackScatter, Probability, Source

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Assumptions:
    """What is taken to be uncertain: shares of nominal values, thickness in m; see the keys of the case file.

    samples: how many were computed. thickness_kept: share of the variance of thickness that the shapes keep.
    """

    samples: int
    seed: int
    rate_tolerance: float
    batch_share: float
    thickness_deviation: float
    thickness_correlation: float
    mass_deviation: float
    thickness_kept: float


@dataclass(frozen=True, eq=False)
class FloorDoubt:
    """n jacks in the order of the jack list, SI units.

    loads: (n,) service loads with nothing in doubt, N. any_leaves: that at least one jack leaves the band.
    additivity: as `postprocess.doubt.statistics.additivity`, near 1 where sources do not interact. left_out: in words.
    """

    assumptions: Assumptions
    ids: tuple[str, ...]
    xy: Floats
    springs: tuple[str, ...]
    rated_loads: Floats
    band: tuple[float, float]
    loads: Floats
    jacks: JackScatter
    any_leaves: Probability
    frequency: FrequencyScatter
    sources: tuple[Source, ...]
    additivity: float
    failures: Failures
    left_out: tuple[str, ...]

    def __repr__(self) -> str:
        low, high = self.frequency.range
        return (
            f"FloorDoubt\n  jacks    {len(self.ids)}\n  samples  {self.assumptions.samples}\n"
            f"  heave    {low:.3f} to {high:.3f} Hz\n  leaves   {self.any_leaves.value:.3f}"
        )
