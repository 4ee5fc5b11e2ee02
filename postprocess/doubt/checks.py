"""The check that follows from taking out each spring in turn."""

from __future__ import annotations

from postprocess.checks import Check
from postprocess.doubt.result import FloorDoubt

ROBUST = "EN 1990:2002, 2.1(4): no damage out of proportion to its cause (from memory)"


def failure_checks(doubt: FloorDoubt) -> list[Check]:
    """That no single spring is needed to hold the slab: without it the slab would tilt until it rests somewhere.

    Probabilities, settlements and moments have no agreed limits, so they are told but not checked.
    """
    failures = doubt.failures
    loose = [doubt.ids[jack] for jack in failures.jacks[~failures.held]]
    where = f"jack {', '.join(loose[:4])}" if loose else ""
    return [Check("springs whose loss leaves the slab unheld", len(loose), 0, "", "at most", ROBUST, where)]
