"""National values: sources, ranges of the case file, replacements."""

from __future__ import annotations

from dataclasses import asdict, replace

import pytest
from pydantic import ValidationError

from postprocess.strength.factors import RECOMMENDED, SOURCES, UNITS
from postprocess.strength.materials import Materials
from preprocess.factors import VALUE_KEYS, FactorsTable, changes


def test_every_value_has_a_source() -> None:
    assert set(SOURCES) == set(asdict(RECOMMENDED))
    assert all(source for source in SOURCES.values())


def test_lengths_are_those_with_a_unit_in_the_case_file() -> None:
    assert {name for name, unit in UNITS.items() if unit == "m"} == {
        key.removesuffix("_mm") for key in VALUE_KEYS if key.endswith("_mm")
    }


def test_every_value_has_a_key_in_the_case_file_and_no_default_there() -> None:
    """The keys of `[factors]` without their unit are the names of the values; only these know the defaults."""
    assert sorted(key.removesuffix("_mm") for key in VALUE_KEYS) == sorted(SOURCES)
    assert changes(FactorsTable()) == {}


@pytest.mark.parametrize("key", VALUE_KEYS)
def test_recommended_values_are_within_the_ranges_of_the_case_file(key: str) -> None:
    """And arrive as they are: 1 mm in the file is 0.001 m; rounding."""
    unit = 1000 if key.endswith("_mm") else 1
    value = getattr(RECOMMENDED, key.removesuffix("_mm"))
    assert changes(FactorsTable(**{key: unit * value})) == {key.removesuffix("_mm"): pytest.approx(value, rel=1e-15)}


@pytest.mark.parametrize("key", VALUE_KEYS)
def test_no_value_may_be_far_from_the_recommended_one(key: str) -> None:
    """A slip of the decimal point upwards, or of the unit of a length, is refused."""
    unit = 1000 if key.endswith("_mm") else 1
    value = getattr(RECOMMENDED, key.removesuffix("_mm"))
    for slip in (10 * unit * value, -unit * value, *([value] if unit != 1 else [])):
        with pytest.raises(ValidationError):
            FactorsTable(**{key: slip})


def test_replacement_leaves_the_recommended_values_alone() -> None:
    """αcc 0.85 lowers fcd by 15 %; the others stay."""
    changed = replace(RECOMMENDED, **changes(FactorsTable(alpha_cc=0.85)))
    assert Materials(30e6, 500e6, changed).fcd == pytest.approx(0.85 * Materials(30e6, 500e6).fcd)
    assert RECOMMENDED.alpha_cc == 1.0
    assert {**asdict(changed), "alpha_cc": 1.0} == asdict(RECOMMENDED)
