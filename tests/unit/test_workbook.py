"""The workbook of lists as another program reads it: values and text, no formula, the same bytes every time."""

from __future__ import annotations

import csv
import datetime as dt
import zipfile
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.worksheet.worksheet import Worksheet

from jackfield.lists import WORKBOOK, write_lists
from postprocess.list_table import Column, ListTable, write_csv
from postprocess.workbook import LONGEST_CELL, ReadMe, plain, write_workbook
from tests.unit.list_cases import TITLE, Listed

SHEETS = [
    "Read me",
    "Jacks",
    "Springs to buy",
    "Fabric pieces",
    "Fabric totals",
    "Quantities",
    "Existing floor jacks",
    "Existing floor bays",
    "Checks",
]
HOSTILE = ["=1+1", "+1", "-1", "@SUM(A1)", "#N/A", '=HYPERLINK("http://x")', "{=1}", "tab\tin", " blank "]


@pytest.fixture(scope="module")
def folder(listed_booth: Listed, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where the lists of the booth are."""
    return write(listed_booth, tmp_path_factory.mktemp("written"))


def write(booth: Listed, folder: Path) -> Path:
    write_lists(booth.lists, booth.schedule, booth.results.checks, booth.case.inputs, folder)
    return folder


@pytest.fixture(scope="module")
def book(folder: Path) -> openpyxl.Workbook:
    return openpyxl.load_workbook(folder / WORKBOOK)


def column(sheet: Worksheet, heading: str) -> list[Any]:
    """The cells below a heading, those of totals too."""
    headings = [cell.value for cell in sheet[1]]
    return [row[headings.index(heading)].value for row in sheet.iter_rows(min_row=2)]


def test_sheets_in_order(book: openpyxl.Workbook) -> None:
    assert book.sheetnames == SHEETS


def test_nothing_is_a_formula_and_nothing_links_outside(book: openpyxl.Workbook, folder: Path) -> None:
    for sheet in book:
        assert {cell.data_type for row in sheet.iter_rows() for cell in row} <= {"s", "n"}
    names = zipfile.ZipFile(folder / WORKBOOK).namelist()
    assert not [
        name for name in names if "external" in name.lower() or "macro" in name.lower() or "vba" in name.lower()
    ]
    assert "=1+1" in column(book["Existing floor bays"], "Bay")


def test_totals_equal_results(book: openpyxl.Workbook, listed_booth: Listed) -> None:
    """To the last bit, as another program would compare them."""
    found = listed_booth.results.as_json([])
    for state in ("bare", "service", "full"):
        assert column(book["Jacks"], f"Load {state}, kN")[-1] == found["states"][state]["reaction_kN"]
        assert column(book["Jacks"], f"Load {state}, kN")[:-1] == [jack["load_kN"][state] for jack in found["jacks"]]
    states = found["existing_floor"]["states"]
    totals = [total for state in states for total in (*state["bay_total_kN"].values(), state["whole_floor_kN"])]
    assert column(book["Existing floor bays"], "Total at one moment, kN") == totals
    assert column(book["Quantities"], "Amount") == [item["amount"] for item in found["quantities"]]
    sheets = column(book["Fabric totals"], "Sheets to buy")
    assert sheets == [*(layer["sheets_to_buy"] for layer in found["fabric"]), sum(sheets[:-1])]
    areas = column(book["Fabric pieces"], "Area as laid, m²")
    assert sum(areas) == pytest.approx(sum(layer["laid_area_m2"] for layer in found["fabric"]), rel=1e-12)


def test_springs_to_buy(book: openpyxl.Workbook) -> None:
    """Ten S40 and two S50 stand under jacks; 5 % of spares are less than one: one of each."""
    assert column(book["Springs to buy"], "Coil") == ["S40", "S50", "all coils"]
    assert column(book["Springs to buy"], "To buy") == [11, 3, 14]


def test_read_me_says_which_input_and_how_to_read_it(book: openpyxl.Workbook, listed_booth: Listed) -> None:
    lines = [str(row[0].value) for row in book["Read me"].iter_rows() if row[0].value is not None]
    text = "\n".join(lines)
    assert "Date of the input: 2026-03-04" in text
    assert listed_booth.case.inputs.digest in text
    for words in ("does not approve", "factors of 1.0", "EN 1992-1-1:2004, 8.7.3", "as if made up into sheets"):
        assert words in text
    assert lines[0] == "@Booth & _x005F_x0041_ <script>"  # ST_Xstring of ECMA-376: read back as _x0041_


def test_print_set_up(book: openpyxl.Workbook) -> None:
    """A4 across, as wide as the page, headings on each page, page numbers; ECMA-376 part 1, 18.3.1.63: 9 is A4."""
    for sheet in book:
        setup = sheet.page_setup
        assert (setup.orientation, setup.paperSize, setup.fitToWidth, setup.fitToHeight) == ("landscape", 9, 1, 0)
        assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert "&P of &N" in sheet.oddFooter.right.text
        if sheet.title != "Read me":
            assert (sheet.print_title_rows, sheet.freeze_panes) == ("$1:$1", "B2")
            assert sheet.auto_filter.ref is not None
            assert sheet.auto_filter.ref.startswith("A1:")


def test_numbers_have_formats_and_columns_have_widths(book: openpyxl.Workbook) -> None:
    sheet = book["Jacks"]
    formats = {cell.value: sheet.cell(2, cell.column).number_format for cell in sheet[1]}
    assert (formats["Load bare, kN"], formats["x, mm"], formats["Load ratio full"]) == ("0.000", "0.0", "0.000")
    for each in list(book)[1:]:
        assert all(8 <= width.width <= 60 for width in each.column_dimensions.values())


def test_the_same_input_gives_the_same_bytes(listed_booth: Listed, folder: Path, tmp_path: Path) -> None:
    again = write(listed_booth, tmp_path)
    assert (again / WORKBOOK).read_bytes() == (folder / WORKBOOK).read_bytes()
    properties = openpyxl.load_workbook(again / WORKBOOK).properties
    assert properties.modified == dt.datetime(2026, 3, 4)


def test_csv_lists(folder: Path, listed_booth: Listed) -> None:
    names = {path.name for path in folder.glob("*.csv")}
    assert names == {
        *("buying-list.csv", "fabric-sheets.csv", "fabric-totals.csv", "quantities.csv"),
        *("existing-floor-jacks.csv", "existing-floor-bays.csv"),
    }
    with (folder / "existing-floor-bays.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    full = listed_booth.lists.existing.cases[2]
    assert [row["total_kN"] for row in rows if row["state"] == "full"][-1] == f"{full.whole / 1e3:.3f}"
    assert all("factor 1.0" in row["words"] for row in rows)
    assert {row["bay"] for row in rows} == {"'=1+1", "East & <b>", "outside the bays", "whole floor"}


def test_hostile_text_stays_text(tmp_path: Path) -> None:
    """Formulas, errors and links as they stand; what XML cannot hold is replaced, what is too long is cut."""
    texts = [*HOSTILE, "bell\x07\ud800\ufffe", "x" * 40_000]
    table = ListTable("T", "t.csv", (Column("a", "=A"),), tuple((text,) for text in texts), ())
    write_workbook(ReadMe("=title & more", (("+part", ("-line",)),)), [table], dt.date(1970, 1, 1), tmp_path / "t.xlsx")
    sheet = openpyxl.load_workbook(tmp_path / "t.xlsx")["T"]
    assert [row[0].data_type for row in sheet.iter_rows()] == ["s"] * (len(texts) + 1)
    found = [row[0].value for row in sheet.iter_rows()]
    assert found[: len(HOSTILE) + 1] == ["=A", *HOSTILE]
    assert found[-2:] == ["bell\ufffd\ufffd\ufffd", "x" * LONGEST_CELL]
    write_csv(ListTable("T", "t.csv", table.columns, table.rows[:5], ()), tmp_path)
    assert (tmp_path / "t.csv").read_text(encoding="utf-8").splitlines() == [
        "a",
        "'=1+1",
        "'+1",
        "'-1",
        "'@SUM(A1)",
        "#N/A",
    ]


def test_characters_by_number_are_not_read_as_such() -> None:
    assert plain("_x0041_ and _x004 and x0041_") == "_x005F_x0041_ and _x004 and x0041_"
    assert TITLE.count("_x0041_") == 1
