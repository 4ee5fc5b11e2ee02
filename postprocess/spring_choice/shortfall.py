"""Where no choice works: which spring would do there, and whether one more jack would."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.extra_jack import ExtraJack, Points, best_extra_jack
from postprocess.spring_choice.objective import Goal, jack_misses
from postprocess.spring_choice.problem import FULL, SERVICE, ChoiceProblem
from postprocess.spring_choice.trial import Trial
from postprocess.spring_choice.verdict import Choice

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True)
class Need:
    """A jack that misses a condition, and the spring that would do.

    ratio: service load ratio with the chosen spring. over: N in service above what the band allows that spring, 0
    where it is not overloaded. rate, rated_load, solid_deflection: N/m, N and, at least, m of a spring that would
    carry `load` N there at `new_ratio`; rate and rated load are NaN where no spring would, since the slab rises there.
    extra: one more jack beside it, None where it is not overloaded or no place is known.
    """

    jack: int
    ratio: float
    over: float
    rate: float
    rated_load: float
    solid_deflection: float
    load: float
    new_ratio: float
    extra: ExtraJack | None

    @property
    def possible(self) -> bool:
        """Whether any spring would do."""
        return bool(np.isfinite(self.rate))


@dataclass(frozen=True, eq=False)
class Shortfall:
    """needs: for each jack that misses a condition. remaining: (r,) jacks that miss one with those springs in place.

    softening: factor on all rated deflections that would bring the heave frequency to its limit, 1 where it is met;
    by the square root of the rates, so an estimate.
    """

    needs: tuple[Need, ...]
    remaining: Ints
    softening: float


def shortfall(problem: ChoiceProblem, choice: Choice, points: Points | None = None) -> Shortfall:
    """What is missing at the jacks where `choice` misses a condition.

    The springs that would do have the usual rated deflection of the catalogue and are solved for together, so that all
    of them stand at once. points: places where a further jack could stand, with the floor's flexibility there; without
    them nothing is said of one.
    """
    trial = Trial.of(Goal(problem), choice.indices)
    short = np.flatnonzero(~choice.sound)
    rates, solvable = _fitting_rates(trial, short)
    new_rates = trial.rates.copy()
    new_rates[solvable] = rates
    rated = problem.types.rated_deflections[choice.indices].copy()
    rated[solvable] = problem.usual_deflection
    answer = problem.floor.solve(new_rates, problem.factors, problem.advance)
    v = (answer.deflection + problem.advance[:, None]).T
    solid = problem.types.solid_deflections[choice.indices].copy()
    solid[solvable] = np.maximum(solid, v[FULL] + problem.solid_reserve)[solvable] * (1 + 1e-12)
    missed = np.maximum.reduce(jack_misses(problem, v, rated, solid)) > 0
    high = problem.band[1]
    over = choice.load[:, SERVICE] - high * problem.types.rated_loads[choice.indices]

    def need(jack: int) -> Need:
        can = jack in solvable
        return Need(
            jack=jack,
            ratio=float(choice.load_ratio[jack]),
            over=float(max(over[jack], 0.0)),
            rate=float(new_rates[jack]) if can else float("nan"),
            rated_load=float(new_rates[jack] * rated[jack]) if can else float("nan"),
            solid_deflection=float(v[FULL, jack] + problem.solid_reserve),
            load=float(answer.load[jack, SERVICE]),
            new_ratio=float(v[SERVICE, jack] / rated[jack]),
            extra=best_extra_jack(trial, jack, points) if points is not None and over[jack] > 0 else None,
        )

    return Shortfall(tuple(need(int(jack)) for jack in short), np.flatnonzero(missed), _softening(problem, choice))


def _fitting_rates(trial: Trial, short: Ints) -> tuple[Floats, Ints]:
    """Rates that bring the service compressions at `short` to rated, and the jacks where such rates are above zero.

    Added loads q with C_SS q = v_S − t δ and new rates k + q/(t δ); t is 1 or the end of the band next to it.
    """
    problem = trial.goal.problem
    target = float(np.clip(1.0, *problem.band)) * problem.usual_deflection
    jacks = short
    while len(jacks):
        C = trial.flexibility[np.ix_(jacks, jacks)]
        rates = trial.rates[jacks] + np.linalg.solve(C, trial.compression[SERVICE, jacks] - target) / target
        if (rates > 0).all():
            return rates, jacks
        jacks = np.delete(jacks, np.argmin(rates))
    return np.zeros(0), jacks


def _softening(problem: ChoiceProblem, choice: Choice) -> float:
    if choice.frequency_met or problem.frequency_limit is None or choice.heave_frequency is None:
        return 1.0
    return (choice.heave_frequency / problem.frequency_limit) ** 2
