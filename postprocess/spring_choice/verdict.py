"""A set of springs judged: what each carries, how evenly the floor stands, and what the objective makes of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.objective import Objective, cost, frequency_miss, jack_misses, quality_terms
from postprocess.spring_choice.problem import FULL, SERVICE, ChoiceProblem

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, eq=False)
class Choice:
    """A spring for each of n jacks.

    indices: (n,) place of each jack's spring among the types. deflection, load: (n, 3) of the slab, m downward, and
    of the jacks, N in compression, in bare, service and full. load_ratio: (n,) service load over rated load.
    solid_reserve: (n,) travel left in the full state, m. evenness: standard deviation of the service deflection, m.
    heave_frequency: in service, Hz, None without modes. types_used: codes in the order of the catalogue.
    in_band, has_travel, pushes: (n,) whether each condition holds at each jack. frequency_met: at the limit or below.
    impossible: it is proven that no springs of the catalogue meet everything (but for loads within 2e-6 of a limit);
    False also where that was not asked or not settled.
    """

    indices: Ints
    deflection: Floats
    load: Floats
    load_ratio: Floats
    solid_reserve: Floats
    evenness: float
    heave_frequency: float | None
    types_used: tuple[str, ...]
    in_band: NDArray[np.bool_]
    has_travel: NDArray[np.bool_]
    pushes: NDArray[np.bool_]
    frequency_met: bool
    objective: Objective
    impossible: bool

    @property
    def sound(self) -> NDArray[np.bool_]:
        """(n,) whether everything holds at a jack."""
        return self.in_band & self.has_travel & self.pushes

    @property
    def works(self) -> bool:
        """Whether everything holds everywhere."""
        return bool(self.sound.all()) and self.frequency_met

    def __repr__(self) -> str:
        low, high = self.load_ratio.min(), self.load_ratio.max()
        return (
            f"Choice\n  jacks       {len(self.indices)}, {np.count_nonzero(~self.sound)} miss a condition\n"
            f"  types       {', '.join(self.types_used)}\n  load ratio  {low:.3f} to {high:.3f}\n"
            f"  evenness    {1e3 * self.evenness:.2f} mm\n  objective   {self.objective.value:.6g}"
        )


def judge(problem: ChoiceProblem, indices: Ints, *, impossible: bool = False) -> Choice:
    """The springs `indices` (n,) on the floor, solved anew. impossible: what the caller has proven."""
    types = problem.types
    rates, rated = types.rates[indices], types.rated_deflections[indices]
    answer = problem.floor.solve(rates, problem.factors, problem.advance)
    v = np.ascontiguousarray((answer.deflection + problem.advance[:, None]).T)
    band, travel, tension = jack_misses(problem, v, rated, types.solid_deflections[indices])
    frequency = frequency_miss(problem, rates)
    costs = [float(cost(miss).sum()) for miss in (band, travel, tension, frequency)]
    closeness, evenness, pairs = quality_terms(problem, v[SERVICE], indices)
    return Choice(
        indices=indices,
        deflection=answer.deflection,
        load=answer.load,
        load_ratio=v[SERVICE] / rated,
        solid_reserve=types.solid_deflections[indices] - v[FULL],
        evenness=float(np.std(answer.deflection[:, SERVICE])),
        heave_frequency=None if problem.modes is None else float(problem.frequencies(rates)),
        types_used=tuple(types.codes[t] for t in np.unique(indices)),
        in_band=band <= 0,
        has_travel=travel <= 0,
        pushes=tension <= 0,
        frequency_met=bool(frequency <= 0),
        objective=Objective(
            band=costs[0],
            travel=costs[1],
            tension=costs[2],
            frequency=costs[3],
            closeness=float(closeness),
            evenness=float(evenness),
            pairs=float(pairs),
        ),
        impossible=impossible and sum(costs) > 0,
    )
