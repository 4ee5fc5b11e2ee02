"""The spring catalogue."""

from __future__ import annotations

from typing import Any

import pytest

from preprocess.case import Spring
from preprocess.springs import nested, read_catalogue

EITHER = "either rate_N_mm and solid_deflection_mm, or wire_mm, coil_mm, active_turns and free_length_mm"


def spring(code: str, rate: float = 100, load: float = 2.5, solid: float = 40) -> dict[str, Any]:
    return {"code": code, "rate_N_mm": rate, "rated_load_kN": load, "solid_deflection_mm": solid}


def messages(data: dict[str, Any]) -> list[str]:
    return [str(problem) for problem in read_catalogue(data, "springs.toml")[1]]


def test_simple_spring_in_si() -> None:
    catalogue, problems = read_catalogue({"spring": [spring("P")]}, "springs.toml")
    assert not problems
    assert catalogue.springs["P"] == Spring("P", 100_000, 2500, 0.040, ("P",))
    assert catalogue.springs["P"].rated_deflection == pytest.approx(0.025, rel=1e-15)


def test_nested_pair_adds_rates_and_loads_and_takes_the_smaller_solid_deflection() -> None:
    data = {
        "spring": [spring("P"), spring("Q", rate=40, load=1.1, solid=36)],
        "nested": [{"code": "P/Q", "outer": "P", "inner": "Q"}],
    }
    pair = read_catalogue(data, "springs.toml")[0].springs["P/Q"]
    assert pair.rate == pytest.approx(140_000, rel=1e-15)
    assert pair.rated_load == pytest.approx(3600, rel=1e-15)
    assert pair.solid_deflection == 0.036
    assert pair.parts == ("P", "Q")


def test_nested_pair_carries_what_its_coils_carry() -> None:
    """Coils in parallel: at any deflection the pair's load is the sum of theirs (statics)."""
    outer = Spring("P", 90e3, 2e3, 0.04, ("P",))
    inner = Spring("Q", 35e3, 1e3, 0.05, ("Q",))
    pair = nested("P/Q", outer, inner)
    assert pair.rate * 0.013 == pytest.approx(outer.rate * 0.013 + inner.rate * 0.013, rel=1e-15)


def test_lateral_rates_as_given_or_of_the_geometry_and_the_sum_of_a_pair() -> None:
    """A given one holds beside geometry as well; R/RQ = (1 + 2G/E)(L0/D)²/6 + G/E for a coil without load.

    That formula is the limit of EN 13906-1 for no deflection (from memory), here by plain arithmetic for a wire of 12,
    coil of 72, 5 turns and 150 mm: R = 79 500 · 12⁴/(8 · 72³ · 5) = 110.417 N/mm, G/E = 79.5/206.
    """
    coil = {"wire_mm": 12, "coil_mm": 72, "active_turns": 5, "free_length_mm": 150, "rated_load_kN": 4.0}
    springs = [
        spring("P") | {"lateral_rate_N_mm": 70},
        spring("Q"),
        coil | {"code": "C"},
        coil | {"code": "D", "lateral_rate_N_mm": 55},
    ]
    pairs = [{"code": f"P/{code}", "outer": "P", "inner": code} for code in "QD"]
    found, problems = read_catalogue({"spring": springs, "nested": pairs}, "springs.toml")
    assert not problems
    lateral = {code: each.lateral_rate for code, each in found.springs.items()}
    ratio = 79.5 / 206
    by_hand = 110_417 / ((1 + 2 * ratio) * (150 / 72) ** 2 / 6 + ratio)
    assert lateral.pop("C") == pytest.approx(by_hand, rel=1e-5)  # six digits of the rate
    assert lateral == {"P": 70e3, "Q": None, "D": 55e3, "P/Q": None, "P/D": 125e3}


@pytest.mark.parametrize("value", [0, -5, float("nan"), float("inf"), True, "70", [70]])
def test_lateral_rate_is_a_positive_number(value: Any) -> None:
    [message] = messages({"spring": [spring("P") | {"lateral_rate_N_mm": value}]})
    assert message.startswith('springs.toml: spring 1 ("P").lateral_rate_N_mm: got ')
    assert "a number above 0" in message


def test_catalogue_is_read_only() -> None:
    catalogue, _ = read_catalogue({"spring": [spring("P")]}, "springs.toml")
    with pytest.raises(TypeError):
        catalogue.springs["Q"] = catalogue.springs["P"]  # type: ignore[index]


def test_solid_before_rated_load() -> None:
    [message] = messages({"spring": [spring("P", solid=25)]})
    assert message.startswith('springs.toml: spring 1 ("P").solid_deflection_mm: got 25: more than')
    assert "25 mm" in message


def test_pair_solid_before_its_rated_load() -> None:
    """Rated deflections 20 and 60 mm, together 33.3 mm: beyond the 22 mm at which the outer is solid."""
    data = {
        "spring": [spring("P", 100, 2.0, 22), spring("Q", 50, 3.0, 70)],
        "nested": [{"code": "P/Q", "outer": "P", "inner": "Q"}],
    }
    [message] = messages(data)
    assert 'nested 1 ("P/Q"): got 22 mm to solid' in message
    assert "33.3333 mm" in message


@pytest.mark.parametrize(
    ("pair", "where", "allowed"),
    [
        ({"code": "X", "outer": "P", "inner": "QQ"}, 'nested 1 ("X").inner: got "QQ"', 'nearest is "Q"'),
        ({"code": "X", "outer": "P", "inner": "P"}, 'nested 1 ("X").inner: got "P"', "another spring"),
        ({"code": "X", "outer": "X", "inner": "P"}, 'nested 1 ("X").outer: got "X"', "a simple spring"),
        (
            {"code": "P", "outer": "P", "inner": "Q"},
            'nested 1 ("P").code: got "P"',
            "spring 1 has it already",
        ),
    ],
)
def test_pairs_that_make_no_sense(pair: dict[str, Any], where: str, allowed: str) -> None:
    [message] = messages({"spring": [spring("P"), spring("Q")], "nested": [pair]})
    assert where in message
    assert allowed in message


def test_a_bad_spring_still_counts_as_known() -> None:
    catalogue, problems = read_catalogue({"spring": [spring("P", rate=-1), spring("Q")]}, "springs.toml")
    assert catalogue.codes == ("P", "Q")
    assert not catalogue.springs
    assert len(problems) == 1


def test_empty_catalogue() -> None:
    keys = f"code and rated_load_kN, at least, and {EITHER}"
    tables = f"tables, each written [[spring]] with {keys}"
    assert messages({}) == [f"springs.toml: spring: required, but missing: {tables}"]
    assert messages({"spring": []}) == [f"springs.toml: spring: got []: 1 or more {tables}"]


def test_codes_stand_in_the_order_of_the_file() -> None:
    data = {
        "spring": [spring("Z"), spring("B"), spring("M")],
        "nested": [{"code": "C", "outer": "Z", "inner": "B"}],
    }
    assert read_catalogue(data, "springs.toml")[0].codes == ("Z", "B", "M", "C")


@pytest.mark.parametrize(
    "data",
    [
        {"spring": [spring("P"), spring("P")]},
        {"spring": [spring("P"), {"rate_N_mm": 40}]},
        {"spring": [spring("P"), 5]},
        {"spring": [spring("P")], "nested": 5},
        {"spring": spring("P")},
    ],
)
def test_no_codes_where_one_is_missing_or_doubled(data: dict[str, Any]) -> None:
    """Jacks are then left unchecked: what they name may be just what is missing."""
    catalogue, problems = read_catalogue(data, "springs.toml")
    assert problems
    assert catalogue.codes == ()


def test_a_missing_code_is_one_problem_though_a_pair_names_it() -> None:
    nameless = {key: value for key, value in spring("Q").items() if key != "code"}
    data = {"spring": [spring("P"), nameless], "nested": [{"code": "X", "outer": "P", "inner": "Q"}]}
    assert messages(data) == ["springs.toml: spring 2.code: required, but missing"]


@pytest.mark.parametrize("code", ["=1+1", "+P", "-P", "@P", "P\x1b[31m", "P\nQ", "P\0", 25 * "P", "", " ", 7])
def test_codes_that_are_not_for_tables_and_drawings(code: Any) -> None:
    [message] = messages({"spring": [spring("P"), spring(code)]})
    assert message.startswith("springs.toml: spring 2")
    assert "one line of 1 to 24 printable characters that does not start with = + - or @" in message
    assert message.isprintable()


@pytest.mark.parametrize("code", [24 * "P", "P+Q", "Feder Ø8", "7"])
def test_codes_of_every_sound_kind(code: str) -> None:
    assert messages({"spring": [spring(code)]}) == []
