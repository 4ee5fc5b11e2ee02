"""The jack schedule: what each jack carries in each state, and whether its spring suits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

STATES = ("bare", "service", "full")
"""Load states in the order of all papers: see design conventions in DEVELOPERS.md."""


@dataclass(frozen=True, eq=False)
class JackSchedule:
    """n jacks in the order of the jack list, SI units.

    xy: (n, 2) centres, m. rates: (n,) N/m. rated_loads: (n,) N. solid_deflections: (n,) m. advance: (n,) m.
    loads: state -> (n,) N, positive in compression. deflections: state -> (n,) deflection of the slab at the jack, m
    downward. tributary_loads: (n,) service load by the area nearest to each jack, N, for comparison.
    band: allowed service load over rated load.
    """

    ids: tuple[str, ...]
    xy: Floats
    springs: tuple[str, ...]
    rates: Floats
    rated_loads: Floats
    solid_deflections: Floats
    advance: Floats
    loads: Mapping[str, Floats]
    deflections: Mapping[str, Floats]
    tributary_loads: Floats
    band: tuple[float, float]

    def __len__(self) -> int:
        return len(self.ids)

    def load_ratio(self, state: str) -> Floats:
        """(n,) load over rated load."""
        return self.loads[state] / self.rated_loads

    def compression(self, state: str) -> Floats:
        """(n,) shortening of each spring, m: deflection of the slab plus screw advance."""
        return self.deflections[state] + self.advance

    def solid_reserve(self, state: str) -> Floats:
        """(n,) travel left before the spring is solid, m; negative where it would be solid."""
        return self.solid_deflections - self.compression(state)

    @property
    def status(self) -> tuple[str, ...]:
        """(n,) "under", "ok" or "over": the service load ratio against the band."""
        low, high = self.band
        ratio = self.load_ratio("service")
        return tuple("under" if r < low else "over" if r > high else "ok" for r in ratio)

    @property
    def tributary_ratio(self) -> Floats:
        """(n,) computed service load over the tributary estimate; far from 1 where the habit misleads."""
        return self.loads["service"] / self.tributary_loads

    def __repr__(self) -> str:
        status = self.status
        counts = "  ".join(f"{name} {status.count(name)}" for name in ("under", "ok", "over"))
        return f"JackSchedule\n  jacks   {len(self)}\n  status  {counts}"
