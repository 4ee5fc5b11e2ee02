"""The order of turning with the least peak of bending, and the price of smaller passes.

Every pass ends with all jacks turned alike, so the slab level on its springs is a state of every order, and no order
has a smaller peak than that. Once the slab floats, what comes between is linear, and orders are searched there; among
those with the same peak the crew's way decides. What is found is then tried in the real lift, where the slab leaves the
floor, beside the named orders, and changed where the slab is bent most.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from math import ceil

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from postprocess.lift.floating_pass import FloatingPass, sizes
from postprocess.lift.order_calming import calmest
from postprocess.lift.order_candidates import Candidates
from postprocess.lift.order_result import ComparedOrder, OrderSearch, PassSize
from postprocess.lift.order_trial import ALIKE, QUIET, TrialLift, TrialPeak
from postprocess.lift.order_words import search_words
from postprocess.lift.orders import ORDER_WORDS, order_named, walking_distance, ways_between
from postprocess.lift.record import LiftBench

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SHARES = (1.0, 1.3, 1.7, 2.5)
"""Orders are also searched as if turns were larger by these, which keeps the slab calmer where it leaves the floor."""
SIZES = (2.0, 1.5, 1.0, 0.5)
"""Turns a pass whose peaks are shown beside those of the case, if they are fewer."""
QUARTER = 0.25
"""Least part of a turn that a crew can make."""


@dataclass(frozen=True, eq=False)
class _Task:
    """What is searched: `floating` for passes of `turns`, `trial` the lift in such passes of `travel`, m, in all."""

    bench: LiftBench
    floating: FloatingPass
    trial: TrialLift
    candidates: Candidates
    ways: Floats
    pitch: float
    turns: float
    travel: float
    tell: Callable[[str], None]

    def passes(self, turns: float) -> int:
        """Number of passes for the whole travel."""
        return max(ceil(self.travel / (turns * self.pitch) - 1e-9), 1)

    @property
    def afloat(self) -> float:
        """The moment of the level floating slab, which no order and no size of pass is below, N·m/m; 0 where the slab
        does not float."""
        return float(sizes(self.floating.level).max()) if self.trial.floats else 0.0

    @property
    def least(self) -> float:
        """A peak that no order of passes of this size is below, N·m/m."""
        return max(self.trial.level, self.floating.least if self.trial.floats else 0.0)


def search_order(
    bench: LiftBench,
    pairs: Ints,
    jack_xy: Floats,
    plan: Polygon,
    *,
    pitch: float,
    turns: float,
    travel: float,
    cracking_moment: float,
    progress: Callable[[str], None] | None = None,
) -> OrderSearch:
    """Search the order of jacks (n, 2), m, with the least peak over all single turns of the lift.

    pairs: (s, 2) neighbouring jacks. pitch: of the screws, m a turn. turns: a pass. travel: of the screws over all
    passes, m. cracking_moment: N·m/m. progress: told what is being done. The same case always gives the same order.
    """
    named = {name: order_named(name, jack_xy, plan) for name in ORDER_WORDS if name != "search"}
    tell = progress or (lambda _: None)
    tell("whole passes")
    floating = FloatingPass.of(bench, turns * pitch)
    passes = max(ceil(travel / (turns * pitch) - 1e-9), 1)
    trial = TrialLift.of(bench, turns * pitch, passes)
    ways = ways_between(jack_xy, plan, pairs)
    candidates = Candidates(floating, named.values())
    task = _Task(bench, floating, trial, candidates, ways, pitch, turns, travel, tell)
    compared = tuple(_compared(task, named))
    order = _best(task, compared)
    tell("every pass in the order found")
    peak = trial.peak(order, quiet=0.0)
    safe_turns, safe_order = _safe(task, order, peak, cracking_moment)
    found = OrderSearch(
        order=_numbers(order),
        turns=turns,
        peak=peak,
        walk=walking_distance(ways, order),
        least=task.least,
        level=task.afloat,
        safe_turns=safe_turns,
        safe_order=safe_order,
        compared=compared,
        sizes=tuple(_sizes(task, order, peak)),
        words=(),
    )
    return replace(found, words=search_words(found, bench.places, cracking_moment))


def _compared(task: _Task, named: Mapping[str, Ints]) -> Iterator[ComparedOrder]:
    for name, order in named.items():
        task.tell(f"order {name}")
        peak = task.trial.peak(order).moment
        yield ComparedOrder(name, _numbers(order), peak, walking_distance(task.ways, order))


def _best(task: _Task, compared: tuple[ComparedOrder, ...]) -> Ints:
    """The order with the least peak in the real lift, and among such a short way for the crew."""
    starts = [np.array(each.order) for each in compared if each.peak == min(other.peak for other in compared)][:1]
    task.tell("order with the least peak")
    best, peak = calmest(task.trial, task.floating, starts, map(task.candidates.least_peak, SHARES), task.least)
    limit = max(peak, task.least) * (1 + ALIKE)
    for share in SHARES:
        task.tell("short way for the crew")
        start = best if share == 1 else task.candidates.least_peak(share)
        order = task.candidates.short_walk(share, start, task.ways, limit)
        shorter = walking_distance(task.ways, order) < walking_distance(task.ways, best)
        if shorter and task.trial.peak(order, enough=limit).moment <= limit:
            best = order
            break
    alike = [each for each in compared if each.peak <= limit and each.walk < walking_distance(task.ways, best)]
    return np.array(min(alike, key=lambda each: each.walk).order) if alike else best


def _safe(
    task: _Task, order: Ints, peak: TrialPeak, cracking_moment: float
) -> tuple[float | None, tuple[int, ...] | None]:
    """The most turns a pass without cracks, and the order for them."""
    if peak.moment <= cracking_moment:
        return task.turns, _numbers(order)
    if task.afloat > cracking_moment:
        return None, None
    for quarters in range(ceil(task.turns / QUARTER) - 1, 0, -1):
        turns = quarters * QUARTER
        share = turns / task.turns
        for trial_order in (order, task.candidates.least_peak(share)):
            if task.trial.floats and task.floating.scaled(share).peak(trial_order) > cracking_moment:
                continue
            task.tell(f"lift in passes of {turns:g} turns")
            trial = TrialLift.of(task.bench, turns * task.pitch, task.passes(turns))
            if trial.peak(trial_order, enough=cracking_moment, quiet=0.0).moment <= cracking_moment:
                return turns, _numbers(trial_order)
    return None, None


def _sizes(task: _Task, order: Ints, peak: TrialPeak) -> Iterator[PassSize]:
    """Smaller passes bend the slab less between their ends, about in proportion: so more of them are quiet."""
    jacks = len(order)
    yield PassSize(task.turns, peak.moment, task.trial.passes, jacks * task.trial.passes)
    for turns in (size for size in SIZES if size < task.turns):
        task.tell(f"lift in passes of {turns:g} turns")
        passes = task.passes(turns)
        trial = TrialLift.of(task.bench, turns * task.pitch, passes)
        moment = trial.peak(order, quiet=1 - (1 - QUIET) * turns / task.turns).moment
        yield PassSize(turns, moment, passes, jacks * passes)


def _numbers(order: Ints) -> tuple[int, ...]:
    return tuple(int(jack) for jack in order)
