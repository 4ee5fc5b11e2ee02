"""Springs of the catalogue that are given by the geometry of their coil.

The coil of most tests has a 12 mm wire, 72 mm mean diameter, 5 + 2 turns, 150 mm free length:
R = 79 500 · 12⁴/(8 · 72³ · 5) = 110.417 N/mm, 84 mm solid, 66 mm to solid; at 4 kN 36.226 mm and
8 · 4000 · 72/(π · 12³) = 424.41 MPa.
"""

from __future__ import annotations

import json
from dataclasses import replace
from math import pi
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fem.helical_spring import Coil
from fem.statics import solve_states
from preprocess.case import Spring
from preprocess.coil_figures import catalogue_figures, coil_figures, pair_figures
from preprocess.floor import build_floor
from preprocess.reader import read_case
from preprocess.springs import read_catalogue

RATE, STRESS = 79_500 * 12**4 / (8 * 72**3 * 5), 8 * 4000 * 72 / (pi * 12**3)
"""Of the coil above, N/mm, and at 4 kN, MPa."""

EITHER = "either rate_N_mm and solid_deflection_mm, or wire_mm, coil_mm, active_turns and free_length_mm"


def entry(code: str = "P", **changes: Any) -> dict[str, Any]:
    """The entry of the coil above; a change to None leaves a key out."""
    keys = {"wire_mm": 12, "coil_mm": 72, "active_turns": 5, "free_length_mm": 150, "rated_load_kN": 4.0}
    return {"code": code} | {key: value for key, value in (keys | changes).items() if value is not None}


def inner(code: str = "Q", **changes: Any) -> dict[str, Any]:
    """A coil that goes into that one: 47 mm outside in 60 mm; 41.17 N/mm, rated 1.4 kN at 34 mm."""
    return entry(code, **({"wire_mm": 7, "coil_mm": 40, "active_turns": 9.05, "rated_load_kN": 1.4} | changes))


def pair(first: dict[str, Any], second: dict[str, Any]) -> dict[str, Any]:
    return {"spring": [first, second], "nested": [{"code": "P/Q", "outer": "P", "inner": "Q"}]}


def messages(data: dict[str, Any]) -> list[str]:
    return [str(problem) for problem in read_catalogue(data, "springs.toml")[1]]


def spring_of(**changes: Any) -> Spring:
    catalogue, problems = read_catalogue({"spring": [entry(**changes)]}, "springs.toml")
    assert not problems
    return catalogue.springs["P"]


def notes_of(**changes: Any) -> str:
    return "\n".join(coil_figures(spring_of(**changes))["notes"])


def test_spring_from_its_geometry() -> None:
    """Rounding only."""
    spring = spring_of()
    assert spring.rate == pytest.approx(1000 * RATE, rel=1e-12)
    assert spring.rated_load == 4000
    assert spring.solid_deflection == pytest.approx(0.066, rel=1e-12)
    assert spring.parts == ("P",)
    assert spring.coil == Coil(0.012, 0.072, 5, 7, 0.150, 79.5e9, 206e9, "sliding", None)


def test_every_key_counts() -> None:
    given = {"total_turns": 6.5, "shear_modulus_gpa": 70, "elastic_modulus_gpa": 190, "seating": " pivoted "}
    spring = spring_of(**given, allowed_stress_mpa=600)
    assert spring.coil == Coil(0.012, 0.072, 5, 6.5, 0.150, 70e9, 190e9, "pivoted", 600e6)
    assert spring.rate == pytest.approx(1000 * RATE * 70 / 79.5, rel=1e-12)
    assert spring.solid_deflection == pytest.approx(0.150 - 6.5 * 0.012, rel=1e-12)


def test_figures() -> None:
    """Each by hand from the formulas of EN 13906-1 in the module's heading; rounding only."""
    figures = coil_figures(spring_of(allowed_stress_mpa=600))
    deflection = 4000 / RATE
    ratio = 79.5 / 206
    expected = {
        "spring_index": 6,
        "correction_factor": 6.5 / 5.25,
        "rate_N_mm": RATE,
        "load_kN": 4,
        "deflection_mm": deflection,
        "length_mm": 150 - deflection,
        "solid_length_mm": 84,
        "solid_deflection_mm": 66,
        "travel_left_mm": 66 - deflection,
        "shear_stress_mpa": STRESS,
        "corrected_shear_stress_mpa": STRESS * 6.5 / 5.25,
        "shear_stress_solid_mpa": 8 * RATE * 66 * 72 / (pi * 12**3),
        "lateral_rate_unloaded_N_mm": RATE / ((1 + 2 * ratio) * (150 / 72) ** 2 / 6 + ratio),
        "inside_diameter_mm": 60,
        "outside_diameter_mm": 84,
        "seating_coefficient": 1,
        "allowed_stress_mpa": 600,
    }
    assert {key: figures[key] for key in expected} == pytest.approx(expected, rel=1e-12)
    assert figures["seating"] == "sliding"
    assert figures["buckling_deflection_mm"] is None, "150/72 = 2.08 is below 2.62"
    assert figures["stable"] is True
    assert json.loads(json.dumps(figures, allow_nan=False)) == figures


def test_no_figures_without_geometry() -> None:
    with pytest.raises(ValueError, match="geometry of P is not known"):
        coil_figures(Spring("P", 1e5, 2500, 0.04, ("P",)))


def test_a_slender_spring_gives_way_sideways() -> None:
    """L0/D = 260/72 = 3.61 with ν = 1: K = (π/3.61)²/(2 + 4 · 79.5/206) = 0.2136, and s/L0 from s − (1 − G/E)s² = K,
    0.2531: 65.8 mm, beyond 4 kN (36.2 mm) and before 8 kN (72.5 mm). Clamped it stays upright."""
    length = {"free_length_mm": 260}
    figures = coil_figures(spring_of(**length))
    share = figures["buckling_deflection_mm"] / 260
    K = (pi * 72 / 260) ** 2 / (2 + 4 * 79.5 / 206)
    assert share - (1 - 79.5 / 206) * share**2 == pytest.approx(K, rel=1e-9)
    assert figures["stable"] is True
    assert "before it is solid, with sliding ends" in notes_of(**length)
    assert coil_figures(spring_of(**length, rated_load_kN=8))["stable"] is False
    assert "before this load, with sliding ends" in notes_of(**length, rated_load_kN=8)
    upright = coil_figures(spring_of(**length, rated_load_kN=8, seating="clamped"))
    assert upright["stable"] is True
    assert upright["buckling_deflection_mm"] is None


@pytest.mark.parametrize(
    ("changes", "note"),
    [
        ({"wire_mm": 20, "free_length_mm": 200}, "spring index 3.6: the formulas are for 4 to 20"),
        ({"wire_mm": 3, "rated_load_kN": 0.005, "free_length_mm": 60}, "spring index 24"),
        ({"active_turns": 1.5, "free_length_mm": 90}, "1.5 active turns: the formulas are for 2 or more"),
        ({"allowed_stress_mpa": 500}, "shear stress with correction 525.5 MPa, above the allowed 500 MPa"),
        ({"allowed_stress_mpa": 700}, "shear stress at solid 773.2 MPa, above the allowed 700 MPa"),
        ({}, "shear stress not checked"),
    ],
)
def test_notes(changes: dict[str, Any], note: str) -> None:
    assert note in notes_of(**changes)


def test_a_sound_spring_has_no_notes() -> None:
    assert notes_of(allowed_stress_mpa=800) == ""


@pytest.mark.parametrize("missing", ["wire_mm", "coil_mm", "active_turns", "free_length_mm", "rated_load_kN"])
def test_missing_key(missing: str) -> None:
    bad = {"spring": [entry(**{missing: None})]}
    assert messages(bad) == [f'springs.toml: spring 1 ("P").{missing}: required, but missing']


@pytest.mark.parametrize("missing", ["rate_N_mm", "solid_deflection_mm"])
def test_missing_key_of_a_spring_by_rate(missing: str) -> None:
    item = {"code": "P", "rate_N_mm": 100, "rated_load_kN": 2, "solid_deflection_mm": 40}
    del item[missing]
    assert messages({"spring": [item]}) == [f'springs.toml: spring 1 ("P").{missing}: required, but missing']


@pytest.mark.parametrize(
    ("item", "value"),
    [
        (entry(rate_N_mm=110), "rate_N_mm with wire_mm, coil_mm, active_turns, free_length_mm"),
        (
            {"code": "P", "rate_N_mm": 90, "rated_load_kN": 2, "solid_deflection_mm": 40, "seating": "free"},
            "rate_N_mm, solid_deflection_mm with seating",
        ),
        ({"code": "P", "rated_load_kN": 2}, "neither rate nor geometry"),
    ],
)
def test_one_way_or_the_other(item: dict[str, Any], value: str) -> None:
    assert messages({"spring": [item]}) == [f'springs.toml: spring 1 ("P"): got {value}: {EITHER}']


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"wire_mm": 0.1}, "wire_mm: got 0.1: a number from 0.5 to 100 mm"),
        ({"coil_mm": "72"}, "coil_mm: got '72': a number from 1 to 1,000 mm"),
        ({"active_turns": -5}, "active_turns: got -5: a number from 0.5 to 200 turns"),
        ({"total_turns": float("nan")}, "total_turns: got nan: a number from 0.5 to 200 turns"),
        ({"free_length_mm": float("inf")}, "free_length_mm: got inf: a number from 1 to 10,000 mm"),
        ({"shear_modulus_gpa": 79_500}, "shear_modulus_gpa: got 79500: a number from 10 to 500 GPa"),
        ({"allowed_stress_mpa": 0}, "allowed_stress_mpa: got 0: a number above 0, at most 5,000 MPa"),
        ({"seating": "clampd"}, "seating: got 'clampd': no such seating; the nearest is \"clamped\""),
        ({"free_lenght_mm": 150}, 'free_lenght_mm: got 150: no such key; the nearest is "free_length_mm"'),
        ({"coil_mm": 23}, "coil_mm: got 23: the mean diameter, at least 2 × wire_mm = 24 mm"),
        ({"coil_mm": 11, "allowed_stress_mpa": 1}, "coil_mm: got 11: the mean diameter, at least 2 × wire_mm = 24 mm"),
        ({"total_turns": 4.5}, "total_turns: got 4.5: at least active_turns, 5"),
        (
            {"free_length_mm": 84},
            "free_length_mm: got 84: more than the solid length, 84 mm (7 turns in all × wire_mm)",
        ),
        (
            {"free_length_mm": 120},
            "free_length_mm: got 120: more than 120.226 mm, the solid length, 84 mm, and the deflection at the rated "
            "load, 36.2264 mm, together",
        ),
        (
            {"shear_modulus_gpa": 206},
            "shear_modulus_gpa: got 206: a shear modulus from a third to a half of the elastic modulus; "
            "they are 206 and 206 GPa",
        ),
        (
            {"elastic_modulus_gpa": 100},
            "elastic_modulus_gpa: got 100: a shear modulus from a third to a half of the elastic modulus; "
            "they are 79.5 and 100 GPa",
        ),
        (
            {"allowed_stress_mpa": 400},
            "rated_load_kN: got 4: at most 3.76991 kN, as a shear stress of 424.413 MPa is above allowed_stress_mpa, "
            "400 MPa",
        ),
    ],
)
def test_bad_geometry(changes: dict[str, Any], message: str) -> None:
    assert messages({"spring": [entry(**changes)]}) == [f'springs.toml: spring 1 ("P").{message}']


def test_modulus_of_no_material_from_below() -> None:
    """A third of 206 GPa is 68.67 GPa."""
    assert messages({"spring": [entry(shear_modulus_gpa=68.7)]}) == []
    [message] = messages({"spring": [entry(shear_modulus_gpa=68.6)]})
    assert "shear_modulus_gpa: got 68.6: a shear modulus from a third" in message


def test_faults_of_springs_and_pairs_and_of_mixed_entries_at_once() -> None:
    data = pair(entry(rate_N_mm=5, free_length_mm=100), inner(coil_mm=60, active_turns=3, rated_load_kN=0.5))
    data["spring"].append(entry("R", coil_mm=20))
    found = messages(data)
    assert [message.split(": got")[0].removeprefix("springs.toml: ") for message in found] == [
        'spring 1 ("P")',
        'spring 3 ("R").coil_mm',
        'nested 1 ("P/Q").inner',
        'spring 1 ("P").free_length_mm',
        'nested 1 ("P/Q")',
    ]


def test_every_fault_at_once() -> None:
    bad = [
        entry("P", coil_mm=20, total_turns=4, shear_modulus_gpa=150),
        entry("Q", wire_mm="thick", allowed_stress_mpa=100, seating="loose"),
        entry("R", free_length_mm=110, allowed_stress_mpa=300),
        entry("S", rate_N_mm=5, free_length_mm=30),
    ]
    found = messages({"spring": bad})
    for start in (
        'spring 1 ("P").coil_mm: got 20',
        'spring 1 ("P").total_turns: got 4',
        'spring 1 ("P").shear_modulus_gpa: got 150',
        'spring 2 ("Q").wire_mm: got',
        'spring 2 ("Q").seating: got',
        'spring 3 ("R").free_length_mm: got 110',
        'spring 3 ("R").rated_load_kN: got 4',
        'spring 4 ("S"): got rate_N_mm with',
        'spring 4 ("S").free_length_mm: got 30',
    ):
        assert sum(message.startswith(f"springs.toml: {start}") for message in found) == 1, start
    assert len(found) == 9


def test_the_stress_may_be_just_what_is_allowed() -> None:
    assert messages({"spring": [entry(allowed_stress_mpa=424.42)]}) == []
    assert len(messages({"spring": [entry(allowed_stress_mpa=424.40)]})) == 1


def test_nested_pair_of_coils() -> None:
    data = pair(entry(allowed_stress_mpa=600), inner(allowed_stress_mpa=600))
    catalogue, problems = read_catalogue(data, "springs.toml")
    assert not problems
    both = catalogue.springs["P/Q"]
    assert both.coil is None
    assert both.rate == pytest.approx(sum(catalogue.springs[code].rate for code in "PQ"), rel=1e-15)
    figures = pair_figures(both, catalogue.springs)
    assert figures["radial_gap_mm"] == pytest.approx((60 - 47) / 2, rel=1e-12)
    assert [coil["code"] for coil in figures["coils"]] == ["P", "Q"]
    assert sum(coil["load_kN"] for coil in figures["coils"]) == pytest.approx(5.4, rel=1e-12)
    for coil in figures["coils"]:
        assert coil["deflection_mm"] == pytest.approx(figures["rated_deflection_mm"], rel=1e-12)
    assert "opposite hands" in figures["notes"][0]
    assert len(figures["notes"]) == 1


@pytest.mark.parametrize(("coil_mm", "fits"), [(52.9, True), (53, False), (53.1, False)])
def test_inner_coil_must_go_into_the_outer(coil_mm: float, fits: bool) -> None:
    """60 mm inside the outer; the inner coil has coil_mm + 7 outside."""
    found = messages(pair(entry(), inner(coil_mm=coil_mm, active_turns=4, rated_load_kN=1)))
    allowed = "an outside diameter below 60 mm, the inside diameter of the outer coil; it has"
    expected = [f'springs.toml: nested 1 ("P/Q").inner: got "Q": {allowed} {coil_mm + 7:.6g} mm']
    assert found == ([] if fits else expected)


def test_a_pair_may_stress_one_coil_more_than_its_own_rated_load() -> None:
    """Rated alone at 36.2 and 19.4 mm, together at 4.8 kN/(110.4 + 41.2 N/mm) = 31.7 mm: the inner then carries 1.3 of
    its 0.8 kN."""
    short = inner(rated_load_kN=0.8)
    sound = pair(entry(), short)
    springs = read_catalogue(sound, "springs.toml")[0].springs
    load = springs["Q"].rate * 4800 / (springs["P"].rate + springs["Q"].rate)
    stress = 8 * load * 40 / (pi * 7**3)
    assert load > 1300
    assert messages(pair(entry(), short | {"allowed_stress_mpa": stress + 0.01})) == []
    [message] = messages(pair(entry(), short | {"allowed_stress_mpa": stress - 0.01}))
    assert message.startswith(f'springs.toml: nested 1 ("P/Q"): got {stress:.6g} MPa in Q: at most allowed_stress_mpa')
    assert f"({load / 1000:.6g} kN of it on this coil)" in message


def test_coils_of_different_length_need_a_packer() -> None:
    catalogue, problems = read_catalogue(pair(entry(), inner(free_length_mm=145)), "springs.toml")
    assert not problems
    notes = pair_figures(catalogue.springs["P/Q"], catalogue.springs)["notes"]
    assert notes[1].startswith("a packer of 5 mm under the inner coil")


def test_figures_of_a_mixed_catalogue() -> None:
    plain = {"code": "R", "rate_N_mm": 100, "rated_load_kN": 2, "solid_deflection_mm": 40}
    data = pair(entry(), inner())
    data["spring"].append(plain)
    data["nested"].append({"code": "P/R", "outer": "P", "inner": "R"})
    figures = catalogue_figures(read_catalogue(data, "springs.toml")[0].springs)
    assert [entry["code"] for entry in figures] == ["P", "Q", "P/Q", "P/R"]
    assert figures[3]["radial_gap_mm"] is None
    assert [coil["code"] for coil in figures[3]["coils"]] == ["P"]
    json.dumps(figures, allow_nan=False)


def test_the_same_floor_by_rate_and_by_geometry(small_case: Path) -> None:
    """The first spring of the small case as a coil and as the rate, load and travel of that coil: the jacks
    carry the same. Rounding only, 1e-9 after the solution."""
    path = small_case / "springs.toml"
    text = path.read_text(encoding="utf-8")
    by_rate = "rate_N_mm = 280\nrated_load_kN = 7.0\nsolid_deflection_mm = 56"
    assert by_rate in text
    geometry = "wire_mm = 16\ncoil_mm = 80\nactive_turns = 4.5\nfree_length_mm = 160\nrated_load_kN = 7.0"
    path.write_text(text.replace(by_rate, geometry), encoding="utf-8")
    coiled = read_case(small_case)
    rate = 79_500 * 16**4 / (8 * 80**3 * 4.5)
    numbers = f"rate_N_mm = {rate!r}\nrated_load_kN = 7.0\nsolid_deflection_mm = {160 - 6.5 * 16}"
    path.write_text(text.replace(by_rate, numbers), encoding="utf-8")
    plain = read_case(small_case)
    for one, other in zip(coiled.jacks.springs, plain.jacks.springs, strict=True):
        assert (one.rate, one.rated_load, one.solid_deflection) == pytest.approx(
            (other.rate, other.rated_load, other.solid_deflection), rel=1e-12
        )
    loads = []
    for case in (coiled, plain):
        floor = build_floor(case)
        states = solve_states(floor.model, floor.state_loads(), case.jacks.rates, case.jacks.advance)
        loads.append(np.column_stack([state.jack_load for state in states]))
    np.testing.assert_allclose(loads[0], loads[1], rtol=1e-9)
    assert replace(coiled.jacks.springs[0], coil=None).parts == plain.jacks.springs[0].parts
