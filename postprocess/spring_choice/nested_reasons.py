"""Why a jack has a nested pair: what the best single spring in its place would do."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.objective import Goal, frequency_miss, jack_misses
from postprocess.spring_choice.problem import FULL, SERVICE, ChoiceProblem
from postprocess.spring_choice.trial import Trial
from postprocess.spring_choice.verdict import Choice

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


def nested_reasons(problem: ChoiceProblem, choice: Choice) -> dict[int, str]:
    """Jack with a nested pair -> one sentence, from the floor with the best single spring put there instead."""
    trial = Trial.of(Goal(problem), choice.indices)
    nested = problem.types.nested
    singles = np.flatnonzero(~nested)
    jacks = [int(jack) for jack in np.flatnonzero(nested[choice.indices])]
    return {jack: _reason(problem, choice, trial, jack, singles) for jack in jacks}


def _reason(problem: ChoiceProblem, choice: Choice, trial: Trial, jack: int, singles: Ints) -> str:
    types = problem.types
    load, pair = choice.load[jack, SERVICE] / 1e3, types.codes[choice.indices[jack]]
    start = f"{load:.1f} kN in service: "
    end = f"the pair {pair} {'works at' if choice.sound[jack] else 'is at'} {choice.load_ratio[jack]:.2f}"
    if not len(singles):
        return f"{start}the catalogue has no single spring; {end}"
    jacks = np.full((len(singles), 1), jack)
    goals = trial.bounds(jacks, singles[:, None])
    goals = goals + trial.goal.of_frequency(types.rates[trial.replaced(jacks, singles[:, None])])
    best = int(singles[np.argmin(goals)])
    rank = "strongest" if types.rated_loads[best] == types.rated_loads[singles].max() else "best"
    single = f"the {rank} single spring, {types.codes[best]} ({types.rated_loads[best] / 1e3:.1f} kN rated),"
    return f"{start}{single} {_fault(problem, choice, trial, jack, best)}; {end}"


def _fault(problem: ChoiceProblem, choice: Choice, trial: Trial, jack: int, single: int) -> str:
    """What is worse with the single spring there."""
    types, (low, high) = problem.types, problem.band
    at, to = np.array([[jack]]), np.array([[single]])
    v, after = trial.compressions(at, to)[:, 0], trial.replaced(at, to)[0]
    rated, solid = types.rated_deflections[after], types.solid_deflections[after]
    band, travel, tension = jack_misses(problem, v, rated, solid)
    ratio = v[SERVICE] / rated
    if not low <= ratio[jack] <= high:
        close = min(abs(ratio[jack] - low), abs(ratio[jack] - high)) < 0.005
        return f"would be at {ratio[jack]:.{4 if close else 2}f}, outside {low:.2f} to {high:.2f}"
    if travel[jack] > 0:
        reserve = 1e3 * (solid[jack] - v[FULL, jack])
        return f"would have {reserve:.1f} mm left to solid in the full state"
    worse = np.maximum.reduce([band, travel, tension]) > 0
    worse &= choice.sound
    if worse.any():
        return f"would do here at {ratio[jack]:.2f} but put other jacks off their limits ({np.count_nonzero(worse)})"
    if choice.frequency_met and frequency_miss(problem, types.rates[after]) > 0:
        return f"would do here at {ratio[jack]:.2f} but raise the heave frequency above its limit"
    if problem.most_types is not None and len(np.unique(after)) > problem.most_types:
        return f"would be at {ratio[jack]:.2f} but one type more than the {problem.most_types} allowed"
    shed = types.rates[single] * v[SERVICE, jack] < 0.98 * choice.load[jack, SERVICE]
    how = f"{ratio[jack]:.2f}" + (" since its neighbours would then carry more" if shed else "")
    return f"would also do, at {how}, but leave the floor less even or further from its rated deflection"
