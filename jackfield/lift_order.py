"""The order in which the jacks of a case are turned."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from fem.lift import Turn
from jackfield.lifting import LiftDesk
from postprocess.lift.course import MOST_PASSES, course
from postprocess.lift.orders import ORDER_WORDS, order_named
from postprocess.lift.record import PassRecord
from postprocess.lift.verdict import peak_view
from postprocess.lift.views import PeakView
from preprocess.case import Lift

SEARCH = "search"


@dataclass(frozen=True, eq=False)
class Turning:
    """order: (n,) jacks. words: how they follow each other. compared: peaks of other orders, by their words.

    notes: what a search found, in words.
    """

    order: tuple[int, ...]
    words: str
    compared: tuple[tuple[str, PeakView], ...]
    notes: tuple[str, ...]

    def turns(self, advance: float) -> tuple[Turn, ...]:
        """A pass in which every screw advances by so much, m."""
        return tuple((jack, advance) for jack in self.order)


def turning(desk: LiftDesk, rules: Lift, said: Callable[[str], None]) -> Turning:
    """The order that the case asks for, beside others."""
    jacks, plan = desk.floor.case.jacks, desk.floor.case.slab.plan
    order = tuple(order_named(rules.order, jacks.xy, plan).tolist())
    others = []
    for name, words in ORDER_WORDS.items():
        if name in (SEARCH, rules.order):
            continue
        said(f"trying the order {words}")
        others.append((words, _peak(desk, rules, order_named(name, jacks.xy, plan).tolist())))
    return Turning(order, ORDER_WORDS[rules.order], tuple(others), ())


def _peak(desk: LiftDesk, rules: Lift, order: list[int]) -> PeakView:
    """The greatest bending of a lift in this order, up to the first pass in which the slab floats all the time."""
    advance = rules.turns_per_pass * rules.pitch
    lifted = course(desk.bench, [(jack, advance) for jack in order], until_afloat(rules))
    return peak_view(lifted.worst, desk.places, desk.cracking_moment)


def until_afloat(rules: Lift, share: float = 1.0) -> Callable[[PassRecord], bool]:
    """Whether passes of that share of the case's size repeat from now on, or are as many as the case asks for."""
    most = (rules.passes or MOST_PASSES) / share

    def done(record: PassRecord) -> bool:
        return record.number > 0 and (record.afloat or record.number >= most * (1 - 1e-9))

    return done
