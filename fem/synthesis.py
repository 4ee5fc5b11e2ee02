"""From a contact force to histories of a floor by way of steady response, for any damping.

The force is transformed along s = α + iω, the response taken with complex frequencies, and transformed back: with α > 0
what rings on beyond the record does not come round to its start (exponential window; E. Kausel and J. M. Roësset, J.
Eng. Mech. 118, 1992, 1634-1648, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem.drop_history import DropHistory

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

_WINDOW = np.log(1e3)
"""What is left at the end of the record comes round reduced by e to this power."""


@dataclass(frozen=True)
class Record:
    """`count` even times, `step` s apart, from the first touch on."""

    step: float
    count: int

    @property
    def time(self) -> Floats:
        """(t,) s."""
        return np.asarray(self.step * np.arange(self.count), dtype=np.float64)

    @property
    def shift(self) -> float:
        """α, 1/s."""
        return float(_WINDOW / (self.step * self.count))

    @property
    def frequencies(self) -> Complexes:
        """(f,) s/2πi = f − iα/2π, Hz, from 0 to half the rate of the record."""
        return np.asarray(np.fft.rfftfreq(self.count, self.step) - 1j * self.shift / (2 * np.pi))

    def below(self, frequency: float) -> int:
        """How many of the frequencies lie up to this one, Hz."""
        return min(len(self.frequencies), int(frequency * self.step * self.count) + 1)

    def force(self, history: DropHistory) -> Complexes:
        """(f,) transform of the contact force, N·s."""
        return history.spectrum(self.frequencies.real, self.shift)

    def back(self, spectra: Complexes) -> Floats:
        """(t, o) histories of transforms (f, o), of which those at higher frequencies may be left out."""
        whole = np.fft.irfft(spectra, self.count, axis=0) / self.step
        return np.asarray(np.exp(self.shift * self.time)[:, None] * whole)
