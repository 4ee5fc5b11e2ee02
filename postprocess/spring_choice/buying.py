"""What to buy: coils, not pairs, with spares."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.problem import SpringTypes


@dataclass(frozen=True)
class BuyingLine:
    """One kind of coil: how many stand under jacks, how many are bought beyond that."""

    code: str
    under_jacks: int
    spares: int

    @property
    def total(self) -> int:
        """Number to buy."""
        return self.under_jacks + self.spares


def buying_list(types: SpringTypes, indices: NDArray[np.intp], spares: float) -> tuple[BuyingLine, ...]:
    """A line for each kind of coil that the springs `indices` (n,) need, in the order of the catalogue.

    spares: share of each kind that is bought beyond; rounded up, at least one of each kind.
    """
    count = Counter(code for index in indices for code in types.parts[index])
    order = dict.fromkeys(code for parts in types.parts for code in parts)
    return tuple(
        BuyingLine(code, count[code], max(1, ceil(spares * count[code] - 1e-9))) for code in order if count[code]
    )
