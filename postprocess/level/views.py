"""What the sheets and lists of levelling show: turns, heights and loads before, after and in service."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class RatesView:
    """Spring rates of n jacks: nominal, estimated from the surveys, and the standard deviation of that, N/m."""

    nominal: Floats
    estimate: Floats
    spread: Floats


@dataclass(frozen=True, eq=False)
class LevelView:
    """The turns that bring a slab level, for n jacks and q points of the survey.

    quarter_turns: (n,) up positive. order: jacks to be touched, in the order of work. heights: (n,) above the mean
    level aimed at, m: before and after the turns in the state of the survey, and in the state in which the slab is to
    be level. loads: (n,) on the springs, N, in the same states. overall: greatest departure from level either way, m.
    straightedge: greatest gap under the straightedge, m. points_xy: (q, 2) places of the survey, m, with their heights
    before and after, (q,) m. reach: what can and cannot be reached, one sentence. gap: bound on how far the turns are
    from the best, share. notes: sentences. rates: None where they were not estimated.

    level_aimed: the mean level aimed at as the surveyor reads it, m in the datum of the survey, in the state of
    `heights_before`, `heights_done` and `heights_after`. heights_done: (n,) at a jack right after its own last turn in
    the order of work, m, above the same level; as before where a jack is left alone. steps: (jack, quarter turns) in
    the order of work, a jack more than once where its turns are shared out over rounds; step_heights: (s,) at that jack
    right after the step, m. surveys: how many were used. state_surveyed, state_level: names of the load states in which
    the slab was surveyed, and in which it is to be level.
    """

    quarter_turns: NDArray[np.int64]
    order: tuple[int, ...]
    heights_before: Floats
    heights_after: Floats
    heights_service: Floats
    loads_before: Floats
    loads_after: Floats
    loads_service: Floats
    overall_before: float
    overall_after: float
    overall_limit: float
    straightedge_before: float
    straightedge_after: float
    straightedge_limit: float
    points_xy: Floats
    points_before: Floats
    points_after: Floats
    reach: str
    gap: float
    notes: tuple[str, ...]
    rates: RatesView | None
    level_aimed: float
    heights_done: Floats
    steps: tuple[tuple[int, int], ...]
    step_heights: Floats
    surveys: int
    state_surveyed: str
    state_level: str
