"""Spring rates off their nominal values: a part that all coils of one kind have in common, and a part of each coil."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

LEAST = 0.05
"""Smallest share of its nominal rate that a coil is given: normal numbers have no lower end, rates do."""


@dataclass(frozen=True, eq=False)
class Coils:
    """q coils below n jacks, one or two to a jack; the rates of those of one jack add.

    jack: (q,) the jack that each stands under. kind: (q,) number of its kind, from 0. rate: (q,) nominal, N/m.
    """

    jacks: int
    jack: Ints
    kind: Ints
    rate: Floats

    @property
    def kinds(self) -> int:
        """Number of different kinds."""
        return int(self.kind.max()) + 1

    def rates(self, batch: Floats, single: Floats) -> Floats:
        """(s, n) rates of the jacks in s samples, N/m: nominal × (1 + part of its batch + part of its own).

        batch: (s, kinds), single: (s, q), relative.
        """
        coils = self.rate * np.maximum(1 + batch[:, self.kind] + single, LEAST)
        total = np.zeros((len(coils), self.jacks))
        np.add.at(total.T, self.jack, coils.T)
        return total
