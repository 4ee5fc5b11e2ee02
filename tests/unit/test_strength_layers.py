"""Fabrics by name and by bars, and where they lie."""

from __future__ import annotations

from math import isnan

import pytest

from postprocess.strength.errors import StrengthError
from postprocess.strength.fabric import SQUARE_FABRICS, bars, square_fabric
from postprocess.strength.layers import FACES, Layers


@pytest.mark.parametrize(
    ("name", "area_mm2", "mass"),
    [
        ("A98", 98.2, 1.54),  # mass from memory
        ("A142", 141.4, 2.22),
        ("A193", 192.4, 3.02),
        ("A252", 251.3, 3.95),
        ("A393", 392.7, 6.16),
    ],
)
def test_fabrics_of_the_standard(name: str, area_mm2: float, mass: float) -> None:
    """BS 4483, square fabric: areas computed, half a unit of the last digit; printed mass of A393 is 6.165 cut off,
    so one unit of it.
    """
    fabric = square_fabric(name)
    assert fabric.area("x") == fabric.area("y") == pytest.approx(area_mm2 * 1e-6, abs=0.05e-6)
    assert fabric.mass == pytest.approx(mass, abs=0.0055)


def test_fabrics_stand_in_order_of_mass() -> None:
    masses = [fabric.mass for fabric in SQUARE_FABRICS.values()]
    assert masses == sorted(masses)


def test_unknown_fabric_names_the_nearest() -> None:
    with pytest.raises(StrengthError, match='no fabric "A253"; the nearest is "A252"'):
        square_fabric("A253")
    with pytest.raises(StrengthError, match="known: A98, A142, A193, A252, A393"):
        square_fabric("mesh")


def test_bars() -> None:
    """φ12 at 150: 753.98 mm²/m; φ8 at 200: 251.33 mm²/m, computed by hand to the digits shown."""
    mat = bars(0.012, 0.150, 0.008, 0.200)
    assert mat.area("x") == pytest.approx(753.98e-6, abs=0.005e-6)
    assert mat.area("y") == pytest.approx(251.33e-6, abs=0.005e-6)
    assert mat.name == "12 at 150 × 8 at 200 mm"


def test_bars_that_make_no_sense() -> None:
    with pytest.raises(StrengthError) as caught:
        bars(0.0, 0.150, 0.050, float("nan"))
    assert len(caught.value.problems) == 3
    with pytest.raises(StrengthError, match="pitch 8 mm: above the diameter"):
        bars(0.010, 0.008, 0.010, 0.200)


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
    assert not layers.problems()


def test_a_layer_left_out() -> None:
    layers = Layers(0.125, square_fabric("A393"), None, 0.025, 0.020)
    assert layers.section("top", "x").tension is None
    assert layers.section("top", "x").other is not None
    assert isnan(layers.effective_depth("top", "x"))
    assert not layers.problems()


@pytest.mark.parametrize(
    ("thickness", "cover_bottom", "cover_top", "word"),
    [
        (0.070, 0.020, 0.020, "from 75 to 400 mm"),
        (0.401, 0.020, 0.020, "from 75 to 400 mm"),
        (float("nan"), 0.020, 0.020, "from 75 to 400 mm"),
        (0.075, 0.055, 0.010, "no effective depth"),
        (0.075, 0.010, 0.060, "no effective depth"),
        (0.075, 0.020, 0.020, "overlap"),
        (0.125, 0.0, 0.020, "above 0"),
        (0.125, 0.020, float("nan"), "above 0"),
    ],
)
def test_layers_that_cannot_be_built(thickness: float, cover_bottom: float, cover_top: float, word: str) -> None:
    fabric = square_fabric("A393")
    (problem,) = Layers(thickness, fabric, fabric, cover_bottom, cover_top).problems()
    assert word in problem


def test_both_covers_are_named() -> None:
    fabric = square_fabric("A393")
    assert len(Layers(0.075, fabric, fabric, 0.06, 0.07).problems()) == 2
