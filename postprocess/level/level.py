"""A levelling from its limits to what papers show: turns, order of work, what is reached and what is not."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.level.order import WorkOrder, work_order
from postprocess.level.problem import LevelProblem
from postprocess.level.reason import reasons
from postprocess.level.search import CHECKED
from postprocess.level.solve import SECONDS, Turns, solve_turns

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MUCH_DOUBT = 0.5
"""Share of the limit that the doubt of a height may take before it is said."""


@dataclass(frozen=True, eq=False)
class Levelness:
    """How level a slab is, without margins for doubt. heights: (n,) of the jacks above the level aimed at, m. overall:
    greatest departure of jacks and samples, straightedge: greatest gap, m. loads: (n,) N in each state of loads."""

    heights: Floats
    overall: float
    straightedge: float
    loads: tuple[Floats, ...]

    @classmethod
    def of(cls, problem: LevelProblem, quarter_turns: Ints) -> Levelness:
        """After turns (n,)."""
        turns = quarter_turns.astype(float)
        lines = (problem.jack_lines, problem.sample_lines, problem.gap_lines)
        jacks, samples, gaps = (part.before + part.change @ turns for part in lines)
        overall = max(float(np.abs(part).max(initial=0.0)) for part in (jacks, samples))
        return cls(jacks, overall, float(np.abs(gaps).max(initial=0.0)), problem.loads_after(turns))


@dataclass(frozen=True, eq=False)
class LevelResult:
    """before, after: the slab in the state in which it is to be level. reach: one sentence. notes: further ones."""

    turns: Turns
    order: WorkOrder
    before: Levelness
    after: Levelness
    reach: str
    notes: tuple[str, ...]

    @property
    def quarter_turns(self) -> Ints:
        """(n,) of each jack, up positive."""
        return self.turns.quarter_turns

    @property
    def gap(self) -> float:
        """As `Turns.gap`."""
        return self.turns.gap


def level(problem: LevelProblem, seconds: float = SECONDS) -> LevelResult:
    """The turns that bring a slab level, in an order of work. There is always an answer, if only no turns at all."""
    turns = solve_turns(problem, seconds)
    order = work_order(problem, turns.quarter_turns)
    before = Levelness.of(problem, 0 * turns.quarter_turns)
    after = Levelness.of(problem, turns.quarter_turns)
    notes = (*reasons(problem, turns.least_level), *_notes(problem, turns, order))
    return LevelResult(turns, order, before, after, _reach(problem, turns, after), notes)


def _reach(problem: LevelProblem, turns: Turns, after: Levelness) -> str:
    limits = f"{problem.overall * 1e3:.1f} mm of level and {problem.straightedge * 1e3:.1f} mm under the straightedge"
    reached = f"{after.overall * 1e3:.1f} mm and {after.straightedge * 1e3:.1f} mm"
    margin = max(float(part.margin.max(initial=0.0)) for part in (problem.jack_lines, problem.sample_lines))
    if turns.measure.level <= CHECKED:
        if not turns.touched:
            return f"The slab is within {limits} as it stands ({reached}): no jack need be turned."
        return f"Within reach: {limits}; expected {reached}, with up to {margin * 1e3:.1f} mm kept for doubt of survey."
    if after.overall <= problem.overall and after.straightedge <= problem.straightedge:
        return (
            f"Expected within {limits} ({reached}), but not surely: the doubt of survey comes to {margin * 1e3:.1f} mm."
        )
    return (
        f"Out of reach: {limits}. What remains is {reached}; no turns keep the worst of them, with its margin for "
        f"doubt, below {1 + turns.least_level:.2f} of its limit."
    )


def _notes(problem: LevelProblem, turns: Turns, order: WorkOrder) -> tuple[str, ...]:
    found = []
    if turns.touched and turns.measure.level <= CHECKED:
        jacks = f"{turns.touched} of {len(problem)} jacks {'is' if turns.touched == 1 else 'are'} turned"
        quarters = int(np.abs(turns.quarter_turns).sum())
        found.append(
            f"{jacks}, by {quarters} quarter {'turn' if quarters == 1 else 'turns'} in all. No other set of turns "
            f"saves more than {100 * turns.gap:.0f} % of this work, going to a jack counted as one full turn."
        )
    doubtful = problem.jack_lines.margin > MUCH_DOUBT * problem.overall
    if doubtful.any():
        worst = int(problem.jack_lines.margin.argmax())
        heights = "height at 1 jack is" if doubtful.sum() == 1 else f"heights at {doubtful.sum()} jacks are"
        found.append(
            f"The {heights} uncertain by more than half of the limit, most at {problem.names[worst]} "
            f"(±{problem.jack_lines.margin[worst] * 1e3:.1f} mm): survey more points there."
        )
    return (*found, *_excess_notes(problem, turns), *_order_notes(problem, turns, order))


def _excess_notes(problem: LevelProblem, turns: Turns) -> list[str]:
    """What loads and moments no turns can keep."""
    n, slack = len(problem), turns.measure.slack
    found: list[str] = []
    for state, limits in enumerate(problem.loads):
        over = slack[n * state : n * (state + 1)] > CHECKED
        if over.any():
            names = ", ".join(problem.names[j] for j in np.flatnonzero(over))
            found.append(f"Outside the load limits in the state {limits.state}, whatever is turned: {names}.")
    for bent, over_limit in zip(problem.moments, slack[n * len(problem.loads) :], strict=True):
        if over_limit > CHECKED:
            found.append(
                f"The slab may crack in the state {bent.state}: its greatest moment is {1 + over_limit:.2f} of the "
                "cracking moment, whatever is turned."
            )
    return found


def _order_notes(problem: LevelProblem, turns: Turns, order: WorkOrder) -> list[str]:
    found: list[str] = []
    peak = order.peak
    if not turns.touched:
        return found
    if order.rounds > 1:
        found.append(
            f"The turns are shared out over {order.rounds} rounds: all at once at one jack after the other would bend "
            "the slab more."
        )
    if peak is not None and peak.place >= 0:
        found.append(
            f"The greatest moment on the way is {peak.moment / 1e3:.2f} kN·m/m, {peak.use:.2f} of the cracking moment, "
            f"when {problem.names[peak.jack]} has been turned."
        )
    if not order.kept:
        found.append(
            "On the way the slab comes beyond its cracking moment, or a spring is unloaded or solid, in every order "
            "that was tried: turn in small steps, all jacks in turn, and watch the slab."
        )
    return found
