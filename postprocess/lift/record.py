"""What a lift comes to, pass by pass: its states and the greatest bending after every single turn."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fem.lift import Lifter, LiftModel, LiftPath, Turn
from fem.lift_bending import LiftBending
from fem.moments import principal_moments
from postprocess.strength.effects import crack_moments, crack_triples
from postprocess.strength.places import Places

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STATES_AT_ONCE = 100
"""Turns whose moments are judged together."""


@dataclass(frozen=True, eq=False)
class LiftBench:
    """A slab on the day of lifting and where its moments are judged."""

    bending: LiftBending
    places: Places

    @property
    def model(self) -> LiftModel:
        """The slab as it is lifted, on the springs of the case."""
        return self.bending.model

    def peaks(self, path: LiftPath) -> tuple[Floats, Ints]:
        """(T,) greatest moment that would crack the slab in each state, N·m/m, and (T,) the place of it."""
        moments, found = np.zeros(len(path)), np.zeros(len(path), dtype=np.int64)
        for first in range(0, len(path), STATES_AT_ONCE):
            part = slice(first, first + STATES_AT_ONCE)
            sizes = self.crack_sizes(path.at(part))
            found[part] = sizes.argmax(axis=0)
            moments[part] = sizes.max(axis=0)
        return moments, found

    def crack_sizes(self, path: LiftPath) -> Floats:
        """(places, T) size of the moment that cracks, N·m/m; −1 where no cracks are judged."""
        sizes = crack_moments(self.places.judge(self.bending.moments(path)))
        return np.where(self.places.cracking[:, None], sizes, -1.0)

    def tension_face(self, state: LiftPath, place: int) -> Literal["top", "bottom"]:
        """The face on which cracks would open at a place in one state: where the greater moment sags, the bottom."""
        triples = crack_triples(self.places.judge(self.bending.moments(state)))
        principal = principal_moments(triples[place, :, 0])
        return "bottom" if principal.larger + principal.smaller >= 0 else "top"


@dataclass(frozen=True, eq=False)
class PassRecord:
    """One pass. number: 1 for the first, 0 for the slab at rest. turns: what was turned, in order.

    path: the state after each turn. moments: (T,) greatest there, N·m/m. places: (T,) where.
    """

    number: int
    turns: tuple[Turn, ...]
    path: LiftPath
    moments: Floats
    places: Ints

    @property
    def afloat(self) -> bool:
        """Whether the slab touches nothing but its springs, all of them and none of them solid, in every state."""
        path = self.path
        return not (path.contact.any() or path.solid.any() or (path.jack_load <= 0).any())

    @property
    def end(self) -> LiftPath:
        """The state after the last turn."""
        return self.path.at(slice(len(self.path) - 1, None))

    @property
    def worst(self) -> int:
        """The turn with the greatest moment."""
        return int(self.moments.argmax())

    def raised(self, by: float) -> PassRecord:
        """The next pass of a slab that floats, with the same turns: all is as before, `by` m higher."""
        path = self.path
        higher = replace(
            path,
            advance=path.advance + by,
            jack_deflection=path.jack_deflection - by,
            cell_deflection=path.cell_deflection - by,
        )
        return replace(self, number=self.number + 1, path=higher)


def lifted(bench: LiftBench, passes: Iterable[Sequence[Turn]], lifter: Lifter | None = None) -> Iterator[PassRecord]:
    """The slab at rest, then the record of each pass; lifter: of the slab as it lies, by default on the bench."""
    lifter = lifter or Lifter(bench.model)
    yield at_rest(bench, lifter)
    yield from further_passes(bench, passes, lifter, first=1)


def further_passes(
    bench: LiftBench, passes: Iterable[Sequence[Turn]], lifter: Lifter, *, first: int
) -> Iterator[PassRecord]:
    """The record of each pass from the state of `lifter` on, which follows; first: number of the next pass.

    A pass that repeats the one before it, in which the slab floated and every jack rose alike, is not solved again.
    """
    last = None
    for number, turns in enumerate((tuple(turns) for turns in passes), start=first):
        rise = _common_rise(advance_by(turns, lifter.model.jacks))
        if last is not None and last.turns == turns and last.afloat and rise > 0:
            lifter.advance += rise
            last = last.raised(rise)
        else:
            last = _judged(bench, number, turns, lifter.states(turns))
        yield last


def at_rest(bench: LiftBench, lifter: Lifter) -> PassRecord:
    """The slab before the next turn, as pass 0."""
    return _judged(bench, 0, (), lifter.rest())


def advance_by(turns: Sequence[Turn], jacks: int) -> Floats:
    """(n,) screw advance of all turns, m."""
    total = np.zeros(jacks)
    for jack, change in turns:
        total[jack] += change
    return total


def _common_rise(total: Floats) -> float:
    """By how much every screw advances, m; 0 where they do not alike."""
    return float(total[0]) if np.allclose(total, total[0], rtol=1e-12) else 0.0


def _judged(bench: LiftBench, number: int, turns: tuple[Turn, ...], path: LiftPath) -> PassRecord:
    moments, places = bench.peaks(path)
    return PassRecord(number, turns, path, moments, places)
