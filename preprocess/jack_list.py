"""The jack list, a CSV file with one jack a row, read in the units of the file."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from math import isfinite, nan
from typing import Final

from preprocess.entries import FARTHEST_MM
from preprocess.errors import Problem
from preprocess.wording import nearest, quoted, shown

REQUIRED: Final = ("id", "x_mm", "y_mm", "spring")
OPTIONAL: Final = ("advance_mm",)
LARGEST_ADVANCE_MM: Final = 500

_HEADER_ALLOWED = "columns id,x_mm,y_mm,spring and, optional, advance_mm, separated by commas"


@dataclass(frozen=True)
class JackRow:
    """One row as the file has it, in mm; a number that is not usable is NaN, a missing text empty.

    row: number of the row as a spreadsheet shows it, the header being row 1.
    """

    row: int
    id: str
    x_mm: float
    y_mm: float
    spring: str
    advance_mm: float

    @property
    def where(self) -> str:
        """The row and the jack, for messages."""
        return f"row {self.row}" + (f", jack {quoted(self.id)}" if self.id else "")


def read_jack_list(text: str, file: str, codes: Collection[str]) -> tuple[list[JackRow], list[Problem]]:
    """All rows of the jack list and all that is wrong with them, in the order of the file.

    codes: the springs that the catalogue has; with none, springs are left unchecked.
    """
    try:
        cells = list(csv.reader(io.StringIO(text, newline="")))
    except csv.Error as error:
        return [], [Problem(file, "rows", str(error), "rows of cells separated by commas")]
    rows = [(number, trimmed) for number, row in enumerate(cells, start=1) if (trimmed := _trimmed(row))]
    if not rows:
        return [], [Problem(file, "row 1", "nothing", _HEADER_ALLOWED)]
    header = rows[0][1]
    problems = _header_problems(file, rows[0][0], header)
    jacks = []
    owners: dict[str, int] = {}
    for number, row in rows[1:]:
        if len(row) > len(header) or len(row) < _least_cells(header):
            allowed = f"{len(header)} cells, as in row {rows[0][0]}"
            problems.append(Problem(file, f"row {number}", f"{len(row)} cells", allowed))
            jacks.append(JackRow(number, "", nan, nan, "", nan))
            continue
        named = dict(zip(header, row + [""] * (len(header) - len(row)), strict=True))
        jack = _jack(file, number, named, codes, problems.append)
        if jack.id and owners.setdefault(jack.id, number) != number:
            allowed = f"each id once; row {owners[jack.id]} has it already"
            problems.append(Problem(file, f"row {number}, column id", quoted(jack.id), allowed))
        jacks.append(jack)
    return jacks, problems


def _trimmed(row: list[str]) -> list[str]:
    """The cells without blanks around them and without the empty cells that spreadsheets append."""
    cells = [cell.strip() for cell in row]
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _least_cells(header: list[str]) -> int:
    """Cells up to the last one that may not be empty."""
    return max((header.index(name) + 1 for name in REQUIRED if name in header), default=0)


def _header_problems(file: str, number: int, header: list[str]) -> list[Problem]:
    where = f"row {number}"
    known = REQUIRED + OPTIONAL
    problems = [
        Problem(file, f"{where}, column {name}", "", f"required, but missing: {_HEADER_ALLOWED}")
        for name in REQUIRED
        if name not in header
    ]
    for position, name in enumerate(header):
        if name not in known:
            problems.append(Problem(file, where, shown(name), nearest(name, known, "column")))
        elif name in header[:position]:
            problems.append(Problem(file, where, shown(name), "each column once"))
    return problems


def _jack(
    file: str,
    row: int,
    cells: Mapping[str, str],
    codes: Collection[str],
    report: Callable[[Problem], None],
) -> JackRow:
    """The jack of one row; what is wrong with its cells goes to `report`."""

    def refuse(column: str, allowed: str) -> None:
        report(Problem(file, f"row {row}, column {column}", shown(cells[column]), allowed))

    def number(column: str, farthest: float) -> float:
        if column not in cells:
            return nan
        value = _number(cells[column])
        if not abs(value) <= farthest:
            refuse(column, f"a number in mm, within ±{farthest:,}")
            return nan
        return value

    for column in ("id", "spring"):
        if cells.get(column) == "":
            refuse(column, "text that is not empty")
    spring = cells.get("spring", "")
    if spring and codes and spring not in codes:
        refuse("spring", nearest(spring, codes, "spring"))
    return JackRow(
        row=row,
        id=cells.get("id", ""),
        x_mm=number("x_mm", FARTHEST_MM),
        y_mm=number("y_mm", FARTHEST_MM),
        spring=spring,
        advance_mm=number("advance_mm", LARGEST_ADVANCE_MM) if cells.get("advance_mm") else 0.0,
    )


def _number(text: str) -> float:
    """The number that a cell holds, NaN if it holds none; Python's digit grouping by _ is not accepted."""
    try:
        value = float(text) if "_" not in text else nan
    except ValueError:
        return nan
    return value if isfinite(value) else nan
