"""Laps of fabric against hand calculations to EN 1992-1-1:2004, 8.4 and 8.7, with the strengths of its Table 3.1."""

from __future__ import annotations

import pytest

from postprocess.fabric.lap import bond_strength, design_lap, good_bond, layer_laps
from postprocess.strength.materials import Materials

FYD = 500e6 / 1.15
MATERIALS = Materials(32e6, 500e6)
FCTK = 0.7 * 0.30 * 32 ** (2 / 3) * 1e6
"""Of C32/40, Pa: Table 3.1."""


@pytest.mark.parametrize(("fctk_mpa", "good", "fbd_mpa"), [(1.8, True, 2.70), (2.0, True, 3.00), (2.0, False, 2.10)])
def test_bond(fctk_mpa: float, good: bool, fbd_mpa: float) -> None:
    """Eq. 8.2 by hand: 2.25 × 1.0 or 0.7 × 1.0 × fctk,0.05/1.5, with those of C25/30 and C30/37 in Table 3.1."""
    assert bond_strength(fctk_mpa * 1e6, 1.5, good=good) == pytest.approx(fbd_mpa * 1e6, rel=1e-12)


def test_bond_grows_no_further_than_that_of_c60() -> None:
    """8.4.2(2): C90/105 has fctk,0.05 = 3.5 MPa, C60/75 has 3.1 MPa, which Table 3.1 rounds twice: 2 %."""
    assert bond_strength(3.5e6, 1.5, good=True) == pytest.approx(2.25 * 3.1e6 / 1.5, rel=0.02)


def test_anchorage_and_lap_in_diameters() -> None:
    """C25/30, fully stressed, good bond: 40 φ to anchor is what handbooks of EN 1992-1-1 give (from memory), rounded
    to a whole diameter; 1.5 times that to lap (Eq. 8.10, Table 8.3)."""
    lap = design_lap(0.010, bond_strength(1.8e6, 1.5, good=True), FYD)
    assert lap.anchorage / 0.010 == pytest.approx(40, abs=0.5)
    assert lap.design == pytest.approx(1.5 * lap.anchorage, rel=1e-12)


def test_a252_in_c32() -> None:
    """φ 8: fctd = 2.117/1.5 = 1.411 MPa, fbd = 3.175 MPa, lb,rqd = 8/4 × 434.8/3.175 = 273.9 mm, l0 = 410.8 mm, laid
    425 mm; all by hand to four digits."""
    lap = design_lap(0.008, bond_strength(FCTK, 1.5, good=True), FYD)
    assert lap.anchorage == pytest.approx(0.2739, abs=1e-4)
    assert lap.design == pytest.approx(0.4108, abs=1.5e-4)
    assert lap.length == pytest.approx(0.425, abs=1e-9)


@pytest.mark.parametrize(("diameter", "stress", "least"), [(0.005, 50e6, 0.200), (0.020, 50e6, 0.300)])
def test_least_lap(diameter: float, stress: float, least: float) -> None:
    """Eq. 8.11: where stress asks for next to nothing, 200 mm and 15 φ remain."""
    assert design_lap(diameter, 3e6, stress).design == pytest.approx(least, rel=1e-12)


@pytest.mark.parametrize(
    ("face", "thickness", "good"), [("bottom", 0.4, True), ("top", 0.25, True), ("top", 0.26, False)]
)
def test_bond_of_a_layer(face: str, thickness: float, good: bool) -> None:
    """Figure 8.2: poor bond for steel near the top of sections over 250 mm."""
    assert good_bond(face, thickness) is good


def test_poor_bond_takes_a_longer_lap() -> None:
    """1/0.7 times as much, before rounding up."""
    laps = [
        layer_laps("top", (0.008, 0.010), (251e-6, 393e-6), MATERIALS, FCTK, thickness=h, given=None)
        for h in (0.2, 0.3)
    ]
    assert laps[1].least == pytest.approx([length / 0.7 for length in laps[0].least], rel=1e-12)
    assert laps[0].least[1] / laps[0].least[0] == pytest.approx(10 / 8, rel=1e-12)
    assert "poor bond" in laps[1].basis
    assert "Table 8.4 does not apply" in laps[1].basis


def test_a_lap_of_the_case_overrides_and_is_told_if_short() -> None:
    def given(lap: float) -> tuple[tuple[float, float], tuple[str, ...], str]:
        found = layer_laps("bottom", (0.008, 0.008), (251e-6,) * 2, MATERIALS, FCTK, thickness=0.125, given=lap)
        return found.lengths, found.remarks, found.basis

    lengths, remarks, basis = given(0.45)
    assert (lengths, remarks) == ((0.45, 0.45), ())
    assert basis.startswith("lap_mm of the case")
    _, short, _ = given(0.4)
    assert [("400 mm" in remark, "411 mm" in remark) for remark in short] == [(True, True)] * 2


def test_much_steel_may_not_lap_in_one_place() -> None:
    """8.7.5.1(6): all of it up to 1200 mm²/m."""
    found = layer_laps("bottom", (0.016, 0.012), (1340e-6, 1130e-6), MATERIALS, FCTK, thickness=0.2, given=None)
    assert [remark.split(":")[0] for remark in found.remarks] == ["bottom layer"]
    assert "1340 mm²/m along x" in found.remarks[0]
