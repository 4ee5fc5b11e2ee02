"""`jackfield springs` and `jackfield compare` from the command line to the files that they leave."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

import jackfield.compare
import jackfield.springs
from jackfield.main import main
from preprocess.jack_list import JackRow
from preprocess.reader import read_case, read_draft
from tests.cases.booth import edit, record
from tests.conftest import write_small_case


@pytest.fixture(autouse=True)
def no_sheets(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave drawings out: they have tests of their own."""
    for job in (jackfield.springs, jackfield.compare):
        monkeypatch.setattr(job, "write_sheets", lambda sheets, title, folder: None)


MORE_SPRINGS = """
[[spring]]
code = "A5"
rate_N_mm = 200
rated_load_kN = 5.0
solid_deflection_mm = 56

[[spring]]
code = "A6"
rate_N_mm = 240
rated_load_kN = 6.0
solid_deflection_mm = 56

[[spring]]
code = "A9"
rate_N_mm = 340
rated_load_kN = 8.5
solid_deflection_mm = 56
"""


@pytest.fixture
def case(small_case: Path) -> Path:
    """The small case with three more springs to choose from."""
    with (small_case / "springs.toml").open("a", encoding="utf-8") as file:
        file.write(MORE_SPRINGS)
    return small_case


def table(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.usefixtures("no_pictures")
def test_chosen_springs_meet_every_check_and_read_back(case: Path, tmp_path: Path) -> None:
    out = tmp_path / "papers"
    assert main(["springs", str(case), "--out", str(out), "--quiet", "--strict"]) == 0
    found = record(out, "springs.json")
    assert found["format"] == "jackfield-springs/1"
    assert found["works"] is True
    assert all(check["ok"] for check in found["checks"])
    (case / "jacks.csv").write_bytes((out / "jacks.csv").read_bytes())
    chosen = read_case(case).jacks
    assert [spring.code for spring in chosen.springs] == [jack["spring"] for jack in found["jacks"]]
    assert main(["run", str(case), "--out", str(tmp_path / "run"), "--quiet"]) == 0
    for jack, of_run in zip(found["jacks"], record(tmp_path / "run", "results.json")["jacks"], strict=True):
        # the same full model solved in both commands: only rounding parts them
        assert jack["load_kN"]["service"] == pytest.approx(of_run["load_kN"]["service"], rel=1e-9)


def test_inner_coils_never_stand_alone(case: Path, tmp_path: Path) -> None:
    out = tmp_path / "papers"
    assert main(["springs", str(case), "--out", str(out), "--quiet"]) == 0
    assert "B2" not in {jack["spring"] for jack in record(out, "springs.json")["jacks"]}


def test_buying_list_counts_coils_under_jacks_and_spares(case: Path, tmp_path: Path) -> None:
    edit(case / "case.toml", 'catalogue = "springs.toml"', 'catalogue = "springs.toml"\nspares_percent = 20')
    out = tmp_path / "papers"
    assert main(["springs", str(case), "--out", str(out), "--quiet"]) == 0
    coils = [coil for jack in record(out, "springs.json")["jacks"] for coil in jack["coils"]]
    rows = table(out / "buying-list.csv")
    assert {row["coil"]: int(row["under_jacks"]) for row in rows} == {coil: coils.count(coil) for coil in coils}
    for row in rows:
        under = int(row["under_jacks"])
        assert int(row["spares"]) == max(1, -(-under // 5))  # a fifth of each kind, rounded up
        assert int(row["total"]) == under + int(row["spares"])


def test_few_types_where_that_is_asked(case: Path, tmp_path: Path) -> None:
    edit(case / "case.toml", 'catalogue = "springs.toml"', 'catalogue = "springs.toml"\nmost_types = 2')
    out = tmp_path / "papers"
    assert main(["springs", str(case), "--out", str(out), "--quiet"]) == 0
    found = record(out, "springs.json")
    assert len(found["types"]) <= 2
    assert len({jack["spring"] for jack in found["jacks"]}) <= 2


def test_a_catalogue_too_weak_says_what_would_do(
    case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edit(case / "case.toml", "mass_kg = 840", "mass_kg = 8400")
    out = tmp_path / "papers"
    assert main(["springs", str(case), "--out", str(out), "--strict"]) == 1
    printed = capsys.readouterr().out
    assert "Not every condition is met" in printed
    found = record(out, "springs.json")
    assert found["works"] is False
    over = [jack["id"] for jack in found["jacks"] if jack["status"] == "over"]
    assert over
    for name in over:
        [line] = [line for line in found["shortfall"] if line.startswith(f"Jack {name}:")]
        assert "N/mm rated for" in line or "comes right with the springs named for the others" in line
    assert any("one more jack at" in line for line in found["shortfall"])
    assert any("N/mm rated for" in line for line in found["shortfall"])


def test_kept_springs_that_serve_stay(case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "papers"
    assert main(["springs", str(case), "--keep", str(case / "jacks.csv"), "--out", str(out), "--strict"]) == 0
    assert "No spring has to change." in capsys.readouterr().out
    assert record(out, "springs.json")["swaps"]["swaps"] == []
    assert (out / "jacks.csv").read_text(encoding="utf-8").split() == (case / "jacks.csv").read_text().split()


def test_compare_finds_the_swaps_of_a_heavier_rack(case: Path, tmp_path: Path) -> None:
    """A rack of 3 t instead of 0.84 t: the jacks beside it need stronger springs, those far off none."""
    new = write_small_case(tmp_path / "new")
    (new / "springs.toml").write_bytes((case / "springs.toml").read_bytes())
    edit(new / "case.toml", "mass_kg = 840", "mass_kg = 3000")
    out = tmp_path / "papers"
    assert main(["compare", str(case), str(new), "--out", str(out), "--quiet", "--strict"]) == 0
    found = record(out, "compare.json")
    assert found["differences"] == ["Rack: 840 kg before, 3000 kg now"]
    swaps = found["swaps"]["swaps"]
    assert swaps
    jacks = {jack["id"]: jack for jack in found["jacks"]}
    assert all(0.75 <= jack["load_ratio"]["service"] <= 1.05 for jack in jacks.values())
    old = {jack.id: jack.spring for jack in _rows(case)}
    for swap in swaps:
        jack = jacks[swap["jack"]]
        assert (old[swap["jack"]], jack["spring"]) == (swap["out"], swap["in"])
        assert abs(jack["x_mm"] - 1600) < 2000  # the rack stands at x = 1.6 m
        assert swap["load_after_kN"] == pytest.approx(jack["load_kN"]["service"], rel=1e-6)  # condensed and full model
    kept = set(jacks) - {swap["jack"] for swap in swaps}
    assert all(jacks[name]["spring"] == old[name] for name in kept)
    assert [row["jack"] for row in table(out / "swaps.csv")] == [swap["jack"] for swap in swaps]
    assert len(table(out / "load-changes.csv")) == len(jacks)


def _rows(folder: Path) -> tuple[JackRow, ...]:
    return read_draft(folder, "springs").rows


def test_compare_matches_jacks_by_their_ids(case: Path, tmp_path: Path) -> None:
    """The same floor with its jack list turned round: no load changes, jack by jack."""
    new = write_small_case(tmp_path / "new")
    (new / "springs.toml").write_bytes((case / "springs.toml").read_bytes())
    rows = (new / "jacks.csv").read_text(encoding="utf-8").splitlines()
    (new / "jacks.csv").write_text("\n".join([rows[0], *reversed(rows[1:])]), encoding="utf-8")
    out = tmp_path / "papers"
    assert main(["compare", str(case), str(new), "--out", str(out), "--quiet"]) == 0
    found = record(out, "compare.json")
    assert found["differences"] == []
    for jack in found["jacks"]:
        # another order of jacks gives another order of sums, so only rounding parts them
        assert jack["load_kN"]["service"] == pytest.approx(jack["load_before_kN"], rel=1e-8)


def test_kept_springs_write_no_list_to_buy_the_whole_floor(case: Path, tmp_path: Path) -> None:
    edit(case / "case.toml", "mass_kg = 840", "mass_kg = 3000")
    out = tmp_path / "papers"
    assert main(["springs", str(case), "--keep", str(case / "jacks.csv"), "--out", str(out), "--quiet"]) == 0
    assert not (out / "buying-list.csv").exists()
    swaps = record(out, "springs.json")["swaps"]
    coils = [coil for swap in swaps["swaps"] for coil in swap["in"].split("+")]
    rows = {row["coil"]: int(row["to_bring"]) for row in table(out / "swap-coils.csv")}
    assert {coil: number for coil, number in rows.items() if number} == {coil: coils.count(coil) for coil in coils}
    assert any("outside the band" in words for words in swaps["standing_springs_miss"])


def test_papers_never_go_into_a_case(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = (case / "jacks.csv").read_bytes()
    assert main(["springs", str(case), "--out", str(case)]) == 2
    assert "it holds a case.toml" in capsys.readouterr().err
    assert (case / "jacks.csv").read_bytes() == before


def test_a_screw_that_no_spring_can_mend_brings_no_useless_swaps(
    case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new = write_small_case(tmp_path / "new")
    (new / "springs.toml").write_bytes((case / "springs.toml").read_bytes())
    edit(new / "jacks.csv", "id,x_mm,y_mm,spring", "id,x_mm,y_mm,spring,advance_mm")
    edit(new / "jacks.csv", "J9,1800,1725,A7", "J9,1800,1725,A7,40")
    out = tmp_path / "papers"
    assert main(["compare", str(case), str(new), "--out", str(out), "--strict"]) == 1
    printed = capsys.readouterr().out
    assert "screw of jack J9: advance 0 mm before, 40 mm now" in printed
    swaps = record(out, "compare.json")["swaps"]
    after = [jack["id"] for jack in record(out, "compare.json")["jacks"] if jack["status"] != "ok"]
    assert after
    assert swaps["remaining"]
    assert not swaps["proven_least"]


def test_compare_with_other_jacks_shows_loads_and_no_swaps(
    case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new = write_small_case(tmp_path / "new")
    (new / "springs.toml").write_bytes((case / "springs.toml").read_bytes())
    edit(new / "jacks.csv", "J9,1800,1725", "J9,1850,1725")
    out = tmp_path / "papers"
    assert main(["compare", str(case), str(new), "--out", str(out)]) == 0
    assert "no spring can be kept" in capsys.readouterr().out
    found = record(out, "compare.json")
    assert found["swaps"] is None
    assert found["differences"] == ["jack J9 moved by +50 mm in x"]
    assert all(jack["load_before_kN"] > 0 for jack in found["jacks"])


def test_compare_refuses_another_floor(case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    new = write_small_case(tmp_path / "new")
    lines = (new / "jacks.csv").read_text(encoding="utf-8").splitlines()
    (new / "jacks.csv").write_text("\n".join([lines[0], *(f"K{line[1:]}" for line in lines[1:])]), encoding="utf-8")
    out = tmp_path / "papers"
    assert main(["compare", str(case), str(new), "--out", str(out)]) == 2
    assert "no jack of the old revision" in capsys.readouterr().err
    assert not out.exists()


def test_bad_input_of_both_revisions_is_told_by_folder(
    case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new = write_small_case(tmp_path / "new")
    edit(case / "case.toml", "thickness_mm = 125", "thickness_mm = -1")
    edit(new / "case.toml", "load_ratio = [0.75, 1.05]", "load_ratio = [1.05, 0.75]")
    out = tmp_path / "papers"
    assert main(["compare", str(case), str(new), "--out", str(out)]) == 2
    said = capsys.readouterr().err
    assert f"{case / 'case.toml'}: slab.thickness_mm" in said
    assert f"{new / 'case.toml'}: target.load_ratio" in said
    assert "2 problems found, nothing written" in said
    assert not out.exists()


def test_standing_spring_that_the_new_catalogue_lacks(
    case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    new = write_small_case(tmp_path / "new")
    edit(new / "springs.toml", '"A7"', '"A8"')
    edit(new / "springs.toml", '"A7+B2"', '"A8+B2"')
    assert main(["compare", str(case), str(new), "--out", str(tmp_path / "papers")]) == 2
    said = capsys.readouterr().err
    assert '"A7"' in said
    assert "stands under jacks" in said


@pytest.mark.parametrize(
    ("file", "old", "new", "words"),
    [
        ("case.toml", "load_ratio = [0.75, 1.05]", "load_ratio = [1.05, 0.75]", "0 < lower < upper"),
        ("case.toml", "[springs]", "[springs]\nmost_types = 0", "a whole number from 1 to 1000"),
        ("springs.toml", "[[spring]]", "[[springs]]", "springs.toml: spring: required"),
    ],
)
def test_bad_input_writes_nothing(
    case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], file: str, old: str, new: str, words: str
) -> None:
    edit(case / file, old, new)
    out = tmp_path / "papers"
    assert main(["springs", str(case), "--out", str(out)]) == 2
    assert words in capsys.readouterr().err
    assert not out.exists()


def test_kept_schedule_of_other_jacks_writes_nothing(
    case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    kept = tmp_path / "kept.csv"
    kept.write_text("id,spring\nZ1,A7\n", encoding="utf-8")
    out = tmp_path / "papers"
    assert main(["springs", str(case), "--keep", str(kept), "--out", str(out)]) == 2
    assert "1 jack that this floor does not have: Z1" in capsys.readouterr().err
    assert not out.exists()
