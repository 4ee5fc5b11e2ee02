"""What a case may say of sheets of fabric and of quantities."""

from __future__ import annotations

from pathlib import Path

import pytest

from preprocess.case import Ordering
from preprocess.errors import InputError
from preprocess.reader import read_case

STEEL = '[reinforcement]\nbottom = "A252"\ntop = "A252"\nbottom_cover_mm = 25\ntop_cover_mm = 25\n'


def with_text(case: Path, text: str) -> Path:
    path = case / "case.toml"
    path.write_text(path.read_text(encoding="utf-8") + text, encoding="utf-8")
    return case


def test_defaults(small_case: Path) -> None:
    """The stock sheet of BS 4483, turned up by the thickness of 125 mm and 50 mm more; no lap of its own."""
    expected = Ordering((4.8, 2.4), None, 0.05, 0.175, 0.1)
    assert read_case(small_case).ordering == expected
    assert read_case(with_text(small_case, STEEL)).ordering == expected


def test_given(small_case: Path) -> None:
    text = (
        f"{STEEL}sheet_mm = [3600, 2000]\nlap_mm = 450\n[ordering]\nconcrete_waste_percent = 8\nsheet_turn_up_mm = 0\n"
        "sheet_lap_percent = 15\n"
    )
    assert read_case(with_text(small_case, text)).ordering == Ordering((3.6, 2.0), 0.45, 0.08, 0.0, 0.15)


@pytest.mark.parametrize(
    ("line", "where", "allowed"),
    [
        ("lap_mm = 801", "reinforcement.lap_mm", "at most a third of the shorter side of a sheet of fabric, 800 mm"),
        ("sheet_mm = [4800, 900]\nlap_mm = 400", "reinforcement.lap_mm", "300 mm"),
        ("lap_mm = 20", "reinforcement.lap_mm", "a number from 50 to 3,000 mm"),
        ("sheet_mm = 4800", "reinforcement.sheet_mm", "two sides [length, width] in mm"),
        ("sheet_mm = [4800, 100]", "reinforcement.sheet_mm", "each a number from 500 to 20,000 mm"),
        ('sheet_mm = [4800, "x"]', "reinforcement.sheet_mm", "two sides [length, width] in mm"),
        ("[ordering]\nconcrete_waste_percent = -1", "ordering.concrete_waste_percent", "a number from 0 to 50 %"),
        ("[ordering]\nsheet_lap_percent = 101", "ordering.sheet_lap_percent", "a number from 0 to 100 %"),
        ("[ordering]\nturn_up = 3", "ordering.turn_up", ""),
    ],
)
def test_bad_values_are_named(small_case: Path, line: str, where: str, allowed: str) -> None:
    with pytest.raises(InputError) as caught:
        read_case(with_text(small_case, f"{STEEL}{line}\n"))
    [problem] = caught.value.problems
    assert problem.where == where
    assert allowed in problem.allowed
