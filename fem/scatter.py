"""One floor many times over, with springs, thickness and masses off their nominal values: jack loads and heave."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from fem.load_scatter import LoadScatter
from fem.rate_scatter import Coils
from fem.reduced_modes import ReducedModes

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Draws:
    """Standard normal numbers of s samples, by source.

    batch: (s, kinds of coil). single: (s, coils). thickness: (s, q) of the shapes of the random field. masses: (s, e).
    """

    batch: Floats
    single: Floats
    thickness: Floats
    masses: Floats

    def only(self, source: str) -> Draws:
        """The same samples with all other sources at their nominal values."""
        others = {field.name: 0.0 * getattr(self, field.name) for field in fields(self) if field.name != source}
        return replace(self, **others)


SOURCES = tuple(field.name for field in fields(Draws))
"""Names of the sources, in the order of `Draws`."""


@dataclass(frozen=True, eq=False)
class Generators:
    """A stream of random numbers for each source, so that one source does not change the draws of another."""

    streams: tuple[np.random.Generator, ...]

    @classmethod
    def of(cls, seed: int) -> Generators:
        """The streams of a seed: the same seed gives the same samples, however many are drawn at a time."""
        return cls(tuple(np.random.default_rng(child) for child in np.random.SeedSequence(seed).spawn(len(SOURCES))))

    def draw(self, samples: int, sizes: tuple[int, int, int, int]) -> Draws:
        """The next samples; sizes: how many numbers each source takes."""
        parts = [stream.standard_normal((samples, size)) for stream, size in zip(self.streams, sizes, strict=True)]
        return Draws(*parts)


@dataclass(frozen=True, eq=False)
class Varied:
    """What e causes change, each for one standard deviation, to first order.

    deflection: (n, e) at the jacks for nominal rates, m. stiffness, mass: (e, m, m) in the basis of modes.
    """

    deflection: Floats
    stiffness: Floats
    mass: Floats


@dataclass(frozen=True, eq=False)
class FloorScatter:
    """A floor in one load state with all that is uncertain about it; n jacks, m modes.

    batch_deviation, single_deviation: relative, of the part of a coil's rate that its kind has in common, and of its
    own part. thickness: of the shapes of the random field. masses: of the pieces of equipment; least_mass: the
    least number of standard deviations, below 0, at which nothing of them is left.
    """

    loads: LoadScatter
    modes: ReducedModes
    coils: Coils
    batch_deviation: float
    single_deviation: float
    thickness: Varied
    masses: Varied
    least_mass: float

    @property
    def sizes(self) -> tuple[int, int, int, int]:
        """How many numbers a sample takes of each source."""
        thickness, masses = (part.deflection.shape[1] for part in (self.thickness, self.masses))
        return self.coils.kinds, len(self.coils.rate), thickness, masses

    def sample(self, seed: int, samples: int, at_a_time: int) -> dict[str, tuple[Floats, Floats]]:
        """Jack loads (s, n) and heave frequencies (s,) with "all" in doubt, and with each of `SOURCES` alone."""
        generators, parts = Generators.of(seed), []
        for first in range(0, samples, at_a_time):
            draws = generators.draw(min(at_a_time, samples - first), self.sizes)
            parts.append([self.answers(part) for part in (draws, *(draws.only(name) for name in SOURCES))])
        joined = [
            (np.concatenate([loads for loads, _ in rows]), np.concatenate([heave for _, heave in rows]))
            for rows in zip(*parts, strict=True)
        ]
        return dict(zip(("all", *SOURCES), joined, strict=True))

    def answers(self, draws: Draws) -> tuple[Floats, Floats]:
        """(s, n) jack loads, N, and (s,) heave frequencies, Hz."""
        masses = np.maximum(draws.masses, self.least_mass)
        rates = self.coils.rates(self.batch_deviation * draws.batch, self.single_deviation * draws.single)
        added = draws.thickness @ self.thickness.deflection.T + masses @ self.masses.deflection.T
        stiffness = np.tensordot(draws.thickness, self.thickness.stiffness, 1)
        mass = np.tensordot(draws.thickness, self.thickness.mass, 1) + np.tensordot(masses, self.masses.mass, 1)
        heave = self.modes.heave_frequency(rates, stiffness, mass if mass.any() else None)
        return self.loads.loads(rates, added), heave
