"""Where the search starts: ideal rates, rounded to the catalogue, and which few types are worth a look.

Springs that all shorten alike leave the slab as it is on rigid supports whose heights differ by the screw advances.
Its reactions there are what the springs then carry: F r = v0 with the compressions v0 on the reference springs, since
a rigid motion of a free plate does not change them. So the ideal rate is r / deflection, without any huge rates.
"""

from __future__ import annotations

from itertools import combinations, islice
from math import comb

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve

from postprocess.spring_choice.objective import PAIR, cost
from postprocess.spring_choice.problem import SERVICE, ChoiceProblem

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

MOST_SUBSETS = 30_000
"""Sets of types that are looked at one by one; beyond, sets are grown and bettered type by type."""


def rigid_reactions(problem: ChoiceProblem) -> Floats:
    """(3, n) jack loads in each state where all springs shorten alike, N in compression."""
    factor = cho_factor(problem.floor.flexibility)
    return np.asarray(cho_solve(factor, problem.reference_compression.T).T)


def predicted_costs(problem: ChoiceProblem) -> Floats:
    """(n, m) what each type would add to the objective at each jack if it carried the rigid reaction."""
    types, loads = problem.types, rigid_reactions(problem)[SERVICE]
    low, high = problem.band
    ratio = loads[:, None] / types.rated_loads
    level = (loads[:, None] / types.rates - problem.usual_deflection) / problem.usual_deflection
    off = (ratio - 1) ** 2 + level**2 + PAIR * types.nested
    return np.asarray(cost(np.maximum(low - ratio, ratio - high)) + off / len(loads))


def rounded_starts(problem: ChoiceProblem, allowed: Ints, count: int) -> list[Ints]:
    """Sets of springs, each rounded from the ideal rates at one of `count` common deflections.

    The deflections run from the least to the greatest that the band leaves to the allowed types.
    """
    loads = rigid_reactions(problem)[SERVICE]
    types, (low, high) = problem.types, problem.band
    rated = types.rated_deflections[allowed]
    middle = float(np.median(rated))
    common = np.unique([middle, *np.linspace(low * rated.min(), high * rated.max(), count)])
    order = np.argsort(np.abs(common - middle), kind="stable")[: max(count, 1)]
    starts: list[Ints] = []
    for deflection in common[order]:
        rate = np.maximum(loads, 1e-3 * np.abs(loads).max()) / deflection
        stray = np.log(types.rates[allowed] / rate[:, None]) ** 2
        unrated = np.log(types.rated_deflections[allowed] / deflection) ** 2
        indices = allowed[np.argmin(stray + unrated, axis=1)]
        if not any(np.array_equal(indices, other) for other in starts):
            starts.append(indices)
    return starts


def subsets(problem: ChoiceProblem, count: int) -> list[Ints]:
    """At most `count` sets of types that respect `most_types`, the most promising first by their predicted cost."""
    m = len(problem.types)
    most = m if problem.most_types is None else min(problem.most_types, m)
    if most == m:
        return [np.arange(m)]
    costs = predicted_costs(problem)
    sets = np.array(list(combinations(range(m), most))) if comb(m, most) <= MOST_SUBSETS else _grown(costs, most)
    totals = np.array([costs[:, chosen].min(axis=1).sum() for chosen in sets])
    return [sets[place] for place in islice(np.argsort(totals, kind="stable"), count)]


def _grown(costs: Floats, most: int) -> Ints:
    """The greedy set of `most` types, bettered by exchanges of one type, and all sets one exchange away from it."""
    chosen: list[int] = []
    for _ in range(most):
        chosen.append(min(_others(costs, chosen), key=lambda t: _total(costs, [*chosen, t])))
    while True:
        near = [[t, *(c for c in chosen if c != out)] for out in chosen for t in _others(costs, chosen)]
        best = min(near, key=lambda types: _total(costs, types))
        if _total(costs, best) >= _total(costs, chosen):
            return np.sort(np.array([chosen, *near]), axis=1)
        chosen = best


def _others(costs: Floats, chosen: list[int]) -> list[int]:
    return [t for t in range(costs.shape[1]) if t not in chosen]


def _total(costs: Floats, chosen: list[int]) -> float:
    return float(costs[:, chosen].min(axis=1).sum())
