"""The springs that stand under the jacks already, from a jack list or a jack schedule of this floor."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from math import hypot, isnan
from pathlib import Path
from typing import Final

from preprocess.case import Spring
from preprocess.draft import Draft
from preprocess.errors import InputError, Problem
from preprocess.files import LARGEST, decode, read_content
from preprocess.jack_list import number_in, repeated_ids
from preprocess.wording import count, listed, nearest, point, quoted, rows

REQUIRED: Final = ("id", "spring")
SAME_PLACE_MM: Final = 10.0
"""Two jacks of one id farther apart are different ones."""

_FILE_ALLOWED = f"a CSV file with columns id and spring, at most {LARGEST // 1_000_000} MB"
_THESE_JACKS = "the schedule of this floor's own jacks, each id once and no other"


def read_kept(path: Path, draft: Draft) -> tuple[Spring, ...]:
    """The spring under each jack of `draft`, in its order, from a CSV file with at least the columns id and spring.

    Raises InputError with every problem: jacks of another floor (other ids, or other places if the file gives x_mm
    and y_mm), springs that the catalogue does not have.
    """
    cells, problems = _table(path)
    if problems:
        raise InputError(problems)
    problems = repeated_ids([(number, row["id"]) for number, row in cells], path.name)
    problems += _other_jacks(cells, draft, path.name) + _unknown_springs(cells, draft, path.name)
    if problems:
        raise InputError(problems)
    springs = {row["id"]: draft.catalogue[row["spring"]] for _, row in cells}
    return tuple(springs[row.id] for row in draft.rows)


def _table(path: Path) -> tuple[list[tuple[int, Mapping[str, str]]], list[Problem]]:
    """Number and cells by column of each row that is not empty, or what keeps the file from being a table."""
    content, fault = read_content(path.parent, path.name)
    if fault:
        return [], [Problem(path.name, str(path), "", f"{_FILE_ALLOWED}; {fault}")]
    text, problems = decode(content, path.name)
    if problems:
        return [], problems
    try:
        lines = [[cell.strip() for cell in row] for row in csv.reader(io.StringIO(text, newline=""))]
    except csv.Error as error:
        return [], [Problem(path.name, "rows", str(error), "rows of cells separated by commas")]
    filled = [(number, row) for number, row in enumerate(lines, start=1) if any(row)]
    if not filled:
        return [], [Problem(path.name, "row 1", "nothing", _FILE_ALLOWED)]
    header = filled[0][1]
    missing = [name for name in REQUIRED if name not in header]
    if missing:
        where = f"row {filled[0][0]}"
        return [], [Problem(path.name, f"{where}, column {name}", "", "required, but missing") for name in missing]
    return [(number, dict(zip(header, row + [""] * len(header), strict=False))) for number, row in filled[1:]], []


def _other_jacks(cells: Sequence[tuple[int, Mapping[str, str]]], draft: Draft, file: str) -> list[Problem]:
    own = {row.id: row for row in draft.rows}
    unknown = [row["id"] for _, row in cells if row["id"] not in own]
    missing = [name for name in own if name not in {row["id"] for _, row in cells}]
    problems = []
    if unknown:
        value = f"{count(len(unknown), 'jack')} that this floor does not have: {listed(unknown)}"
        problems.append(Problem(file, "column id", value, _THESE_JACKS))
    if missing:
        problems.append(Problem(file, "column id", f"nothing for {listed(missing)}", _THESE_JACKS))
    for number, row in cells:
        x, y = number_in(row.get("x_mm", "")), number_in(row.get("y_mm", ""))
        jack = own.get(row["id"])
        if jack is None or isnan(x + y) or hypot(x - jack.x_mm, y - jack.y_mm) <= SAME_PLACE_MM:
            continue
        there = point(jack.x_mm / 1000, jack.y_mm / 1000)
        allowed = f"{there}, where the jack list of the case has it; jacks are cast in and cannot move"
        problems.append(Problem(file, f"row {number}, jack {quoted(row['id'])}", point(x / 1000, y / 1000), allowed))
    return problems


def _unknown_springs(cells: Sequence[tuple[int, Mapping[str, str]]], draft: Draft, file: str) -> list[Problem]:
    """One problem for each spring that the catalogue does not have, with its rows."""
    users: dict[str, list[int]] = {}
    for number, row in cells:
        if row["spring"] not in draft.catalogue:
            users.setdefault(row["spring"], []).append(number)
    return [
        Problem(file, f"{rows(numbers)}, column spring", quoted(code), nearest(code, draft.catalogue, "spring"))
        for code, numbers in users.items()
    ]
