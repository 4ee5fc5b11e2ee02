"""Lists for marking out jacks: running dimensions from the datum corner, rows by name, and the jack list of a case."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from postprocess.drawing import datum_corner
from postprocess.jobs.views import SetOutView
from postprocess.schedule import JackSchedule
from postprocess.tables import write_table

Floats = NDArray[np.float64]

DIGITS = "0123456789"
HEADINGS = ("id", "row", "x_from_datum_mm", "y_from_datum_mm", "from_first_jack_of_row_mm", "other_rows")


def millimetres(length: float) -> str:
    """A length in m as mm: whole, or with one decimal where the tenths count."""
    words = f"{1e3 * length:z.1f}"
    return words.removesuffix(".0")


def row_names(ids: Sequence[str], rows: Sequence[Sequence[int]]) -> tuple[str, ...]:
    """A name for each row: the letters of its jacks' ids, such as B of B1, B2, if hardly a jack elsewhere has them.

    Other rows have the next letters with which no id starts.
    """
    everywhere = Counter(map(_letters_of, ids))
    names: list[str] = []
    for row in rows:
        common, count = Counter(_letters_of(ids[jack]) for jack in row).most_common(1)[0] if row else ("", 0)
        own = common and 2 * count > max(len(row), everywhere[common]) and common not in names
        names.append(common if own else "")
    free = (name for name in _letters() if name not in everywhere)
    return tuple(name or next(free) for name in names)


def _letters_of(name: str) -> str:
    """The letters before the number of an id such as B12; empty where it has another form."""
    letters = name.rstrip(DIGITS)
    return letters if letters.isalpha() and letters != name else ""


def _letters() -> Iterator[str]:
    """A, B, … Z, AA, AB, …"""
    alphabet = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    yield from alphabet
    for head in _letters():
        for last in alphabet:
            yield head + last


def running_rows(plan: Polygon, schedule: JackSchedule, setout: SetOutView) -> list[tuple[str, ...]]:
    """A line for each jack under `HEADINGS`, row by row and along each row; jacks on no row come last.

    A jack on several rows is listed in the first of them; the others are named.
    """
    names, places = row_names(schedule.ids, setout.rows), schedule.xy - datum_corner(plan)
    homes: dict[int, list[int]] = {}
    for number, row in enumerate(setout.rows):
        for jack in row:
            homes.setdefault(jack, []).append(number)
    ordered = [(number, jack) for number, row in enumerate(setout.rows) for jack in row if homes[jack][0] == number]
    lines: list[tuple[str, ...]] = []
    for number, jack in ordered:
        along = float(np.hypot(*(places[jack] - places[setout.rows[number][0]])))
        others = " ".join(names[other] for other in homes[jack][1:])
        x, y = places[jack]
        lines.append((schedule.ids[jack], names[number], millimetres(x), millimetres(y), millimetres(along), others))
    for jack in sorted(set(range(len(schedule))) - set(homes)):
        x, y = places[jack]
        lines.append((schedule.ids[jack], "", millimetres(x), millimetres(y), "", ""))
    return lines


def write_running_dimensions(plan: Polygon, schedule: JackSchedule, setout: SetOutView, path: Path) -> None:
    """Write running dimensions in mm from the datum corner, and along each row from its first jack."""
    write_table(HEADINGS, running_rows(plan, schedule, setout), path)


def write_jack_list(schedule: JackSchedule, path: Path) -> None:
    """Write the jack list of a case: id, x_mm, y_mm, spring, and advance_mm if a screw is ahead of the others."""
    headings = ["id", "x_mm", "y_mm", "spring"]
    columns = [list(schedule.ids), *([millimetres(v) for v in values] for values in schedule.xy.T)]
    columns.append(list(schedule.springs))
    if np.any(schedule.advance):
        headings.append("advance_mm")
        columns.append([f"{1e3 * value:.6g}" for value in schedule.advance])
    write_table(headings, zip(*columns, strict=True), path)
