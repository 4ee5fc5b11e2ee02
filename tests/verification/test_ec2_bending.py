"""Bending resistance against a published example and an independent library for concrete sections."""

from __future__ import annotations

import numpy as np
import pytest
from concreteproperties import Concrete, ConcreteSection, SteelBar
from concreteproperties.pre import add_bar
from concreteproperties.stress_strain_profile import ConcreteLinear, RectangularStressBlock, SteelElasticPlastic
from sectionproperties.pre.library import rectangular_section

from postprocess.strength.bending import required_steel, section_resistance, single_resistance, yielding_axis
from postprocess.strength.fabric import Fabric
from postprocess.strength.layers import Layers, Section
from postprocess.strength.materials import Materials
from preprocess.fabrics import FABRICS


def test_flexure_example() -> None:
    """JRC handbook on Eurocodes, Handbook 2, Annex B: b 1 m, d 0.17 m, fck 20, fyk 500, αcc 1, MEd 62.78 kNm
    → As 933 mm². Tolerance: half a unit of the last printed digit.
    """
    materials = Materials(fck=20e6, fyk=500e6)
    assert required_steel(62.78e3, 0.17, materials) == pytest.approx(933e-6, abs=0.5e-6)
    assert single_resistance(933e-6, 0.17, materials) == pytest.approx(62.78e3, rel=0.5 / 933)


def bars(diameter_x: float, pitch_x: float, diameter_y: float, pitch_y: float) -> Fabric:
    """A mat of bars, m."""
    return Fabric("bars", diameter_x, pitch_x, diameter_y, pitch_y)


def square_fabric(name: str) -> Fabric:
    """The fabric of BS 4483 that a case may name."""
    mat = FABRICS[name]
    return Fabric(name, mat.diameter[0], mat.pitch[0], mat.diameter[1], mat.pitch[1])


def library_capacity(section: Section, materials: Materials) -> float:
    """MRd, N·m/m, by concreteproperties 0.7: five bars a metre for each mat, concrete cut away where they lie.

    The block is that of EN 1992-1-1, 3.1.7(3), λ, η and εcu3 typed out here for C50/60 and below and for C60/75.
    """
    high = materials.fck > 50e6
    block = RectangularStressBlock(
        compressive_strength=materials.fck / 1e6 / 1.5,
        alpha=0.95 if high else 1.0,
        gamma=0.775 if high else 0.8,
        ultimate_strain=0.0026 + 0.035 * 0.3**4 if high else 0.0035,
    )
    concrete = Concrete(
        name="concrete",
        density=2.4e-6,
        stress_strain_profile=ConcreteLinear(elastic_modulus=33e3),
        ultimate_stress_strain_profile=block,
        flexural_tensile_strength=3.0,
        colour="grey",
    )
    profile = SteelElasticPlastic(yield_strength=500 / 1.15, elastic_modulus=200e3, fracture_strain=0.9)
    steel = SteelBar(name="steel", density=7.85e-6, stress_strain_profile=profile, colour="red")
    geometry = rectangular_section(d=1e3 * section.thickness, b=1000, material=concrete)
    for mat in (section.tension, section.other):
        if mat:
            for x in (100, 300, 500, 700, 900):
                height = 1e3 * (section.thickness - mat.depth)
                geometry = add_bar(geometry, area=mat.area * 1e6 / 5, material=steel, x=x, y=height)
    return float(ConcreteSection(geometry).ultimate_bending_capacity().m_x) * 1e3 / 1e6


SECTIONS = [
    # thickness mm, bottom, top, cover mm, fck MPa, face
    (75, "A142", None, 20, 25, "bottom"),
    (75, "A193", "A142", 15, 32, "bottom"),
    (75, "A252", "A252", 15, 32, "top"),
    (100, "A142", "A142", 20, 25, "bottom"),
    (100, "A393", "A252", 20, 40, "top"),
    (125, "A193", "A193", 25, 32, "bottom"),
    (125, "A393", "A393", 25, 32, "bottom"),
    (150, "A252", "A393", 25, 30, "top"),
    (200, "A393", "A393", 30, 32, "bottom"),
    (250, "A393", None, 30, 35, "bottom"),
    (300, "A252", "A393", 40, 60, "bottom"),
    (400, "A142", "A393", 50, 32, "top"),
]


@pytest.mark.parametrize("direction", ["x", "y"])
@pytest.mark.parametrize(("thickness", "bottom", "top", "cover", "fck", "face"), SECTIONS)
def test_capacity_against_concreteproperties(
    thickness: float, bottom: str, top: str | None, cover: float, fck: float, face: str, direction: str
) -> None:
    """0.1 %: both solve the same plane section; the library lays round bars instead of layers without depth, and
    searches for the axis with a tolerance of its own. They part by less than 0.01 %.
    """
    mats = [square_fabric(name) if name else None for name in (bottom, top)]
    layers = Layers(thickness / 1e3, mats[0], mats[1], cover / 1e3, cover / 1e3)
    materials = Materials(fck=fck * 1e6, fyk=500e6)
    section = layers.section(face, direction)
    assert section_resistance(section, materials) == pytest.approx(library_capacity(section, materials), rel=1e-3)


@pytest.mark.parametrize(
    ("bottom", "top"),
    [(bars(0.020, 0.1, 0.016, 0.1), None), (bars(0.032, 0.1, 0.016, 0.1), bars(0.012, 0.15, 0.012, 0.15))],
    ids=["all but balanced", "over-reinforced, mat in compression"],
)
def test_heavy_steel_against_concreteproperties(bottom: Fabric, top: Fabric | None) -> None:
    """Far beyond fabrics: steel that does not yield, bars within the block. Tolerance as above."""
    materials = Materials(fck=25e6, fyk=500e6)
    section = Layers(0.175, bottom, top, 0.025, 0.02).section("bottom", "x")
    assert section_resistance(section, materials) == pytest.approx(library_capacity(section, materials), rel=1e-3)


def test_closed_form_and_bisection_agree() -> None:
    """One layer, from light to over-reinforced: two roads to the same equations, so rounding only."""
    materials = Materials(fck=30e6, fyk=500e6)
    for area in (0.1e-3, 1e-3, 3e-3, 8e-3):
        fabric = bars(0.016, 0.15, 0.016, 0.15)
        section = Layers(0.2, fabric, None, 0.03, 0.03).section("bottom", "x")
        assert section.tension
        wires = type(section.tension)(area, 0.16, 0.016, 0.15, 0.03)
        found = section_resistance(Section(0.2, wires, None), materials)
        assert found == pytest.approx(float(single_resistance(area, 0.16, materials)), rel=1e-9)
    assert 3e-3 * materials.fyd / (0.8 * materials.fcd) < yielding_axis(0.16, materials)
    assert 8e-3 * materials.fyd / (0.8 * materials.fcd) > yielding_axis(0.16, materials)


def test_required_steel_inverts_resistance_and_knows_its_limit() -> None:
    """Rounding, for thousands of places at once; inf where the block would pass the depth at which steel yields."""
    materials = Materials(fck=32e6, fyk=500e6)
    moment = np.linspace(0, 60e3, 5000)
    area = required_steel(moment, 0.1, materials)
    enough = np.isfinite(area)
    assert enough[0]
    assert not required_steel(100e3, 0.1, materials) < np.inf
    np.testing.assert_allclose(single_resistance(area[enough], 0.1, materials), moment[enough], rtol=1e-9, atol=1e-6)


def test_high_strength_block() -> None:
    """EN 1992-1-1, Eq. 3.19 to 3.22 and Table 3.1 (from memory) for C90/105: λ 0.7, η 0.8, εcu3 2.6 ‰. Rounding."""
    materials = Materials(fck=90e6, fyk=500e6)
    assert materials.block_depth == pytest.approx(0.7, rel=1e-12)
    assert materials.block_strength == pytest.approx(0.8 * 60e6, rel=1e-12)
    assert materials.ultimate_strain == pytest.approx(2.6e-3, rel=1e-12)


@pytest.mark.parametrize(("fck", "per_mille"), [(50, 3.5), (55, 3.1), (60, 2.9), (70, 2.7), (80, 2.6), (90, 2.6)])
def test_ultimate_strain(fck: float, per_mille: float) -> None:
    """EN 1992-1-1, Table 3.1, εcu3 (from memory); tolerance: half a unit of the printed digit."""
    assert Materials(fck=fck * 1e6, fyk=500e6).ultimate_strain == pytest.approx(per_mille * 1e-3, abs=0.051e-3)


def test_no_steel_no_resistance() -> None:
    assert section_resistance(Section(0.125, None, None), Materials(fck=30e6, fyk=500e6)) == 0.0
