"""National values: sources, replacements, refusals."""

from __future__ import annotations

from dataclasses import asdict

import pytest

from postprocess.strength.errors import StrengthError
from postprocess.strength.factors import RECOMMENDED, SOURCES, replace_values, value_problems
from postprocess.strength.materials import Materials, strength_problems


def test_every_value_has_a_source() -> None:
    assert set(SOURCES) == set(asdict(RECOMMENDED))
    assert all(source for source in SOURCES.values())


@pytest.mark.parametrize("name", sorted(SOURCES))
def test_recommended_values_are_within_their_own_ranges(name: str) -> None:
    assert not value_problems({name: getattr(RECOMMENDED, name)})


def test_replacement_leaves_the_recommended_values_alone() -> None:
    """αcc 0.85 lowers fcd by 15 %; the others stay."""
    changed = replace_values(RECOMMENDED, {"alpha_cc": 0.85})
    assert Materials(30e6, 500e6, changed).fcd == pytest.approx(0.85 * Materials(30e6, 500e6).fcd)
    assert RECOMMENDED.alpha_cc == 1.0
    assert {**asdict(changed), "alpha_cc": 1.0} == asdict(RECOMMENDED)


def test_all_problems_at_once() -> None:
    """An unknown name with the nearest known one, and every value that makes no sense with its range and clause."""
    with pytest.raises(StrengthError) as caught:
        replace_values(RECOMMENDED, {"alpha_c": 0.85, "gamma_c": 0.5, "gamma_s": float("nan"), "w_max": 0.3})
    unknown, concrete, steel, crack = caught.value.problems
    assert '"alpha_cc"' in unknown
    assert "gamma_c = 0.5" in concrete
    assert "1 to 2.5 (2.4.2.4(1)" in concrete
    assert "gamma_s = nan" in steel
    assert "w_max = 0.3" in crack
    assert caught.value.exit_code == 2


@pytest.mark.parametrize("value", [True, "1.5", None, [1.5], float("inf")])
def test_not_a_number(value: object) -> None:
    (problem,) = value_problems({"gamma_c": value})
    assert "it must be a number" in problem


def test_strengths_that_make_no_sense() -> None:
    assert not strength_problems(32e6, 500e6)
    low, steel = strength_problems(0.0, 32e6)
    assert "fck = 0 MPa" in low
    assert "fyk = 32 MPa" in steel
    assert len(strength_problems(100e6, 500e6)) == 1
    assert len(strength_problems(float("nan"), float("nan"))) == 2
