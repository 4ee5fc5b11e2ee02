"""`jackfield level` from the command line to the files that it leaves, on surveys of slabs whose truth is known."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

import jackfield.level
import jackfield.lift
from jackfield.level_problem import level_problem, load_limits
from jackfield.level_surveys import surveyed
from jackfield.levelling import level_desk, readings
from jackfield.lift import lift_rules
from jackfield.main import main
from preprocess.survey import read_surveys
from tests.cases.booth import PIANO, PITCH, WEIGHT, Site, edit, record, write_booth, write_survey

Floats = NDArray[np.float64]

LIFTED = np.full(12, 7.0)
"""Turns of the booth's lift."""
TALL = np.full(12, 16.0)
"""Turns of a higher lift, by 38 mm."""
NONE = np.zeros(12)
SLOPE = (0.002, -0.0008)
"""Of the structural floor, m/m: about 9 mm over the length of the booth, where [level] allows 3 mm either way."""
SCATTER = np.random.default_rng(7).normal(1, 0.03, 12)
"""Real over nominal rates: inside the usual tolerance of ±10 %."""


@pytest.fixture
def no_sheets(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave drawings out: one test has them, and they have tests of their own."""
    for job in (jackfield.level, jackfield.lift):
        monkeypatch.setattr(job, "write_sheets", lambda sheets, title, folder: None)
        monkeypatch.setattr(job, "drawing_sheets", lambda sheets, title, folder: nullcontext())
    monkeypatch.setattr(jackfield.lift, "write_lift_animation", lambda plan, view, path: None)


@pytest.fixture(scope="module")
def booth(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The case, which no test changes."""
    return write_booth(tmp_path_factory.mktemp("booth") / "case")


@pytest.fixture(scope="module")
def site(booth: Path) -> Site:
    """A slab that the lift leaves out of level."""
    return Site.of(booth, rates=SCATTER, slope=SLOPE)


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A case of a test's own."""
    return write_booth(tmp_path / "case")


@pytest.fixture
def survey(site: Site, tmp_path: Path) -> Path:
    """The slab as the lift leaves it."""
    return site.survey(tmp_path / "lifted.csv", LIFTED, LIFTED)


@pytest.fixture
def at_rest(site: Site, tmp_path: Path) -> Path:
    """The slab before the first turn."""
    return site.survey(tmp_path / "at-rest.csv", NONE, NONE, seed=2)


def levelled(case: Path, *surveys: Path, out: Path, status: int = 0) -> dict[str, Any]:
    """The record of a strict levelling."""
    arguments = ["level", str(case), *map(str, surveys), "--out", str(out), "--quiet", "--strict"]
    assert main(arguments) == status
    return record(out, "level.json")


def of_jacks(found: dict[str, Any], name: str, part: str | None = None) -> Floats:
    return np.array([jack[name] if part is None else jack[name][part] for jack in found["jacks"]])


def departure(site: Site, turns: Floats, state: str) -> float:
    """Greatest departure of the real slab from level either way at its jacks, m."""
    return float(np.ptp(site.heights(turns, state)) / 2)


@pytest.mark.usefixtures("no_sheets")
def test_turns_bring_the_real_slab_level_in_service(booth: Path, site: Site, survey: Path, tmp_path: Path) -> None:
    """The slab with its real springs, with the turns made and the piano on it, by the whole model.

    Tolerance: the 3 mm of [level], which the turns keep with a margin for the doubt of survey and rates.
    """
    assert departure(site, LIFTED, "service") > 3.5e-3
    found = levelled(booth, survey, out=tmp_path / "papers")
    turns = LIFTED + of_jacks(found, "quarter_turns") / 4
    assert departure(site, turns, "service") <= 3e-3
    assert found["reach"]["words"].startswith("Within reach")
    # the heights foreseen are those of the real slab, to the deviation of survey and rates, 0.3 mm and 3 % of 12 mm
    real = site.heights(turns, "service")
    foreseen = of_jacks(found, "height_mm", "service") / 1e3
    np.testing.assert_allclose(foreseen - foreseen.mean(), real - real.mean(), atol=1.5e-3)


@pytest.mark.usefixtures("no_sheets")
def test_surveyed_again_after_the_turns_few_or_none_are_left(
    booth: Path, site: Site, survey: Path, tmp_path: Path
) -> None:
    """The form of the levelling is the next survey's, with heights filled in."""
    first = levelled(booth, survey, out=tmp_path / "papers")
    made = of_jacks(first, "quarter_turns") / 4
    measured = site.heights(LIFTED + made) + np.random.default_rng(8).normal(0, 3e-4, 12)
    again = _filled(tmp_path / "papers" / "survey-form.csv", measured, tmp_path / "again.csv")
    second = levelled(booth, survey, again, out=tmp_path / "papers-2")
    left = of_jacks(second, "quarter_turns")
    assert np.count_nonzero(left) <= 1
    assert np.abs(left).sum() <= np.abs(of_jacks(first, "quarter_turns")).sum() / 4
    assert second["reach"]["overall_mm"]["before"] < first["reach"]["overall_mm"]["before"]
    assert departure(site, LIFTED + made + left / 4, "service") <= 3e-3


def _filled(form: Path, heights: Floats, path: Path) -> Path:
    """A survey form with heights, m, to a tenth of a millimetre."""
    with form.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    for row, height in zip(rows, heights, strict=True):
        row["height_mm"] = f"{1e3 * height:.1f}"
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    return path


@pytest.mark.usefixtures("no_sheets")
def test_form_of_the_lift_filled_in_is_a_survey(booth: Path, site: Site, tmp_path: Path) -> None:
    assert main(["lift", str(booth), "--out", str(tmp_path / "lift"), "--quiet"]) == 0
    measured = site.heights(LIFTED) + np.random.default_rng(9).normal(0, 3e-4, 12)
    form = _filled(tmp_path / "lift" / "survey-form.csv", measured, tmp_path / "form.csv")
    plain = write_survey(tmp_path / "plain.csv", site.case.jacks.ids, measured * 1e3, LIFTED)
    assert levelled(booth, form, out=tmp_path / "of-form") == levelled(booth, plain, out=tmp_path / "of-plain")


@pytest.mark.usefixtures("no_sheets")
def test_loads_and_heights_before_and_after_balance(booth: Path, site: Site, survey: Path, tmp_path: Path) -> None:
    """Without a calibration the rates are nominal: Δload = k (Δadvance − Δheight) at every jack, and the weight and
    its moments about both axes stay what they were. Tolerance: rounding of the solution."""
    found = levelled(booth, survey, out=tmp_path / "papers")
    for part, weight in (("before", WEIGHT), ("after", WEIGHT), ("service", WEIGHT + PIANO)):
        assert of_jacks(found, "load_kN", part).sum() * 1e3 == pytest.approx(weight, rel=1e-8)
    heights, loads = ((of_jacks(found, name, "after") - of_jacks(found, name, "before")) for name in _BOTH)
    advance = of_jacks(found, "quarter_turns") * PITCH / 4
    assert np.abs(loads).max() > 0.1
    np.testing.assert_allclose(loads * 1e3, site.case.jacks.rates * (advance - heights / 1e3), atol=1e-2)
    for arm in (np.ones(12), *site.case.jacks.xy.T):
        assert abs(loads @ arm) * 1e3 <= 1e-8 * WEIGHT
    assert of_jacks(found, "height_mm", "after").mean() == pytest.approx(0, abs=1e-9)


_BOTH = ("height_mm", "load_kN")


@pytest.mark.usefixtures("no_sheets")
def test_record_and_list_name_the_same_work(booth: Path, survey: Path, tmp_path: Path) -> None:
    found = levelled(booth, survey, out=tmp_path / "papers")
    assert found["format"] == "jackfield-level/1"
    assert [jack["id"] for jack in found["jacks"]] == [f"{row}{column}" for row in "ABC" for column in range(1, 5)]
    turned = {jack["id"]: jack["quarter_turns"] for jack in found["jacks"] if jack["quarter_turns"]}
    assert turned
    assert all(isinstance(turns, int) and abs(turns) <= 40 for turns in turned.values())  # ten turns, by default
    places = {jack["order"]: jack["id"] for jack in found["jacks"] if jack["order"] is not None}
    assert sorted(places) == list(range(1, len(turned) + 1))
    assert set(places.values()) == set(turned)
    steps = dict.fromkeys(turned, 0)
    for step in found["steps"]:
        steps[step["jack"]] += step["quarter_turns"]
        assert step["cracking_use"] <= 1
    assert steps == turned
    reach = found["reach"]
    for name in ("overall_mm", "straightedge_mm"):
        assert reach[name]["after"] <= reach[name]["limit"] == 3
    assert reach["overall_mm"]["before"] > 3
    with (tmp_path / "papers" / "level-turns.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    listed = {row["id"]: row for row in rows}
    assert set(turned) <= set(listed)
    names = sorted(path.name for path in (tmp_path / "papers").iterdir())
    assert names == sorted(found["papers"])


@pytest.mark.usefixtures("no_sheets")
def test_two_surveys_tell_what_springs_are_really_like(booth: Path, tmp_path: Path) -> None:
    """All springs about 6 % too soft: the slab rises by 0.6 mm less than foreseen, at twelve points.

    Half of the variance of rates is common to a batch, so the estimates come nearer to the truth by a third at least:
    of 0.6 mm a batch explains (3.5 % of 10 mm)², a weight (2 % of 10 mm)², readings and screws (0.2 mm)² together,
    which is 60 % for the batch. Each is surer than the tolerance of ±10 %, twice the deviation, makes a single spring.
    """
    soft = Site.of(booth, rates=0.94 * np.random.default_rng(3).normal(1, 0.01, 12))
    surveys = (
        soft.survey(tmp_path / "one.csv", NONE, NONE, seed=4),
        soft.survey(tmp_path / "two.csv", LIFTED, LIFTED, seed=5),
        soft.survey(tmp_path / "three.csv", LIFTED + 2, np.full(12, 2.0), seed=6),
    )
    found = levelled(booth, *surveys, out=tmp_path / "papers")
    rates = {part: np.array([jack["rate_N_mm"][part] for jack in found["jacks"]]) for part in _RATES}
    np.testing.assert_allclose(rates["nominal"], soft.case.jacks.rates / 1e3, rtol=1e-12)
    true = soft.rates / 1e3
    assert np.abs(rates["estimate"] - true).mean() < 2 / 3 * np.abs(rates["nominal"] - true).mean()
    assert 0.91 < rates["estimate"].sum() / rates["nominal"].sum() < 0.98
    assert ((rates["spread"] > 0) & (rates["spread"] < 0.05 * rates["nominal"])).all()


_RATES = ("nominal", "estimate", "spread")


@pytest.fixture(scope="module")
def bowed(site: Site) -> Site:
    """A slab that was cast on a floor which sags by 6 mm in the middle, on springs as they should be."""
    unit = site.case.jacks.xy / np.array([2.3, 1.75]) - 1
    sag = 6e-3 * np.prod(np.cos(0.5 * np.pi * unit), axis=1)
    return replace(site, rates=site.case.jacks.rates, floor_height=site.floor_height - sag)


@pytest.mark.usefixtures("no_sheets")
@pytest.mark.parametrize("rest", [True, False])
def test_a_bow_of_the_floor_is_not_taken_for_load(booth: Path, bowed: Site, tmp_path: Path, rest: bool) -> None:
    """What a slab was cast with bends nothing: loads before are those of the full model on equal screws, to a third of
    the standard deviation that is stated (of springs of ±10 %), with a survey at rest and without. Taken for screws the
    bow would move loads by more than that deviation."""
    surveys = [bowed.survey(tmp_path / "rest.csv", NONE, NONE, seed=4)] if rest else []
    surveys.append(bowed.survey(tmp_path / "lifted.csv", LIFTED, LIFTED, seed=5))
    found = levelled(booth, *surveys, out=tmp_path / "papers")
    off = of_jacks(found, "load_kN", "before") - bowed.afloat(LIFTED).jack_load / 1e3
    spread = of_jacks(found, "load_kN", "spread")
    assert np.sqrt(np.mean(off**2)) < np.sqrt(np.mean(spread**2)) / 3
    assert (spread > 0.02 * of_jacks(found, "load_kN", "service")).all()
    assert any("two standard deviations" in note for note in found["notes"])


def test_turns_made_before_count_in_the_moments(booth: Path, bowed: Site, tmp_path: Path) -> None:
    """The same slab by two ways: surveyed after even turns and then turned unevenly, as the problem foresees it, and
    surveyed after all of these turns. Exact heights; 1 % of the greatest moment for what roundings of heights to a
    tenth of a millimetre may make of the springs."""
    quarters = np.array([4, 0, 0, 2, 0, -3, 0, 0, 0, 0, 3, 0])
    rest = bowed.survey(tmp_path / "rest.csv", NONE, NONE, noise=0)
    problems = []
    for name, turns in (("even", LIFTED), ("uneven", LIFTED + quarters / 4)):
        surveys = read_surveys([rest, bowed.survey(tmp_path / f"{name}.csv", turns, turns, noise=0)], bowed.case)
        desk = level_desk(bowed.case, lift_rules(bowed.case), surveys)
        problems.append(level_problem(desk, surveyed(desk, readings(desk, surveys))))
    even, uneven = problems
    (foreseen,), (seen,) = even.moments_after(quarters.astype(float)), uneven.moments_after(np.zeros(12))
    assert np.abs(foreseen - even.moments[0].moments).max() > 0.2 * np.abs(seen).max()
    np.testing.assert_allclose(seen, foreseen, atol=0.01 * np.abs(seen).max())


@pytest.mark.parametrize("state", ["bare", "service", "full"])
def test_springs_keep_their_band_in_service_whatever_is_surveyed(
    booth: Path, site: Site, tmp_path: Path, state: str
) -> None:
    """The state surveyed comes first; the band of service holds in service, and the travel of springs everywhere."""
    case = replace(site.case, level=replace(site.case.level, surveyed_in=state, level_in="full"))
    surveys = read_surveys([site.survey(tmp_path / "lifted.csv", TALL, TALL)], case)
    desk = level_desk(case, lift_rules(case), surveys)
    limits = load_limits(desk, surveyed(desk, readings(desk, surveys)))
    assert limits[0].state == state
    assert {each.state for each in limits} == {state, "service", "full"}
    for each in limits:
        np.testing.assert_array_less(each.high, case.jacks.rates * case.jacks.solid_deflections + 1)
        if each.state == "service":
            np.testing.assert_allclose(each.low, 0.4 * case.jacks.rated_loads)
            np.testing.assert_allclose(each.high, 1.4 * case.jacks.rated_loads)


@pytest.mark.usefixtures("no_sheets")
def test_level_in_full_is_checked_in_service_as_well(case: Path, survey: Path, tmp_path: Path) -> None:
    edit(case / "case.toml", "[lift]", '[level]\nlevel_in = "full"\noverall_mm = 6\n\n[lift]')
    found = levelled(case, survey, out=tmp_path / "papers")
    names = [check["name"] for check in found["checks"]]
    assert names[0] == "departure from level, full"
    assert {"largest load ratio, service", "least load ratio, service", "least travel left to solid, full"} <= {*names}
    assert of_jacks(found, "load_kN", "full").sum() * 1e3 == pytest.approx(WEIGHT + PIANO + 3e3 * 4.6 * 3.5, rel=1e-6)


@pytest.mark.usefixtures("no_sheets")
def test_a_height_that_is_left_out_tells_nothing_of_springs(
    booth: Path, site: Site, survey: Path, tmp_path: Path
) -> None:
    """8 mm too high at rest: named, and rates are those of surveys without it."""
    heights = site.heights(NONE) * 1e3 + np.random.default_rng(2).normal(0, 0.3, 12)
    off = write_survey(tmp_path / "off.csv", site.case.jacks.ids, heights + 8 * (np.arange(12) == 5), NONE)
    found = levelled(booth, off, survey, out=tmp_path / "with")
    assert any("off.csv: B2" in note or "lifted.csv: B2: it rose by" in note for note in found["notes"])
    rows = off.read_text(encoding="utf-8").splitlines()
    rows[6] = "B2,,0"
    off.write_text("\n".join([*rows, ""]), encoding="utf-8")
    without = levelled(booth, off, survey, out=tmp_path / "without")
    assert of_jacks(found, "rate_N_mm", "estimate") == pytest.approx(of_jacks(without, "rate_N_mm", "estimate"))


@pytest.mark.usefixtures("no_sheets")
def test_turns_that_were_missed_are_doubted_at_their_jack(booth: Path, bowed: Site, tmp_path: Path) -> None:
    """Four turns of a corner jack that were written down and not made, 12 mm: no spring of ±10 % explains that."""
    made = LIFTED + 9
    missed = made - 4.0 * (np.arange(12) == 3)
    rest = bowed.survey(tmp_path / "rest.csv", NONE, NONE, seed=4)
    heights = bowed.heights(missed) * 1e3 + np.random.default_rng(3).normal(0, 0.3, 12)
    lifted = write_survey(tmp_path / "lifted.csv", bowed.case.jacks.ids, heights, made)
    arguments = ["level", str(booth), str(rest), str(lifted), "--out", str(tmp_path / "papers"), "--quiet"]
    assert main(arguments) == 0
    notes = record(tmp_path / "papers", "level.json")["notes"]
    (doubt,) = [note for note in notes if "a turn missed" in note]
    assert doubt.startswith("jack A4")


@pytest.mark.usefixtures("no_sheets")
def test_one_survey_estimates_no_rates(booth: Path, survey: Path, tmp_path: Path) -> None:
    found = levelled(booth, survey, out=tmp_path / "papers")
    assert {jack["rate_N_mm"] for jack in found["jacks"]} == {None}


@pytest.mark.usefixtures("no_sheets")
def test_points_by_their_place_without_turns(booth: Path, site: Site, survey: Path, tmp_path: Path) -> None:
    """The same heights at the jacks' places and no column turns: the passes of [lift] are taken for done."""
    with survey.open(encoding="utf-8", newline="") as file:
        heights = [row["height_mm"] for row in csv.DictReader(file)]
    rows = [f"{1e3 * x:.0f},{1e3 * y:.0f},{read}" for (x, y), read in zip(site.case.jacks.xy, heights, strict=True)]
    placed = tmp_path / "placed.csv"
    placed.write_text("\n".join(["x_mm,y_mm,height_mm", *rows, ""]), encoding="utf-8")
    by_place = levelled(booth, placed, out=tmp_path / "by-place")
    by_id = levelled(booth, survey, out=tmp_path / "by-id")
    assert by_place["jacks"] == by_id["jacks"]
    assert any("all passes of [lift] are taken as done" in note for note in by_place["notes"])


@pytest.mark.usefixtures("no_sheets")
def test_points_between_jacks_serve_as_well(booth: Path, site: Site, tmp_path: Path) -> None:
    """Twenty points on a lattice of its own: the turns found from them bring the real slab level too."""
    x, y = (each.ravel() for each in np.meshgrid(np.linspace(0.3, 4.3, 5), np.linspace(0.3, 3.2, 4)))
    rows = site.floor.sampler.points(np.column_stack([x, y])).rows
    slab = 0.021 + SLOPE[0] * x + SLOPE[1] * y - rows @ site.afloat(LIFTED).displacement
    lines = [f"{1e3 * a:.0f},{1e3 * b:.0f},{1e3 * h:.1f}" for a, b, h in zip(x, y, slab, strict=True)]
    (tmp_path / "lattice.csv").write_text("\n".join(["x_mm,y_mm,height_mm", *lines, ""]), encoding="utf-8")
    found = levelled(booth, tmp_path / "lattice.csv", out=tmp_path / "papers")
    assert departure(site, LIFTED + of_jacks(found, "quarter_turns") / 4, "service") <= 3e-3


@pytest.mark.usefixtures("no_sheets")
def test_level_slab_is_left_alone(booth: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    even = Site.of(booth)
    survey = even.survey(tmp_path / "even.csv", LIFTED, LIFTED)
    assert main(["level", str(booth), str(survey), "--out", str(tmp_path / "papers"), "--strict"]) == 0
    assert "no jack need be turned" in " ".join(capsys.readouterr().out.split())
    found = record(tmp_path / "papers", "level.json")
    assert not of_jacks(found, "quarter_turns").any()
    assert found["steps"] == []


@pytest.mark.usefixtures("no_sheets")
def test_what_cannot_be_reached_is_said_and_fails_strictly(case: Path, survey: Path, tmp_path: Path) -> None:
    """A quarter turn at most, 0.75 mm: it takes nearly all of 9 mm off no slab, and turns that help are still given."""
    edit(case / "case.toml", "[lift]", "[level]\nmost_turns = 0.25\n\n[lift]")
    found = levelled(case, survey, out=tmp_path / "papers", status=1)
    assert found["reach"]["words"].startswith("Out of reach")
    reach = found["reach"]["overall_mm"]
    assert reach["limit"] < reach["after"] < reach["before"]
    assert np.abs(of_jacks(found, "quarter_turns")).max() == 1
    failed = [check["name"] for check in found["checks"] if not check["ok"]]
    assert failed == ["departure from level, service"]


@pytest.mark.usefixtures("no_sheets")
def test_same_survey_gives_the_same_papers_and_quiet_says_nothing(
    booth: Path, survey: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for name in ("one", "two"):
        levelled(booth, survey, out=tmp_path / name)
    printed = capsys.readouterr()
    assert (printed.out, printed.err) == ("", "")
    for path in (tmp_path / "one").iterdir():
        assert path.read_bytes() == (tmp_path / "two" / path.name).read_bytes(), path.name


def test_papers_with_pictures(
    booth: Path, at_rest: Path, survey: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every file that the record names is there, none else, and pictures show something."""
    out = tmp_path / "papers"
    assert main(["level", str(booth), str(at_rest), str(survey), "--out", str(out)]) == 0
    said = capsys.readouterr().out
    assert "Within reach" in said
    assert "Rates from the surveys" in said
    assert "Nobody goes under a slab that is not packed." in said
    files = {path.relative_to(out).as_posix() for path in out.rglob("*") if path.is_file()}
    assert files == set(record(out, "level.json")["papers"])
    pictures = list(out.rglob("*.png"))
    assert pictures
    for picture in pictures:
        assert np.asarray(Image.open(picture).convert("L")).std() > 1, picture.name


@pytest.mark.usefixtures("no_sheets")
def test_doubtful_height_is_left_out_and_named(booth: Path, site: Site, tmp_path: Path) -> None:
    """One reading 8 mm off: doubt, not nonsense. Without it the slab comes level all the same."""
    heights = site.heights(LIFTED) * 1e3
    heights[5] += 8
    survey = write_survey(tmp_path / "doubt.csv", site.case.jacks.ids, heights, LIFTED)
    found = levelled(booth, survey, out=tmp_path / "papers")
    assert found["points_left_out"] == ["B2"]
    assert any("doubt.csv: B2" in note and "survey it again" in note for note in found["notes"])
    assert departure(site, LIFTED + of_jacks(found, "quarter_turns") / 4, "service") <= 3e-3


def refused(
    case: Path, surveys: Sequence[Path], tmp_path: Path, capsys: pytest.CaptureFixture[str], words: Sequence[str]
) -> None:
    """Said in these words on standard error, and nothing written."""
    out = tmp_path / "papers"
    before = set(tmp_path.iterdir())
    assert main(["level", str(case), *map(str, surveys), "--out", str(out)]) == 2
    assert set(tmp_path.iterdir()) == before
    said = " ".join(capsys.readouterr().err.split())
    for each in (*words, "nothing written"):
        assert each in said, said
    assert "Traceback" not in said


def test_unknown_jacks_and_bad_numbers_of_two_surveys_are_told_together(
    booth: Path, at_rest: Path, survey: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edit(at_rest, "\nB2,", "\nB7,")
    edit(survey, "\nC4,", "\nD9,")
    edit(survey, ",7\nA2,", ",7.1\nA2,")
    words = (
        "at-rest.csv: row 7, column id: got 'B7'",
        "lifted.csv: row 2, column turns: got '7.1'",
        "quarters as .25, .5 and .75",
        "lifted.csv: row 13, column id: got 'D9'",
        "problems found",
    )
    refused(booth, [at_rest, survey], tmp_path, capsys, words)


def test_too_few_points_are_refused(
    booth: Path, survey: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rows = survey.read_text(encoding="utf-8").splitlines()
    blank = [f"{row.split(',')[0]},,7" for row in rows[3:]]
    survey.write_text("\n".join([*rows[:3], *blank, ""]), encoding="utf-8")
    refused(booth, [survey], tmp_path, capsys, ["lifted.csv: column height_mm: got 2 heights", "three points or more"])


@pytest.mark.parametrize(("unit", "millimetres"), [("feet", 304.8), ("metres", 1000.0)])
def test_heights_in_another_unit_are_refused(
    booth: Path,
    site: Site,
    at_rest: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    unit: str,
    millimetres: float,
) -> None:
    """After a survey in mm, and with both in that unit."""
    lifted = _in_unit(tmp_path / "other.csv", site, TALL, millimetres)
    refused(booth, [at_rest, lifted], tmp_path, capsys, ["other.csv: height_mm", "the slab rose by"])
    resting = _in_unit(tmp_path / "rest.csv", site, NONE, millimetres)
    words = ["other.csv: height_mm", f"are the heights in {unit}? They are wanted in mm."]
    refused(booth, [resting, lifted], tmp_path, capsys, words)


def test_single_survey_in_feet_is_refused(
    booth: Path, site: Site, tmp_path: Path, capsys: pytest.CaptureFixture[str], no_sheets: None
) -> None:
    """Twelve heights within 0.04 of each other: of readings with a deviation of 0.5 mm that never happens."""
    lifted = _in_unit(tmp_path / "other.csv", site, TALL, 304.8)
    refused(booth, [lifted], tmp_path, capsys, ["other.csv: height_mm", "are they in mm, as read?"])


def _in_unit(path: Path, site: Site, turns: Floats, millimetres: float) -> Path:
    """A survey to five figures in a unit of so many millimetres."""
    heights = site.heights(turns) * 1e3 / millimetres
    columns = zip(site.case.jacks.ids, heights, turns, strict=True)
    rows = [f"{name},{height:.5f},{turn:g}" for name, height, turn in columns]
    path.write_text("\n".join(["id,height_mm,turns", *rows, ""]), encoding="utf-8")
    return path


def test_slip_of_100_mm_is_refused_by_its_point(
    booth: Path, site: Site, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    heights = site.heights(LIFTED) * 1e3
    heights[6] += 100
    slip = write_survey(tmp_path / "slip.csv", site.case.jacks.ids, heights, LIFTED)
    refused(booth, [slip], tmp_path, capsys, ["slip.csv: height_mm", "B3", "a slip of 100 mm?"])


def test_surveys_in_the_wrong_order_are_refused(
    booth: Path, site: Site, at_rest: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lifted = site.survey(tmp_path / "lifted.csv", TALL, TALL)
    words = ["at-rest.csv: height_mm", "the slab rose by -38", "the turns made give 0.0 mm"]
    refused(booth, [lifted, at_rest], tmp_path, capsys, words)


def test_slip_of_100_mm_at_rest_is_refused_by_its_point(
    booth: Path, site: Site, survey: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], no_sheets: None
) -> None:
    """In the survey before the first turn, from which rates would be estimated."""
    heights = site.floor_height * 1e3
    slip = write_survey(tmp_path / "slip.csv", site.case.jacks.ids, heights + 100 * (np.arange(12) == 6), NONE)
    refused(booth, [slip, survey], tmp_path, capsys, ["height_mm", "B3", "100 mm"])


def test_surveys_of_a_low_lift_in_the_wrong_order_are_refused(
    booth: Path, at_rest: Path, survey: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], no_sheets: None
) -> None:
    """A slab that sank by 11 mm without a turn: springs that shorten by 10 mm cannot explain it."""
    words = ["at-rest.csv: height_mm", "the slab rose by -11", "the turns made give 0.0 mm"]
    refused(booth, [survey, at_rest], tmp_path, capsys, words)


def test_survey_before_the_slab_floats_is_refused(
    booth: Path, site: Site, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Three turns are 9 mm of screw against springs that shorten by 9.9 mm."""
    early = write_survey(tmp_path / "early.csv", site.case.jacks.ids, site.floor_height * 1e3, np.full(12, 3.0))
    words = ["early.csv: turns: got 3 turns of every jack in all", "still on the floor", "floats everywhere"]
    refused(booth, [early], tmp_path, capsys, words)


def test_survey_without_any_turns_is_nothing_to_level_from(
    booth: Path, at_rest: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    refused(booth, [at_rest], tmp_path, capsys, ["at-rest.csv: turns: got no turns", "nothing to level"])


def test_missing_file_and_folder_are_told_together(
    booth: Path, survey: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "folder.csv").mkdir()
    surveys = [tmp_path / "missing.csv", tmp_path / "folder.csv", survey]
    refused(booth, surveys, tmp_path, capsys, ["missing.csv", "folder.csv", "2 problems found", "a CSV file with"])


def test_same_survey_twice_is_refused(
    booth: Path, survey: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    refused(booth, [survey, survey], tmp_path, capsys, ["each survey once; it is survey 1 already"])


def test_case_without_a_lift_is_refused(
    case: Path, survey: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (case / "case.toml").read_text(encoding="utf-8")
    (case / "case.toml").write_text(text[: text.index("[lift]")], encoding="utf-8")
    refused(case, [survey], tmp_path, capsys, ["case.toml: lift", "a table [lift]"])
