"""What a levelling has to keep to: heights and their doubt, loads, moments, and the turns that are allowed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from postprocess.level.straightedge import Straightedges

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Surface:
    """q points of the slab in the state in which it is to be level, before the turns.

    heights: (q,) estimated, m, up positive. rise: (q, n) by a unit advance of each jack, m/m. doubt: (q, r) such that
    the standard deviation of a weighted sum g of the heights is the length of g · doubt, m.
    """

    heights: Floats
    rise: Floats
    doubt: Floats


@dataclass(frozen=True, eq=False)
class Lines:
    """q lengths that have to lie within ± `limit`, m: before the turns (q,), change (q, n) by a quarter turn of each
    jack, margin (q,) that is kept for doubt."""

    before: Floats
    change: Floats
    margin: Floats
    limit: float

    def use(self, quarter_turns: Floats) -> Floats:
        """(q,) size and margin over the limit."""
        return np.asarray((np.abs(self.before + self.change @ quarter_turns) + self.margin) / self.limit)


@dataclass(frozen=True, eq=False)
class LoadLimits:
    """Jack loads (n,) of a load state before the turns, N, and the least and the greatest that they may come to."""

    state: str
    loads: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, eq=False)
class MomentLimits:
    """Moments (p, 3) Mx, My, Mxy of a load state before the turns, N·m/m, and the greatest principal moment allowed.

    Mean moments across strips stand without twist, one across a corner alone as (m, 0, 0).
    """

    state: str
    moments: Floats
    limit: float


@dataclass(frozen=True, eq=False)
class LevelProblem:
    """Turns of n jacks that bring a slab level.

    jacks: the slab at the jacks. samples: at the points of `straightedges`; the overall limit holds there too.
    load_change: (n, n) N/m, moment_change: (p, 3, n) N·m/m per m, by a unit advance of each jack.
    names: of the jacks. step: advance of a quarter turn, m. most: greatest quarter turns of a jack either way.
    overall, straightedge: greatest departure from level either way, greatest gap, m. sureness: standard deviations
    that are kept from these limits. wanted: height to be reached, m; None for the slab's own mean over the jacks.
    """

    names: tuple[str, ...]
    jacks: Surface
    samples: Surface
    straightedges: Straightedges
    loads: tuple[LoadLimits, ...]
    load_change: Floats
    moments: tuple[MomentLimits, ...]
    moment_change: Floats
    step: float
    most: int
    overall: float
    straightedge: float
    sureness: float = 2.0
    wanted: float | None = None

    def __len__(self) -> int:
        """Number n of jacks."""
        return len(self.jacks.heights)

    @cached_property
    def jack_lines(self) -> Lines:
        """Departures of the jacks from the level aimed at."""
        return self._departures(self.jacks)

    @cached_property
    def sample_lines(self) -> Lines:
        """Departures of the samples from the level aimed at."""
        return self._departures(self.samples)

    @cached_property
    def gap_lines(self) -> Lines:
        """Gaps under the straightedges."""
        gaps, samples = self.straightedges.gaps, self.samples
        return self._lines(gaps(samples.heights), gaps(samples.rise), gaps(samples.doubt), self.straightedge)

    def loads_after(self, quarter_turns: Floats) -> tuple[Floats, ...]:
        """(n,) jack loads of each state of `loads`, N."""
        change = self.load_change @ (self.step * quarter_turns)
        return tuple(limits.loads + change for limits in self.loads)

    def moments_after(self, quarter_turns: Floats) -> tuple[Floats, ...]:
        """(p, 3) moments of each state of `moments`, N·m/m."""
        change = self.moment_change @ (self.step * quarter_turns)
        return tuple(limits.moments + change for limits in self.moments)

    def _departures(self, surface: Surface) -> Lines:
        heights, rise, doubt = surface.heights, surface.rise, surface.doubt
        if self.wanted is not None:
            return self._lines(heights - self.wanted, rise, doubt, self.overall)
        mean = self.jacks
        return self._lines(
            heights - mean.heights.mean(), rise - mean.rise.mean(axis=0), doubt - mean.doubt.mean(axis=0), self.overall
        )

    def _lines(self, before: Floats, rise: Floats, doubt: Floats, limit: float) -> Lines:
        return Lines(before, self.step * rise, self.sureness * np.linalg.norm(doubt, axis=1), limit)
