"""Weighting Wm and the vibration dose against the standard's factors and analytic signals."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import butter, freqs

from postprocess.dynamics.weighting import day_dose, dose, vibration_dose, weighted, wm_response


@pytest.mark.parametrize(
    ("number", "factor", "rounding"),
    [
        (-3, 0.368, 5e-4),
        (-1, 0.7003, 5e-5),
        (2, 0.9342, 5e-5),
        (3, 0.932, 5e-4),
        (10, 0.4941, 5e-5),
        (18, 0.0834, 5e-5),
        (20, 0.0401, 5e-5),
    ],
)
def test_factors_of_the_standard(number: int, factor: float, rounding: float) -> None:
    """ISO 2631-2:2003, table A.1, from memory: factors at 10^(n/10) Hz. Tolerance: half of the last digit given."""
    assert abs(wm_response(10 ** (number / 10))) == pytest.approx(factor, abs=rounding)


def test_band_limits_are_butterworth_filters_of_scipy() -> None:
    """Magnitude and phase as of scipy's analogue filters and 1/(1 + 0.028 s). Rounding of polynomials: 1e-10."""
    frequencies = np.geomspace(0.1, 400, 60)
    omega = 2 * np.pi * frequencies
    high = freqs(*butter(2, 2 * np.pi * 10**-0.1, "high", analog=True), omega)[1]
    low = freqs(*butter(2, 2 * np.pi * 100, "low", analog=True), omega)[1]
    np.testing.assert_allclose(wm_response(frequencies), high * low / (1 + 0.028j * omega), rtol=1e-10)
    assert wm_response(0.0) == 0


@pytest.mark.parametrize("step", [1e-4, 5e-4, 1e-3])
@pytest.mark.parametrize("frequency", [0.5, 1.0, 3.4, 5.7, 10.0, 20.0, 31.5, 50.0, 80.0, 100.0, 140.0])
def test_sines_come_through_as_the_response_says(frequency: float, step: float) -> None:
    """Complex gain from samples, after 10 s in which the start (decaying with e^(−3.5 t)) has died away to 1e-15.

    The error promised is (2πfΔt)⁴/90; the tolerance is twice that, to which 1e-9 are added for the fit.
    """
    t = np.arange(0, 14, step)
    found = weighted(np.column_stack([np.cos(2 * np.pi * frequency * t), np.zeros(len(t))]), step)
    late = t > 10
    basis = np.exp(-2j * np.pi * frequency * t[late])
    parts = np.column_stack([basis.real, -basis.imag])
    real, imaginary = np.linalg.lstsq(parts, found[late, 0], rcond=None)[0]
    gain = complex(real, -imaginary)
    expected = complex(wm_response(frequency))
    assert abs(gain - expected) <= (2 * (2 * np.pi * frequency * step) ** 4 / 90 + 1e-9) * abs(expected)
    assert not found[:, 1].any()


def test_a_decaying_tone_from_rest() -> None:
    """The start as well: against the inverse Fourier integral of Wm times the transform of the input.

    Input t e^(−at) with a = 40 1/s; y(t) = 2 Re ∫ W X e^(iωt) df by the trapezoid rule to 3 kHz, where |W X| is 1e-9 of
    its peak. The filter's error is below 1e-5 at the 20 Hz and below that the input has; 1e-4 of the peak covers both.
    """
    step = 5e-4
    t = step * np.arange(1200)
    found = weighted(t * np.exp(-40 * t), step)
    f = np.linspace(0, 3000, 120001)
    weighted_spectrum = wm_response(f) / (40 + 2j * np.pi * f) ** 2
    places = np.array([10, 40, 100, 400, 1000])
    waves = np.exp(2j * np.pi * np.outer(t[places], f))
    expected = 2 * np.trapezoid((weighted_spectrum * waves).real, f, axis=1)
    np.testing.assert_allclose(found[places], expected, atol=1e-4 * np.abs(found).max())


def test_a_step_starts_with_its_first_sample() -> None:
    """Straight lines are answered exactly: a constant c from the first sample on. Below 0.1 s and above the low pass's
    few ms, Wm is 1 − e^(−t/0.028) less what the high pass at 0.79 Hz takes, √2·5 t of it: 20 % at 28 ms, and the low
    pass is late by √2/628 s, 8 % of 28 ms. Sharp: the two orders of refinement agree to 1e-3."""
    coarse, fine = weighted(np.ones(200), 1e-3), weighted(np.ones(2000), 1e-4)
    np.testing.assert_allclose(coarse[10:], fine[100::10], atol=1e-3)
    assert 0.75 * (1 - np.exp(-1)) < coarse[28] < 1 - np.exp(-1)


@pytest.mark.parametrize("step", [1e-4, 1e-3])
def test_dose_of_a_sine(step: float) -> None:
    """(3/8)^¼ a T^¼: the mean of sin⁴ is 3/8. Whole periods, so the sum is exact to rounding."""
    t = np.arange(0, 2 + step / 2, step)
    signal = 0.3 * np.sin(2 * np.pi * 8 * t)
    assert vibration_dose(signal, step) == pytest.approx((3 / 8) ** 0.25 * 0.3 * 2**0.25, rel=1e-9)


def test_dose_of_a_half_sine_and_of_a_decay() -> None:
    """∫sin⁴(πt/τ) dt = 3τ/8; ∫e^(−4at) dt = 1/(4a). The trapezoid rule is off by (4aΔt)²/12 = 1.3e-6 for a = 10 1/s."""
    step = 1e-4
    t = np.arange(0, 0.02 + step / 2, step)
    assert vibration_dose(np.sin(np.pi * t / 0.02), step) == pytest.approx((3 * 0.02 / 8) ** 0.25, rel=1e-9)
    t = np.arange(0, 3, step)
    assert vibration_dose(np.exp(-10 * t), step) == pytest.approx(40**-0.25, rel=2e-6)


def test_weighted_dose_of_a_long_sine() -> None:
    """|Wm| (3/8)^¼ a T^¼ over 60 s. The start lasts about a second: a sixtieth of the sum, 0.4 % of its root."""
    step, frequency = 1e-3, 12.5
    t = np.arange(0, 60, step)
    found = dose(np.column_stack([np.sin(2 * np.pi * frequency * t)] * 2) * [1.0, 5.0], step)
    expected = abs(wm_response(frequency)) * (3 / 8 * 60) ** 0.25
    np.testing.assert_allclose(found, [expected, 5 * expected], rtol=4e-3)


def test_dose_of_a_day() -> None:
    """Sixteen equal drops double the dose, as the fourth root of their number: BS 6472-1:2008. Checked against the
    record itself, four bursts one after the other. Exact."""
    assert day_dose(0.1, 16) == pytest.approx(0.2, rel=1e-14)
    burst = np.concatenate([np.sin(np.linspace(0, np.pi, 101)), np.zeros(50)])
    assert vibration_dose(np.tile(burst, 4), 1e-3) == pytest.approx(day_dose(vibration_dose(burst, 1e-3), 4), rel=1e-12)
