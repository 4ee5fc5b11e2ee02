"""Cases whose jacks or springs are still open, and springs that stand under jacks already."""

from __future__ import annotations

from pathlib import Path

import pytest

from preprocess.errors import InputError
from preprocess.kept_list import read_kept
from preprocess.reader import read_case, read_draft


def edited(path: Path, old: str, new: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def without_springs(folder: Path) -> None:
    """Takes the column of springs out of the jack list."""
    path = folder / "jacks.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join(line.rsplit(",", 1)[0] for line in lines) + "\n", encoding="utf-8")


def problems(folder: Path, kept: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_kept(kept, read_draft(folder, "positions"))
    return [str(problem) for problem in caught.value.problems]


def test_positions_need_no_springs(small_case: Path) -> None:
    without_springs(small_case)
    draft = read_draft(small_case, "positions")
    case = draft.with_springs([draft.catalogue["A7"]] * 35)
    assert {spring.code for spring in case.jacks.springs} == {"A7"}
    assert case.jacks.xy[8].tolist() == [1.8, 1.725]
    with pytest.raises(InputError, match="column spring: required"):
        read_case(small_case)


def test_springs_of_the_list_are_not_looked_at_where_they_are_open(small_case: Path) -> None:
    edited(small_case / "jacks.csv", "J7,8550,450,A7", "J7,8550,450,no longer made")
    assert len(read_draft(small_case, "positions").rows) == 35
    with pytest.raises(InputError, match="no longer made"):
        read_draft(small_case, "springs")


def test_a_plan_needs_no_jack_list(small_case: Path) -> None:
    (small_case / "jacks.csv").unlink()
    assert read_draft(small_case, "plan").rows == ()
    with pytest.raises(InputError, match=r"jacks\.csv"):
        read_draft(small_case, "positions")


def test_rules_for_setting_out_in_metres(small_case: Path) -> None:
    edited(
        small_case / "case.toml",
        "[springs]",
        '[[jack_lines]]\nname = "Wall"\npath_mm = [[500, 500], [500, 5500]]\n\n'
        '[[no_jack_zones]]\nname = "Drain"\noutline_mm = [[-500, 0], [900, 0], [900, 800]]\n\n'
        "[setout]\ngreatest_spacing_mm = 1300\n\n[springs]",
    )
    rules = read_draft(small_case, "plan").setout
    assert (rules.greatest_spacing, rules.least_spacing) == (1.3, 0.9)
    assert (rules.least_edge, rules.greatest_overhang) == (0.25, 0.45)
    assert rules.lines[0].spacing == 1.3
    assert rules.lines[0].path.tolist() == [[0.5, 0.5], [0.5, 5.5]]
    assert rules.zones[0].area.bounds == (-0.5, 0.0, 0.9, 0.8)


def test_lines_off_the_slab_and_zones_of_no_area_are_refused(small_case: Path) -> None:
    edited(
        small_case / "case.toml",
        "[springs]",
        '[[jack_lines]]\nname = "Wall"\npath_mm = [[500, 500], [500, 6500]]\n\n'
        '[[no_jack_zones]]\nname = "Drain"\noutline_mm = [[0, 0], [900, 0]]\n\n[springs]',
    )
    with pytest.raises(InputError) as caught:
        read_draft(small_case, "plan")
    said = str(caught.value)
    assert 'jack_lines 1 ("Wall").path_mm' in said
    assert 'no_jack_zones 1 ("Drain").outline_mm' in said


def test_kept_springs_by_id_in_any_order_beside_other_columns(small_case: Path, tmp_path: Path) -> None:
    rows = (small_case / "jacks.csv").read_text(encoding="utf-8").splitlines()[1:]
    kept = tmp_path / "schedule.csv"
    turned = [f"{line.split(',')[3]},9.9,{line.split(',')[0]},ok" for line in reversed(rows)]
    kept.write_text("\n".join(["spring,load,id,status", *turned]), encoding="utf-8")
    springs = read_kept(kept, read_draft(small_case, "positions"))
    assert springs == read_case(small_case).jacks.springs


def test_kept_springs_of_other_jacks_are_refused_all_at_once(small_case: Path, tmp_path: Path) -> None:
    kept = tmp_path / "kept.csv"
    text = (small_case / "jacks.csv").read_text(encoding="utf-8")
    text = text.replace("J7,8550,450,A7", "K7,8550,450,A7").replace("J9,1800,1725,A7", "J9,1811,1725,A8")
    kept.write_text(text, encoding="utf-8")
    found = problems(small_case, kept)
    assert any("1 jack that this floor does not have: K7" in line for line in found)
    assert any("nothing for J7" in line for line in found)
    assert any('jack "J9"' in line and "(1811, 1725)" in line and "(1800, 1725)" in line for line in found)
    assert any("column spring" in line and '"A8"' in line for line in found)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "nothing"),
        ("id,sprung\nJ1,A7\n", "column spring: required"),
        ("id,spring\n" + "J1,A7\n" * 2, "each id once; row 2 has it already"),
    ],
)
def test_kept_files_that_are_no_schedule(small_case: Path, tmp_path: Path, text: str, words: str) -> None:
    kept = tmp_path / "kept.csv"
    kept.write_text(text, encoding="utf-8")
    assert any(words in line for line in problems(small_case, kept))


def test_kept_file_that_is_not_there(small_case: Path, tmp_path: Path) -> None:
    [line] = problems(small_case, tmp_path / "gone.csv")
    assert "gone.csv" in line
    assert "there is no such file" in line


def test_kept_springs_of_another_rate_than_the_catalogue_has(small_case: Path, tmp_path: Path) -> None:
    rows = (small_case / "jacks.csv").read_text(encoding="utf-8").splitlines()[1:]
    kept = tmp_path / "kept.csv"
    lines = [f"{line.split(',')[0]},{line.split(',')[3]},{'280.1' if 'B2' not in line else '350'}" for line in rows]
    kept.write_text("\n".join(["id,spring,rate_N_mm", *lines]), encoding="utf-8")
    [line] = problems(small_case, kept)  # 280.1 is 280 as rounded
    assert "column rate_N_mm: got 350: 360, as the catalogue has" in line


def test_many_kept_jacks_elsewhere_are_told_once(small_case: Path, tmp_path: Path) -> None:
    kept = tmp_path / "kept.csv"
    kept.write_text((small_case / "jacks.csv").read_text(encoding="utf-8").replace(",450,", ",470,"), encoding="utf-8")
    [line] = problems(small_case, kept)
    assert "11 jacks elsewhere" in line


@pytest.mark.parametrize("name", ["jacks.csv", "kept.csv"])
def test_semicolons_are_told_in_one_line(small_case: Path, tmp_path: Path, name: str) -> None:
    text = (small_case / "jacks.csv").read_text(encoding="utf-8").replace(",", ";")
    (small_case / name).write_text(text, encoding="utf-8")
    if name == "kept.csv":
        [line] = problems(small_case, small_case / name)
    else:
        with pytest.raises(InputError) as caught:
            read_case(small_case)
        [line] = [str(problem) for problem in caught.value.problems]
    assert "separated by semicolons" in line
    assert "choose commas" in line
