"""Resistance by hand against a published example, and against the search that the checks rest on."""

from __future__ import annotations

from itertools import product

import pytest

from postprocess.report.bending_by_hand import resistance_by_hand, resistance_workings
from postprocess.strength.bending import section_resistance
from postprocess.strength.fabric import Fabric
from postprocess.strength.layers import FACES, Layers, Section, Wires
from postprocess.strength.materials import Materials


def square(diameter: float, pitch: float) -> Fabric:
    return Fabric("bars", diameter, pitch, diameter, pitch)


def test_published_flexure_by_hand() -> None:
    """JRC handbook on Eurocodes, Handbook 2, Annex B: 933 mm²/m at d 170 mm and fck 20 MPa bear 62.78 kNm/m. The area
    is printed to half of 1 mm², 0.05 %."""
    section = Section(0.2, Wires(933e-6, 0.170, 0.012, 0.12, 0.024), None)
    found = resistance_by_hand(section, Materials(20e6, 500e6))
    assert found is not None
    assert found.moment == pytest.approx(62.78e3, rel=0.5 / 933)
    assert found.mats[0].yields == -1


LAYERS = [
    Layers(h, square(d1, s1), square(d2, s2), cover, cover, "x", "y")
    for (h, d1, s1, d2, s2), cover in product(
        [
            (0.125, 0.010, 0.2, 0.008, 0.2),
            (0.125, 0.012, 0.125, 0.010, 0.125),
            (0.100, 0.020, 0.080, 0.006, 0.2),
            (0.200, 0.032, 0.080, 0.032, 0.080),
            (0.300, 0.006, 0.2, 0.016, 0.1),
        ],
        (0.020, 0.040),
    )
]


@pytest.mark.parametrize("fck", [20e6, 32e6, 60e6])
def test_by_hand_and_by_search_agree(fck: float) -> None:
    """The search halves the depth of the axis sixty times, so that rounding is left: 1e-9. Light, usual and far too
    heavy steel; mats that yield or not, in compression and in tension, inside the block and outside."""
    materials = Materials(fck, 500e6)
    seen = set()
    for layers in LAYERS:
        for side in FACES:
            section = layers.section(*side)
            found = resistance_by_hand(section, materials)
            assert found is not None
            assert found.moment == pytest.approx(section_resistance(section, materials), rel=1e-9)
            assert found.pressure == pytest.approx(sum(mat.force for mat in found.mats), rel=1e-9)
            seen |= {(place, mat.yields) for place, mat in enumerate(found.mats)}
    assert {(0, -1), (0, 0), (1, 0), (1, -1)} <= seen


def test_one_mat_and_none() -> None:
    materials = Materials(32e6, 500e6)
    alone = Layers(0.125, square(0.010, 0.2), None, 0.02, 0.02)
    found = resistance_by_hand(alone.section("bottom", "x"), materials)
    assert found is not None
    assert found.moment == pytest.approx(section_resistance(alone.section("bottom", "x"), materials), rel=1e-9)
    assert resistance_by_hand(alone.section("top", "x"), materials) is None
    names = [working.name for working in resistance_workings(alone, materials)]
    assert "bottom y: resistance" in names
    assert not any(name.startswith("top") for name in names)


def test_the_lines_can_be_followed() -> None:
    """Each line's figures give its result, by arithmetic on what is printed: rounding of the printed digits, 0.1 %."""
    layers, materials = LAYERS[2], Materials(32e6, 500e6)
    lines = {working.name: working for working in resistance_workings(layers, materials)}
    steel = lines["bottom x: steel"]
    assert "π × 12²/4 / 0.125" in steel.formula
    assert float(steel.result.split()[0]) == pytest.approx(3.14159265 * 36 / 0.125, rel=1e-3)
    arm, resistance = lines["bottom x: lever arm"], lines["bottom x: resistance"]
    depth, half = arm.formula.split("=")[-1].split("−")
    z = float(depth) - float(half.split("/")[0]) / 2
    assert float(arm.result.split()[0]) == pytest.approx(z, abs=0.01)
    products = [part.split("×") for part in resistance.formula.split("=")[-1].split("+")]
    total = sum(float(a) * float(b) for a, b in products)
    assert float(resistance.result.split()[0]) == pytest.approx(total, rel=1e-3)
    assert float(products[0][1]) * 1e3 == pytest.approx(z, abs=0.01)
