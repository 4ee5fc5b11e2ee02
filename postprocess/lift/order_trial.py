"""What an order comes to in the real lift: in the passes in which the slab leaves the floor, and afloat.

Without a bond the slab feels only how far each screw stands, not how it got there. So whole passes are made first, all
jacks at once, and the single turns of any pass are solved from there for one order after another.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from fem.lift import Lifter, LiftPath
from postprocess.lift.floating_pass import floating_path
from postprocess.lift.record import LiftBench, lifted

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

QUIET = 1 / 3
"""Passes that start and end below this part of the greatest moment after whole passes are not tried for every order."""
ALIKE = 1e-6
"""Moments as close as this count as the same: the floating pass, which is linear, and the lift agree far better."""


@dataclass(frozen=True)
class TrialPeak:
    """The greatest moment of a lift, N·m/m: after which jack in which pass, and the number of the place."""

    moment: float
    pass_number: int
    jack: int
    place: int


@dataclass(frozen=True, eq=False)
class TrialLift:
    """A slab whose n jacks are turned by the same advance, m, in each of a number of passes.

    lifters: the slab before each pass that does not start afloat, and before the first one that does.
    ends: greatest moments at rest and after each of these passes, N·m/m; the order has no part in them.
    """

    bench: LiftBench
    advance: float
    passes: int
    lifters: tuple[Lifter, ...]
    ends: tuple[float, ...]

    @classmethod
    def of(cls, bench: LiftBench, advance: float, passes: int) -> TrialLift:
        """advance: of each turning, m. passes: their number."""
        lifter = Lifter(bench.model)
        state = lifter.rest()
        lifters: list[Lifter] = []
        ends = [float(bench.peaks(state)[0][0])]
        while len(lifters) < passes:
            lifters.append(lifter.copy())
            if not state.contact.any():
                break
            lifter.advance += advance
            state = lifter.rest()
            ends.append(float(bench.peaks(state)[0][0]))
        return cls(bench, advance, passes, tuple(lifters), tuple(ends))

    @property
    def floats(self) -> bool:
        """Whether the slab floats before the last pass."""
        return len(self.ends) == len(self.lifters)

    @property
    def bonded(self) -> bool:
        """Whether the slab sticks to the floor, so that every trial takes a whole lift."""
        return bool(self.bench.model.bond.any())

    @property
    def level(self) -> float:
        """The greatest moment after whole passes, N·m/m, which no order is below."""
        return max(self.ends)

    def peak(self, order: Ints, *, enough: float = inf, quiet: float = QUIET) -> TrialPeak:
        """The greatest moment over all single turns of an order (n,); of like moments the first.

        enough: moment, N·m/m, at which no further passes are looked at. quiet: passes that start and end below this
        part of `level` are not tried; 0 for all passes.
        """
        found: list[TrialPeak] = []
        for peak in self._of_passes(order, quiet):
            found.append(peak)
            if peak.moment > enough:
                break
        most = max(peak.moment for peak in found)
        return next(peak for peak in found if peak.moment >= most * (1 - ALIKE))

    def _of_passes(self, order: Ints, quiet: float) -> Iterator[TrialPeak]:
        turns = [(int(jack), self.advance) for jack in order]
        if self.bonded:
            for record in lifted(self.bench, [turns] * self.passes):
                if record.number:
                    yield _greatest(record.number, record.path, record.moments, record.places)
            return
        for number in range(1, self.passes + 1):
            before, after = (self.ends[min(end, len(self.ends) - 1)] for end in (number - 1, number))
            if number < len(self.lifters) and max(before, after) < quiet * self.level:
                continue
            lifter = self._before(number)
            path = self._afloat(order, lifter)
            if path is None:
                path = lifter.states(turns)
            yield _greatest(number, path, *self.bench.peaks(path))
            if not path.contact.any():  # all further passes are like this one
                return

    def _before(self, number: int) -> Lifter:
        """The slab before a pass."""
        last = min(number, len(self.lifters))
        lifter = self.lifters[last - 1].copy()
        lifter.advance += (number - last) * self.advance
        return lifter

    def _afloat(self, order: Ints, lifter: Lifter) -> LiftPath | None:
        """A pass in which the slab touches nothing but its springs, all of them; None where it is not so."""
        model = self.bench.model
        turned = self.advance * np.tril(np.ones((len(order), len(order))))
        path = floating_path(model, lifter.advance + turned[:, np.argsort(order)], order)
        clear = (path.cell_deflection < model.gap).all() and (path.jack_load > 0).all()
        return path if clear and (path.jack_load < model.rates * model.solids).all() else None


def _greatest(number: int, path: LiftPath, moments: Floats, places: Ints) -> TrialPeak:
    turn = int(moments.argmax())
    return TrialPeak(float(moments[turn]), number, int(path.turned[turn]), int(places[turn]))
