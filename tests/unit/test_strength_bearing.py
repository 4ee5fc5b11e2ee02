"""Bearing under a housing by hand; EN 1992-1-1, 6.7. Rounding."""

from __future__ import annotations

import numpy as np
import pytest

from postprocess.strength.bearing import bearing_strength, spread_size
from postprocess.strength.materials import Materials

MATERIALS = Materials(fck=30e6, fyk=500e6)


@pytest.mark.parametrize(
    ("size", "height", "edge", "spread"),
    [(0.15, 0.125, 1.0, 0.275), (0.05, 0.400, 1.0, 0.15), (0.15, 0.125, 0.1, 0.2), (0.15, 0.125, 0.06, 0.15)],
    ids=["height of the slab", "three times", "edge", "edge within the area"],
)
def test_spread(size: float, height: float, edge: float, spread: float) -> None:
    """Figure 6.29: b2 ≤ 3 b1, h ≥ b2 − b1, centred, on the slab; and fcd √(Ac1/Ac0) = fcd b2/b1."""
    assert spread_size(size, height, edge) == pytest.approx(spread)
    assert bearing_strength(size, height, edge, MATERIALS) == pytest.approx(20e6 * spread / size)


def test_never_above_three_times() -> None:
    """Eq. 6.63, for many places at once."""
    strength = bearing_strength(np.linspace(0.01, 0.3, 500), 0.4, np.linspace(0.1, 2, 500), MATERIALS)
    assert strength.max() == pytest.approx(60e6)
    assert strength.min() >= 20e6
