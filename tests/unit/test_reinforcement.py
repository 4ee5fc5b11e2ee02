"""Fabrics and bars, the pairs that a case leaves open, and the factors of its file."""

from __future__ import annotations

import tomllib
from dataclasses import asdict, replace
from pathlib import Path

import pytest

import jackfield
from postprocess.strength.factors import RECOMMENDED
from preprocess.case import Case, Mat, Reinforcement
from preprocess.errors import InputError
from preprocess.fabrics import FABRICS, BarsTable, to_mat
from preprocess.factors import VALUE_KEYS, FactorsTable, changes
from preprocess.reader import read_case
from preprocess.reinforcement import candidates

STEEL = Reinforcement(None, None, 0.025, 0.025, "x", "x", 500e6, 0.012)
STARTER = Path(jackfield.__file__).parent / "starter" / "case.toml"


@pytest.fixture
def case(small_case: Path) -> Case:
    """A slab of 125 mm, both mats to be chosen."""
    return replace(read_case(small_case), reinforcement=STEEL)


def names(case: Case) -> list[tuple[str, str]]:
    return [(bottom.name, top.name) for bottom, top in candidates(case)]


@pytest.mark.parametrize(
    ("name", "diameter_mm", "mass"), [("A142", 6, 2.22), ("A193", 7, 3.02), ("A252", 8, 3.95), ("A393", 10, 6.16)]
)
def test_fabrics_of_the_standard(name: str, diameter_mm: float, mass: float) -> None:
    """BS 4483: mass in kg/m2 at 7850 kg/m3. Half a unit of the last digit; that of A393 is 6.165 cut off, so one."""
    mat = FABRICS[name]
    assert (mat.name, mat.diameter, mat.pitch) == (name, (diameter_mm / 1000,) * 2, (0.2, 0.2))
    assert 7850 * mat.volume == pytest.approx(mass, abs=0.0055)
    assert mat.depth == pytest.approx(2 * diameter_mm / 1000, rel=1e-15)


def test_fabrics_stand_in_order_of_mass() -> None:
    volumes = [mat.volume for mat in FABRICS.values()]
    assert volumes == sorted(set(volumes))


def test_bars() -> None:
    """φ10 at 150 along x, φ8 at 200 along y: 523.6 + 251.3 mm²/m, computed by hand; half a unit of the last digits."""
    mat = to_mat(BarsTable(x_diameter_mm=10, x_pitch_mm=150, y_diameter_mm=8, y_pitch_mm=200))
    assert mat == Mat("10 at 150 × 8 at 200 mm", (0.010, 0.008), (0.150, 0.200))
    assert mat.volume == pytest.approx(774.9e-6, abs=0.1e-6)


def test_a_word_for_the_choice_is_no_mat() -> None:
    assert to_mat("choose") is None


def test_nothing_to_choose(case: Case) -> None:
    """One pair if both are given; none without reinforcement."""
    mats = FABRICS["A252"], FABRICS["A193"]
    assert candidates(replace(case, reinforcement=replace(STEEL, bottom=mats[0], top=mats[1]))) == (mats,)
    assert candidates(replace(case, reinforcement=None)) == ()


def test_one_mat_to_choose(case: Case) -> None:
    """The given one stays on its face, the other runs through all fabrics, lightest first."""
    bottom = replace(STEEL, bottom=FABRICS["A252"])
    assert names(replace(case, reinforcement=bottom)) == [("A252", name) for name in FABRICS]
    top = replace(STEEL, top=FABRICS["A252"])
    assert names(replace(case, reinforcement=top)) == [(name, "A252") for name in FABRICS]


def test_both_to_choose(case: Case) -> None:
    """All 16 pairs, lightest first, of two as heavy as each other the one with the lighter top: the sums of d² are
    72, 85, 98, 100, 113, 128, 136, 149, 164, 200 mm².
    """
    assert names(case) == [
        ("A142", "A142"),
        ("A193", "A142"),
        ("A142", "A193"),
        ("A193", "A193"),
        ("A252", "A142"),
        ("A142", "A252"),
        ("A252", "A193"),
        ("A193", "A252"),
        ("A252", "A252"),
        ("A393", "A142"),
        ("A142", "A393"),
        ("A393", "A193"),
        ("A193", "A393"),
        ("A393", "A252"),
        ("A252", "A393"),
        ("A393", "A393"),
    ]


def test_only_what_can_be_built(case: Case) -> None:
    """Covers of 50 + 48 mm leave 27 mm of 125 to the wires: 12 + 12 or 12 + 14 fit, 14 + 14 do not."""
    thick = replace(STEEL, bottom_cover=0.050, top_cover=0.048)
    expected = [("A142", "A142"), ("A193", "A142"), ("A142", "A193")]
    assert names(replace(case, reinforcement=thick)) == expected


@pytest.mark.parametrize("cover_mm", [20.1, 33.3, 79.4])
def test_mats_may_touch(small_case: Path, cover_mm: float) -> None:
    """Covers and wires of A393 that take all 125 mm fit, whatever the rounding of their sum; 0.01 mm more does not."""
    path = small_case / "case.toml"
    text = path.read_text(encoding="utf-8") + '[reinforcement]\nbottom = "A393"\ntop = "A393"\n'
    rest = 125 - 40 - cover_mm
    path.write_text(f"{text}bottom_cover_mm = {cover_mm}\ntop_cover_mm = {rest!r}\n", encoding="utf-8")
    assert len(candidates(read_case(small_case))) == 1
    path.write_text(f"{text}bottom_cover_mm = {cover_mm}\ntop_cover_mm = {rest + 0.01!r}\n", encoding="utf-8")
    with pytest.raises(InputError, match="layers that do not overlap"):
        read_case(small_case)


@pytest.mark.parametrize("key", VALUE_KEYS)
def test_every_key_changes_its_value_and_no_other(small_case: Path, key: str) -> None:
    """5 % off the recommended value, or what the range allows of it; lengths in m. Rounding."""
    name, unit = key.removesuffix("_mm"), 1000 if key.endswith("_mm") else 1
    share = 0.95 if key in ("gamma_g_favourable", "alpha_cc", "v_rd_max") else 1.05
    value = share * getattr(RECOMMENDED, name)
    with (small_case / "case.toml").open("a", encoding="utf-8") as file:
        file.write(f"[factors]\n{key} = {unit * value!r}\n")
    factors = read_case(small_case).factors
    assert factors.changes == {name: pytest.approx(value, rel=1e-14)}
    changed = asdict(replace(RECOMMENDED, **factors.changes))
    assert [key for key, old in asdict(RECOMMENDED).items() if changed[key] != old] == [name]


def test_the_starter_shows_every_factor_with_its_default() -> None:
    """The lines of `[factors]` without their marks: every key, each with the recommended value."""
    lines = STARTER.read_text(encoding="utf-8").splitlines()
    start = lines.index("#[factors]")
    end = next(number for number in range(start + 1, len(lines)) if lines[number].startswith("#["))
    marked = [line[1:] for line in lines[start:end] if line.startswith("#") and not line.startswith("# ")]
    table = tomllib.loads("\n".join(marked))["factors"]
    assert set(table) == set(FactorsTable.model_fields)
    assert asdict(RECOMMENDED) == pytest.approx(changes(FactorsTable(**table)), rel=1e-15)
    assert FactorsTable(values=table["values"], equipment=table["equipment"]) == FactorsTable()
