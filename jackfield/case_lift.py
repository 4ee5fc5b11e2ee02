"""The lift of a case as a run shows it: in its own order and passes, or why it cannot be done."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from jackfield.judged import Judged
from jackfield.raising import raise_floor
from postprocess.checks import Check
from postprocess.lift.course import Course
from postprocess.lift.views import LiftView
from preprocess.errors import InputError
from preprocess.floor import Floor

FURTHER = "Other orders, smaller passes and what can go wrong: jackfield lift."


@dataclass(frozen=True, eq=False)
class CaseLift:
    """view, course: None where the case has no lift, or one that cannot be done: then the checks say so."""

    view: LiftView | None
    course: Course | None
    checks: tuple[Check, ...]


def case_lift(floor: Floor, judged: Judged, said: Callable[[str], None]) -> CaseLift:
    """The lift of a floor, turn by turn."""
    if floor.case.lift is None:
        return CaseLift(None, None, ())
    try:
        done = raise_floor(floor, judged, said)
    except InputError as error:
        reason = "; ".join(f"{found.where}: {found.value}; allowed: {found.allowed}" for found in error.problems)
        hindrance = Check(
            "lift: hindrances", len(error.problems), 0, "", "at most", "the lift as the case has it", reason
        )
        return CaseLift(None, None, (hindrance,))
    checks = (replace(check, name=f"lift: {check.name}") for check in done.checks)
    return CaseLift(done.view((*done.order.notes, FURTHER)), done.course, tuple(checks))
