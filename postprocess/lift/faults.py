"""What can go wrong in a lift: at which jack it would bend the slab most, how far it shows, and whether in time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fem.lift import Lifter, LiftPath, Turn
from postprocess.lift.record import LiftBench, PassRecord, further_passes
from postprocess.lift.views import FaultView

Floats = NDArray[np.float64]
Turns = tuple[Turn, ...]

SEEN = 3 * 2**0.5
"""A height that differs from the expected one by this many standard deviations of a reading is seen: three of a
difference of two readings."""


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
        lifter = self.before
        if lifter is None:
            return ()
        first = next(record.number for record in self.base[1:] if record.afloat)
        found = []
        step = self.base[first].turns
        for words, extra in (("one pass missed at jack {}", -1.0), ("jack {} turned twice in a pass", 1.0)):
            said(words.format("…"))
            jack = self._worst(extra * self._advance(step))
            passes = [self._with_extra(step, jack, extra), *(record.turns for record in self.base[first + 1 :])]
            found.append(self._view(f"{words.format(self.ids[jack])}, pass {first}", jack, first, passes, lifter))
        for start in dict.fromkeys((first, 1)):
            said("a jack that does not turn any more")
            lag = np.sum([self._advance(record.turns) for record in self.base[start:]], axis=0)
            jack = self._worst(-lag)
            passes = [self._with_extra(record.turns, jack, -1.0) for record in self.base[start:]]
            begun = lifter if start == first else Lifter(self.bench.model)
            found.append(self._view(f"jack {self.ids[jack]} stuck from pass {start} on", jack, start, passes, begun))
        said("a spring of the wrong type")
        return (*found, *self._wrong_spring())

    def _advance(self, turns: Turns) -> Floats:
        """(n,) screw advance of all turns of a pass, m."""
        total = np.zeros(self.bench.model.jacks)
        for jack, change in turns:
            total[jack] += change
        return total

    def _with_extra(self, turns: Turns, jack: int, extra: float) -> Turns:
        """The turns with those of one jack made by so much more of themselves: −1 leaves them out."""
        return tuple((j, change * (1 + extra) if j == jack else change) for j, change in turns)

    def _worst(self, extra: Floats) -> int:
        """The jack whose screw, advanced by so much more (n,), m, alone, bends the floating slab most.

        A jack cannot lag by more than leaves its spring without load.
        """
        model, end = self.bench.model, self.base[-1].end
        k, F = model.rates, model.flexibility[: model.jacks, : model.jacks]
        own = 1 - k * np.diag(F)
        extra = np.maximum(extra, -end.jack_load[0] / (k * own))
        fall = F * (k * extra)
        loads = end.jack_load[0][:, None] + np.diag(k * extra) - k[:, None] * fall
        return self._worst_column(end.jack_deflection[0][:, None] - fall, loads)

    def _worst_column(self, deflection: Floats, load: Floats) -> int:
        """Which of the states (n, T) of a floating slab bends it most."""
        model, states = self.bench.model, load.shape[1]
        nothing = np.zeros((states, len(model.gap)))
        path = LiftPath(
            np.full(states, -1),
            np.zeros((states, model.jacks)),
            deflection.T,
            nothing,
            load.T,
            nothing,
            nothing > 0,
            np.zeros((states, model.jacks), dtype=bool),
        )
        moments, _ = self.bench.peaks(path)
        return int(moments.argmax())

    def _wrong_spring(self) -> tuple[FaultView, ...]:
        """The worst of all jacks and all other springs of this floor."""
        model, end = self.bench.model, self.base[-1].end
        n = model.jacks
        F, a = model.flexibility[:n, :n], end.advance[0] - model.slack
        swaps = [(jack, kind) for jack in range(n) for kind in self.kinds if kind.code != self.codes[jack]]
        if not swaps:
            return ()
        at = np.array([jack for jack, _ in swaps])
        change = np.array([kind.rate for _, kind in swaps]) - model.rates[at]
        w = end.jack_deflection[0]
        extra = change * (w[at] + a[at]) / (1 + change * F[at, at])  # N more than the old rate would push
        fall = F[:, at] * extra
        loads = model.rates[:, None] * (w[:, None] - fall + a[:, None])
        loads[at, np.arange(len(at))] += extra
        jack, kind = swaps[self._worst_column(w[:, None] - fall, loads)]
        rates, solids = model.rates.copy(), model.solids.copy()
        rates[jack], solids[jack] = kind.rate, kind.solid
        lifter = Lifter(replace(model.with_rates(rates), solids=solids))
        words = f"spring {kind.code} instead of {self.codes[jack]} under jack {self.ids[jack]}"
        return (self._view(words, jack, 1, [record.turns for record in self.base[1:]], lifter),)

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
