"""The command from end to end, by calling `main` and reading the files that it made."""

from __future__ import annotations

import csv
import json
import os
import subprocess
import sys
import time
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from typing import Any

import pytest

import jackfield.run
from fem.errors import ModelError
from jackfield.main import main
from postprocess import scenes
from tests.cases.booth import write_booth
from tests.cases.conftest import leave_pictures_out
from tests.conftest import write_small_case

PICTURES = ["plan", "modes", "loads", *(f"{kind}-{state}" for kind in ("deflection", "moments")
            for state in ("bare", "service", "full"))]  # fmt: skip


def edit(folder: Path, name: str, old: str, new: str) -> None:
    path = folder / name
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_run_writes_every_paper(
    small_case: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """All of it, scenes included or said to be left out (one mode will do), and nothing but papers in the folder."""
    monkeypatch.setattr(scenes, "MODES", 1)
    out = tmp_path / "papers"
    assert main(["run", str(small_case), "--out", str(out)]) == 0
    results = json.loads((out / "results.json").read_text(encoding="utf-8"))
    found = sorted(path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file())
    assert found == sorted(results["papers"])
    for name in PICTURES:
        assert f"pictures/{name}.png" in found
        assert f"pictures/{name}.pdf" in found
    assert {"fields/deflection.vtu", "fields/moments.vtu", "fields/modes.vtu", "jack-schedule.csv"} <= set(found)
    assert results["left_out"] or "scenes/scene-mode-1.png" in found
    printed = capsys.readouterr().out
    assert "heave frequency" in printed
    assert "does not approve" in printed
    check_contract(results)
    with (out / "jack-schedule.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    loads = {jack["id"]: jack["load_kN"]["service"] for jack in results["jacks"]}
    assert {row["id"]: float(row["load_service_kN"]) for row in rows} == pytest.approx(loads, abs=0.006)


def check_contract(results: dict) -> None:  # type: ignore[type-arg]  # JSON, looked into below
    """Names and units that other programs rely on, with the small case's numbers by hand."""
    assert results["format"] == "jackfield-results/1"
    project = {"title": "Practice room over a workshop", "reference": "T-1", "revision": "B"}
    assert results["case"].items() >= project.items()
    slab = results["slab"]
    assert (slab["area_m2"], slab["thickness_mm"]) == (pytest.approx(54), pytest.approx(125))
    assert slab["mass_kg"] == pytest.approx(54 * 0.125 * 2500)
    assert slab["modulus_gpa"] == pytest.approx(33.35, abs=0.005)  # EN 1992-1-1 Table 3.1's formula for C32/40
    for state in ("bare", "service", "full"):
        entry = results["states"][state]
        assert entry["reaction_kN"] == pytest.approx(entry["load_kN"], rel=1e-9)
        assert entry["equilibrium_error"] < 1e-9
        total = sum(jack["load_kN"][state] for jack in results["jacks"])
        assert total == pytest.approx(entry["load_kN"], rel=1e-9)
    assert results["states"]["bare"]["load_kN"] == pytest.approx(54 * 0.125 * 2500 * 9.80665e-3)
    for jack in results["jacks"]:
        deflection, load = jack["deflection_mm"]["full"], jack["load_kN"]["full"]
        assert load == pytest.approx(jack["rate_N_mm"] * deflection / 1e3)
        assert jack["load_ratio"]["full"] == pytest.approx(load / jack["rated_load_kN"])
        assert jack["status"] in {"ok", "under", "over"}
    assert {"x_mm", "y_mm", "spring", "rated_load_kN"} <= set(results["jacks"][0])
    assert [mode["number"] for mode in results["modes"]] == list(range(1, 11))
    assert {"frequency_hz", "heave_share", "rock_x_share", "rock_y_share", "kind"} <= set(results["modes"][0])
    assert {"name", "value", "limit", "unit", "ok", "basis"} <= set(results["checks"][0])
    assert {"jack_load", "moment", "frequency"} <= set(results["mesh"]["change_percent"])
    assert results["mesh"]["triangles"] > 100


@dataclass(frozen=True)
class TwoRuns:
    """A run of a case that fails one check, and another into the same folder, with strange files added between them.

    status: of both; said: by the first, which is quiet; results: of the first; papers: folder of both.
    """

    status: tuple[int, int]
    said: str
    results: dict[str, Any]
    papers: Path


@pytest.fixture(scope="module")
def two_runs(tmp_path_factory: pytest.TempPathFactory) -> TwoRuns:
    """The first into the default folder, the second strict."""
    place = tmp_path_factory.mktemp("runs")
    case, papers, said = write_small_case(place / "small"), place / "out" / "small", StringIO()
    edit(case, "case.toml", "natural_frequency_hz = 3.6", "natural_frequency_hz = 3.0")
    with pytest.MonkeyPatch.context() as patch:
        leave_pictures_out(patch)
        patch.chdir(place)
        with redirect_stdout(said), redirect_stderr(said):
            first = main(["run", str(case), "--quiet"])
        results = json.loads((papers / "results.json").read_text(encoding="utf-8"))
        (papers / "notes.txt").write_text("mine")
        (papers / "scenes").mkdir(exist_ok=True)
        (papers / "scenes" / "scene-mode-1.png").write_bytes(b"old")
        (place / "outside.txt").write_text("not of this folder")
        listed = results | {"papers": [*results["papers"], "scenes/scene-mode-1.png", "../../outside.txt"]}
        (papers / "results.json").write_text(json.dumps(listed), encoding="utf-8")
        second = main(["run", str(case), "--out", str(papers), "--quiet", "--strict"])
    return TwoRuns((first, second), said.getvalue(), results, papers)


def test_strict_tells_a_failed_check(two_runs: TwoRuns) -> None:
    assert two_runs.status == (0, 1)
    failed = [check["name"] for check in two_runs.results["checks"] if not check["ok"]]
    assert failed == ["heave frequency, service"]


def test_quiet_default_folder_and_what_was_left_out(two_runs: TwoRuns) -> None:
    assert two_runs.said == ""
    assert two_runs.results["left_out"] == [
        "strength of the slab: case.toml has no [reinforcement]",
        "the floor in motion: case.toml has no [[impacts]], [[groups]], [[machines]], [[bays]] or [air]",
        "doubt and failure: case.toml has no [doubt]",
        "3-D scenes: not wanted here",
    ]


def test_stale_papers_go_and_strange_files_stay(two_runs: TwoRuns) -> None:
    papers = two_runs.papers
    again = json.loads((papers / "results.json").read_text(encoding="utf-8"))
    assert sorted(again["papers"]) == sorted(two_runs.results["papers"])
    assert not (papers / "scenes" / "scene-mode-1.png").exists()
    assert (papers / "notes.txt").read_text() == "mine"
    assert (papers.parents[1] / "outside.txt").exists()


def test_bad_input_ends_with_2_and_writes_nothing(
    small_case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every problem in one go, in words, on standard error; the folder of an earlier run is left alone."""
    edit(small_case, "case.toml", "thickness_mm = 125", "thicknes_mm = 125")
    edit(small_case, "case.toml", "mass_kg = 840", "mass_kg = -840")
    edit(small_case, "jacks.csv", "J7,8550,450,A7", "J7,8950,450,A8")
    out = tmp_path / "papers"
    assert main(["run", str(small_case), "--out", str(out)]) == 2
    printed, said = capsys.readouterr()
    assert printed == ""
    for words in ("thickness_mm", "thicknes_mm", "-840", "jacks.csv: row 8", "A8", "problems found, nothing written"):
        assert words in said
    assert "Traceback" not in said
    assert not out.exists()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["small"]


def test_output_folder_that_is_a_file(
    small_case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "taken").write_text("a file")
    assert main(["run", str(small_case), "--out", str(tmp_path / "taken" / "deep")]) == 2
    said = capsys.readouterr().err
    assert "taken is a file" in said.replace("\n", "")
    assert (tmp_path / "taken").read_text() == "a file"


@pytest.mark.parametrize("folder", [f"/dev/null/{'x' * 300}", "/proc/papers"])
@pytest.mark.skipif(not Path("/proc").exists(), reason="folders that even root cannot write are those of Linux")
def test_output_folder_that_cannot_be_written(
    folder: str, small_case: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["run", str(small_case), "--out", folder, "--quiet"]) == 2
    assert "name a folder that can be written" in capsys.readouterr().err


def test_a_run_that_fails_half_way_leaves_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fail(_: object, path: Path) -> None:
        path.write_text("half")
        raise ModelError("the disk of dreams is full")

    leave_pictures_out(monkeypatch)
    monkeypatch.setattr(jackfield.run, "write_schedule", fail)
    assert main(["run", str(write_booth(tmp_path / "small")), "--out", str(tmp_path / "papers")]) == 2
    assert "disk of dreams" in capsys.readouterr().err
    assert sorted(path.name for path in tmp_path.iterdir()) == ["small"]


def test_new_then_new_again(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", str(tmp_path / "floor")]) == 0
    assert sorted(path.name for path in (tmp_path / "floor").iterdir()) == ["case.toml", "jacks.csv", "springs.toml"]
    before = (tmp_path / "floor" / "case.toml").read_bytes()
    assert main(["new", str(tmp_path / "floor")]) == 2
    assert "exists already" in capsys.readouterr().err
    assert (tmp_path / "floor" / "case.toml").read_bytes() == before


def test_version_help_and_wrong_words(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out.startswith("jackfield ")
    assert main(["run", "--help"]) == 0
    assert "--strict" in capsys.readouterr().out
    assert main(["run"]) == 2
    assert main(["dance"]) == 2
    assert "dance" in capsys.readouterr().err


@pytest.mark.skipif(sys.platform == "win32", reason="signals of Unix")
def test_terminated_run_leaves_nothing(small_case: Path, tmp_path: Path) -> None:
    """SIGTERM in the middle of the work ends like Ctrl-C: status 128 + 15, a word, and no file anywhere."""
    words = [sys.executable, "-m", "jackfield", "run", str(small_case), "--out", str(tmp_path / "papers")]
    path = os.pathsep.join([str(Path(__file__).parents[2]), os.environ.get("PYTHONPATH", "")])
    with subprocess.Popen(words, stderr=subprocess.PIPE, text=True, env={**os.environ, "PYTHONPATH": path}) as run:
        for _ in range(600):
            if any(entry.name.startswith(".jackfield-") for entry in tmp_path.iterdir()):
                break
            time.sleep(0.1)
        run.terminate()
        _, said = run.communicate(timeout=120)
    assert run.returncode == 143
    assert "Stopped; nothing written." in said
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["small"]
