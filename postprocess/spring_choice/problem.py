"""What is asked: the condensed floor, the catalogue, and what every spring has to meet."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fem.condensed import CondensedFloor
from fem.errors import ModelError
from fem.reduced_modes import ReducedModes

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

BARE, SERVICE, FULL = 0, 1, 2
"""Places of the load states, in the order of `postprocess.schedule.STATES`."""


@dataclass(frozen=True, eq=False)
class SpringTypes:
    """m catalogue entries.

    rates: (m,) N/m. rated_loads: (m,) N. solid_deflections: (m,) m. parts: the codes of the coils of each entry:
    one, or outer and inner of a nested pair.
    """

    codes: tuple[str, ...]
    rates: Floats
    rated_loads: Floats
    solid_deflections: Floats
    parts: tuple[tuple[str, ...], ...]

    def __len__(self) -> int:
        return len(self.codes)

    @property
    def rated_deflections(self) -> Floats:
        """(m,) deflection under the rated load, m."""
        return self.rated_loads / self.rates

    @property
    def nested(self) -> NDArray[np.bool_]:
        """(m,) whether an entry is a nested pair."""
        return np.array([len(parts) > 1 for parts in self.parts])

    def free_standing(self) -> SpringTypes:
        """Without the coils that are the inner part of a pair: those only ever stand inside an outer coil."""
        inner = {code for parts in self.parts for code in parts[1:]}
        kept = [i for i, parts in enumerate(self.parts) if len(parts) > 1 or parts[0] not in inner]
        return SpringTypes(
            tuple(self.codes[i] for i in kept),
            self.rates[kept],
            self.rated_loads[kept],
            self.solid_deflections[kept],
            tuple(self.parts[i] for i in kept),
        )


@dataclass(frozen=True, eq=False)
class ChoiceProblem:
    """A floor of n jacks whose springs are to be chosen among m types.

    factors: (p, 3) multipliers of the floor's load patterns in bare, service and full. advance: (n,) screw advances,
    m. band: least and greatest service load over rated load. frequency_limit: of the heave mode in service, Hz, with
    the modes to judge it by; both or none. most_types: different entries at most. solid_reserve: travel left before
    any spring is solid in the full state, m.

    Raises ModelError where these contradict each other.
    """

    floor: CondensedFloor
    factors: Floats
    advance: Floats
    types: SpringTypes
    band: tuple[float, float]
    frequency_limit: float | None = None
    modes: ReducedModes | None = None
    most_types: int | None = None
    solid_reserve: float = 0.0

    def __post_init__(self) -> None:
        low, high = self.band
        if not len(self.types):
            raise ModelError("the catalogue has no spring to choose from")
        if not 0 < low < high:
            raise ModelError(f"band {low:g} to {high:g}: the lower end must be above 0 and below the upper end")
        if self.frequency_limit is not None and self.modes is None:
            raise ModelError("a limit of the heave frequency needs the modes of the floor")
        if self.most_types is not None and self.most_types < 1:
            raise ModelError(f"{self.most_types} types of spring at most: at least one is needed")

    def __len__(self) -> int:
        return len(self.advance)

    @cached_property
    def reference_compression(self) -> Floats:
        """(3, n) shortening v0 of springs of the reference rates in each state, m: deflection plus advance.

        For other rates (I + F (k − k0)) v = v0: the equation of `fem.condensed` with w = v − a, free of k a.
        """
        F, k0, a = self.floor.flexibility, self.floor.reference_rates, self.advance
        return np.ascontiguousarray((self.floor.deflection @ self.factors).T + a - F @ (k0 * a))

    @cached_property
    def usual_deflection(self) -> float:
        """The median rated deflection of the catalogue, m: the scale on which evenness is judged."""
        return float(np.median(self.types.rated_deflections))

    def frequencies(self, rates: Floats) -> Floats:
        """(...,) heave frequency for rates (..., n), Hz; zero where none is judged."""
        if self.modes is None:
            return np.zeros(rates.shape[:-1])
        return np.asarray(self.modes.heave_frequency(rates))
