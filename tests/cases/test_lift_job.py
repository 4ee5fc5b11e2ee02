"""`jackfield lift` from the command line to the files that it leaves."""

from __future__ import annotations

import csv
import math
from contextlib import nullcontext
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

import jackfield.lift
from jackfield.main import main
from tests.cases.booth import PITCH, WEIGHT, Site, edit, record, write_booth

Floats = NDArray[np.float64]

RATES = np.array([400e3] * 10 + [500e3] * 2)
"""Of the booth's springs, N/m."""
FIGURES = 1e-9
"""Rounding in solutions whose residuals lie near 1e-13."""


def leave_pictures_out(patch: pytest.MonkeyPatch) -> None:
    """Sheets and animation: one test has them, and they have tests of their own."""
    patch.setattr(jackfield.lift, "write_sheets", lambda sheets, title, folder: None)
    patch.setattr(jackfield.lift, "drawing_sheets", lambda sheets, title, folder: nullcontext())
    patch.setattr(jackfield.lift, "write_lift_animation", lambda plan, view, path: None)


@pytest.fixture
def no_sheets(monkeypatch: pytest.MonkeyPatch) -> None:
    leave_pictures_out(monkeypatch)


@pytest.fixture(scope="module")
def done(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The papers of the booth, lifted by seven passes of one turn."""
    home = tmp_path_factory.mktemp("booth")
    case = write_booth(home / "case")
    with pytest.MonkeyPatch.context() as patch:
        leave_pictures_out(patch)
        assert main(["lift", str(case), "--out", str(home / "papers"), "--quiet", "--strict"]) == 0
    return home / "papers"


@pytest.fixture(scope="module")
def found(done: Path) -> dict[str, Any]:
    return record(done, "lift.json")


@pytest.fixture
def case(tmp_path: Path) -> Path:
    return write_booth(tmp_path / "case")


def lifted(case: Path, *, status: int = 0) -> dict[str, Any]:
    """The record of a strict lift."""
    out = case.parent / "papers"
    assert main(["lift", str(case), "--out", str(out), "--quiet", "--strict"]) == status
    return record(out, "lift.json")


def of_jacks(values: dict[str, float]) -> Floats:
    return np.array(list(values.values()))


def test_record_holds_what_other_programs_read(found: dict[str, Any]) -> None:
    assert found["format"] == "jackfield-lift/1"
    assert found["age_days"] == 4
    assert [each["pass"] for each in found["passes"]] == list(range(1, 8))
    ids = [f"{row}{column}" for row in "ABC" for column in range(1, 5)]
    for each in found["passes"]:
        assert set(each["height_mm"]) >= {"mean", "min", "max"}
        assert list(each["jack_load_kN"]) == ids
        assert set(each["peak"]) >= {"jack", "moment_kNm_m", "cracking_use"}
        assert each["peak"]["jack"] in ids
        assert each["advance_mm"] == pytest.approx(3 * each["pass"], rel=1e-12)
        heights = of_jacks(each["jack_height_mm"])
        spread = [each["height_mm"][name] for name in ("mean", "min", "max")]
        np.testing.assert_allclose(spread, [heights.mean(), heights.min(), heights.max()], rtol=1e-12)
        assert [turn["jack"] for turn in each["turn_by_turn"]] == ids
    assert all(check["ok"] for check in found["checks"])


def test_springs_carry_the_weight_once_the_slab_floats(found: dict[str, Any]) -> None:
    """The rest bears on the structural floor: the springs never carry more than the weight."""
    for each in found["passes"]:
        carried = of_jacks(each["jack_load_kN"]).sum() * 1e3 / WEIGHT
        if each["contact_share"] == 0:
            assert carried == pytest.approx(1, rel=FIGURES)
        else:
            assert carried < 1 - 1e-6


def test_slab_leaves_the_floor_bit_by_bit_and_then_rises_with_the_screws(found: dict[str, Any]) -> None:
    """Σk (advance − height) = W as soon as the slab floats: a height gained is a turn times the pitch."""
    shares = [each["contact_share"] for each in found["passes"]]
    assert 0 < shares[0] < 1
    assert all(after <= before for before, after in pairwise(shares))
    assert shares[-1] == 0
    # a rigid slab lifts off after W / (Σk pitch) = 3.3 turns; this one is stiff, and evenly loaded by its own weight
    assert shares.index(0) + 1 == math.ceil(WEIGHT / (RATES.sum() * PITCH))
    afloat = [each for each in found["passes"] if each["contact_share"] == 0]
    for each in afloat:
        mean = RATES @ of_jacks(each["jack_height_mm"]) / RATES.sum()
        assert mean == pytest.approx(3 * each["pass"] - WEIGHT / RATES.sum() * 1e3, rel=FIGURES)
    gained = np.diff([of_jacks(each["jack_height_mm"]) for each in afloat], axis=0)
    np.testing.assert_allclose(gained, 3.0, rtol=FIGURES)


def test_far_above_the_floor_the_lift_is_the_linear_answer(found: dict[str, Any], case: Path) -> None:
    """Of the whole model without any condensing or contact."""
    linear = Site.of(case).afloat(np.full(12, 7.0))
    last = found["passes"][-1]
    np.testing.assert_allclose(of_jacks(last["jack_height_mm"]), -linear.jack_deflection * 1e3, rtol=1e-8)
    np.testing.assert_allclose(of_jacks(last["jack_load_kN"]), linear.jack_load / 1e3, rtol=1e-8)
    travel = 45 - linear.jack_load / RATES * 1e3
    np.testing.assert_allclose(of_jacks(last["travel_left_mm"]), travel, rtol=1e-8)


def test_peak_is_the_greatest_of_all_single_turns(found: dict[str, Any]) -> None:
    """Held against 0.7 fctm(t) h²/6, EN 1992-1-1, 3.1.2 and Table 3.1, of C32/40 at four days with cement N."""
    fctm = 0.30 * 32 ** (2 / 3) * math.exp(0.25 * (1 - math.sqrt(28 / 4)))
    cracking = 0.7 * fctm * 125**2 / 6e3
    assert found["cracking_moment_kNm_m"] == pytest.approx(cracking, rel=1e-9)
    for each in found["passes"]:
        turns = {turn["jack"]: turn for turn in each["turn_by_turn"]}
        peak = each["peak"]
        assert peak["cracking_use"] == max(turn["cracking_use"] for turn in turns.values())
        assert turns[peak["jack"]]["cracking_use"] == peak["cracking_use"]
        assert turns[peak["jack"]]["place"] == peak["place"]
        assert peak["moment_kNm_m"] == pytest.approx(peak["cracking_use"] * cracking, rel=1e-9)
    worst = max(found["passes"], key=lambda each: each["peak"]["cracking_use"])["peak"]
    assert found["worst"]["moment_kNm_m"] == pytest.approx(worst["moment_kNm_m"], rel=1e-9)
    [check] = [check for check in found["checks"] if check["name"].startswith("cracking")]
    assert check["value"] == found["worst"]["moment_kNm_m"]


def test_greatest_step_between_neighbours_is_one_turn(found: dict[str, Any]) -> None:
    """One jack turned, its neighbours not yet: with equal passes no two screws are ever farther apart."""
    for each in found["passes"]:
        assert each["greatest_step_mm"] == pytest.approx(3.0, rel=1e-9)


def test_sizes_of_pass_are_told_with_the_day_from_which_they_are_safe(found: dict[str, Any]) -> None:
    sizes = found["pass_sizes"]
    assert [size["turns"] for size in sizes] == [1.0, 0.5, 0.25]
    assert sizes[0]["peak"]["moment_kNm_m"] == pytest.approx(found["worst"]["moment_kNm_m"], rel=1e-9)
    resting = found["passes"][-1]["turn_by_turn"][-1]["cracking_use"]
    for size in sizes:
        assert size["earliest_age_days"] <= 4
        assert size["peak"]["cracking_use"] >= resting * (1 - 1e-9)


def test_faults_say_whether_they_do_harm_and_whether_they_show(found: dict[str, Any]) -> None:
    words = [fault["fault"] for fault in found["faults"]]
    assert len(set(words)) == len(words)
    for part in ("missed", "twice", "stuck", "instead of"):
        assert any(part in each for each in words)
    for fault in found["faults"]:
        assert fault["harmful"] == (fault["cracking_use"] > 1)
        assert fault["noticed"]
        assert fault["height_change_mm"] > 0
        assert fault["load_change_kN"] > 0


def test_list_of_passes_has_every_jack_in_every_pass(done: Path, found: dict[str, Any]) -> None:
    with (done / "lift-passes.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) == 7 * 12
    for row in rows:
        each = found["passes"][int(row["pass"]) - 1]
        assert row["turns"] == "1"
        assert each["turn_by_turn"][int(row["order"]) - 1]["jack"] == row["id"]
        assert float(row["load_kN"]) == pytest.approx(each["jack_load_kN"][row["id"]], abs=0.0051)  # two decimals
        assert float(row["height_mm"]) == pytest.approx(each["jack_height_mm"][row["id"]], abs=0.00051)  # three


def test_the_same_case_gives_the_same_papers_and_quiet_says_nothing(
    done: Path, case: Path, capsys: pytest.CaptureFixture[str], no_sheets: None
) -> None:
    lifted(case)
    printed = capsys.readouterr()
    assert (printed.out, printed.err) == ("", "")
    again = case.parent / "papers"
    names = sorted(path.name for path in done.iterdir())
    assert names == sorted(path.name for path in again.iterdir())
    assert names == sorted(record(done, "lift.json")["papers"])
    for name in names:
        assert (again / name).read_bytes() == (done / name).read_bytes(), name


def test_papers_with_pictures(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Every file that the record names is there, none else; pictures show something; the animation moves."""
    out = case.parent / "papers"
    edit(case / "case.toml", "turns_per_pass = 1\npasses = 7", "turns_per_pass = 2\npasses = 3")
    assert main(["lift", str(case), "--out", str(out)]) == 0
    said = capsys.readouterr().out
    assert "Order of turning: as the jacks stand in the list" in said
    assert "Nobody goes under a slab that is not packed." in said
    files = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
    assert files == set(record(out, "lift.json")["papers"])
    pages = [name for name in files if name.startswith("pictures/lift-pass-") and name.endswith(".pdf")]
    assert len(pages) == 3
    for picture in out.rglob("*.png"):
        assert np.asarray(Image.open(picture).convert("L")).std() > 1, picture.name
    with Image.open(out / "pictures" / "lift.gif") as moving:
        assert moving.n_frames >= 3


def test_wanted_air_gap_gives_the_passes(case: Path, no_sheets: None) -> None:
    """As many passes as the linear slab needs for that height at its lowest jack, and no more."""
    edit(case / "case.toml", "turns_per_pass = 1\npasses = 7", "turns_per_pass = 2\nair_gap_mm = 12")
    lowest = -Site.of(case).afloat(np.zeros(12)).jack_deflection.max() * 1e3
    found = lifted(case)
    assert len(found["passes"]) == math.ceil((12 - lowest) / 6)
    assert found["passes"][-1]["height_mm"]["min"] >= 12 > found["passes"][-2]["height_mm"]["min"]


def test_slack_of_the_screws_is_lost_height(found: dict[str, Any], case: Path, no_sheets: None) -> None:
    edit(case / "case.toml", "lattice_mm = 500", "lattice_mm = 500\nslack_mm = 2")
    last = lifted(case)["passes"][-1]
    lower = of_jacks(found["passes"][-1]["jack_height_mm"]) - of_jacks(last["jack_height_mm"])
    np.testing.assert_allclose(lower, 2.0, rtol=1e-8)


def test_uneven_floor_is_followed_by_the_springs(found: dict[str, Any], case: Path, no_sheets: None) -> None:
    """A structural floor that falls by 2 mm along x: the slab comes lower by what springs stand below the highest.
    """
    (case / "floor.csv").write_text(
        "x_mm,y_mm,height_mm\n0,0,2\n4600,0,0\n0,3500,2\n4600,3500,0\n", encoding="utf-8"
    )
    edit(case / "case.toml", "lattice_mm = 500", 'lattice_mm = 500\nfloor_heights = "floor.csv"')
    last = lifted(case)["passes"][-1]
    x = np.array([400 + 1266 * (jack % 4) for jack in range(12)])
    lower = of_jacks(found["passes"][-1]["jack_height_mm"]) - of_jacks(last["jack_height_mm"])
    # a plane of screws is a rigid motion of slab and springs alike: no force changes, whatever the rates
    np.testing.assert_allclose(lower, 2 * (x - 400) / 4600, atol=1e-6)


def test_bond_of_the_sheet_holds_the_slab_down_for_longer(found: dict[str, Any], case: Path, no_sheets: None) -> None:
    """And bends it more before it comes off; above the floor nothing is left of it."""
    edit(case / "case.toml", "lattice_mm = 500", "lattice_mm = 500\nbond_kpa = 3")
    bonded = lifted(case)
    for free, held in zip(found["passes"], bonded["passes"], strict=True):
        assert held["contact_share"] >= free["contact_share"]
    assert sum(each["contact_share"] for each in bonded["passes"]) > sum(
        each["contact_share"] for each in found["passes"]
    )
    np.testing.assert_allclose(
        of_jacks(bonded["passes"][-1]["jack_load_kN"]), of_jacks(found["passes"][-1]["jack_load_kN"]), rtol=1e-8
    )


@pytest.mark.parametrize(
    ("order", "starts"),
    [
        ("rows", [["A1", "A2", "A3", "A4", "B4", "B3"], ["C1", "C2", "C3", "C4", "B4", "B3"]]),
        ("from-middle", [["B2", "B3"], ["B3", "B2"]]),
        ("from-edges", [["A1"], ["A4"], ["C1"], ["C4"]]),
    ],
)
def test_orders_by_name(case: Path, no_sheets: None, order: str, starts: list[list[str]]) -> None:
    """Rows to and fro along the longer side; from the middle the two jacks beside it, from the edges a corner."""
    edit(case / "case.toml", 'order = "listed"', f'order = "{order}"')
    turned = [turn["jack"] for turn in lifted(case)["passes"][0]["turn_by_turn"]]
    assert len(set(turned)) == 12
    assert turned[: len(starts[0])] in starts


def test_searched_order_is_no_worse_than_the_list(
    found: dict[str, Any], case: Path, no_sheets: None
) -> None:
    edit(case / "case.toml", 'order = "listed"', 'order = "search"')
    searched = lifted(case)
    assert sorted(turn["jack"] for turn in searched["passes"][0]["turn_by_turn"]) == sorted(
        turn["jack"] for turn in found["passes"][0]["turn_by_turn"]
    )
    # the search weighs moments of its own trial lifts, which are those of the papers but for rounding
    assert searched["worst"]["moment_kNm_m"] <= found["worst"]["moment_kNm_m"] * (1 + 1e-6)


def test_turns_too_long_for_young_concrete_fail_strictly(
    case: Path, no_sheets: None, capsys: pytest.CaptureFixture[str]
) -> None:
    edit(case / "case.toml", "turns_per_pass = 1\npasses = 7", "turns_per_pass = 8\npasses = 2")
    edit(case / "case.toml", "age_days = 4", "age_days = 3")
    out = case.parent / "papers"
    assert main(["lift", str(case), "--out", str(out)]) == 0
    said = capsys.readouterr().out
    assert "NOT MET cracking, turn by turn" in said
    assert "Smaller passes bend it less" in said
    found = record(out, "lift.json")
    assert found["worst"]["cracking_use"] > 1
    [failed] = [check for check in found["checks"] if not check["ok"]]
    assert failed["name"] == "cracking, turn by turn"
    assert main(["lift", str(case), "--out", str(out), "--quiet", "--strict"]) == 1
    assert record(out, "lift.json") == found


def refused(case: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """What is said of a lift that cannot be used, after which there is nothing of it."""
    out = case.parent / "papers"
    assert main(["lift", str(case), "--out", str(out)]) == 2
    assert not out.exists()
    assert {path.name for path in case.parent.iterdir()} == {case.name}
    return " ".join(capsys.readouterr().err.split())


def test_case_without_a_lift_is_refused(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = (case / "case.toml").read_text(encoding="utf-8")
    (case / "case.toml").write_text(text[: text.index("[lift]")], encoding="utf-8")
    said = refused(case, capsys)
    assert "case.toml: lift" in said
    assert "a table [lift]" in said


def test_too_few_passes_are_told_how_many_it_takes(
    case: Path, capsys: pytest.CaptureFixture[str], no_sheets: None
) -> None:
    """A rigid slab needs W / (Σk pitch) = 3.3 turns; with as many passes as are asked for, the slab floats."""
    edit(case / "case.toml", "passes = 7", "passes = 2")
    said = refused(case, capsys)
    assert "case.toml: lift.passes: got 2 passes of 1 turn" in said
    assert "at least 4 such passes" in said
    edit(case / "case.toml", "passes = 2", "passes = 3")
    assert "at least 4 such passes" in refused(case, capsys)
    edit(case / "case.toml", "passes = 3", "passes = 4")
    assert lifted(case)["passes"][-1]["contact_share"] == 0


def test_passes_are_not_advised_that_make_springs_solid(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """W / Σk = 99 mm and springs of 45 mm: no number of passes lifts the slab off, except on solid springs."""
    for old, new in (("400", "40"), ("500", "50")):
        edit(case / "springs.toml", f"rate_N_mm = {old}", f"rate_N_mm = {new}")
    for old in ("5.0", "6.0"):
        edit(case / "springs.toml", f"rated_load_kN = {old}", "rated_load_kN = 1.0")
    said = refused(case, capsys)
    assert "case.toml: lift" in said
    assert "such passes before the slab floats" not in said


def test_springs_that_would_be_solid_are_refused(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """W / Σk = 9.9 mm and springs of 9.5 mm: solid once the screws are 9.5 mm out, in the fourth pass of 3 mm."""
    edit(case / "springs.toml", "solid_deflection_mm = 45", "solid_deflection_mm = 9.5")
    edit(case / "springs.toml", "rated_load_kN = 5.0", "rated_load_kN = 3.6")
    edit(case / "springs.toml", "rated_load_kN = 6.0", "rated_load_kN = 4.5")
    said = refused(case, capsys)
    assert "case.toml: lift: got" in said
    assert "spring S" in said
    assert "solid in pass 4" in said
    assert "travel left (9.5 mm here)" in said


def test_bad_keys_of_the_lift_are_told_together(case: Path, capsys: pytest.CaptureFixture[str]) -> None:
    edit(case / "case.toml", "passes = 7", "passes = 7\nair_gap_mm = 12\nslack_mm = -1")
    edit(case / "case.toml", 'order = "listed"', 'order = "from-the-midle"')
    edit(case / "case.toml", "turns_per_pass = 1", "turns_per_pass = 0")
    said = refused(case, capsys)
    for words in ("lift.passes and lift.air_gap_mm", "lift.slack_mm: got -1", "lift.order: got", "lift.turns_per_pass"):
        assert words in said
    assert "4 problems found, nothing written" in said


def test_papers_of_an_earlier_lift_stay_when_the_next_is_refused(
    case: Path, capsys: pytest.CaptureFixture[str], no_sheets: None
) -> None:
    lifted(case)
    out = case.parent / "papers"
    before = {path.name: path.read_bytes() for path in out.iterdir()}
    edit(case / "case.toml", "passes = 7", "passes = 1")
    assert main(["lift", str(case), "--out", str(out), "--quiet"]) == 2
    assert "such passes before the slab floats" in " ".join(capsys.readouterr().err.split())
    assert {path.name: path.read_bytes() for path in out.iterdir()} == before
