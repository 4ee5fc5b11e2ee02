"""The springs that stand under the jacks already, from a jack list or a jack schedule of this floor."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import hypot, isclose, isnan
from pathlib import Path
from typing import Final

from preprocess.case import Spring
from preprocess.csv_table import Columns, number_in, read_table
from preprocess.draft import Draft
from preprocess.errors import InputError, Problem
from preprocess.files import LARGEST, read_given
from preprocess.jack_list import JackRow, repeated_ids
from preprocess.wording import count, listed, nearest, point, quoted, rows

REQUIRED: Final = ("id", "spring")
SAME_PLACE_MM: Final = 10.0
"""Two jacks of one id farther apart are different ones."""

SAME_RATE: Final = 1e-3
"""Rates in schedules are rounded; beyond this share they differ."""
FEW: Final = 3
"""Jacks elsewhere that are named one by one."""

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
    for check in (_other_jacks, _unknown_springs, _other_rates):
        problems += check(cells, draft, path.name)
    if problems:
        raise InputError(problems)
    springs = {row["id"]: draft.catalogue[row["spring"]] for _, row in cells}
    return tuple(springs[row.id] for row in draft.rows)


def _table(path: Path) -> tuple[list[tuple[int, Mapping[str, str]]], list[Problem]]:
    """Number and cells by column of each row that is not empty, or what keeps the file from being a table."""
    text, problems = read_given(path, path.name, "--keep", _FILE_ALLOWED)
    if problems:
        return [], problems
    table, problems = read_table(text, path.name, Columns(REQUIRED, _FILE_ALLOWED, optional=None))
    return list(table.rows), problems


def _other_jacks(cells: Sequence[tuple[int, Mapping[str, str]]], draft: Draft, file: str) -> list[Problem]:
    own = {row.id: row for row in draft.rows}
    unknown = [row["id"] for _, row in cells if row["id"] not in own]
    missing = [name for name in own if name not in {row["id"] for _, row in cells}]
    problems = _moved(cells, own, file)
    if unknown:
        value = f"{count(len(unknown), 'jack')} that this floor does not have: {listed(unknown)}"
        problems.append(Problem(file, "column id", value, _THESE_JACKS))
    if missing:
        problems.append(Problem(file, "column id", f"nothing for {listed(missing)}", _THESE_JACKS))
    return problems


def _moved(cells: Sequence[tuple[int, Mapping[str, str]]], own: Mapping[str, JackRow], file: str) -> list[Problem]:
    """Jacks that stand elsewhere on this floor, one by one if they are few."""
    found = []
    for number, row in cells:
        x, y = number_in(row.get("x_mm", "")), number_in(row.get("y_mm", ""))
        jack = own.get(row["id"])
        if jack is None or isnan(x + y) or hypot(x - jack.x_mm, y - jack.y_mm) <= SAME_PLACE_MM:
            continue
        there = point(jack.x_mm / 1000, jack.y_mm / 1000)
        allowed = f"{there}, where the jack list of the case has it; jacks are cast in and cannot move"
        found.append(Problem(file, f"row {number}, jack {quoted(row['id'])}", point(x / 1000, y / 1000), allowed))
    if len(found) <= FEW:
        return found
    allowed = "the places of this floor's own jacks; jacks are cast in and cannot move"
    return [Problem(file, "columns x_mm and y_mm", f"{len(found)} jacks elsewhere, as {found[0].where}", allowed)]


def _other_rates(cells: Sequence[tuple[int, Mapping[str, str]]], draft: Draft, file: str) -> list[Problem]:
    """Springs whose rate in the schedule is not that of the catalogue: one of the two is wrong."""
    found: dict[str, Problem] = {}
    for number, row in cells:
        spring, rate = draft.catalogue.get(row["spring"]), number_in(row.get("rate_N_mm", ""))
        if spring is None or isnan(rate) or isclose(1000 * rate, spring.rate, rel_tol=SAME_RATE):
            continue
        allowed = f"{spring.rate / 1000:.6g}, as the catalogue has {quoted(spring.code)}; mend the one that is wrong"
        found.setdefault(spring.code, Problem(file, f"row {number}, column rate_N_mm", f"{rate:g}", allowed))
    return list(found.values())


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
