"""The jack list, a CSV file with one jack a row, read in the units of the file."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, nan
from typing import Final

from preprocess.entries import CODE_ALLOWED, FARTHEST_MM, is_code
from preprocess.errors import Problem
from preprocess.wording import count, nearest, quoted, rows, shown

REQUIRED: Final = ("id", "x_mm", "y_mm", "spring")
OPTIONAL: Final = ("advance_mm",)
LARGEST_ADVANCE_MM: Final = 500
MOST_JACKS: Final = 10_000
"""A slab of 100 × 100 m has about 6 000; the work grows faster than their number."""

HINTS: Final = {"spring": "; jackfield springs chooses them"}
SEMICOLON: Final = ";"
COMMAS: Final = "cells separated by commas; some spreadsheets save CSV with semicolons: choose commas on saving"

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


def read_jack_list(
    text: str, file: str, codes: Collection[str], *, springs_open: bool = False
) -> tuple[list[JackRow], list[Problem]]:
    """All rows of the jack list and all that is wrong with them.

    codes: the springs that the catalogue has, in its order; with none, springs are left unchecked. A spring
    that it does not have gives one problem, however many jacks name it.
    springs_open: springs are yet to be chosen; those of the list, if any, are not looked at.
    """
    required = REQUIRED[:-1] if springs_open else REQUIRED
    try:
        cells = list(csv.reader(io.StringIO(text, newline="")))
    except csv.Error as error:
        return [], [Problem(file, "rows", str(error), "rows of cells separated by commas")]
    filled = [(number, trimmed) for number, row in enumerate(cells, start=1) if (trimmed := _trimmed(row))]
    if not filled:
        return [], [Problem(file, "row 1", "nothing", _HEADER_ALLOWED)]
    if len(filled) - 1 > MOST_JACKS:
        allowed = f"at most {MOST_JACKS:,} jacks; a larger slab in parts"
        return [], [Problem(file, "rows", f"{len(filled) - 1:,} jacks", allowed)]
    first, header = filled[0]
    if len(header) == 1 and SEMICOLON in header[0]:
        return [], [Problem(file, f"row {first}", "cells separated by semicolons", COMMAS)]
    problems = _header_problems(file, first, header, required)
    header_is_sound = not problems
    jacks = []
    for number, row in filled[1:]:
        if len(row) > len(header) or len(row) < _least_cells(header, required):
            if header_is_sound:
                allowed = f"{count(len(header), 'cell')}, as in row {first}"
                problems.append(Problem(file, f"row {number}", count(len(row), "cell"), allowed))
            jacks.append(JackRow(number, "", nan, nan, "", nan))
            continue
        named = dict(zip(header, row + [""] * (len(header) - len(row)), strict=True))
        jacks.append(_jack(file, number, named, problems.append, required))
    problems += repeated_ids([(jack.row, jack.id) for jack in jacks], file)
    return jacks, [*problems, *([] if springs_open else _unknown_springs(jacks, file, codes))]


def _trimmed(row: list[str]) -> list[str]:
    """The cells without blanks around them and without the empty cells that spreadsheets append."""
    cells = [cell.strip() for cell in row]
    while cells and not cells[-1]:
        cells.pop()
    return cells


def _least_cells(header: list[str], required: Sequence[str]) -> int:
    """Cells up to the last one that may not be empty."""
    return max((header.index(name) + 1 for name in required if name in header), default=0)


def _header_problems(file: str, number: int, header: list[str], required: Sequence[str]) -> list[Problem]:
    where = f"row {number}"
    known = REQUIRED + OPTIONAL
    problems = [
        Problem(file, f"{where}, column {name}", "", f"required, but missing: {_HEADER_ALLOWED}{HINTS.get(name, '')}")
        for name in required
        if name not in header
    ]
    for position, name in enumerate(header):
        if name not in known:
            problems.append(Problem(file, where, shown(name), nearest(name, known, "column")))
        elif name in header[:position]:
            problems.append(Problem(file, where, shown(name), "each column once"))
    return problems


def repeated_ids(jacks: Sequence[tuple[int, str]], file: str) -> list[Problem]:
    """One problem for each (row, id) whose id an earlier row has already."""
    owners: dict[str, int] = {}
    problems = []
    for row, name in jacks:
        if name and owners.setdefault(name, row) != row:
            allowed = f"each id once; row {owners[name]} has it already"
            problems.append(Problem(file, f"row {row}, column id", quoted(name), allowed))
    return problems


def _unknown_springs(jacks: Sequence[JackRow], file: str, codes: Collection[str]) -> list[Problem]:
    """One problem for each spring that is not among the codes, with its rows."""
    known = set(codes)
    users: dict[str, list[int]] = {}
    for jack in jacks:
        if known and jack.spring and jack.spring not in known:
            users.setdefault(jack.spring, []).append(jack.row)
    return [
        Problem(file, f"{rows(numbers)}, column spring", shown(spring), nearest(spring, codes, "spring"))
        for spring, numbers in users.items()
    ]


def _jack(
    file: str, row: int, cells: Mapping[str, str], report: Callable[[Problem], None], required: Sequence[str]
) -> JackRow:
    """The jack of one row; what is wrong with its cells goes to `report`."""

    def refuse(column: str, allowed: str) -> None:
        report(Problem(file, f"row {row}, column {column}", shown(cells[column]), allowed))

    def number(column: str, farthest: float) -> float:
        if column not in cells:
            return nan
        value = number_in(cells[column])
        if not abs(value) <= farthest:
            refuse(column, f"a number in mm, within ±{farthest:,}")
            return nan
        return value

    for column in ("id", "spring"):
        if column in required and cells.get(column) == "":
            refuse(column, "text that is not empty")
    if cells.get("id") and not is_code(cells["id"]):
        refuse("id", CODE_ALLOWED)
    return JackRow(
        row=row,
        id=cells.get("id", ""),
        x_mm=number("x_mm", FARTHEST_MM),
        y_mm=number("y_mm", FARTHEST_MM),
        spring=cells.get("spring", ""),
        advance_mm=number("advance_mm", LARGEST_ADVANCE_MM) if cells.get("advance_mm") else 0.0,
    )


def number_in(text: str) -> float:
    """The number that a cell holds, NaN if it holds none; Python's digit grouping by _ is not accepted."""
    try:
        value = float(text) if "_" not in text else nan
    except ValueError:
        return nan
    return value if isfinite(value) else nan
