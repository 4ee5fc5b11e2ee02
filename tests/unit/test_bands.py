"""Bands and levels."""

from __future__ import annotations

import numpy as np
import pytest

from postprocess.dynamics.bands import CENTRES, EDGES, LEAST_LEVEL, NOMINAL, band_energies, band_grid, levels


def test_bands_are_named_after_their_middles() -> None:
    """IEC 61260-1 rounds mid-band frequencies to names by 1 % at most (10^1.2 = 15.85 is called 16: 0.95 %)."""
    np.testing.assert_allclose([float(name) for name in NOMINAL], CENTRES, rtol=0.01)
    np.testing.assert_allclose(np.sqrt(EDGES[1:] * EDGES[:-1]), CENTRES, rtol=1e-14)
    np.testing.assert_allclose(EDGES[3::3] / EDGES[:-3:3], 10**0.3, rtol=1e-14)


def test_white_spectrum_on_an_uneven_grid() -> None:
    """2|X|² times the width of each band, whatever the grid; the trapezoid rule is exact, so rounding only. Columns
    keep apart, and what lies outside the bands does not count."""
    inside = np.random.default_rng(1).uniform(0.01, 400.0, 500)
    grid = np.unique(np.concatenate([inside, EDGES]))
    spectrum = np.ones(len(grid))[:, None] * np.array([3.0, 1j])
    spectrum[grid < EDGES[0]] = spectrum[grid > EDGES[-1]] = 1e6
    expected = 2 * np.diff(EDGES)[:, None] * np.array([9.0, 1.0])
    np.testing.assert_allclose(band_energies(grid, spectrum), expected, rtol=1e-12)


@pytest.mark.parametrize("missing", [0, 7, 24])
def test_a_missing_edge_is_refused(missing: int) -> None:
    with pytest.raises(ValueError, match=f"{EDGES[missing]:.6g} Hz is not among"):
        band_energies(np.delete(EDGES, missing), np.ones(24))


def test_grid_holds_every_edge_once() -> None:
    """Also where a resonance lies on an edge, and where rounding puts a point beside one."""
    grid = band_grid([EDGES[5], 3.4, 500.0], [0.01, 0.002, 0.02])
    assert np.isin(EDGES, grid).all()
    assert (grid[0], grid[-1]) == (EDGES[0], EDGES[-1])
    assert (np.diff(grid) > 1e-9 * grid[:-1]).all()


def test_levels() -> None:
    """A factor of ten is 10 dB, nothing is the least level; exact."""
    expected = [20.0, -10.0, LEAST_LEVEL, LEAST_LEVEL]
    np.testing.assert_allclose(levels([1.0, 1e-3, 0.0, 1e-30], 1e-2), expected, rtol=1e-14)
    assert levels(np.ones((24, 2)), 1.0).shape == (24, 2)
