"""Good turns soon: rounding and single quarter turns, then few jacks by reweighted turns and by leaving jacks out.

The least sum of weighted turns touches few jacks, fewer still where jacks with small turns are weighted more, round by
round (Candès, Wakin and Boyd, J. Fourier Anal. Appl. 14 (2008) 877–905).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from time import monotonic

import numpy as np
from numpy.typing import NDArray

from postprocess.level.measure import measure
from postprocess.level.problem import LevelProblem
from postprocess.level.programme import VISIT, Found, least_excess, least_turns, most_room, work
from postprocess.level.rows import ROUNDING, Rows, cuts, slacks

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

ROUNDS = 6
"""Rounds of reweighting."""
TOUCHED = 0.05
"""Quarter turns below which a jack counts as not touched, before turns are whole."""
ROOM_SHARES = (0.1, 0.3, 0.6)
"""Shares of the room that there is, to be left for rounding, one after the other."""
PATIENCE = 60.0
"""Seconds that single programmes without whole numbers may take until there is a first answer: far more than they do.
"""
LAPS = 40
"""Greatest number of times that a programme is solved again with the cuts found."""
ROUNDING_LAPS = 12
"""The same, where turns are only rounded again."""
CHECKED = 10 * ROUNDING
"""What a check lets pass, which is more than the solver does."""


@dataclass(frozen=True, eq=False)
class Allowed:
    """Excess that turns may have: of level, and (slacks,) of loads and moments; greatest quarter turns (n,)."""

    level: float
    slack: Floats
    most: Floats


class Deadline:
    """A moment on the clock."""

    def __init__(self, seconds: float) -> None:
        self.at = monotonic() + seconds

    @property
    def left(self) -> float:
        """Seconds left, not below 0."""
        return max(self.at - monotonic(), 0.0)


def rounded(rows: Rows, turns: Floats, most: Floats) -> Floats:
    """(n,) whole quarter turns near `turns` that break the rows least: single quarter turns while they help."""
    whole = np.clip(np.round(turns), -most, most)
    excess = rows.excess(whole)
    current = float(np.sum(np.maximum(excess, 0.0) ** 2))
    for _ in range(20 * len(turns)):
        if current == 0.0:
            break
        trial = excess[:, None, None] + rows.weights[:, :, None] * np.array([1.0, -1.0])
        penalty = np.sum(np.maximum(trial, 0.0) ** 2, axis=0)
        penalty[whole >= most, 0] = np.inf
        penalty[whole <= -most, 1] = np.inf
        jack, way = (int(i) for i in np.unravel_index(int(penalty.argmin()), penalty.shape))
        if penalty[jack, way] >= current * (1 - 1e-9):
            break
        whole[jack] += 1 - 2 * way
        excess, current = trial[:, jack, way], float(penalty[jack, way])
    return whole


def with_cuts(
    problem: LevelProblem, rows: Rows, allowed: Allowed, attempt: Callable[[Rows, float], Found], clock: Deadline
) -> tuple[Rows, Found]:
    """Solve, check all places, add the rows that are broken, and solve again until none is.

    attempt: solves for relaxed rows within seconds. Returns the rows as they have become and what was found, whose
    turns are None where nothing was, or not in time.
    """
    found = Found(None, 0.0, np.zeros(0), False)
    for _ in range(LAPS):
        found = attempt(rows.relaxed(allowed.level, allowed.slack), clock.left)
        if found.turns is None:
            return rows, found
        broken = cuts(problem, found.turns, allowed.level, allowed.slack)
        if not len(broken):
            return rows, found
        rows = rows.joined(broken)
        if not clock.left:
            break
    return rows, Found(None, found.bound, found.others, False)


def least_of(
    problem: LevelProblem, rows: Rows, most: Floats, clock: Deadline, *, whole: bool = False
) -> tuple[Rows, Found]:
    """The least excess, with rows added until none is broken by more than it."""
    count = slacks(problem)
    found = Found(None, 0.0, np.zeros(0), False)
    for _ in range(LAPS):
        found = least_excess(rows, count, most, clock.left, whole=whole)
        if found.turns is None:
            return rows, found
        broken = cuts(problem, found.turns, float(found.others[0]), found.others[1:])
        if not len(broken) or not clock.left:
            break
        rows = rows.joined(broken)
    return rows, found


def few_jacks(problem: LevelProblem, rows: Rows, allowed: Allowed, clock: Deadline) -> tuple[Rows, Floats | None]:
    """Whole turns (n,) of few jacks within what is allowed, or None. The first answer takes the time that it takes."""
    cost = np.ones(len(problem))
    best: Floats | None = None
    for _ in range(ROUNDS):

        def attempt(relaxed: Rows, seconds: float, cost: Floats = cost) -> Found:
            return least_turns(relaxed, cost, allowed.most, seconds, whole=False)

        rows, found = with_cuts(problem, rows, allowed, attempt, clock if best is not None else Deadline(PATIENCE))
        if found.turns is None:
            break
        rows, best = _on_few(problem, rows, allowed, found.turns, best=best, clock=clock)
        if best is None or not clock.left:
            break
        cost = 1 / VISIT + 1 / (np.abs(found.turns) + 0.5)
    return (rows, None) if best is None else _without(problem, rows, allowed, best, clock)


def _on_few(
    problem: LevelProblem, rows: Rows, allowed: Allowed, turns: Floats, *, best: Floats | None, clock: Deadline
) -> tuple[Rows, Floats | None]:
    """Whole turns of the jacks that `turns` (n,) touch, and of a few more where these do not do; or `best`."""
    order = np.argsort(-np.abs(turns), kind="stable")
    count = max(int(np.sum(np.abs(turns) > TOUCHED)), 1)
    while best is None or clock.left:
        chosen = np.isin(np.arange(len(turns)), order[:count])
        rows, found = fewer_turns(problem, rows, allowed, chosen, clock if best is not None else Deadline(PATIENCE))
        if found is not None:
            return rows, found if best is None or work(found) < work(best) else best
        if count == len(turns):
            break
        count = min(count + max(count // 4, 2), len(turns))
        if best is not None and count >= work(best):
            break
    return rows, best


def whole_near(
    problem: LevelProblem, rows: Rows, allowed: Allowed, chosen: Bools, clock: Deadline
) -> tuple[Rows, Floats | None]:
    """Whole turns of the jacks `chosen` (n,) within what is allowed: those with most room, rounded; or None."""
    rows, found = _roomy(problem, rows, allowed, chosen, clock)
    if found.turns is None:
        return rows, None
    return _rounded_within(problem, rows, allowed, found.turns, np.where(chosen, allowed.most, 0.0))


def fewer_turns(
    problem: LevelProblem, rows: Rows, allowed: Allowed, chosen: Bools, clock: Deadline
) -> tuple[Rows, Floats | None]:
    """As `whole_near`, with the least turns that leave some of that room for rounding."""
    most = np.where(chosen, allowed.most, 0.0)
    rows, found = _roomy(problem, rows, allowed, chosen, clock)
    if found.turns is None:
        return rows, None
    room = -float(found.others[0])
    for share in ROOM_SHARES:
        tight = rows.relaxed(allowed.level, allowed.slack).tightened(share * room)
        least = least_turns(tight, np.ones(len(most)), most, PATIENCE, whole=False)
        if least.turns is not None:
            rows, turns = _rounded_within(problem, rows, allowed, least.turns, most)
            if turns is not None:
                return rows, _back(problem, rows, allowed, turns)
    rows, turns = _rounded_within(problem, rows, allowed, found.turns, most)
    return rows, None if turns is None else _back(problem, rows, allowed, turns)


def _roomy(problem: LevelProblem, rows: Rows, allowed: Allowed, chosen: Bools, clock: Deadline) -> tuple[Rows, Found]:
    most = np.where(chosen, allowed.most, 0.0)

    def attempt(relaxed: Rows, seconds: float) -> Found:
        found = most_room(relaxed, most, seconds)
        broken = found.turns is not None and found.others[0] > ROUNDING
        return Found(None, found.bound, found.others, True) if broken else found

    return with_cuts(problem, rows, allowed, attempt, clock)


def _rounded_within(
    problem: LevelProblem, rows: Rows, allowed: Allowed, turns: Floats, most: Floats
) -> tuple[Rows, Floats | None]:
    """Whole turns near `turns`, with rows added as they are broken; None where some stay broken."""
    for _ in range(ROUNDING_LAPS):
        turns = rounded(rows.relaxed(allowed.level, allowed.slack), turns, most)
        broken = cuts(problem, turns, allowed.level, allowed.slack)
        if not len(broken):
            break
        rows = rows.joined(broken)
    return rows, turns if measure(problem, turns).within(allowed.level, allowed.slack, CHECKED) else None


def _back(problem: LevelProblem, rows: Rows, allowed: Allowed, turns: Floats) -> Floats:
    """The same with single quarter turns taken back, as long as all stays within what is allowed."""
    relaxed = rows.relaxed(allowed.level, allowed.slack)
    refused: set[int] = set()
    while True:
        way = np.sign(turns)
        excess = relaxed.excess(turns)[:, None] - relaxed.weights * way
        free = (way != 0) & np.all(excess <= ROUNDING, axis=0)
        free[list(refused)] = False
        if not free.any():
            return turns
        jack = int(np.argmin(np.where(free, np.abs(turns), np.inf)))
        fewer = turns.copy()
        fewer[jack] -= way[jack]
        if measure(problem, fewer).within(allowed.level, allowed.slack, CHECKED):
            turns = fewer
        else:
            refused.add(jack)


def _without(
    problem: LevelProblem, rows: Rows, allowed: Allowed, turns: Floats, clock: Deadline
) -> tuple[Rows, Floats]:
    """Leave out one jack after the other, those of small turns first, where that makes less work."""
    tried: set[int] = set()
    while clock.left:
        left = [int(j) for j in np.flatnonzero(turns) if int(j) not in tried]
        if not left:
            break
        jack = min(left, key=lambda j: abs(turns[j]))
        tried.add(jack)
        chosen = turns != 0
        chosen[jack] = False
        rows, fewer = fewer_turns(problem, rows, allowed, chosen, clock)
        turns = turns if fewer is None or work(fewer) >= work(turns) else fewer
    return rows, turns
