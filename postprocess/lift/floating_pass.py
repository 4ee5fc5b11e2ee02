"""A pass of a slab that floats, in which bending is linear in the turns.

With all springs pushing and nothing touching the floor, moments after some jacks were turned are those of the slab
level on its springs plus a change for each jack turned. When all jacks are turned the changes cancel: the slab is
level again, higher by the advance. So a pass starts and ends with the same moments, whatever the order, and no order
has a smaller peak than the level slab.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fem.lift import LiftModel, LiftPath
from postprocess.lift.record import LiftBench
from postprocess.strength.effects import crack_triples

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class FloatingPass:
    """Moments at p places while n jacks are turned, each by the same advance.

    places: (p,) their numbers among those of the bench. level: (3, p) before the first turn, and change: (3, p, n) by
    turning each jack, as A = (Mx + My)/2, B = (Mx − My)/2 and C = Mxy, N·m/m, so that the greater principal moment is
    |A| + √(B² + C²) in size.
    """

    places: Ints
    level: Floats
    change: Floats

    @classmethod
    def of(cls, bench: LiftBench, advance: float) -> FloatingPass:
        """At all places where cracks are judged, for turns by `advance`, m."""
        jacks = bench.model.jacks
        screws = np.vstack([np.zeros(jacks), advance * np.eye(jacks)])
        parts = crack_parts(bench, floating_path(bench.model, screws, np.arange(-1, jacks)))
        return cls(np.flatnonzero(bench.places.cracking), parts[:, :, 0], parts[:, :, 1:] - parts[:, :, :1])

    @property
    def jacks(self) -> int:
        """Number n of jacks."""
        return int(self.change.shape[2])

    def at(self, chosen: Ints) -> FloatingPass:
        """The same at some of the places, numbered within these."""
        return FloatingPass(self.places[chosen], self.level[:, chosen], self.change[:, chosen])

    def scaled(self, share: float) -> FloatingPass:
        """The same with turns of another size."""
        return replace(self, change=share * self.change)

    def after(self, order: Ints) -> Floats:
        """(p, n) size of the moment after each turn of a pass in `order` (n,), N·m/m."""
        return sizes(self.level[:, :, None] + np.cumsum(self.change[:, :, order], axis=2))

    def peak(self, order: Ints) -> float:
        """Greatest of them."""
        return float(self.after(order).max())

    def peaks_with(self, order: Ints, level: Floats) -> Floats:
        """(s,) the same from other levels (3, p, s) at which the pass starts, such as after a fault that stays."""
        turned = np.cumsum(self.change[:, :, order], axis=2)
        course = np.concatenate([np.zeros((*turned.shape[:2], 1)), turned], axis=2)
        return np.array([sizes(course + level[:, :, [state]]).max() for state in range(level.shape[2])])

    @property
    def least(self) -> float:
        """A peak below which no order can go: all end level, and have a first turn and a last one."""
        first = sizes(self.level[:, :, None] + self.change).max(axis=0)
        last = sizes(self.level[:, :, None] - self.change).max(axis=0)
        return float(max(sizes(self.level).max(), first.min(), last.min()))


def crack_parts(bench: LiftBench, path: LiftPath) -> Floats:
    """(3, p, T) A, B and C of `FloatingPass` in the states of a path."""
    triples = crack_triples(bench.places.judge(bench.bending.moments(path)))
    Mx, My, Mxy = triples[bench.places.cracking].transpose(1, 0, 2)
    return np.stack([(Mx + My) / 2, (Mx - My) / 2, Mxy])


def sizes(parts: Floats) -> Floats:
    """(…) size of the greater principal moment from (3, …) A, B and C, N·m/m."""
    return np.asarray(np.abs(parts[0]) + np.sqrt(parts[1] ** 2 + parts[2] ** 2))


def floating_path(model: LiftModel, advance: Floats, turned: Ints) -> LiftPath:
    """States of a slab that floats for screw advances (T, n), m, whether or not there is room below it.

    Springs that would pull, and cells that would touch the floor, do not change that. turned: (T,) as in `LiftPath`.
    """
    screws = advance - model.slack
    settled = model.deflection - (model.rates * screws) @ model.flexibility[: model.jacks]
    deflection, cells = settled[:, : model.jacks], settled[:, model.jacks :]
    return LiftPath(
        turned=turned,
        advance=advance,
        jack_deflection=deflection,
        cell_deflection=cells,
        jack_load=model.rates * (deflection + screws),
        contact=np.zeros(cells.shape),
        bonded=np.zeros(cells.shape, dtype=bool),
        solid=np.zeros(deflection.shape, dtype=bool),
    )
