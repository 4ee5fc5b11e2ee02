"""Surveys: what a file may hold, what it becomes in metres, and every fault of all files at once."""

# ruff: noqa: E501 - a table of bad input reads best with one case a line

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from preprocess.case import Case
from preprocess.errors import InputError
from preprocess.reader import read_case
from preprocess.survey import Survey, read_surveys

THREE = "id,height_mm\nJ1,100\nJ7,101.5\nJ29,99\n"
"""Three corners of the small case: J1 at (450, 450), J7 at (8550, 450), J29 at (450, 5550) mm."""


@pytest.fixture
def case(small_case: Path) -> Case:
    return read_case(small_case)


def edited(folder: Path, old: str, new: str) -> Case:
    """The small case with another text in it."""
    path = folder / "case.toml"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    return read_case(folder)


def surveys(case: Case, folder: Path, *texts: str) -> tuple[Survey, ...]:
    paths = [folder / f"survey-{number}.csv" for number in range(1, 1 + len(texts))]
    for path, text in zip(paths, texts, strict=True):
        path.write_text(text, encoding="utf-8")
    return read_surveys(paths, case)


def messages(case: Case, folder: Path, *texts: str) -> list[str]:
    with pytest.raises(InputError) as caught:
        surveys(case, folder, *texts)
    assert all(problem.file and problem.where and problem.allowed for problem in caught.value.problems)
    return [str(problem) for problem in caught.value.problems]


def all_turned(turns: str = "20") -> str:
    """A survey of every jack of the small case after as many turns of each."""
    return "id,height_mm,turns\n" + "".join(f"J{jack},{100 + 0.1 * jack:.1f},{turns}\n" for jack in range(1, 36))


def mixed() -> str:
    """The same with one point more that is no jack."""
    return all_turned().replace("turns\n", "turns,x_mm,y_mm,deviation_mm\n") + ",102,,100,200,0.5\n"


def test_heights_of_jacks_and_of_other_points_in_metres(case: Case, tmp_path: Path) -> None:
    text = "id,x_mm,y_mm,height_mm,deviation_mm\nJ1,,,100,\nJ7,8555,450,101.5,0.8\n,1234,5678.4,-3,0.3\n"
    [survey] = surveys(case, tmp_path, text)
    assert survey.file == "survey-1.csv"
    assert survey.points == ("J1", "J7", "(1.234, 5.678) m")
    assert survey.xy.tolist() == [[0.45, 0.45], [8.55, 0.45], [1.234, 5.6784]]
    assert survey.height.tolist() == [0.1, 0.1015, -0.003]
    np.testing.assert_allclose(survey.deviation, [0.0005, 0.0008, 0.0003], rtol=1e-15)
    assert not survey.turns_given


def test_usual_deviation_is_that_of_the_case(small_case: Path, tmp_path: Path) -> None:
    case = edited(small_case, "[lift]", "[level]\nsurvey_deviation_mm = 1.5\n[lift]")
    assert set(surveys(case, tmp_path, THREE)[0].deviation) == {0.0015}


def test_turns_of_the_first_survey_are_those_of_the_lift_where_none_are_given(case: Case, tmp_path: Path) -> None:
    """Ten passes of two turns for each of 35 jacks, and none before the second survey."""
    first, second = surveys(case, tmp_path, THREE, THREE)
    assert first.turns.tolist() == 35 * [20]
    assert second.turns.tolist() == 35 * [0]
    assert [survey.turns_given for survey in (first, second)] == [False, False]


def test_turns_since_the_survey_before(case: Case, tmp_path: Path) -> None:
    """Quarters either way; a jack may be turned and not measured, and of a later survey blank is no turn."""
    later = "id,height_mm,turns\nJ1,100,0.25\nJ7,101,-1.5\nJ29,99,\nJ4,,2\n"
    first, second = surveys(case, tmp_path, all_turned("19.75"), later)
    assert first.turns.tolist() == 35 * [19.75]
    assert second.points == ("J1", "J7", "J29")
    turned = {name: turns for name, turns in zip(case.jacks.ids, second.turns, strict=True) if turns}
    assert turned == {"J1": 0.25, "J7": -1.5, "J4": 2}
    assert first.turns_given
    assert second.turns_given


def test_a_survey_of_jacks_and_points_together(case: Case, tmp_path: Path) -> None:
    """The undamaged file of the test with damage below."""
    [survey] = surveys(case, tmp_path, mixed())
    assert len(survey.points) == 36
    assert survey.points[-1] == "(0.100, 0.200) m"
    assert survey.turns.tolist() == 35 * [20]


def test_a_filled_in_form_with_blank_lines_is_read(case: Case, tmp_path: Path) -> None:
    """Byte order mark, CRLF, blanks, columns in any order, jacks that were not measured."""
    text = "\ufeffheight_mm , id\r\n\r\n100, J1\r\n,J2\r\n101,J7 ,,\r\n99,J29\r\n"
    assert surveys(case, tmp_path, text)[0].points == ("J1", "J7", "J29")


def test_arrays_are_read_only(case: Case, tmp_path: Path) -> None:
    [survey] = surveys(case, tmp_path, THREE)
    for array in (survey.xy, survey.height, survey.deviation, survey.turns):
        with pytest.raises(ValueError, match="read-only"):
            array[...] = 0


def test_strange_heights_are_left_to_the_mathematics(case: Case, tmp_path: Path) -> None:
    """A slip of 100 mm and heights that are all alike pass."""
    assert surveys(case, tmp_path, THREE.replace("99", "199"))[0].height[2] == 0.199
    assert surveys(case, tmp_path, "id,height_mm\nJ1,5\nJ7,5\nJ29,5\n")


PLACES = "x_mm,y_mm,height_mm\n450,450,1\n8550,450,2\n450,5550,3\n"
BOTH = "id,x_mm,y_mm,height_mm\nJ1,,,1\nJ7,,,2\nJ29,,,3\n"

REFUSALS = [
    # the table
    ("", ["row 1: got nothing: columns id or x_mm,y_mm, then height_mm"]),
    ("id;height_mm\nJ1;1\n", ["row 1: got cells separated by semicolons: cells separated by commas"]),
    ("id\nJ1\n", ["row 1, column height_mm: required, but missing: columns id or x_mm,y_mm, then"]),
    ("\nheight_mm\n1\n", ["row 2, column id: required, but missing: columns id or x_mm,y_mm, then"]),
    ("x_mm,height_mm\n1,1\n", ["row 1, column y_mm: required, but missing: columns id or"]),
    ("id,y_mm,height_mm\nJ1,1,1\n", ["row 1, column x_mm: required, but missing: columns id or"]),
    (THREE.replace("height_mm", "height_mm,turn"), ["row 1: got 'turn': no such column; the nearest is \"turns\""]),
    (THREE.replace("J1,100", "J1,100,1,1"), ["row 2: got 4 cells: 2 cells, as in row 1"]),
    # places
    (THREE.replace("J7", "j7"), ["row 3, column id: got 'j7': no such jack; the nearest is \"J7\""]),
    (THREE.replace("J7", "=1+1"), ["row 3, column id: got '=1+1': no such jack"]),
    (THREE + "J7,101\n", ['row 5, column id: got "J7": each id once; row 3 has it already']),
    (PLACES + "9001,0,1\n", ["row 5: got (9001, 0) mm, off the slab: on the slab"]),
    (PLACES + "456,457,1\n", ["row 5: got (456, 457) mm: each point once; row 2 has it already"]),
    (BOTH + ",455,455,1\n", ["row 5: got (455, 455) mm: each point once; row 2 has it already"]),
    (BOTH.replace("J7,,", "J7,8550,461"), ['row 3, jack "J7": got (8550, 461) mm: (8550, 450) mm, where the case has it']),
    (BOTH.replace("J7,,", "J7,8550,"), ["row 3, column y_mm: got '': a number beside x_mm"]),
    (BOTH + ",,,1\n", ["row 5: got neither id nor place: the id of a jack, or x_mm and y_mm"]),
    (PLACES.replace("8550", "8.5m"), ["row 3, column x_mm: got '8.5m': a number in mm"]),
    # heights
    (THREE.replace("100", "high"), ["row 2, column height_mm: got 'high': a number in mm, within ±1,000,000"]),
    (THREE.replace("100", "nan"), ["row 2, column height_mm: got 'nan': a number in mm"]),
    (THREE.replace("J1,100\n", ""), ["column height_mm: got 2 heights: heights at three points or more, 100 mm or more"]),
    ("id,height_mm\n", ["column height_mm: got 0 heights: heights at three points or more"]),
    (THREE.replace("J29", "J4"), ["column height_mm: got 3 heights in one line: heights at three points"]),
    (THREE.replace("99", "-99.5"), ["got -99.5 in row 4 and 101.5 in row 3: heights in mm above one benchmark, within 200 mm"]),
    # deviations and turns
    ("id,height_mm,deviation_mm\nJ1,1,0\nJ7,1,21\nJ29,1,-1\n", [f"row {row}, column deviation_mm: got '{value}': a number above 0, at most 20 mm" for row, value in ((2, "0"), (3, "21"), (4, "-1"))]),
    (all_turned().replace("J3,100.3,20", "J3,100.3,20.1"), ["row 4, column turns: got '20.1': full turns within ±1,000, quarters as .25"]),
    (all_turned().replace("J3,100.3,20", "J3,100.3,all"), ["row 4, column turns: got 'all': full turns within ±1,000"]),
    (all_turned().replace("J3,100.3,20", "J3,100.3,1001"), ["row 4, column turns: got '1001': full turns within ±1,000"]),
    (all_turned().replace("J3,100.3,20", "J3,100.3,"), ["column turns: got nothing for 1 jack: J3: in the first survey, the turns of every jack"]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "expected"), REFUSALS)
def test_refusals(case: Case, tmp_path: Path, text: str, expected: list[str]) -> None:
    found = messages(case, tmp_path, text)
    assert len(found) == len(expected), found
    for message, part in zip(found, expected, strict=True):
        assert message.startswith("survey-1.csv: ")
        assert part in message
        assert message.isprintable()


def test_turns_need_an_id(case: Case, tmp_path: Path) -> None:
    later = "id,x_mm,y_mm,height_mm,turns\nJ1,,,1,\nJ7,,,2,\nJ29,,,3,\n,4000,3000,2,1\n"
    [message] = messages(case, tmp_path, all_turned(), later)
    assert message == "survey-2.csv: row 5, column turns: got '1': turns only in a row with the id of a jack"


def test_a_point_in_an_opening(small_case: Path, tmp_path: Path) -> None:
    opening = "openings_mm = [[[1000, 900], [1300, 900], [1300, 1200], [1000, 1200]]]"
    case = edited(small_case, "openings_mm = []", opening)
    [message] = messages(case, tmp_path, PLACES + "1100,1000,2\n")
    assert "row 5: got (1100, 1000) mm, in an opening: on the slab" in message
    assert surveys(case, tmp_path, PLACES + "1000,1000,2\n")  # on its edge


def test_jacks_of_another_floor_are_one_problem(case: Case, tmp_path: Path) -> None:
    [message] = messages(case, tmp_path, THREE + "".join(f"P{number},1\n" for number in range(40)))
    assert "column id: got 40 jacks that this floor does not have: P0, P1, P2 and 37 more: ids of this" in message


@pytest.mark.parametrize(
    ("old", "new", "reason"),
    [
        ("passes = 10", "air_gap_mm = 50", "the lift of the case gives an air gap, not the passes"),
        ('[lift]\npitch_mm = 3.0\nturns_per_pass = 2\npasses = 10\norder = "listed"\nage_days = 4\n', "", "no [lift]"),
    ],
)
def test_turns_are_asked_for_where_the_lift_does_not_tell_them(
    small_case: Path, tmp_path: Path, old: str, new: str, reason: str
) -> None:
    case = edited(small_case, old, new)
    [message] = messages(case, tmp_path, THREE, THREE)
    assert message.startswith("survey-1.csv: row 1, column turns: required, but missing: the column turns")
    assert reason in message
    assert surveys(case, tmp_path, all_turned(), THREE)[1].turns.tolist() == 35 * [0]


def test_all_faults_of_all_files_at_once(case: Case, tmp_path: Path) -> None:
    """Five rows with one fault each in one file, two in the next; in the order of files and rows."""
    first = "id,x_mm,y_mm,height_mm,deviation_mm\nJ99,,,1,\nJ2,0,0,1,\nJ3,,,x,\nJ4,,,1,0\n,-5,0,1,\nJ29,,,250,\n"
    second = "id,height_mm,turns\nJ1,1,1/4\nJ1,2,\nJ7,3,\n"
    found = messages(case, tmp_path, first, second)
    assert [": ".join(message.split(": ")[:2]) for message in found] == [
        "survey-1.csv: row 2, column id",
        'survey-1.csv: row 3, jack "J2"',
        "survey-1.csv: row 4, column height_mm",
        "survey-1.csv: row 5, column deviation_mm",
        "survey-1.csv: row 6",
        "survey-1.csv: column height_mm",
        "survey-2.csv: row 2, column turns",
        "survey-2.csv: row 3, column id",
    ]


def refused(case: Case, *paths: Path) -> list[str]:
    with pytest.raises(InputError) as caught:
        read_surveys(paths, case)
    return [str(problem) for problem in caught.value.problems]


def test_files_that_cannot_be_read(case: Case, tmp_path: Path) -> None:
    large, latin = tmp_path / "large.csv", tmp_path / "latin.csv"
    large.touch()
    os.truncate(large, 10_200_000)
    latin.write_bytes(THREE.encode() + b"\xe9")
    missing, folder, size, letter = refused(case, tmp_path / "none.csv", tmp_path, large, latin)
    assert missing.startswith(f'none.csv: survey 1: got "{str(tmp_path / "none.csv")[:20]}')
    assert missing.endswith("at most 10 MB; there is no such file")
    assert folder.endswith("it is a folder")
    assert size.endswith("it has 10.2 MB")
    assert letter == "latin.csv: line 5: got byte 0xe9: text in UTF-8"


def test_files_of_one_name_are_told_apart_and_none_counts_twice(case: Case, tmp_path: Path) -> None:
    paths = [tmp_path / day / "survey.csv" for day in ("monday", "tuesday")]
    for path in paths:
        path.parent.mkdir()
        path.write_text(THREE.replace("J7", "K7"), encoding="utf-8")
    assert [message.split(": ")[0] for message in refused(case, *paths)] == [str(path) for path in paths]
    paths[0].write_text(THREE, encoding="utf-8")
    [twice] = refused(case, paths[0], paths[0])
    assert twice.endswith("each survey once; it is survey 1 already")


TOKENS = st.sampled_from([",", "\n", '"', ";", "nan", "-1", "1e308", "J2", "J99", "\0", "\xa0", "0.1", "", "5555"])


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(cuts=st.lists(st.tuples(st.floats(0, 1), st.integers(0, 12), TOKENS | st.text(max_size=4)), max_size=4))
def test_any_damage_gives_surveys_or_an_input_error(
    case: Case, tmp_path: Path, cuts: list[tuple[float, int, str]]
) -> None:
    """Random cuts and insertions: never another exception, and what passes is finite and on the slab."""
    text = mixed()
    for place, length, token in cuts:
        start = int(place * len(text))
        text = text[:start] + token + text[start + length :]
    (tmp_path / "survey.csv").write_bytes(text.encode("utf-8", "surrogatepass"))
    try:
        [survey] = read_surveys([tmp_path / "survey.csv"], case)
    except InputError:
        return
    assert len(survey.points) == len(survey.xy) == len(survey.height) == len(survey.deviation) >= 3
    assert np.isfinite(survey.height).all()
    assert (survey.deviation > 0).all()
    assert ((survey.xy >= 0) & (survey.xy <= [9, 6])).all()
    assert (np.mod(4 * survey.turns, 1) == 0).all()
