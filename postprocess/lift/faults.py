"""What can go wrong in a lift: at which jack it would bend the slab most, how far it shows, and whether in time."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from fem.lift import Lifter, LiftPath, Turn
from postprocess.lift.floating_pass import FloatingPass, crack_parts, sizes
from postprocess.lift.record import LiftBench, PassRecord, advance_by, further_passes
from postprocess.lift.views import FaultView

Floats = NDArray[np.float64]
Turns = tuple[Turn, ...]

SEEN = 3 * 2**0.5
"""A height that differs from the expected one by this many standard deviations of a reading is seen: three of a
difference of two readings."""

ALL, TRIED = 300, 2
"""Turns a pass of all faults of a kind up to which the slab is lifted with each of them. Beyond, it is with those that
bend it most by what is linear, afloat and before: what a wrong spring does on the floor may be missed then."""


@dataclass(frozen=True, eq=False)
class SpringKind:
    """A spring of the catalogue that might be put under a jack by mistake. rate: N/m. solid: m."""

    code: str
    rate: float
    solid: float


@dataclass(frozen=True, eq=False)
class FaultFinder:
    """The lift as it should go, and what is asked of its faults.

    base: the slab at rest and every pass. before: the slab before the first pass in which it floats all the time, None
    where there is none. codes: (n,) of the springs under the jacks. kinds: the springs of the floor.
    deviation: standard deviation of a reading, m. cracking_moment: N·m/m.
    """

    bench: LiftBench
    base: Sequence[PassRecord]
    before: Lifter | None
    ids: Sequence[str]
    codes: Sequence[str]
    kinds: Sequence[SpringKind]
    deviation: float
    cracking_moment: float

    def views(self, said: Callable[[str], None]) -> tuple[FaultView, ...]:
        """The worst of each kind of fault; `said` is told what is being looked at. Empty where the slab never floats
        for a whole pass."""
        if self.before is None:
            return ()
        first = next(record.number for record in self.base[1:] if record.afloat)
        found = []
        for words, extra in (("one pass missed at jack {}", -1.0), ("jack {} turned twice in a pass", 1.0)):
            said(words.format("…"))
            tried = self._by_peak(extra * self._advance(self.base[first].turns))
            found.append(_worst(self._once(jack, first, extra, words) for jack in tried))
        for start in dict.fromkeys((first, 1)):
            said("a jack that does not turn any more")
            lag = np.sum([self._advance(record.turns) for record in self.base[start:]], axis=0)
            found.append(_worst(self._stuck(jack, start) for jack in self._by_peak(-lag)))
        said("a spring of the wrong type")
        swaps = self._swaps_by_peak()
        return (*found, _worst(self._swapped(*swap) for swap in swaps)) if swaps else tuple(found)

    @cached_property
    def _floating(self) -> FloatingPass:
        """The last pass."""
        return FloatingPass.of(self.bench, float(self._advance(self.base[-1].turns)[0]))

    @property
    def _order(self) -> NDArray[np.int64]:
        return self.base[-1].path.turned

    def _by_peak(self, extra: Floats) -> list[int]:
        """The jacks whose screw, advanced by so much more (n,), m, alone and for good, bends the slab most while it
        floats and the others are turned, the worst first. None lags by more than leaves its spring without load."""
        model, end = self.bench.model, self.base[-1].end
        own = 1 - model.rates * np.diag(model.flexibility)[: model.jacks]
        extra = np.maximum(extra, -end.jack_load[0] / (model.rates * own))
        return self._ranked(self._floating.change * (extra / self._advance(self.base[-1].turns)))

    def _swaps_by_peak(self) -> list[tuple[int, SpringKind]]:
        """The jacks and other springs of this floor under them that bend it most while it floats, the worst first."""
        model, end = self.bench.model, self.base[-1].end
        n = model.jacks
        swaps = [(jack, kind) for jack in range(n) for kind in self.kinds if kind.code != self.codes[jack]]
        if not swaps:
            return []
        F, screw, w = model.flexibility[:n, :n], end.advance[0] - model.slack, end.jack_deflection[0]
        at = np.array([jack for jack, _ in swaps])
        change = np.array([kind.rate for _, kind in swaps]) - model.rates[at]
        extra = change * (w[at] + screw[at]) / (1 + change * F[at, at])  # N more than the old rate would push
        fall = F[:, at] * extra
        loads = model.rates[:, None] * (w[:, None] - fall + screw[:, None])
        loads[at, np.arange(len(at))] += extra
        parts = crack_parts(self.bench, _afloat(w[:, None] - fall, loads, len(model.gap)))
        return [swaps[swap] for swap in self._ranked(parts - self._floating.level[:, :, None])]

    def _ranked(self, change: Floats) -> list[int]:
        """Faults by how much the slab bends with each, whose changes of the level floating slab are (3, p, s): while it
        floats and, as if it floated then too, in the pass that bends it most while it still touches the floor."""
        faults = change.shape[2]
        if faults * self.bench.model.jacks <= ALL:
            return list(range(faults))
        floating = self._floating
        rankings = [floating.peaks_with(self._order, floating.level[:, :, None] + change)]
        touching = [record for record in self.base[1:] if not record.afloat]
        if touching:
            record = max(touching, key=lambda record: float(record.moments.max()))
            parts = crack_parts(self.bench, record.path)
            rankings.append(np.array([sizes(parts + change[:, :, [fault]]).max() for fault in range(faults)]))
        return list(dict.fromkeys(int(fault) for peaks in rankings for fault in np.argsort(-peaks)[:TRIED]))

    def _once(self, jack: int, first: int, extra: float, words: str) -> FaultView:
        """More turns of a jack by `extra` of its own, in one pass."""
        assert self.before is not None
        turns = self._with_extra(self.base[first].turns, jack, extra)
        passes = [turns, *(record.turns for record in self.base[first + 1 :])]
        return self._view(f"{words.format(self.ids[jack])}, pass {first}", jack, first, passes, self.before)

    def _stuck(self, jack: int, start: int) -> FaultView:
        """A jack that no longer turns from a pass on."""
        passes = [self._with_extra(record.turns, jack, -1.0) for record in self.base[start:]]
        lifter = Lifter(self.bench.model) if start == 1 or self.before is None else self.before
        return self._view(f"jack {self.ids[jack]} stuck from pass {start} on", jack, start, passes, lifter)

    def _swapped(self, jack: int, kind: SpringKind) -> FaultView:
        """Another spring under a jack from the beginning."""
        model = self.bench.model
        rates, solids = model.rates.copy(), model.solids.copy()
        rates[jack], solids[jack] = kind.rate, kind.solid
        lifter = Lifter(replace(model.with_rates(rates), solids=solids))
        words = f"spring {kind.code} instead of {self.codes[jack]} under jack {self.ids[jack]}"
        return self._view(words, jack, 1, [record.turns for record in self.base[1:]], lifter)

    def _advance(self, turns: Turns) -> Floats:
        """(n,) screw advance of all turns of a pass, m."""
        return advance_by(turns, self.bench.model.jacks)

    def _with_extra(self, turns: Turns, jack: int, extra: float) -> Turns:
        """The turns with those of one jack made by so much more of themselves: −1 leaves them out."""
        return tuple((j, change * (1 + extra) if j == jack else change) for j, change in turns)

    def _view(self, words: str, jack: int, first: int, passes: Sequence[Turns], lifter: Lifter) -> FaultView:
        """Lift with the fault from pass `first` on and hold each pass against that of the base."""
        records = list(further_passes(self.bench, passes, lifter.copy(), first=first))
        base = self.base[first:]
        heights = np.array(
            [
                np.abs(record.end.jack_deflection - own.end.jack_deflection)[0]
                for record, own in zip(records, base, strict=True)
            ]
        )
        loads = [record.path.jack_load[-1] - own.path.jack_load[-1] for record, own in zip(records, base, strict=True)]
        uses = np.array([record.moments.max() for record in records]) / self.cracking_moment
        normal = np.array([own.moments.max() for own in base]) / self.cracking_moment
        harm = np.array([record.path.solid.any() for record in records])
        harm |= uses > np.maximum(1.0, 1.001 * normal)
        seen = heights.max(axis=1) > SEEN * self.deviation
        return FaultView(
            words=words,
            jack=jack,
            height_change=float(heights.max()),
            load_change=float(np.abs(loads).max()),
            use=float(uses.max()),
            noticed=self._noticed(first, seen, harm, heights),
            harmful=bool(harm.any() or uses.max() > 1),
        )

    def _noticed(self, first: int, seen: NDArray[np.bool_], harm: NDArray[np.bool_], heights: Floats) -> str:
        """Whether a survey after each pass shows it, and whether in time."""
        most = f"{heights.max() * 1e3:.1f} mm"
        if not seen.any():
            words = f"not seen in heights ({most} at most): only count and torque tell"
            return words + (f"; harm from pass {first + int(harm.argmax())} on" if harm.any() else "")
        row = int(seen.argmax())
        jack = self.ids[int(heights[row].argmax())]
        words = f"seen in the survey after pass {first + row} ({heights[row].max() * 1e3:.1f} mm at jack {jack})"
        if not harm.any():
            return words
        start = int(harm.argmax())
        return words + (", before harm" if row < start else f", too late: harm in pass {first + start}")


def _worst(views: Iterable[FaultView]) -> FaultView:
    """That which bends the slab most."""
    return max(views, key=lambda view: view.use)


def _afloat(deflection: Floats, load: Floats, cells: int) -> LiftPath:
    """States of a floating slab from deflections and loads of its jacks (n, s)."""
    n, states = load.shape
    nothing = np.zeros((states, cells))
    return LiftPath(
        turned=np.full(states, -1),
        advance=np.zeros((states, n)),
        jack_deflection=deflection.T,
        cell_deflection=nothing,
        jack_load=load.T,
        contact=nothing,
        bonded=nothing > 0,
        solid=np.zeros((states, n), dtype=bool),
    )
