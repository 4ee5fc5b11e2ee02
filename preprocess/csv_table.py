"""CSV files that people write by hand or save from spreadsheets: a header, then rows of cells."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite, nan
from typing import Final

from preprocess.errors import Problem
from preprocess.wording import count, nearest, shown

SEMICOLON: Final = ";"
COMMAS: Final = "cells separated by commas; some spreadsheets save CSV with semicolons: choose commas on saving"

FilledRow = tuple[int, list[str]]
"""Number of a row as a spreadsheet shows it, the header being row 1, and its cells without blanks at their ends."""


@dataclass(frozen=True)
class Columns:
    """What the header of a file has to be. allowed: the same in words.

    optional: other columns that are read; None where a file may have any others, with cells missing or to spare in its
    rows. may_be_blank: required columns in which cells may be empty. most: rows, None for any number; things: what the
    rows are, in words. hints: what to do where a column is missing, or, for "rows", where there are too many.
    """

    required: Sequence[str]
    allowed: str
    optional: Sequence[str] | None = ()
    may_be_blank: Sequence[str] = ()
    most: int | None = None
    things: str = "rows"
    hints: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class CsvTable:
    """header: the columns, in the row of number `header_row`; none where the file is no table.

    rows: number and cells by column of each row; no cells at all where their number is wrong.
    """

    header_row: int
    header: tuple[str, ...]
    rows: tuple[tuple[int, Mapping[str, str]], ...]


def read_table(text: str, file: str, columns: Columns) -> tuple[CsvTable, list[Problem]]:
    """The rows of a CSV text that are not empty, and what is wrong with them; no rows where it is no table."""
    filled, problems = _filled_rows(text, file)
    if not problems:
        problems = _faults_of_all(filled, file, columns)
    if problems:
        return CsvTable(0, (), ()), problems
    first, header = filled[0]
    problems = _header_problems(file, first, header, columns)
    sound = not problems
    rows: list[tuple[int, Mapping[str, str]]] = []
    for number, cells in filled[1:]:
        if columns.optional is not None and not _least_cells(header, columns) <= len(cells) <= len(header):
            if sound:
                allowed = f"{count(len(header), 'cell')}, as in row {first}"
                problems.append(Problem(file, f"row {number}", count(len(cells), "cell"), allowed))
            rows.append((number, {}))
            continue
        rows.append((number, dict(zip(header, cells + [""] * len(header), strict=False))))
    return CsvTable(first, tuple(header), tuple(rows)), problems


@dataclass(frozen=True)
class CellReader:
    """The cells of one row; what is wrong with them goes to `report`."""

    file: str
    row: int
    cells: Mapping[str, str]
    report: Callable[[Problem], None]

    def refuse(self, column: str, allowed: str) -> None:
        """Reports a cell. allowed: what it may be."""
        self.report(Problem(self.file, f"row {self.row}, column {column}", shown(self.cells[column]), allowed))

    def number(self, column: str, farthest: float, unit: str = "mm") -> float:
        """The number in a cell, at most `farthest` either way; NaN without such a column or if it is refused."""
        if column not in self.cells:
            return nan
        value = number_in(self.cells[column])
        if not abs(value) <= farthest:
            self.refuse(column, f"a number in {unit}, within ±{farthest:,}")
            return nan
        return value


def number_in(text: str) -> float:
    """The number that a cell holds, NaN if it holds none; Python's digit grouping by _ is not accepted."""
    try:
        value = float(text) if "_" not in text else nan
    except ValueError:
        return nan
    return value if isfinite(value) else nan


def _filled_rows(text: str, file: str) -> tuple[list[FilledRow], list[Problem]]:
    try:
        rows = list(csv.reader(io.StringIO(text, newline="")))
    except csv.Error as error:
        return [], [Problem(file, "rows", str(error), "rows of cells separated by commas")]
    return [(number, cells) for number, row in enumerate(rows, start=1) if (cells := _trimmed(row))], []


def _trimmed(row: list[str]) -> list[str]:
    """The cells without blanks around them and without the empty cells that spreadsheets append."""
    cells = [cell.strip() for cell in row]
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _faults_of_all(filled: Sequence[FilledRow], file: str, columns: Columns) -> list[Problem]:
    """What keeps the file from being a table at all: nothing in it, too much, or semicolons."""
    if not filled:
        return [Problem(file, "row 1", "nothing", columns.allowed)]
    if columns.most is not None and len(filled) - 1 > columns.most:
        allowed = f"at most {columns.most:,} {columns.things}{columns.hints.get('rows', '')}"
        return [Problem(file, "rows", f"{len(filled) - 1:,} {columns.things}", allowed)]
    number, header = filled[0]
    if SEMICOLON in header[0] and not set(columns.required) <= set(header):
        return [Problem(file, f"row {number}", "cells separated by semicolons", COMMAS)]
    return []


def _header_problems(file: str, number: int, header: Sequence[str], columns: Columns) -> list[Problem]:
    where = f"row {number}"
    missing = [name for name in columns.required if name not in header]
    required = f"required, but missing: {columns.allowed}"
    problems = [
        Problem(file, f"{where}, column {name}", "", required + columns.hints.get(name, "")) for name in missing
    ]
    if columns.optional is None:
        return problems
    known = (*columns.required, *columns.optional)
    for position, name in enumerate(header):
        if name not in known:
            problems.append(Problem(file, where, shown(name), nearest(name, known, "column")))
        elif name in header[:position]:
            problems.append(Problem(file, where, shown(name), "each column once"))
    return problems


def _least_cells(header: Sequence[str], columns: Columns) -> int:
    """Cells up to the last one that may not be empty."""
    filled = [name for name in columns.required if name in header and name not in columns.may_be_blank]
    return max((list(header).index(name) + 1 for name in filled), default=0)
