"""Lists of single jobs: what they say, in which units, and that a case reads its jack list back to the millimetre."""

from __future__ import annotations

import csv
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import Polygon, box
from shapely.affinity import translate

from postprocess.drawing import datum_corner
from postprocess.jobs.choice_lists import write_buying_list, write_habit, write_nested_pairs
from postprocess.jobs.setout_lists import millimetres, row_names, write_jack_list, write_running_dimensions
from postprocess.jobs.swap_lists import write_load_changes, write_swaps
from postprocess.jobs.views import SetOutView
from postprocess.schedule import JackSchedule
from postprocess.view import FloorView
from preprocess.jack_list import read_jack_list
from tests.unit.job_cases import choice_of, revision_of, setout_of

Floats = NDArray[np.float64]


def rows_of(path: Path) -> list[dict[str, str]]:
    """The lines of a list by the headings of its columns."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def awkward(schedule: JackSchedule) -> JackSchedule:
    """Jacks at tenths of a millimetre, also left of and below the origin."""
    return replace(schedule, xy=schedule.xy * 1.01234567 - [0.8, 0.7])


def test_jack_list_reads_back_to_a_tenth_of_a_millimetre(floor_view: FloorView, tmp_path: Path) -> None:
    """The reader of cases is the reference; rounding to 0.1 mm leaves half of that."""
    schedule = awkward(floor_view.schedule)
    assert schedule.xy.min() < 0
    write_jack_list(schedule, tmp_path / "jacks.csv")
    text = (tmp_path / "jacks.csv").read_text(encoding="utf-8")
    assert text.splitlines()[0] == "id,x_mm,y_mm,spring"
    jacks, problems = read_jack_list(text, "jacks.csv", ("A7", "A7+B2"))
    assert problems == []
    assert tuple(jack.id for jack in jacks) == schedule.ids
    assert tuple(jack.spring for jack in jacks) == schedule.springs
    read = np.array([(jack.x_mm, jack.y_mm) for jack in jacks])
    np.testing.assert_allclose(read, 1e3 * schedule.xy, rtol=0, atol=0.0501)
    assert all(jack.advance_mm == 0 for jack in jacks)


def test_jack_list_has_advances_if_there_are_any(floor_view: FloorView, tmp_path: Path) -> None:
    advance = np.zeros(len(floor_view.schedule))
    advance[[1, 4]] = [0.00075, -0.003]
    write_jack_list(replace(floor_view.schedule, advance=advance), tmp_path / "jacks.csv")
    jacks, problems = read_jack_list((tmp_path / "jacks.csv").read_text(encoding="utf-8"), "jacks.csv", ())
    assert problems == []
    np.testing.assert_allclose([jack.advance_mm for jack in jacks], 1e3 * advance, rtol=0, atol=1e-9)


@pytest.mark.parametrize(
    ("length", "words"), [(1.3, "1300"), (0.2455, "245.5"), (1.23456, "1234.6"), (-1e-9, "0"), (-0.0401, "-40.1")]
)
def test_millimetres(length: float, words: str) -> None:
    assert millimetres(length) == words


@pytest.mark.parametrize(
    ("ids", "rows", "expected"),
    [
        (("A1", "A2", "B1", "B2"), ((0, 1), (2, 3)), ("A", "B")),
        (("A1", "A2", "B1", "B2"), ((0, 1), (2, 3), (0, 2), (1, 3)), ("A", "B", "C", "D")),
        (("J1", "J2", "J3", "J4"), ((0, 1), (2, 3)), ("A", "B")),  # J says nothing of the row
        (("B1", "B2", "7", "8"), ((2, 3), (0, 1)), ("A", "B")),
        (("north", "south"), ((0, 1),), ("A",)),
        (("A1", "A2"), (), ()),
    ],
)
def test_rows_have_the_letters_of_their_jacks(
    ids: tuple[str, ...], rows: tuple[tuple[int, ...], ...], expected: tuple[str, ...]
) -> None:
    assert row_names(ids, rows) == expected


def test_names_of_many_rows_differ() -> None:
    """Beyond Z come AA, AB, …"""
    ids = tuple(str(number) for number in range(1600))
    names = row_names(ids, [(2 * i, 2 * i + 1) for i in range(800)])
    assert names[:3] == ("A", "B", "C")
    assert names[25:28] == ("Z", "AA", "AB")
    assert len(set(names)) == 800
    assert names[702] == "AAA"


def test_datum_is_a_corner_of_the_outline() -> None:
    """A slanted plan: its lower left corner is not that of its extent."""
    plan = Polygon([(0.7, 0.0), (6.0, 0.4), (5.5, 4.0), (0.0, 3.0), (0.2, 0.5)])
    assert datum_corner(plan) == pytest.approx((0.2, 0.5))
    assert datum_corner(translate(box(0, 0, 2, 1), 3, -4)) == pytest.approx((3, -4))


def test_running_dimensions(floor_view: FloorView, tmp_path: Path) -> None:
    """Each jack once; a plan that is moved changes nothing, since the datum moves along."""
    schedule, setout = floor_view.schedule, setout_of(floor_view)
    moved = replace(schedule, xy=schedule.xy + np.array([5.0, -3.0]))
    write_running_dimensions(floor_view.plan, schedule, setout, tmp_path / "here.csv")
    write_running_dimensions(translate(floor_view.plan, 5.0, -3.0), moved, setout, tmp_path / "there.csv")
    assert (tmp_path / "here.csv").read_bytes() == (tmp_path / "there.csv").read_bytes()
    rows = rows_of(tmp_path / "here.csv")
    datum = ["x_from_datum_mm", "y_from_datum_mm"]
    assert list(rows[0]) == ["id", "row", *datum, "from_first_jack_of_row_mm", "other_rows"]
    assert [row["id"] for row in rows] == list(schedule.ids)
    assert [row["x_from_datum_mm"] for row in rows[4:8]] == ["600", "2200", "3800", "5400"]
    assert {row["y_from_datum_mm"] for row in rows[4:8]} == {"2600"}
    assert [row["from_first_jack_of_row_mm"] for row in rows[4:8]] == ["0", "1600", "3200", "4800"]
    assert [row["row"] for row in rows] == ["A"] * 4 + ["B"] * 4 + ["C"] * 4
    assert [row["other_rows"] for row in rows] == ["D", "E", "F", "G"] * 3


def test_running_dimensions_of_slanted_rows_and_lone_jacks(floor_view: FloorView, tmp_path: Path) -> None:
    """Along a slanted row the distance is straight: 3-4-5 triangles. Jacks on no row come last."""
    xy = np.array([[1.0, 1.0], [4.0, 5.0], [1.3, 1.4], [2.0, 0.5]])
    old = floor_view.schedule
    schedule = replace(old, ids=("P1", "P3", "P2", "Q1"), xy=xy, springs=("A7",) * 4)
    setout = SetOutView(((0, 2, 1),), (), (), (), ())
    write_running_dimensions(box(0, 0, 6, 6), schedule, setout, tmp_path / "rows.csv")
    rows = rows_of(tmp_path / "rows.csv")
    assert [row["id"] for row in rows] == ["P1", "P2", "P3", "Q1"]
    assert [row["from_first_jack_of_row_mm"] for row in rows] == ["0", "500", "5000", ""]
    assert [row["row"] for row in rows] == ["P", "P", "P", ""]
    assert (rows[3]["x_from_datum_mm"], rows[3]["y_from_datum_mm"]) == ("2000", "500")


def test_buying_list(floor_view: FloorView, tmp_path: Path) -> None:
    write_buying_list(choice_of(floor_view).buying, tmp_path / "buying-list.csv")
    rows = rows_of(tmp_path / "buying-list.csv")
    assert list(rows[0].values()) == ["A7", "280", "7", "12", "2", "14"]
    assert rows[1]["coil"] == "B2"
    assert rows[1]["total"] == "4"
    assert list(rows[0]) == ["coil", "rate_N_mm", "rated_load_kN", "under_jacks", "spares", "total"]


def test_nested_pairs_have_their_reasons(floor_view: FloorView, tmp_path: Path) -> None:
    choice = choice_of(floor_view)
    write_nested_pairs(floor_view.schedule, choice, tmp_path / "nested-pairs.csv")
    rows = rows_of(tmp_path / "nested-pairs.csv")
    assert [row["jack"] for row in rows] == ["J01", "J05", "J09"]
    assert {(row["pair"], row["outer"], row["inner"]) for row in rows} == {("A7+B2", "A7", "B2")}
    assert rows[0]["reason"] == choice.pair_reasons[0]  # it has commas


def test_habit_list(floor_view: FloorView, tmp_path: Path) -> None:
    write_habit(floor_view.schedule, choice_of(floor_view), tmp_path / "habit.csv")
    rows = rows_of(tmp_path / "habit.csv")
    assert [row["jack"] for row in rows if row["wrong"]] == ["J01", "J04", "J06", "J11"]
    assert rows[0]["ratio_habit"] == "1.200"
    assert float(rows[0]["ratio_chosen"]) == pytest.approx(floor_view.schedule.load_ratio("service")[0], abs=6e-4)


def test_swap_list(floor_view: FloorView, tmp_path: Path) -> None:
    """In the order of the crew; a jack that is new has no load before and nothing to take out."""
    schedule, changes = floor_view.schedule, revision_of(floor_view, (8, 2, 7))
    write_swaps(schedule, changes, tmp_path / "swaps.csv")
    rows = rows_of(tmp_path / "swaps.csv")
    loads = ["load_before_kN", "load_with_old_springs_kN", "load_after_kN"]
    columns = ["jack", "x_mm", "y_mm", "out", "in", *loads, "ratio_after"]
    assert list(rows[0]) == columns
    assert [row["jack"] for row in rows] == ["J09", "J03", "J08"]
    assert (rows[1]["x_mm"], rows[1]["y_mm"], rows[1]["out"], rows[1]["in"]) == ("3800", "500", "A7+B2", "A7")
    assert (rows[2]["out"], rows[2]["load_before_kN"]) == ("", "")
    after = schedule.loads["service"][2] / 1e3
    assert float(rows[1]["load_after_kN"]) == pytest.approx(after, abs=6e-4)
    assert float(rows[1]["load_before_kN"]) == pytest.approx(0.9 * after, abs=6e-4)
    assert float(rows[1]["ratio_after"]) == pytest.approx(after / 7.0, abs=6e-4)  # rated at 7 kN


def test_changes_of_load_of_all_jacks(floor_view: FloorView, tmp_path: Path) -> None:
    schedule, changes = floor_view.schedule, revision_of(floor_view)
    write_load_changes(schedule, changes, tmp_path / "loads.csv")
    rows = rows_of(tmp_path / "loads.csv")
    assert [row["jack"] for row in rows] == list(schedule.ids)
    assert [row["jack"] for row in rows if row["spring_before"] != row["spring_after"]] == ["J03", "J08", "J09"]
    assert rows[7]["load_before_kN"] == rows[7]["load_with_old_springs_kN"] == ""
    loads = np.array([[float(row[name]) for name in ("load_before_kN", "load_after_kN")] for row in rows[:7]])
    np.testing.assert_allclose(loads[:, 0], 0.9 * loads[:, 1], atol=1.2e-3)  # both rounded to newtons
    np.testing.assert_allclose(loads[:, 1], schedule.loads["service"][:7] / 1e3, atol=6e-4)
    assert [row["status"] for row in rows] == list(schedule.status)
