"""Steel of a mat, and where the mats lie."""

from __future__ import annotations

from math import isnan

import pytest

from postprocess.strength.fabric import Fabric
from postprocess.strength.layers import FACES, Layers
from preprocess.fabrics import FABRICS


def square_fabric(name: str) -> Fabric:
    """The fabric of BS 4483 that a case may name."""
    mat = FABRICS[name]
    return Fabric(name, mat.diameter[0], mat.pitch[0], mat.diameter[1], mat.pitch[1])


@pytest.mark.parametrize(
    ("name", "area_mm2", "mass"),
    [("A142", 141.4, 2.22), ("A193", 192.4, 3.02), ("A252", 251.3, 3.95), ("A393", 392.7, 6.16)],
)
def test_fabrics_of_the_standard(name: str, area_mm2: float, mass: float) -> None:
    """BS 4483, square fabric: areas computed, half a unit of the last digit; printed mass of A393 is 6.165 cut off,
    so one unit of it.
    """
    fabric = square_fabric(name)
    assert fabric.area("x") == fabric.area("y") == pytest.approx(area_mm2 * 1e-6, abs=0.05e-6)
    assert fabric.mass == pytest.approx(mass, abs=0.0055)


def test_bars() -> None:
    """φ12 at 150: 753.98 mm²/m; φ8 at 200: 251.33 mm²/m, computed by hand to the digits shown."""
    mat = Fabric("bars", 0.012, 0.150, 0.008, 0.200)
    assert mat.area("x") == pytest.approx(753.98e-6, abs=0.005e-6)
    assert mat.area("y") == pytest.approx(251.33e-6, abs=0.005e-6)


def test_effective_depths() -> None:
    """125 mm, A393 below with x outer and cover 25, A252 above with y outer and cover 20, by hand; rounding."""
    layers = Layers(0.125, square_fabric("A393"), square_fabric("A252"), 0.025, 0.020, "x", "y")
    depths = [layers.effective_depth(face, direction) for face, direction in FACES]
    assert depths == pytest.approx([0.095, 0.085, 0.093, 0.101])
    section = layers.section("bottom", "x")
    assert section.tension
    assert section.other
    assert section.other.depth == pytest.approx(0.032)  # 20 + 8 + 4 from the top, which is compressed
    assert section.tension.cover == pytest.approx(0.025)
    assert section.other.cover == pytest.approx(0.028)


def test_a_layer_left_out() -> None:
    layers = Layers(0.125, square_fabric("A393"), None, 0.025, 0.020)
    assert layers.section("top", "x").tension is None
    assert layers.section("top", "x").other is not None
    assert isnan(layers.effective_depth("top", "x"))
