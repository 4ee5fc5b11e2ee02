"""Concrete properties against EN 1992-1-1:2004."""

from __future__ import annotations

import pytest

from preprocess.concrete import CEMENT_CLASSES, STRENGTH_CLASSES, Concrete

TABLE_3_1 = {
    # EN 1992-1-1:2004, Table 3.1, from memory: fcm MPa, fctm MPa, Ecm GPa
    "C12/15": (20, 1.6, 27),
    "C16/20": (24, 1.9, 29),
    "C20/25": (28, 2.2, 30),
    "C25/30": (33, 2.6, 31),
    "C30/37": (38, 2.9, 33),
    "C35/45": (43, 3.2, 34),
    "C40/50": (48, 3.5, 35),
    "C45/55": (53, 3.8, 36),
    "C50/60": (58, 4.1, 37),
    "C55/67": (63, 4.2, 38),
    "C60/75": (68, 4.4, 39),
    "C70/85": (78, 4.6, 41),
    "C80/95": (88, 4.8, 42),
    "C90/105": (98, 5.0, 44),
}


@pytest.mark.parametrize("strength_class", TABLE_3_1)
def test_table_3_1(strength_class: str) -> None:
    """The table's rounded values; tolerance: half a unit of the last printed digit."""
    concrete = Concrete.of_class(strength_class)
    fcm, fctm, ecm = TABLE_3_1[strength_class]
    assert concrete.fcm == pytest.approx(fcm * 1e6, rel=1e-12)
    assert concrete.fctm == pytest.approx(fctm * 1e6, abs=0.05e6)
    assert concrete.modulus == pytest.approx(ecm * 1e9, abs=0.5e9)


@pytest.mark.parametrize(
    ("strength_class", "fctm_mpa", "modulus_gpa"),
    [("C25/30", 2.565, 31.48), ("C30/37", 2.896, 32.84), ("C32/40", 3.024, 33.35), ("C40/50", 3.509, 35.22)],
)
def test_computed_values(strength_class: str, fctm_mpa: float, modulus_gpa: float) -> None:
    """Formulas of Table 3.1 worked out by hand; tolerance: half a unit of the last digit."""
    concrete = Concrete.of_class(strength_class)
    assert concrete.fctm == pytest.approx(fctm_mpa * 1e6, abs=0.0005e6)
    assert concrete.modulus == pytest.approx(modulus_gpa * 1e9, abs=0.005e9)


@pytest.mark.parametrize(
    ("cement_class", "age", "expected"),
    [
        ("R", 3, 0.663), ("R", 7, 0.819), ("R", 14, 0.920),
        ("N", 3, 0.598), ("N", 7, 0.779), ("N", 14, 0.902),
        ("S", 3, 0.458), ("S", 7, 0.684), ("S", 14, 0.854),
    ],
)  # fmt: skip
def test_growth_with_age(cement_class: str, age: float, expected: float) -> None:
    """Eq. 3.2 worked out by hand; tolerance: half a unit of the last digit.

    Strength follows βcc (Eq. 3.1 and 3.4 below 28 days) and stiffness its power 0.3 (Eq. 3.5).
    """
    concrete = Concrete.of_class("C32/40", cement_class)
    assert concrete.beta_cc(age) == pytest.approx(expected, abs=0.0005)
    assert concrete.fcm_at(age) == pytest.approx(expected * 40e6, rel=0.0005 / expected)
    assert concrete.fctm_at(age) == pytest.approx(expected * 3.024e6, rel=0.0015)
    assert concrete.modulus_at(age) == pytest.approx(expected**0.3 * 33.35e9, rel=0.0005)


@pytest.mark.parametrize("cement_class", CEMENT_CLASSES)
@pytest.mark.parametrize("strength_class", STRENGTH_CLASSES)
def test_28_days_are_the_reference(strength_class: str, cement_class: str) -> None:
    """By definition βcc(28) = 1; tolerance: rounding of one exponential."""
    concrete = Concrete.of_class(strength_class, cement_class)
    assert concrete.beta_cc(28) == pytest.approx(1, rel=1e-14)
    assert concrete.fctm_at(28) == pytest.approx(concrete.fctm, rel=1e-14)
    assert concrete.modulus_at(28) == pytest.approx(concrete.modulus, rel=1e-14)


def test_tensile_strength_grows_slower_after_28_days() -> None:
    """Eq. 3.4: exponent 2/3 from 28 days on. At 112 days βcc = exp(0.25 · 0.5) for class N."""
    concrete = Concrete.of_class("C30/37", "N")
    assert concrete.fctm_at(112) / concrete.fctm == pytest.approx(2.718281828 ** (0.125 * 2 / 3), rel=1e-8)


@pytest.mark.parametrize("age", [0.0, -1.0, float("nan")])
def test_age_must_be_positive(age: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        Concrete.of_class("C30/37").beta_cc(age)


@pytest.mark.parametrize("names", [("C31/40", "N"), ("C30/37", "Q")])
def test_unknown_class(names: tuple[str, str]) -> None:
    with pytest.raises(KeyError):
        Concrete.of_class(*names)
