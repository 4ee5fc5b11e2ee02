"""`jackfield setout` from the command line to the files that it leaves."""

from __future__ import annotations

import csv
import json
from itertools import combinations, pairwise
from math import dist, sqrt
from pathlib import Path
from typing import Any

import pytest

import jackfield.setout
from jackfield.main import main
from preprocess.reader import read_case
from tests.cases.booth import edit


@pytest.fixture(autouse=True)
def no_sheets(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave drawings out: they have tests of their own."""
    monkeypatch.setattr(jackfield.setout, "write_sheets", lambda sheets, title, folder: None)


def record(folder: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((folder / "setout.json").read_text(encoding="utf-8"))
    return found


def places(folder: Path) -> list[tuple[float, float]]:
    return [(jack["x_mm"], jack["y_mm"]) for jack in record(folder)["jacks"]]


def test_jacks_read_back_as_a_case_and_keep_the_rules(small_case: Path, tmp_path: Path) -> None:
    """9 × 6 m; measured on a lattice of 50 mm, with half a millimetre for whole millimetres in the list."""
    (small_case / "jacks.csv").unlink()
    out = tmp_path / "papers"
    assert main(["setout", str(small_case), "--out", str(out), "--quiet"]) == 0
    jacks = places(out)
    assert min(dist(a, b) for a, b in combinations(jacks, 2)) >= 900 - 1
    assert all(250 - 1 <= x <= 8750 + 1 and 250 - 1 <= y <= 5750 + 1 for x, y in jacks)
    lattice = [(x, y) for x in range(0, 9001, 50) for y in range(0, 6001, 50)]
    assert max(min(dist(point, jack) for jack in jacks) for point in lattice) <= 1400 / sqrt(2) + 1
    (small_case / "jacks.csv").write_bytes((out / "jacks.csv").read_bytes())
    case = read_case(small_case)
    assert (1e3 * case.jacks.xy).ravel() == pytest.approx([value for xy in jacks for value in xy], abs=0.05)
    assert [spring.code for spring in case.jacks.springs] == [jack["spring"] for jack in record(out)["jacks"]]


def test_running_dimensions_are_those_of_the_jack_list(small_case: Path, tmp_path: Path) -> None:
    edit(small_case / "case.toml", "[[0, 0], [9000, 0], [9000, 6000], [0, 6000]]",
         "[[-500, -200], [9000, -200], [9000, 6000], [-500, 6000]]")  # fmt: skip
    out = tmp_path / "papers"
    assert main(["setout", str(small_case), "--out", str(out), "--quiet"]) == 0
    with (out / "running-dimensions.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["id"]: row for row in csv.DictReader(file)}
    for jack in record(out)["jacks"]:
        row = rows[jack["id"]]
        assert float(row["x_from_datum_mm"]) == pytest.approx(jack["x_mm"] + 500, abs=0.05)
        assert float(row["y_from_datum_mm"]) == pytest.approx(jack["y_mm"] + 200, abs=0.05)


def test_more_jacks_where_a_spring_would_be_too_weak(small_case: Path, tmp_path: Path) -> None:
    """With nothing above 7 kN, a rack of 2.4 t asks for jacks beside those that would carry too much."""
    edit(small_case / "springs.toml", '[[nested]]\ncode = "A7+B2"\nouter = "A7"\ninner = "B2"\n', "")
    out, heavy = tmp_path / "light", tmp_path / "heavy"
    assert main(["setout", str(small_case), "--out", str(out), "--quiet"]) == 0
    edit(small_case / "case.toml", "mass_kg = 840", "mass_kg = 2400")
    assert main(["setout", str(small_case), "--out", str(heavy), "--quiet"]) == 0
    found = record(heavy)
    assert len(found["jacks"]) > len(record(out)["jacks"])
    assert found["added"]
    assert found["overloaded"] == []
    assert max(jack["load_kN"]["service"] for jack in found["jacks"]) <= 1.05 * 7.0
    assert any("jacks stand closer where" in note for note in found["notes"])
    rack = {jack["id"]: dist((jack["x_mm"], jack["y_mm"]), (1600, 3800)) for jack in found["jacks"]}
    closer = [rack[name] for name in found["added"]]
    assert sum(closer) / len(closer) < 0.7 * sum(rack.values()) / len(rack)


def test_jacks_that_no_spring_can_carry_fail_the_check(
    small_case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edit(small_case / "case.toml", "mass_kg = 840", "mass_kg = 30000")
    out = tmp_path / "papers"
    assert main(["setout", str(small_case), "--out", str(out), "--strict"]) == 1
    assert "NOT MET jacks that no spring of the catalogue can carry" in capsys.readouterr().out
    assert record(out)["overloaded"]


def test_line_with_jacks_and_zone_without(small_case: Path, tmp_path: Path) -> None:
    edit(
        small_case / "case.toml",
        "[springs]",
        '[[jack_lines]]\nname = "Wall"\npath_mm = [[3100, 500], [3100, 5500]]\nspacing_mm = 1100\n\n'
        '[[no_jack_zones]]\nname = "Drain"\noutline_mm = [[6000, 2000], [7000, 2000], [7000, 3000], [6000, 3000]]\n\n'
        "[springs]",
    )
    out = tmp_path / "papers"
    assert main(["setout", str(small_case), "--out", str(out), "--quiet"]) == 0
    jacks = places(out)
    on_line = sorted(y for x, y in jacks if abs(x - 3100) <= 5)
    assert all(upper - lower <= 1100 + 1 for lower, upper in pairwise(on_line))
    assert on_line[0] <= 500 + 550 + 1
    assert on_line[-1] >= 5500 - 550 - 1
    assert not any(6000 < x < 7000 and 2000 < y < 3000 for x, y in jacks)


@pytest.mark.parametrize(
    ("file", "old", "new", "words"),
    [
        ("case.toml", "[springs]", "[setout]\nleast_spacing_mm = 1200\n\n[springs]", "setout.least_spacing_mm"),
        ("case.toml", "[springs]", "[setout]\nleast_edge_mm = 500\n\n[springs]", "setout.least_edge_mm"),
        ("case.toml", "[springs]", "[setout]\ngreatest_spacing_mm = -1\n\n[springs]", "setout.greatest_spacing_mm"),
        ("case.toml", "[9000, 6000], [0, 6000]]", "[9000, 400], [0, 400]]", "slab.outline_mm"),
        ("case.toml", "load_ratio = [0.75, 1.05]", "load_ratio = [1.05, 0.75]", "target.load_ratio"),
        ("springs.toml", "[[spring]]", "[[springs]]", "springs.toml: spring: required"),
        (
            "case.toml",
            "[springs]",
            '[[no_jack_zones]]\nname = "All"\noutline_mm = [[-1, -1], [9999, -1], [9999, 9999], [-1, 9999]]\n\n'
            "[springs]",
            "zones that leave room for jacks",
        ),
    ],
    ids=["spacing", "edge", "negative", "narrow", "band", "catalogue", "zone"],
)
def test_rules_that_cannot_be_kept_write_nothing(
    small_case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], file: str, old: str, new: str, words: str
) -> None:
    if words == "slab.outline_mm":  # nothing else may lie off the narrow strip
        text = (small_case / "case.toml").read_text(encoding="utf-8")
        kept = text[: text.index("[[finishes]]")] + text[text.index("[imposed]") :]
        (small_case / "case.toml").write_text(kept, encoding="utf-8")
    edit(small_case / file, old, new)
    out = tmp_path / "papers"
    assert main(["setout", str(small_case), "--out", str(out)]) == 2
    said = capsys.readouterr().err
    assert words in said
    assert "nothing written" in said
    assert not out.exists()
