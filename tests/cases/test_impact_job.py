"""`jackfield impact` from the command line to the files that it leaves."""

from __future__ import annotations

import csv
from contextlib import nullcontext
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import jackfield.impact
from jackfield.main import main
from tests.cases.booth import GRAVITY, edit, record, write_booth

MOVED = """
[[bays]]
name = "Below"
corners_mm = [[-500, -1000], [5100, 4500]]
frequency_hz = 12.0
mass_kg_m2 = 900
damping_percent = 3

[[impacts]]
name = "Box"
mass_kg = 60
height_mm = 800
place_mm = [1500, 1200]
drops_a_day = 16

[[groups]]
name = "Class"
people = 4
frequency_hz = [2.2, 2.4]
activity = "rhythmic"

[[machines]]
name = "Fan"
place_mm = [3500, 2000]
speed_rpm = [1400, 1450]
unbalance_kg_mm = 40
"""


def leave_pictures_out(patch: pytest.MonkeyPatch) -> None:
    """Sheets: one test has them, and they have tests of their own."""
    patch.setattr(jackfield.impact, "write_sheets", lambda sheets, title, folder: None)
    patch.setattr(jackfield.impact, "drawing_sheets", lambda sheets, title, folder: nullcontext())


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The booth with something that moves it."""
    folder = write_booth(tmp_path_factory.mktemp("impact") / "case")
    file = folder / "case.toml"
    file.write_text(file.read_text(encoding="utf-8") + MOVED, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def papers(case: Path) -> Path:
    """All its papers."""
    assert main(["impact", str(case), "--out", str(case.parent / "papers"), "--quiet"]) == 0
    return case.parent / "papers"


@pytest.fixture(scope="module")
def found(papers: Path) -> dict[str, Any]:
    return record(papers, "dynamics.json")


def test_papers_are_there(papers: Path, found: dict[str, Any]) -> None:
    files = {path.relative_to(papers).as_posix() for path in papers.rglob("*") if path.is_file()}
    assert set(found["papers"]) == files
    assert {"dynamics.json", "drops.csv", "drop-bands.csv", "pictures/impact-map.png"} <= files
    assert all((papers / name).stat().st_size > 1000 for name in files if name.endswith((".png", ".pdf")))
    assert found["cautions"]


def test_drop_by_hand(found: dict[str, Any]) -> None:
    """Speed √(2gH) exactly; impulse M v (1 + e) with the assumed e, and what the weight weighs meanwhile.

    The slab of 5 t gives way while it is pressed: 4 % less at most. The bay of 12 Hz does while it is hit bare: 5 %.
    """
    (drop,) = found["drops"]
    speed = np.sqrt(2 * GRAVITY * 0.8)
    assert drop["speed_mm_s"] / 1e3 == pytest.approx(speed, rel=1e-9)
    expected = 60 * speed * (1 + drop["restitution"]) + 60 * GRAVITY * drop["contact_time_ms"] / 1e3
    assert 0.96 * expected < drop["impulse_N_s"] < expected
    assert any("assum" in line or "1500" in line for line in drop["assumed"])
    supports = {each["support"]: each for each in drop["supports"]}
    assert supports["springs"]["greatest_force_kN"] < supports["bare floor"]["greatest_force_kN"]
    # π I/(2 τ) with τ = π(1 + e)/2 √(M/k) is v √(kM); the bay gives way a little
    stiffness = drop["contact_stiffness_N_mm"] * 1e3
    assert supports["bare floor"]["greatest_force_kN"] * 1e3 == pytest.approx(speed * np.sqrt(stiffness * 60), rel=0.05)


def test_day_of_drops(found: dict[str, Any]) -> None:
    """Sixteen equal events: twice the dose of one, the fourth root of 16 (BS 6472-1)."""
    (drop,) = found["drops"]
    one = drop["supports"][0]["bays"][0]["dose_m_s175"]
    assert drop["day_dose_m_s175"]["Below"] == pytest.approx(2 * one, rel=1e-9)


def test_bands_file(papers: Path, found: dict[str, Any]) -> None:
    with (papers / "drop-bands.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 24
    column = next(key for key in rows[0] if key.startswith("reduction") and "spring" in key)
    reductions = [float(row[column]) for row in rows]
    np.testing.assert_allclose(reductions, found["drops"][0]["reduction_db"], atol=0.006)
    assert min(reductions) < -3, "springs amplify near their own frequency"
    assert max(reductions) > 20


@pytest.mark.usefixtures("no_pictures")
def test_run_does_it_as_well(
    case: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, found: dict[str, Any]
) -> None:
    leave_pictures_out(monkeypatch)
    assert main(["run", str(case), "--out", str(tmp_path / "out"), "--quiet"]) == 0
    whole = record(tmp_path / "out", "results.json")
    names = {check["name"] for check in whole["checks"]}
    assert {check["name"] for check in found["checks"]} <= names
    again = record(tmp_path / "out", "dynamics.json")
    assert again["drops"][0]["impulse_N_s"] == pytest.approx(found["drops"][0]["impulse_N_s"], rel=1e-12)


def test_case_at_rest_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = write_booth(tmp_path / "case")
    assert main(["impact", str(folder), "--out", str(tmp_path / "out")]) == 2
    assert "[[impacts]]" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_bad_input_is_named_all_at_once(case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = write_booth(tmp_path / "case")
    file = folder / "case.toml"
    wrong = MOVED.replace("frequency_hz = 12.0", "frequency_hz = -1").replace("[1500, 1200]", "[9500, 1200]")
    file.write_text(file.read_text(encoding="utf-8") + wrong, encoding="utf-8")
    assert main(["impact", str(folder), "--out", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert "bays 1" in said
    assert "frequency_hz" in said
    assert "impacts 1" in said
    assert not (tmp_path / "out").exists()


def test_strict_fails_where_a_limit_is_passed(case: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    leave_pictures_out(monkeypatch)
    folder = write_booth(tmp_path / "case")
    file = folder / "case.toml"
    file.write_text(file.read_text(encoding="utf-8") + MOVED, encoding="utf-8")
    edit(file, "[[bays]]", "[vibration]\nacceleration_m_s2 = 0.001\n\n[[bays]]")
    assert main(["impact", str(folder), "--out", str(tmp_path / "out"), "--quiet", "--strict"]) == 1
