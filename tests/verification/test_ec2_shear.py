"""Shear without links against a published example."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from postprocess.strength.factors import RECOMMENDED
from postprocess.strength.materials import Materials
from postprocess.strength.shear import greatest_shear, shear_resistance, shear_strength, size_factor


def test_slab_example() -> None:
    """JRC bridge design to Eurocodes, worked example 5.2.2.7: fck 35, d 360 mm, Asl 1848 mm²/m → k 1.75 and
    VRd,c 198 kN/m. Tolerance: half a unit of the last printed digit. The example goes on with k as printed, which
    makes 198.0 of 197.5; so the resistance is compared after the same rounding of k, to which it is proportional.
    """
    materials = Materials(fck=35e6, fyk=500e6)
    assert size_factor(0.360) == pytest.approx(1.75, abs=0.005)
    resistance = shear_resistance(1848e-6, 0.360, materials)
    assert resistance * 1.75 / size_factor(0.360) == pytest.approx(198e3, abs=0.5e3)
    assert resistance == pytest.approx(197.5e3, abs=0.05e3)


def test_least_strength_governs_light_steel() -> None:
    """Eq. 6.3N by hand: d 100 mm gives k 2; vmin = 0.035 · 2^1.5 · √32 = 0.5600 MPa. Half a unit of the last digit."""
    materials = Materials(fck=32e6, fyk=500e6)
    strength = shear_strength(np.array([0.1, 0.1]), np.array([0.0014, 0.02]), materials)
    assert strength[0] == pytest.approx(0.5600e6, abs=50)
    # Eq. 6.2a by hand: 0.12 · 2 · (100 · 0.02 · 32)^(1/3) = 0.24 · 4 = 0.96 MPa
    assert strength[1] == pytest.approx(0.96e6, rel=1e-12)
    np.testing.assert_array_equal(shear_strength(0.1, 0.05, materials), strength[1])


def test_greatest_shear() -> None:
    """Eq. 6.5 by hand: 0.5 · 0.1 · 0.6 (1 − 32/250) · 21.333 = 0.558 MN/m. Half a unit of the last digit."""
    assert greatest_shear(0.1, Materials(fck=32e6, fyk=500e6)) == pytest.approx(0.558e6, abs=500)


def test_national_value_changes_the_result() -> None:
    """CRd,c = 0.15/γc is 15/18 of the recommended; rounding."""
    weaker = Materials(32e6, 500e6, replace(RECOMMENDED, crd_c=0.15))
    stronger = Materials(32e6, 500e6)
    assert shear_strength(0.1, 0.02, weaker) == pytest.approx(shear_strength(0.1, 0.02, stronger) * 15 / 18, rel=1e-12)
