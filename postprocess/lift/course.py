"""A lift from the slab at rest to the last pass."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import repeat

from fem.lift import Lifter, Turn
from postprocess.lift.record import LiftBench, PassRecord, at_rest, further_passes

MOST_PASSES = 1000
"""Passes after which a lift is given up."""


@dataclass(frozen=True, eq=False)
class Course:
    """records: the slab at rest, then every pass.

    before: the slab before the first pass in which it floats all the time; None where there is none.
    """

    records: tuple[PassRecord, ...]
    before: Lifter | None

    @property
    def passes(self) -> tuple[PassRecord, ...]:
        """The passes without the slab at rest."""
        return self.records[1:]

    @property
    def worst(self) -> PassRecord:
        """The first of the passes with the greatest moment, but for rounding."""
        most = max(record.moments.max() for record in self.passes)
        return next(record for record in self.passes if record.moments.max() >= most * (1 - 1e-9))

    @property
    def floats(self) -> bool:
        """Whether the slab touches nothing but its springs after the last turn."""
        return not self.records[-1].end.contact.any()

    @property
    def solid(self) -> PassRecord | None:
        """The first pass in which a spring is solid."""
        return next((record for record in self.passes if record.path.solid.any()), None)


def course(bench: LiftBench, turns: Sequence[Turn], done: Callable[[PassRecord], bool]) -> Course:
    """Passes of the same turns until `done` says so of one of them, a spring is solid, or there are too many."""
    lifter = Lifter(bench.model)
    records, before = [at_rest(bench, lifter)], None
    passes = further_passes(bench, repeat(tuple(turns)), lifter, first=1)
    while len(records) <= MOST_PASSES:
        start = lifter.copy() if before is None else None
        records.append(record := next(passes))
        if before is None and record.afloat:
            before = start
        if done(record) or record.path.solid.any():
            break
    return Course(tuple(records), before)
