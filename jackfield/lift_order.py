"""The order in which the jacks of a case are turned."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from fem.lift import Turn
from jackfield.lifting import LiftDesk
from postprocess.lift.course import MOST_PASSES, course
from postprocess.lift.order_search import search_order
from postprocess.lift.orders import ORDER_WORDS, order_named
from postprocess.lift.record import PassRecord
from preprocess.case import Lift

SEARCH = "search"


@dataclass(frozen=True, eq=False)
class Turning:
    """order: (n,) jacks. words: how they follow each other. notes: what a search found, in words."""

    order: tuple[int, ...]
    words: str
    notes: tuple[str, ...]

    def turns(self, advance: float) -> tuple[Turn, ...]:
        """A pass in which every screw advances by so much, m."""
        return tuple((jack, advance) for jack in self.order)


def turning(desk: LiftDesk, rules: Lift, said: Callable[[str], None]) -> Turning:
    """The order that the case asks for."""
    if rules.order == SEARCH:
        return _searched(desk, rules, said)
    jacks, plan = desk.floor.case.jacks, desk.floor.case.slab.plan
    return Turning(tuple(order_named(rules.order, jacks.xy, plan).tolist()), ORDER_WORDS[rules.order], ())


def other_orders(desk: LiftDesk, rules: Lift, said: Callable[[str], None]) -> tuple[tuple[str, float], ...]:
    """Other orders in words, with how the case asks for them, and their greatest moments, N·m/m; a search has compared
    them already."""
    if rules.order == SEARCH:
        return ()
    jacks, plan = desk.floor.case.jacks, desk.floor.case.slab.plan
    found = []
    for name, words in ORDER_WORDS.items():
        if name not in (SEARCH, rules.order):
            said(f"trying the order {words}")
            peak = _peak(desk, rules, order_named(name, jacks.xy, plan).tolist())
            found.append((f'{words} (order = "{name}")', peak))
    return tuple(found)


def _peak(desk: LiftDesk, rules: Lift, order: list[int]) -> float:
    """The greatest moment of a lift in this order, up to the first pass in which the slab floats all the time."""
    advance = rules.turns_per_pass * rules.pitch
    lifted = course(desk.bench, [(jack, advance) for jack in order], until_afloat(rules))
    return float(lifted.worst.moments.max())


def _searched(desk: LiftDesk, rules: Lift, said: Callable[[str], None]) -> Turning:
    jacks = desk.floor.case.jacks
    found = search_order(
        desk.bench,
        desk.pairs,
        jacks.xy,
        desk.floor.case.slab.plan,
        pitch=rules.pitch,
        turns=rules.turns_per_pass,
        travel=_travel(desk, rules),
        cracking_moment=desk.cracking_moment,
        progress=said,
    )
    return Turning(found.order, ORDER_WORDS[SEARCH], found.words)


def _travel(desk: LiftDesk, rules: Lift) -> float:
    """Travel of the screws over all passes, m; for a wanted air gap with the springs' mean compression."""
    if rules.passes is not None:
        return rules.passes * rules.turns_per_pass * rules.pitch
    model = desk.bench.model
    return (rules.air_gap or 0.0) + model.weight / float(model.rates.sum())


def until_afloat(rules: Lift, share: float = 1.0) -> Callable[[PassRecord], bool]:
    """Whether passes of that share of the case's size repeat from now on, or are as many as the case asks for."""
    most = (rules.passes or MOST_PASSES) / share

    def done(record: PassRecord) -> bool:
        return record.number > 0 and (record.afloat or record.number >= most * (1 - 1e-9))

    return done
