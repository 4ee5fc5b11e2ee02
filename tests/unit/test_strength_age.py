"""Concrete on the day of lifting."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from postprocess.strength.age import LATEST, YoungConcrete
from postprocess.strength.lift import first_passing_day
from preprocess.concrete import Concrete

THICKNESS = 0.125


def young(age: float, cement_class: str = "N") -> YoungConcrete:
    concrete = Concrete.of_class("C32/40", cement_class)
    return YoungConcrete(age, concrete.fcm_at(age), concrete.fctm_at(age), concrete.modulus_at(age), concrete.fck)


def test_lower_characteristic_value() -> None:
    """EN 1992-1-1, Table 3.1: 0.7 fctm. At 3 days, class R: 0.7 · 0.663 · 3.024 = 1.403 MPa, times h²/6 = 3.655
    kNm/m. Tolerance: three digits of βcc.
    """
    at = young(3, "R")
    assert at.fctk_005 == pytest.approx(1.403e6, rel=0.001)
    assert at.lifting_moment(THICKNESS) == pytest.approx(3.655e3, rel=0.001)
    assert at.lifting_moment(THICKNESS, flexural=True) == pytest.approx(1.475 * 3.655e3, rel=0.001)


def test_compressive_strength_grows_to_that_of_28_days() -> None:
    """3.1.2(5): fck(t) = fcm(t) − 8 MPa, never above fck; at 7 days, class N: 0.779 · 40 − 8 = 23.16 MPa."""
    assert young(7).fck == pytest.approx(23.16e6, abs=0.02e6)  # βcc to 3 digits
    assert young(28).fck == pytest.approx(32e6, rel=1e-12)
    assert young(90).fck == 32e6
    assert young(1, "S").fck == 0.0


def earliest_age(ratio: Callable[[int], float], latest: int = LATEST) -> int | None:
    """First day on which a moment over its limit is 1 or less, searched from the usual age of a lift."""
    return first_passing_day(lambda day: ratio(day) <= 1.0, guess=4, latest=latest)


@pytest.mark.parametrize("cement_class", ["R", "N", "S"])
def test_earliest_age_is_the_first_that_passes(cement_class: str) -> None:
    """Half the 28-day limit: βcc ≥ 0.5 from t = 28/(1 − ln 0.5/s)² on: R 1.40, N 1.97, S 3.52 days by hand."""
    moment = 0.5 * young(28).lifting_moment(THICKNESS)
    age = earliest_age(lambda day: moment / young(day, cement_class).lifting_moment(THICKNESS))
    assert age == {"R": 2, "N": 2, "S": 4}[cement_class]


def test_never_and_at_once() -> None:
    limit = young(28).lifting_moment(THICKNESS)
    assert earliest_age(lambda day: 2 * limit / young(day).lifting_moment(THICKNESS)) is None
    assert earliest_age(lambda day: 0.0) == 1
    assert earliest_age(lambda day: 11 / day, latest=10) is None
