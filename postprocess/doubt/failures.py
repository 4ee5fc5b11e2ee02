"""Each spring out of service in turn: what it comes to, jack by jack."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from postprocess.doubt.places import KeyPlaces

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class StateFailures:
    """One load state; f springs out of service in turn. Numbers of jacks are places in the jack list.

    settlement: (f,) of the slab at the jack, m. neighbour, increase: (f,) the jack whose load grows most, and by what,
    N. loaded, ratio: (f,) the jack with the greatest load over rated load, and that. solid: (f,) springs that would
    be solid; pulling: (f,) that would have to pull. place, moment: (f,) number of the place with the greatest moment
    in size, and that moment, N·m/m, sagging positive.
    """

    settlement: Floats
    neighbour: Ints
    increase: Floats
    loaded: Ints
    ratio: Floats
    solid: Ints
    pulling: Ints
    place: Ints
    moment: Floats

    @classmethod
    def of(
        cls,
        *,
        settlement: Floats,
        compression: Floats,
        loads: Floats,
        before: Floats,
        moments: Floats,
        springs: Springs,
    ) -> StateFailures:
        """From settlement (f,), compression and loads (n, f), the loads before (n,) and governing moments (p, f)."""
        increase = loads - before[:, None]
        ratio = loads / springs.rated_loads[:, None]
        neighbour, loaded, place = (np.argmax(part, axis=0) for part in (increase, ratio, np.abs(moments)))
        own = np.arange(loads.shape[1])
        taken = loads != 0
        return cls(
            settlement=settlement,
            neighbour=neighbour,
            increase=increase[neighbour, own],
            loaded=loaded,
            ratio=ratio[loaded, own],
            solid=np.sum(taken & (compression > springs.solid_deflections[:, None]), axis=0),
            pulling=np.sum(loads < 0, axis=0),
            place=place,
            moment=moments[place, own],
        )

    @classmethod
    def joined(cls, parts: Sequence[StateFailures]) -> StateFailures:
        """All springs of several parts, in their order."""
        return cls(*(np.concatenate([getattr(part, field.name) for part in parts]) for field in fields(cls)))


@dataclass(frozen=True, eq=False)
class Springs:
    """(n,) rated loads, N, and deflections at which they are solid, m."""

    rated_loads: Floats
    solid_deflections: Floats


@dataclass(frozen=True, eq=False)
class Failures:
    """f springs out of service in turn, the others of n jacks carrying on.

    jacks: (f,) their numbers, ascending. held: (f,) whether the other springs hold the slab; where not, the numbers of
    the states mean nothing. states: load state -> what it comes to. cracking: load state -> moment at which the slab
    may crack, N·m/m. cracking_words: load state -> where that moment is from.
    """

    jacks: Ints
    held: NDArray[np.bool_]
    places: KeyPlaces
    states: dict[str, StateFailures]
    cracking: dict[str, float]
    cracking_words: dict[str, str]

    def worst(self, state: str, what: str) -> int | None:
        """Which of the f springs is the worst to lose by "settlement", "ratio" or "moment"; None if none is held."""
        values = np.where(self.held, np.abs(getattr(self.states[state], what)), -1.0)
        return int(np.argmax(values)) if len(values) and self.held.any() else None

    def cracked(self, state: str) -> int:
        """Number of springs whose loss may crack the slab."""
        over = np.abs(self.states[state].moment) > self.cracking[state]
        return int(np.sum(over & self.held))
