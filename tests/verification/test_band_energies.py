"""Energies in bands against closed forms, and the standard heavy soft impact source."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad

from postprocess.dynamics.bands import EDGES, NOMINAL, band_energies, band_grid, levels

Floats = NDArray[np.float64]


def lorentzian(low: float, high: float, centre: float, half_width: float) -> float:
    """∫ df / ((f − f0)² + g²) = (atan((high − f0)/g) − atan((low − f0)/g))/g, of any table of integrals."""
    ends = (np.array([low, high]) - centre) / half_width
    return float(np.diff(np.arctan(ends))[0] / half_width)


@pytest.mark.parametrize(("centre", "damping"), [(3.4, 0.01), (3.4, 0.001), (21.0, 0.03), (140.0, 0.002)])
def test_resonance_against_lorentzian(centre: float, damping: float) -> None:
    """|X|² = 1/((f − f0)² + (ζf0)²) has the closed form above in every band.

    0.5 %: what `band_grid` promises for the trapezoid rule, whose error is h²/12 of the curvature: with steps of a
    twelfth of a band far from the peak and of about a tenth of the distance from it nearby.
    """
    half_width = damping * centre
    grid = band_grid([centre], [damping])
    found = band_energies(grid, 1 / (grid - centre + 1j * half_width))
    expected = [2 * lorentzian(*edges, centre, half_width) for edges in pairwise(EDGES)]
    np.testing.assert_allclose(found, expected, rtol=5e-3)


def test_bands_add_up_to_the_energy_of_a_pulse() -> None:
    """Parseval: the bands of a decaying 30 Hz tone hold ∫x² dt but for what lies below 0.89 and above 224 Hz.

    x = e^(−at) sin(bt): X = b/((a + iω)² + b²) and ∫x² dt = b²/(4a(a² + b²)), tables of transforms. What lies outside
    is computed from |X|² by quadrature, so the tolerance is the 0.5 % of the trapezoid rule.
    """
    a, b = 12.0, 2 * np.pi * 30

    def spectrum(frequency: float) -> complex:
        return complex(b / ((a + 2j * np.pi * frequency) ** 2 + b**2))

    def density(frequency: float) -> float:
        return 2 * abs(spectrum(frequency)) ** 2

    outside = quad(density, 0, EDGES[0])[0] + quad(density, EDGES[-1], np.inf)[0]
    grid = band_grid([30.0], [a / b])
    total = band_energies(grid, np.array([spectrum(f) for f in grid])).sum()
    assert total + outside == pytest.approx(b**2 / (4 * a * (a**2 + b**2)), rel=5e-3)
    assert outside < 0.01 * total


def test_bands_of_samples_agree_with_the_spectrum() -> None:
    """The energy of a band equals ∫y² dt of the samples behind an ideal band pass (discrete Fourier transform).

    A pulse of 20 s and 0.5 ms, so lines 0.05 Hz apart, of which some fall on either side of an edge: of the width of
    the 31.5 Hz band, 7.3 Hz, one line either way is 0.7 % each, times two edges.
    """
    step, count = 5e-4, 40000
    t = step * np.arange(count)
    signal = t * np.exp(-60 * t)
    lines = np.fft.rfftfreq(count, step)
    passed = np.fft.rfft(signal) * ((lines >= EDGES[15]) & (lines < EDGES[16]))
    expected = step * np.sum(np.fft.irfft(passed, count) ** 2)
    grid = band_grid([], [])
    assert band_energies(grid, 1 / (60 + 2j * np.pi * grid) ** 2)[15] == pytest.approx(expected, rel=0.014)


def half_sine(frequencies: Floats, impulse: float, duration: float) -> Floats:
    """|X| of F sin(πt/τ), 0 < t < τ, with impulse I = 2Fτ/π: I |cos(πfτ)/(1 − (2fτ)²)|, tables of transforms."""
    x = frequencies * duration
    return impulse * np.abs(np.cos(np.pi * x) / (1 - (2 * x) ** 2))


@pytest.mark.parametrize(
    ("first", "names", "level", "allowed"),
    [(14, ("25", "31.5", "40"), 39.0, 1.0), (17, ("50", "63", "80"), 31.0, 1.5)],
)
def test_standard_soft_impact_source(first: int, names: tuple[str, ...], level: float, allowed: float) -> None:
    """A half-sine of 20 ms with the impulse of 2.5 kg from 1 m at e = 0.8, in octaves, dB re 1 N over 1 s.

    ISO 16283-2, table A.1, from memory, with the tolerances that it allows the source in these octaves; they are taken
    here. The octaves from 125 Hz on (23 dB and less) are left out: above its second zero at 125 Hz the spectrum of a
    half-sine tells of the corners at its start and end alone, which the force of a rubber ball does not have.
    """
    impulse = 2.5 * np.sqrt(2 * 9.80665 * 1.0) * 1.8
    grid = band_grid([], [])
    octave = slice(first, first + 3)
    assert NOMINAL[octave] == names
    found = levels(band_energies(grid, half_sine(grid, impulse, 0.020))[octave].sum(), 1.0)
    assert found == pytest.approx(level, abs=allowed)


def test_low_bands_hold_the_impulse_alone() -> None:
    """Far below 1/τ any blow of impulse I has |X| = I: the band of 1 Hz holds 2 I² times its width.

    A half-sine has |X|/I = 1 − (π²/2 − 4)(fτ)²: 20 ms at the upper edge of 1.12 Hz leave 0.0005, twice in energy.
    """
    grid = band_grid([], [])
    found = band_energies(grid, half_sine(grid, 19.93, 0.020))[0]
    assert found == pytest.approx(2 * 19.93**2 * (EDGES[1] - EDGES[0]), rel=1e-3)
