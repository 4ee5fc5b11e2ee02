"""The goal as one number: what is missed comes first, then how even and how close to rated the floor stands.

    objective = misses + quality / (1 + quality)

misses: every condition that is missed costs 1, and 1 more for each tenth by which it is missed. Conditions are, at
each jack, the band in service (excess of the load ratio), the travel in the full state (excess of compression and
reserve over the deflection at solid, relative), no pull in any state (compression below zero, over the rated
deflection); and once, the heave frequency (relative excess). The 1 makes the order lexicographic: the second term
stays below 1, so no gain in quality buys a missed condition. The tenth makes one jack that is far off worse than two
that are just off; it is the width that a batch of springs scatters by (±10 %, common practice, no source).

quality = mean of (service load ratio − 1)² + variance of the slab's service deflection / (usual deflection)²
          + PAIR × share of jacks on nested pairs:
squares of relative deviations from the rated deflection and from a level slab, both without dimension and of equal
weight, since a tenth of the rated deflection off level harms as much as a tenth off rated. A pair is two coils to
buy and to place; it pays where a single spring would be more than 2 to 3 % off, which is less than springs scatter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.problem import FULL, SERVICE, ChoiceProblem

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

STEP = 0.1
"""Relative miss that costs as much again as missing at all."""

PAIR = 0.03**2
"""What a nested pair costs: as much as a jack that is 3 % off its rated deflection."""


@dataclass(frozen=True)
class Objective:
    """value: the number that is minimised; the rest are its parts.

    band, travel, tension, frequency: cost of what is missed. closeness, evenness, pairs: the
    terms of quality.
    """

    band: float
    travel: float
    tension: float
    frequency: float
    closeness: float
    evenness: float
    pairs: float

    @property
    def misses(self) -> float:
        """Cost of all missed conditions; 0 where everything holds."""
        return self.band + self.travel + self.tension + self.frequency

    @property
    def quality(self) -> float:
        """Mean square of relative deviations, smaller is better."""
        return self.closeness + self.evenness + self.pairs

    @property
    def value(self) -> float:
        """The objective."""
        return self.misses + self.quality / (1 + self.quality)


def cost(miss: Floats) -> Floats:
    """Cost of a relative miss: nothing up to 0, else 1 + miss / STEP."""
    return np.where(miss > 0, 1 + miss / STEP, 0.0)


def jack_misses(problem: ChoiceProblem, v: Floats, rated: Floats, solid: Floats) -> tuple[Floats, Floats, Floats]:
    """Relative misses of band, travel and tension, each (..., n); positive where missed.

    v: (3, ..., n) compressions in the three states, m. rated, solid: (..., n) deflections of the springs, m.
    """
    low, high = problem.band
    ratio = v[SERVICE] / rated
    band = np.maximum(low - ratio, ratio - high)
    travel = (v[FULL] + problem.solid_reserve) / solid - 1
    return band, travel, -v.min(axis=0) / rated


def frequency_miss(problem: ChoiceProblem, rates: Floats) -> Floats:
    """(...,) relative excess of the heave frequency for rates (..., n); none where no limit is set."""
    if problem.frequency_limit is None:
        return np.zeros(rates.shape[:-1])
    return problem.frequencies(rates) / problem.frequency_limit - 1


def quality_terms(problem: ChoiceProblem, service: Floats, indices: Ints) -> tuple[Floats, Floats, Floats]:
    """Closeness, evenness and pairs, each (...,), for service compressions (..., n), m, and types (..., n)."""
    rated = problem.types.rated_deflections[indices]
    off = service / rated - 1
    w = service - problem.advance
    w = w - w.mean(axis=-1, keepdims=True)
    n = service.shape[-1]
    level = np.einsum("...j,...j->...", w, w) / (n * problem.usual_deflection**2)
    return np.einsum("...j,...j->...", off, off) / n, level, PAIR * problem.types.nested[indices].mean(axis=-1)


@dataclass(frozen=True, eq=False)
class Goal:
    """What a search minimises: the objective, or, where springs stand already, misses, then swaps, then quality.

    kept: (n,) type that stands under each jack, or None.
    """

    problem: ChoiceProblem
    kept: Ints | None = None

    @property
    def weight(self) -> float:
        """Of what is missed: one condition outweighs a swap at every jack."""
        return 1.0 if self.kept is None else len(self.problem) + 1.0

    def without_frequency(self, v: Floats, indices: Ints) -> Floats:
        """(...,) the goal but for the frequency, never above the goal, for (3, ..., n) compressions, (..., n) types."""
        types = self.problem.types
        rated, solid = types.rated_deflections[indices], types.solid_deflections[indices]
        missed = sum(np.sum(cost(miss), axis=-1) for miss in jack_misses(self.problem, v, rated, solid))
        quality = sum(quality_terms(self.problem, v[SERVICE], indices))
        value = self.weight * missed + quality / (1 + quality)
        return np.asarray(value if self.kept is None else value + np.sum(indices != self.kept, axis=-1))

    def of_frequency(self, rates: Floats) -> Floats:
        """(...,) what the frequency adds, for rates (..., n)."""
        return self.weight * cost(frequency_miss(self.problem, rates))
