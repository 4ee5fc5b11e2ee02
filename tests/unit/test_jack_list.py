"""The jack list."""

from __future__ import annotations

import pytest

from preprocess.jack_list import JackRow, read_jack_list

CODES = ("A7", "B2", "soft")
HEADER = "id,x_mm,y_mm,spring\n"


def messages(text: str) -> list[str]:
    return [str(problem) for problem in read_jack_list(text, "jacks.csv", CODES)[1]]


def test_rows_and_default_advance() -> None:
    rows, problems = read_jack_list(HEADER + "J1,100,250.5,A7\nJ2,-1e2,0,B2\n", "jacks.csv", CODES)
    assert not problems
    assert rows == [JackRow(2, "J1", 100, 250.5, "A7", 0), JackRow(3, "J2", -100, 0, "B2", 0)]


def test_columns_in_any_order_with_advance() -> None:
    text = "spring,advance_mm,y_mm,x_mm,id\nA7,1.5,2,1,J1\nA7,,4,3,J2\n"
    rows, problems = read_jack_list(text, "jacks.csv", CODES)
    assert not problems
    assert rows == [JackRow(2, "J1", 1, 2, "A7", 1.5), JackRow(3, "J2", 3, 4, "A7", 0)]


def test_what_spreadsheets_leave_behind_is_forgiven() -> None:
    """CRLF, blank lines, blanks around cells, empty cells at the end of rows; row numbers count them all."""
    text = " id , x_mm,y_mm,spring,,\r\n\r\n J1 , 100 ,200, A7 ,,\r\n,,,,,\r\nJ2,300,400,A7\r\n\r\n"
    rows, problems = read_jack_list(text, "jacks.csv", CODES)
    assert not problems
    assert [(row.row, row.id, row.x_mm) for row in rows] == [(3, "J1", 100), (5, "J2", 300)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ["row 1: got nothing: columns id,x_mm"]),
        ("id,x_mm,spring\n", ["row 1, column y_mm: required, but missing"]),
        (HEADER.replace("\n", ",colour\n"), ["row 1: got 'colour': no such column"]),
        (
            "id,x_mm,y_m,spring\n",
            ["row 1, column y_mm: required", "got 'y_m': no such column; the nearest is \"y_mm\""],
        ),
        ("id,x_mm,y_mm,spring,id\n", ["row 1: got 'id': each column once"]),
        ("id;x_mm;y_mm;spring\n", ["row 1: got cells separated by semicolons: cells separated by commas"]),
        (HEADER + "J1,1,2\n", ["row 2: got 3 cells: 4 cells, as in row 1"]),
        (HEADER + "J1,1,2,A7,9\n", ["row 2: got 5 cells: 4 cells, as in row 1"]),
        (HEADER + "J1,1;5,2,A7\n", ["row 2, column x_mm: got '1;5': a number in mm"]),
        (HEADER + "J1,1_0,2,A7\n", ["row 2, column x_mm: got '1_0': a number in mm"]),
        (HEADER + "J1,nan,inf,A7\n", ["row 2, column x_mm: got 'nan'", "row 2, column y_mm: got 'inf'"]),
        (HEADER + "J1,1e9,2,A7\n", ["row 2, column x_mm: got '1e9': a number in mm, within ±1,000,000"]),
        (HEADER + "J1\n", ["row 2: got 1 cell: 4 cells, as in row 1"]),
        ("id,x_mm,spring\nJ1,1,2,A7\nJ2,1\n", ["row 1, column y_mm: required, but missing"]),
        (HEADER + "=1+1,1,2,A7\n", ["row 2, column id: got '=1+1': one line of 1 to 24 printable characters"]),
        (HEADER + "@J1,1,2,A7\n", ["row 2, column id: got '@J1': one line of 1 to 24"]),
        (HEADER + "J\x1b[31m,1,2,A7\n", ["row 2, column id: got 'J\\x1b[31m': one line of"]),
        (HEADER + "J\0,1,2,A7\n", ["row 2, column id: got 'J\\x00': one line of 1 to 24"]),
        (HEADER + '"J\n1",1,2,A7\n', ["row 2, column id: got 'J\\n1': one line of 1 to 24"]),
        (HEADER + 400 * "J" + ",1,2,A7\n", ["row 2, column id: got 'JJJJ"]),
        (HEADER + "J1,1,2,A\x1b7\n", ["row 2, column spring: got 'A\\x1b7': no such spring"]),
        (HEADER + "J1,1,2,X\nJ2,1,2,A7\nJ3,1,2,X\n", ["rows 2 and 4, column spring: got 'X': no such spring"]),
        (
            HEADER + "".join(f"J{number},1,2,{'XY'[number % 2]}\n" for number in range(10)),
            ["rows 2, 4, 6 and 2 more, column spring: got 'X'", "rows 3, 5, 7 and 2 more, column spring: got 'Y'"],
        ),
        (HEADER + ",1,2,A7\n", ["row 2, column id: got '': text that is not empty"]),
        (HEADER + "J1,1,2,sofd\n", ["column spring: got 'sofd': no such spring; the nearest is \"soft\""]),
        (
            HEADER + "J1,1,2,Zebra\n",
            ["row 2, column spring: got 'Zebra': no such spring; known: A7, B2, soft"],
        ),
        (
            HEADER + "J1,1,2,A7\n\nJ1,5,2,A7\n",
            ['row 4, column id: got "J1": each id once; row 2 has it already'],
        ),
        (
            "id,x_mm,y_mm,spring,advance_mm\nJ1,1,2,A7,much\n",
            ["row 2, column advance_mm: got 'much': a number"],
        ),
    ],
)
def test_refusals(text: str, expected: list[str]) -> None:
    found = messages(text)
    assert len(found) == len(expected)
    for message, part in zip(found, expected, strict=True):
        assert message.startswith("jacks.csv: ")
        assert part in message
        assert message.isprintable()


def test_springs_are_left_alone_without_a_catalogue() -> None:
    assert read_jack_list(HEADER + "J1,1,2,whatever\n", "jacks.csv", ())[1] == []


@pytest.mark.parametrize("name", [24 * "J", "J 1", "Ø12", "4-2", "1"])
def test_ids_of_every_sound_kind(name: str) -> None:
    assert messages(HEADER + f"{name},1,2,A7\n") == []


def test_known_springs_are_listed_in_the_order_of_the_catalogue() -> None:
    _, [problem] = read_jack_list(HEADER + "J1,1,2,Q\n", "jacks.csv", ("Zm", "a1", "A1", "Bk"))
    assert problem.allowed == "no such spring; known: Zm, a1, A1, Bk"


def test_a_cell_too_long_for_the_csv_module() -> None:
    [message] = messages(HEADER + '"' + "x" * 200_000 + '",1,2,A7\n')
    assert "rows of cells separated by commas" in message
