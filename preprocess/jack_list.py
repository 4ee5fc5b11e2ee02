"""The jack list, a CSV file with one jack a row, read in the units of the file."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from preprocess.csv_table import CellReader, Columns, read_table
from preprocess.entries import CODE_ALLOWED, FARTHEST_MM, is_code
from preprocess.errors import Problem
from preprocess.wording import nearest, quoted, rows, shown

REQUIRED: Final = ("id", "x_mm", "y_mm", "spring")
OPTIONAL: Final = ("advance_mm",)
LARGEST_ADVANCE_MM: Final = 500
MOST_JACKS: Final = 10_000
"""A slab of 100 × 100 m has about 6 000; the work grows faster than their number."""

HINTS: Final = {"spring": "; jackfield springs chooses them", "rows": "; a larger slab in parts"}
HEADER_ALLOWED: Final = "columns id,x_mm,y_mm,spring and, optional, advance_mm, separated by commas"


@dataclass(frozen=True)
class JackRow:
    """One row as the file has it, in mm; a number that is not usable is NaN, a missing text empty.

    row: number of the row as a spreadsheet shows it, the header being row 1. drawn: where in a drawing the jack stands,
    in words; empty where it is from a list.
    """

    row: int
    id: str
    x_mm: float
    y_mm: float
    spring: str
    advance_mm: float
    drawn: str = ""

    @property
    def place(self) -> str:
        """The row, or the place in the drawing."""
        return self.drawn or f"row {self.row}"

    @property
    def where(self) -> str:
        """The row and the jack, for messages."""
        return self.place + (f", jack {quoted(self.id)}" if self.id else "")


def read_jack_list(
    text: str, file: str, codes: Collection[str], *, springs_open: bool = False
) -> tuple[list[JackRow], list[Problem]]:
    """All rows of the jack list and all that is wrong with them.

    codes: the springs that the catalogue has, in its order; with none, springs are left unchecked. A spring
    that it does not have gives one problem, however many jacks name it.
    springs_open: springs are yet to be chosen; those of the list, if any, are not looked at.
    """
    required = REQUIRED[:-1] if springs_open else REQUIRED
    optional = [name for name in REQUIRED + OPTIONAL if name not in required]
    columns = Columns(required, HEADER_ALLOWED, optional, most=MOST_JACKS, things="jacks", hints=HINTS)
    table, problems = read_table(text, file, columns)
    jacks = [_jack(file, number, cells, problems.append, required) for number, cells in table.rows]
    problems += repeated_ids([(jack.row, jack.id) for jack in jacks], file)
    return jacks, [*problems, *([] if springs_open else _unknown_springs(jacks, file, codes))]


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
    reader = CellReader(file, row, cells, report)
    for column in ("id", "spring"):
        if column in required and cells.get(column) == "":
            reader.refuse(column, "text that is not empty")
    if cells.get("id") and not is_code(cells["id"]):
        reader.refuse("id", CODE_ALLOWED)
    return JackRow(
        row=row,
        id=cells.get("id", ""),
        x_mm=reader.number("x_mm", FARTHEST_MM),
        y_mm=reader.number("y_mm", FARTHEST_MM),
        spring=cells.get("spring", ""),
        advance_mm=reader.number("advance_mm", LARGEST_ADVANCE_MM) if cells.get("advance_mm") else 0.0,
    )
