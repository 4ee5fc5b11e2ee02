"""What a new revision of a case changes, in words that a site can use."""

from __future__ import annotations

from pathlib import Path

import pytest

from preprocess.case import Case
from preprocess.reader import read_case
from preprocess.revision import revision
from tests.conftest import write_small_case


@pytest.fixture
def old(small_case: Path) -> Case:
    return read_case(small_case)


def new_case(folder: Path, *edits: tuple[str, str, str]) -> Case:
    """The small case with edits of (file, old text, new text)."""
    write_small_case(folder)
    for name, before, after in edits:
        text = (folder / name).read_text(encoding="utf-8")
        assert before in text
        (folder / name).write_text(text.replace(before, after), encoding="utf-8")
    return read_case(folder)


def test_same_case_changes_nothing(old: Case, tmp_path: Path) -> None:
    found = revision(old, new_case(tmp_path / "new"))
    assert (found.loads, found.other, found.jacks) == ((), (), ())


def test_springs_are_not_compared(old: Case, tmp_path: Path) -> None:
    found = revision(old, new_case(tmp_path / "new", ("jacks.csv", "J7,8550,450,A7", "J7,8550,450,B2")))
    assert (found.loads, found.other, found.jacks) == ((), (), ())


def test_moved_rack_with_its_way(old: Case, tmp_path: Path) -> None:
    feet = "[[1000, 4300], [1000, 3300], [2200, 4300], [2200, 3300]]"
    moved = "[[1500, 4100], [1500, 3100], [2700, 4100], [2700, 3100]]"
    [change] = revision(old, new_case(tmp_path / "new", ("case.toml", feet, moved))).loads
    assert (change.kind, change.words) == ("moved", "moved by +500 mm in x and -200 mm in y")
    assert change.old is not None
    assert change.new is not None
    assert change.new.shape.centroid.x - change.old.shape.centroid.x == pytest.approx(0.5, abs=1e-12)


def test_turned_rack_on_the_same_centre(old: Case, tmp_path: Path) -> None:
    feet = "[[1000, 4300], [1000, 3300], [2200, 4300], [2200, 3300]]"
    turned = "[[1100, 4400], [1100, 3200], [2100, 4400], [2100, 3200]]"
    [change] = revision(old, new_case(tmp_path / "new", ("case.toml", feet, turned))).loads
    assert (change.kind, change.words) == ("changed", "other outline or feet")


def test_heavier_new_and_gone(old: Case, tmp_path: Path) -> None:
    case = new_case(
        tmp_path / "new",
        ("case.toml", "mass_kg = 840", "mass_kg = 900"),
        ("case.toml", 'name = "Platform"', 'name = "Stage"'),
    )
    changes = {change.name: change for change in revision(old, case).loads}
    assert changes["Rack"].words == "840 kg before, 900 kg now"
    assert (changes["Platform"].kind, changes["Platform"].new) == ("removed", None)
    assert (changes["Stage"].kind, changes["Stage"].old) == ("added", None)


def test_slab_imposed_load_and_target(old: Case, tmp_path: Path) -> None:
    case = new_case(
        tmp_path / "new",
        ("case.toml", "thickness_mm = 125", "thickness_mm = 130"),
        ("case.toml", "service_fraction = 0.1", "service_fraction = 0.2"),
        ("case.toml", "natural_frequency_hz = 3.6", "natural_frequency_hz = 3.8"),
        ("case.toml", "load_ratio = [0.75, 1.05]", "load_ratio = [0.8, 1.1]\nsolid_reserve_mm = 4"),
        ("case.toml", "footprint_mm = 150", "footprint_mm = 160"),
        ("case.toml", 'catalogue = "springs.toml"', 'catalogue = "springs.toml"\nmost_types = 3'),
        ("case.toml", "poissons_ratio = 0.2", "poissons_ratio = 0.18"),
    )
    assert revision(old, case).other == (
        "thickness: 125 mm before, 130 mm now",
        "sustained share of the imposed load: 0.1 before, 0.2 now",
        "target frequency: 3.6 Hz before, 3.8 Hz now",
        "least load ratio: 0.75 before, 0.8 now",
        "greatest load ratio: 1.05 before, 1.1 now",
        "travel left to solid: 0 mm before, 4 mm now",
        "most types of spring: none before, 3 now",
        "Poisson's ratio: 0.2 before, 0.18 now",
        "housing of a jack: 150 mm before, 160 mm now",
    )


def test_screw_that_is_turned_otherwise(old: Case, tmp_path: Path) -> None:
    case = new_case(
        tmp_path / "new",
        ("jacks.csv", "id,x_mm,y_mm,spring", "id,x_mm,y_mm,spring,advance_mm"),
        ("jacks.csv", "J9,1800,1725,A7", "J9,1800,1725,A7,-6"),
    )
    found = revision(old, case)
    assert found.other == ("screw of jack J9: advance 0 mm before, -6 mm now",)
    assert found.jacks == ()


def test_catalogue_entry_of_a_standing_spring(old: Case, tmp_path: Path) -> None:
    case = new_case(tmp_path / "new", ("springs.toml", "rate_N_mm = 280", "rate_N_mm = 290"))
    assert revision(old, case).other == (
        "spring A7 in the catalogue: 280 N/mm, rated load 7 kN, solid at 56 mm before, "
        "290 N/mm, rated load 7 kN, solid at 56 mm now; the new figures count",
        "spring A7+B2 in the catalogue: 360 N/mm, rated load 9 kN, solid at 54 mm before, "
        "370 N/mm, rated load 9 kN, solid at 54 mm now; the new figures count",
    )


def test_jacks_that_moved_or_have_other_ids(old: Case, tmp_path: Path) -> None:
    case = new_case(
        tmp_path / "new",
        ("jacks.csv", "J9,1800,1725", "J9,1830,1725"),
        ("jacks.csv", "J7,8550", "K7,8550"),
    )
    assert set(revision(old, case).jacks) == {
        "jack J7 is gone",
        "jack K7 is new",
        "jack J9 moved by +30 mm in x",
    }
