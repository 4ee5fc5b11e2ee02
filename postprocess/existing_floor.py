"""What the jacks press on the existing floor below: at each jack and as totals by bay, in every state."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class FloorCase:
    """One state of loading of the existing floor, for n jacks and b bays, N, characteristic values without factors.

    key: "bare", "service", "full", "lift_peak", "spring_removed_service" or the like. words: what acts, and with which
    factors. loads: (n,) at each jack; of an envelope the greatest at that jack. totals: (b,) of the jacks in each bay;
    of an envelope the greatest at any one moment, which is less than the sum of `loads`. envelope: whether `loads` and
    `totals` are greatest values of several situations. whole: the total of all jacks, likewise.
    """

    key: str
    words: str
    loads: Floats
    totals: Floats
    whole: float
    envelope: bool


@dataclass(frozen=True, eq=False)
class ExistingFloor:
    """ids, xy: of the n jacks, xy (n, 2) in m. bays: (b,) names; bay_of: (n,) index of the bay of each jack.

    Without bays in the case there is one, the whole floor; jacks outside all bays make one more. footprint: diameter
    of the housing through which a jack presses, m. assumptions: in sentences.
    """

    ids: tuple[str, ...]
    xy: Floats
    footprint: float
    bays: tuple[str, ...]
    bay_of: NDArray[np.int64]
    cases: tuple[FloorCase, ...]
    assumptions: tuple[str, ...]
