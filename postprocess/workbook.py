"""Lists as one XLSX workbook: values without formulas, text that stays text, the same bytes for the same input."""

from __future__ import annotations

import datetime as dt
import io
import re
import zipfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from openpyxl import Workbook
from openpyxl.cell.cell import Cell as SheetCell
from openpyxl.styles import Alignment, Border, Font, PatternFill, Side
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.header_footer import HeaderFooterItem, _HeaderFooterPart
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet
from openpyxl.writer.excel import ExcelWriter

from postprocess.list_table import Cell, Column, ListTable

NOT_HELD: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")
"""Characters that XML 1.0 cannot hold."""
ESCAPE: Final = re.compile(r"_(?=x[0-9A-Fa-f]{4}_)")
"""What spreadsheets would read as the number of a character (ECMA-376 part 1, ST_Xstring)."""
LONGEST_CELL: Final = 32_767
"""Characters that a cell of a spreadsheet holds."""
NARROWEST, WIDEST = 8, 60
"""Widths of columns in characters; longer text is wrapped."""
READ_ME_WIDTH: Final = 120
FOOTER_TITLE: Final = 100
"""Characters of the title in the footer, which holds 255 in all (ECMA-376 part 1, 18.3.1.55, from memory)."""
FIRST_DATE: Final = dt.date(1980, 1, 1)
"""The earliest that a ZIP archive holds."""

HEADING = Font(bold=True)
HEADING_FILL = PatternFill("solid", fgColor="E4E4E4")
TOTAL_LINE = Border(top=Side(style="thin"))


@dataclass(frozen=True)
class ReadMe:
    """The first sheet. title: its heading, in the footer of every sheet too. parts: headings with the lines below them;
    a part without lines is left out."""

    title: str
    parts: tuple[tuple[str, tuple[str, ...]], ...]


def plain(text: str) -> str:
    """The text as a cell can hold it: what cannot be written becomes U+FFFD."""
    return ESCAPE.sub("_x005F_", NOT_HELD.sub("\ufffd", text))[:LONGEST_CELL]


def write_workbook(read_me: ReadMe, tables: Sequence[ListTable], date: dt.date, path: Path) -> None:
    """Write the sheets in this order. date: of the input, which the properties of the file show as its own."""
    workbook = Workbook()
    front = workbook.active
    assert isinstance(front, Worksheet)  # a new workbook has one
    _fill_read_me(front, read_me)
    for table in tables:
        _fill(workbook.create_sheet(table.name), table, read_me.title)
    moment = dt.datetime.combine(max(date, FIRST_DATE), dt.time())
    properties = workbook.properties
    properties.title, properties.creator = plain(read_me.title), "jackfield"
    properties.created = properties.modified = moment
    _save(workbook, moment, path)


def _save(workbook: Workbook, moment: dt.datetime, path: Path) -> None:
    """The workbook with `moment` on every part of the archive, so that its bytes depend on nothing else."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        ExcelWriter(workbook, archive).write_data()
    stamp = (moment.year, moment.month, moment.day, 0, 0, 0)
    with zipfile.ZipFile(buffer) as written, zipfile.ZipFile(path, "w") as archive:
        for name in written.namelist():
            archive.writestr(zipfile.ZipInfo(name, stamp), written.read(name), zipfile.ZIP_DEFLATED)


def _fill_read_me(sheet: Worksheet, read_me: ReadMe) -> None:
    sheet.title = "Read me"
    sheet.column_dimensions["A"].width = READ_ME_WIDTH
    _put(sheet, 1, 1, read_me.title).font = Font(bold=True, size=14)
    row = 2
    for heading, lines in (part for part in read_me.parts if part[1]):
        row += 1
        _put(sheet, row, 1, heading).font = HEADING
        for line in lines:
            row += 1
            _put(sheet, row, 1, line).alignment = Alignment(wrap_text=True, vertical="top")
            sheet.row_dimensions[row].height = 15.0 * -(-len(line) // (READ_ME_WIDTH - 5) or -1)
        row += 1
    _print_setup(sheet, read_me.title)


def _fill(sheet: Worksheet, table: ListTable, title: str) -> None:
    for number, column in enumerate(table.columns, 1):
        cell = _put(sheet, 1, number, column.heading)
        cell.font, cell.fill = HEADING, HEADING_FILL
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        sheet.column_dimensions[get_column_letter(number)].width = _width(table, number - 1)
    for line, cells in enumerate((*table.rows, *table.totals), 2):
        total = line > len(table.rows) + 1
        for number, (value, column) in enumerate(zip(cells, table.columns, strict=True), 1):
            cell = _put(sheet, line, number, value)
            if isinstance(value, str):
                cell.alignment = Alignment(wrap_text=True, vertical="top")
            elif value is not None:
                cell.number_format = _number_format(column)
                cell.alignment = Alignment(vertical="top")
            if total:
                cell.font, cell.border = HEADING, TOTAL_LINE
    last = get_column_letter(len(table.columns))
    sheet.auto_filter.ref = f"A1:{last}{max(len(table.rows), 1) + 1}"
    sheet.freeze_panes = "B2"
    sheet.print_title_rows = "1:1"
    _print_setup(sheet, title)


def _put(sheet: Worksheet, row: int, column: int, value: Cell) -> SheetCell:
    """Text is written as text, whatever it begins with; numbers to the last bit, which openpyxl would cut off."""
    cell = sheet.cell(row, column)
    assert isinstance(cell, SheetCell)  # no cells are merged
    if isinstance(value, str):
        if value:
            cell.value = plain(value)
            cell.data_type = "s"
    elif value is not None:
        cell.value = repr(value)
        cell.data_type = "n"
    return cell


def _number_format(column: Column) -> str:
    return f"0.{'0' * column.digits}" if column.digits else "0"


def _width(table: ListTable, number: int) -> float:
    """Of a column, in characters: as wide as its longest entry, or its longest word of the heading, within limits."""
    column = table.columns[number]
    cells = [row[number] for row in (*table.rows, *table.totals)]
    digits = column.digits or 0
    longest = max(
        (len(cell) if isinstance(cell, str) else len(f"{cell:.{digits}f}") for cell in cells if cell is not None),
        default=0,
    )
    words = max(len(word) for word in column.heading.split())
    return min(max(longest, words, NARROWEST) + 2, WIDEST)


def _print_setup(sheet: Worksheet, title: str) -> None:
    """A4 across, as wide as the page, with page numbers."""
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = 9  # A4 (ECMA-376 part 1, 18.3.1.63)
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.oddFooter = HeaderFooterItem(
        left=_HeaderFooterPart(plain(title[:FOOTER_TITLE]).replace("&", "&&")),
        center=_HeaderFooterPart(),
        right=_HeaderFooterPart("&A, page &P of &N"),
    )
