"""The lift of a case in its own order and passes: what `jackfield lift` starts from and a run shows in short."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from threadpoolctl import threadpool_limits

from jackfield.judged import Judged
from jackfield.lift_order import Turning, turning
from jackfield.lift_view import lift_view
from jackfield.lifting import LiftDesk, desk_at
from postprocess.checks import Check
from postprocess.lift.course import MOST_PASSES, Course, course
from postprocess.lift.record import PassRecord
from postprocess.lift.verdict import least_height, lift_checks, peak_view
from postprocess.lift.views import LiftView, PeakView
from postprocess.lift.words import turn_words
from preprocess.case import Lift
from preprocess.errors import InputError, Problem
from preprocess.floor import Floor
from preprocess.schema import CASE_FILE
from preprocess.wording import count


@dataclass(frozen=True, eq=False)
class Raised:
    """A lift that can be done. order: in which jacks are turned. worst: the greatest bending after any turn."""

    desk: LiftDesk
    order: Turning
    course: Course
    worst: PeakView
    checks: tuple[Check, ...]

    def view(self, notes: Sequence[str] = ()) -> LiftView:
        """What papers show of it, without other sizes of pass and without what may go wrong."""
        return lift_view(
            self.desk,
            self.course,
            order_name=self.order.words,
            sizes=(),
            faults=(),
            notes=notes,
            checks=self.checks,
        )


def raise_floor(floor: Floor, judged: Judged, said: Callable[[str], None]) -> Raised:
    """The lift of a floor whose case has one; raises InputError where it cannot be done."""
    rules = floor.case.lift
    assert rules is not None  # asked for by the caller
    desk = desk_at(floor, rules, rules.age_days, judged.places, judged.operator)
    with threadpool_limits(1, "blas"):  # its products are small: threads would wait for each other
        return raised(desk, rules, turning(desk, rules, said))


def raised(desk: LiftDesk, rules: Lift, order: Turning) -> Raised:
    """The lift in this order, judged; raises InputError where it cannot be done."""
    done = lifted(desk, rules, order)
    worst = peak_view(done.worst, desk.bench, desk.cracking_moment)
    checks = lift_checks(
        done,
        desk.places,
        worst,
        desk.bench.model,
        desk.concrete,
        cracking_moment=desk.cracking_moment,
        ids=desk.floor.case.jacks.ids,
        air_gap=rules.air_gap,
        solid_reserve=desk.floor.case.target.solid_reserve,
    )
    return Raised(desk, order, done, worst, tuple(checks))


def lifted(desk: LiftDesk, rules: Lift, order: Turning) -> Course:
    """The passes in this order; raises InputError where they cannot be done."""
    done = course(desk.bench, order.turns(rules.turns_per_pass * rules.pitch), _last(rules))
    problems = list(_hindrances(desk, rules, done))
    if problems:
        raise InputError(problems)
    return done


def _last(rules: Lift) -> Callable[[PassRecord], bool]:
    """Whether a pass is the last that the case asks for."""
    gap = rules.air_gap
    if gap is not None:
        return lambda record: record.number > 0 and least_height(record.end) >= gap
    passes = rules.passes or MOST_PASSES
    return lambda record: record.number >= passes


def _hindrances(desk: LiftDesk, rules: Lift, done: Course) -> Iterator[Problem]:
    """Why the lift cannot be done."""
    jacks, last = desk.floor.case.jacks, done.records[-1]
    if (solid := done.solid) is not None:
        turn, jack = (int(i) for i in np.argwhere(solid.path.solid)[0])
        value = f"spring {jacks.springs[jack].code} of jack {jacks.ids[jack]} solid in pass {solid.number}"
        allowed = (
            f"springs with travel left ({jacks.solid_deflections[jack] * 1e3:.1f} mm here), smaller passes, or fewer; "
            f"it happens as jack {jacks.ids[int(solid.path.turned[turn])]} is turned"
        )
        yield Problem(CASE_FILE, "lift", value, allowed)
    elif not done.floats:
        share = desk.contact_share(last.end.contact[0])
        passes = f"{count(last.number, 'pass')} of {turn_words(rules.turns_per_pass)}"
        raised = course(desk.bench, last.turns, lambda record: not record.end.contact.any())
        need = f"at least {len(raised.passes)} such passes before the slab floats"
        if raised.solid is not None:
            need = f"stiffer springs: in pass {raised.solid.number} they would be solid before the slab floats"
        elif not raised.floats:
            need = "springs that can carry the slab"
        key = "lift.passes" if rules.air_gap is None else "lift.air_gap_mm"
        yield Problem(CASE_FILE, key, f"{passes}, {share:.0%} of the slab still on the floor", need)
