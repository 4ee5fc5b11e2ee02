"""Least steel and greatest pitch by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from postprocess.strength.factors import RECOMMENDED
from postprocess.strength.materials import Materials
from postprocess.strength.steel_rules import greatest_pitch, maximum_steel, minimum_steel

MATERIALS = Materials(fck=32e6, fyk=500e6)


def test_minimum_steel() -> None:
    """EN 1992-1-1, Eq. 9.1N by hand: 0.26 · 3.024/500 = 0.001572, d 95 mm → 149.4 mm²/m; for C20/25 (fctm 2.21)
    0.00115 < 0.0013 → 123.5 mm²/m. Tolerance: half a unit of the last digit.
    """
    np.testing.assert_allclose(
        minimum_steel(3.024e6, np.array([0.095, 0.190]), MATERIALS), [149.4e-6, 298.8e-6], atol=0.1e-6
    )
    assert minimum_steel(2.21e6, 0.095, MATERIALS) == pytest.approx(123.5e-6, abs=0.05e-6)
    assert maximum_steel(0.125, MATERIALS) == pytest.approx(0.005)


@pytest.mark.parametrize(("thickness", "pitch"), [(0.100, 0.200), (0.200, 0.250)])
def test_greatest_pitch(thickness: float, pitch: float) -> None:
    """9.3.1.1(3): at concentrated loads and greatest moments 2h ≤ 250 mm. Rounding."""
    assert greatest_pitch(thickness, MATERIALS) == pytest.approx(pitch)


def test_national_pitch() -> None:
    """A country's own limit takes the place of the recommended one."""
    strict = Materials(32e6, 500e6, replace(RECOMMENDED, pitch=0.2))
    assert greatest_pitch(0.2, strict) == 0.2
