"""Third-octave bands from 1 to 200 Hz: what a single event holds in each of them, and levels in dB."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

CENTRES: Final[Floats] = 10.0 ** (np.arange(24) / 10)
"""(24,) exact mid-band frequencies, Hz: 10^(n/10), n = 0 to 23. Source: IEC 61260-1, base ten."""

EDGES: Final[Floats] = 10.0 ** ((np.arange(25) - 0.5) / 10)
"""(25,) edges of the bands, Hz: the mid-band frequencies over and times 10^(1/20). Source: IEC 61260-1."""

NOMINAL: Final = (
    *("1", "1.25", "1.6", "2", "2.5", "3.15", "4", "5", "6.3", "8", "10", "12.5", "16", "20", "25", "31.5"),
    *("40", "50", "63", "80", "100", "125", "160", "200"),
)
"""(24,) what the bands are called, Hz. Source: IEC 61260-1, annex on nominal mid-band frequencies."""

LEAST_LEVEL: Final = -200.0
"""dB. What is shown for a level below it, and for no energy at all."""

_EDGE_MATCH = 1e-9
"""Relative distance within which a frequency of a grid is an edge: rounding, not a neighbour."""


def band_grid(resonances: ArrayLike, damping: ArrayLike, per_band: int = 12, per_peak: int = 80) -> Floats:
    """(f,) ascending frequencies, Hz, from the first to the last of `EDGES`, all of them included.

    resonances (m,) Hz, of damping ratio (m,) or one for all: round each of them the grid is finer, down to a seventh of
    its half-width ζf and less, so that the trapezoid rule of `band_energies` keeps |X|² of a simple resonance to 0.5 %.
    per_band: points in a band elsewhere. per_peak: points on either side of a peak.
    """
    between = 10.0 ** ((np.arange(24 * per_band + 1) / per_band - 0.5) / 10)
    peaks, ratio = np.broadcast_arrays(np.atleast_1d(resonances), damping)
    half_width = np.maximum(ratio, 1e-6) * peaks
    stretched = np.outer(np.linspace(0.0, 1.0, per_peak + 1), np.arcsinh(peaks / half_width))
    offset = half_width * np.sinh(stretched)
    grid = np.concatenate([between, (peaks - offset).ravel(), (peaks + offset).ravel()])
    grid = grid[(grid > EDGES[0]) & (grid < EDGES[-1])]
    apart = np.abs(grid[:, None] - EDGES).min(axis=1) > _EDGE_MATCH * grid
    return np.unique(np.concatenate([grid[apart], EDGES]))


def band_energies(frequencies: Floats, spectrum: Complexes | Floats) -> Floats:
    """(24, …) energy of a single event in each band, 2∫|X|² df: ∫x² dt of what the band lets pass (Parseval).

    frequencies: (f,) Hz, ascending, anywhere but with all of `EDGES` among them. spectrum: (f, …) of the event,
    X(f) = ∫x e^(−2πift) dt, in the unit of x times s. The result has the unit of x² times s. By the trapezoid rule, so
    the grid must follow the peaks of |X|² (`band_grid`). Raises ValueError where an edge is missing.
    """
    place = np.clip(np.searchsorted(frequencies, EDGES * (1 - _EDGE_MATCH)), 0, len(frequencies) - 1)
    missing = np.abs(frequencies[place] - EDGES) > _EDGE_MATCH * EDGES
    if missing.any():
        raise ValueError(f"the edge of a band at {EDGES[missing][0]:.6g} Hz is not among the frequencies")
    used = slice(place[0], place[-1] + 1)
    density = np.abs(spectrum[used]) ** 2
    step = np.diff(frequencies[used]).reshape(-1, *[1] * (density.ndim - 1))
    pieces = step * (density[1:] + density[:-1])  # twice the area of a trapezoid
    return np.asarray(np.add.reduceat(pieces, place[:-1] - place[0], axis=0))


def levels(energies: ArrayLike, reference: float) -> Floats:
    """10 lg(E/reference), dB, of energies of any shape in the unit of `reference`; never below `LEAST_LEVEL`."""
    share = np.asarray(energies, dtype=float) / reference
    return 10 * np.log10(np.maximum(share, 10 ** (LEAST_LEVEL / 10)))
