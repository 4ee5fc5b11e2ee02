"""Surveys of the slab's heights and the turns made before each, from CSV files, against the case."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preprocess.case import Case
from preprocess.csv_table import Columns, CsvTable, read_table
from preprocess.errors import InputError, Problem
from preprocess.files import LARGEST, read_given
from preprocess.height_points import MOST_HEIGHTS, repeated_places, spread_problems, support_problems
from preprocess.jack_list import repeated_ids
from preprocess.lengths import fixed
from preprocess.survey_rows import PLACE, Places, SurveyRow, row_problems, survey_row
from preprocess.wording import count, listed, quoted

GREATEST_SPREAD_MM: Final = 200.0

_COLUMNS = "columns id or x_mm,y_mm, then height_mm and, optional, deviation_mm and turns, separated by commas"
_FILE = f"a CSV file with {_COLUMNS}, at most {LARGEST // 1_000_000} MB"
_SPREAD = f"heights in mm above one benchmark, within {GREATEST_SPREAD_MM:g} mm of each other; feet or metres?"
_HEADER = Columns(
    ("height_mm",),
    _COLUMNS,
    optional=("id", *PLACE, "deviation_mm", "turns"),
    may_be_blank=("height_mm",),
    most=MOST_HEIGHTS,
    things="heights",
)


@dataclass(frozen=True, eq=False)
class Survey:
    """Heights of q points on the slab, and the turns that n jacks had before they were measured.

    file: its name. points: what each is called, the id of a jack or "(1.200, 3.400) m". xy: (q, 2) m. height: (q,) m
    above one benchmark, positive upward. deviation: (q,) standard deviation of each height, m. turns: (n,) full turns
    of each jack's screw since the survey before or, of the first survey, since the slab was cast; positive lifts.
    turns_given: whether the file has them; without them those of the lift are taken for done, and none later.
    """

    file: str
    points: tuple[str, ...]
    xy: NDArray[np.float64]
    height: NDArray[np.float64]
    deviation: NDArray[np.float64]
    turns: NDArray[np.float64]
    turns_given: bool


def read_surveys(paths: Sequence[Path], case: Case) -> tuple[Survey, ...]:
    """The surveys in their order, against the jacks, the plan and the lift of the case.

    Raises InputError with all problems of all files. Heights that are merely strange pass.
    """
    surveys: list[Survey] = []
    problems: list[Problem] = []
    for number, (path, name) in enumerate(zip(paths, _names(paths), strict=True)):
        earlier = [before.resolve() for before in paths[:number]]
        if path.resolve() in earlier:
            allowed = f"each survey once; it is survey {earlier.index(path.resolve()) + 1} already"
            problems.append(Problem(name, f"survey {number + 1}", quoted(str(path)), allowed))
            continue
        found, faults = _survey(path, name, case, number)
        problems += faults
        surveys += [] if found is None else [found]
    if problems:
        raise InputError(problems)
    return tuple(surveys)


def _names(paths: Sequence[Path]) -> list[str]:
    """What the files are called in messages: more than the last part where two share that."""
    lasts = [path.name for path in paths]
    return [path.name if lasts.count(path.name) == 1 else str(path) for path in paths]


def _survey(path: Path, name: str, case: Case, number: int) -> tuple[Survey | None, list[Problem]]:
    """The survey of one file, None if it cannot be used, and what is wrong with it. number: of surveys before it."""
    text, problems = read_given(path, name, f"survey {number + 1}", _FILE)
    if problems:
        return None, problems
    table, problems = read_table(text, name, _HEADER)
    missing = _place_problems(table, name)
    problems += missing
    if missing or "height_mm" not in table.header:
        return None, problems
    jacks = dict(zip(case.jacks.ids, case.jacks.xy, strict=True))
    rows = [survey_row(name, row, cells, problems.append) for row, cells in table.rows]
    problems += row_problems(rows, jacks, case.slab.plan, name)
    problems += _problems_of_all(rows, jacks, name)
    if number == 0 and all(cells for _, cells in table.rows):
        problems += _first_turns_problems(rows, case, name, table)
    problems.sort(key=_row_of)
    return (None, problems) if problems else (_in_metres(rows, case, name, "turns" in table.header, number), [])


def _place_problems(table: CsvTable, file: str) -> list[Problem]:
    """A header without the columns that say where a height was taken."""
    if not table.header:
        return []
    missing = [column for column in PLACE if column not in table.header]
    if not missing or (len(missing) == 2 and "id" in table.header):
        return []
    wanted = "id" if len(missing) == 2 else missing[0]
    return [Problem(file, f"row {table.header_row}, column {wanted}", "", f"required, but missing: {_COLUMNS}")]


def _problems_of_all(rows: Sequence[SurveyRow], jacks: Places, file: str) -> list[Problem]:
    """What shows in all rows together: points and ids given twice, heights too few or too far apart."""
    measured = [row for row in rows if row.measured]
    first = {row.id: row.row for row in reversed(measured) if row.id}
    once = [row for row in measured if first.get(row.id, row.row) == row.row]  # of the others their id is spoken of
    placed = [(row.row, xy) for row in once if (xy := row.xy(jacks)) is not None]
    numbers, xy = [number for number, _ in placed], np.array([xy for _, xy in placed]).reshape(-1, 2)
    sound = [row for row in measured if np.isfinite(row.height_mm)]
    heights = [row.height_mm for row in sound]
    problems = repeated_ids([(row.row, row.id) for row in rows], file)
    problems += repeated_places(xy, numbers, file)
    problems += spread_problems(
        heights, [row.row for row in sound], file, most_mm=GREATEST_SPREAD_MM, allowed=_SPREAD
    )
    return problems + support_problems(xy, len(measured), file)


def _first_turns_problems(rows: Sequence[SurveyRow], case: Case, file: str, table: CsvTable) -> list[Problem]:
    """A first survey that leaves open how far jacks had been turned."""
    if "turns" not in table.header:
        if case.lift is not None and case.lift.passes is not None:
            return []
        lift = "the lift of the case gives an air gap, not the passes" if case.lift else "the case has no [lift]"
        allowed = f"the column turns, with the turns of each jack since the slab was cast: {lift}"
        return [Problem(file, f"row {table.header_row}, column turns", "", f"required, but missing: {allowed}")]
    turned = {row.id for row in rows if row.has_turns}
    open_jacks = [name for name in case.jacks.ids if name not in turned]
    if not open_jacks:
        return []
    allowed = "in the first survey, the turns of every jack since the slab was cast, 0 for one that was not turned"
    value = f"nothing for {count(len(open_jacks), 'jack')}: {listed(open_jacks)}"
    return [Problem(file, "column turns", value, allowed)]


def _row_of(problem: Problem) -> int:
    """The row that a problem starts with; those of the whole file come last."""
    words = problem.where.replace(",", " ").split()
    return int(words[1]) if words[0] == "row" else MOST_HEIGHTS**2


def _in_metres(rows: Sequence[SurveyRow], case: Case, file: str, given: bool, number: int) -> Survey:
    """The survey of rows that have passed all checks."""
    jacks = dict(zip(case.jacks.ids, case.jacks.xy, strict=True))
    measured = [row for row in rows if row.measured]
    usual = 1000 * case.level.survey_deviation
    return Survey(
        file=file,
        points=tuple(row.name for row in measured),
        xy=fixed(np.array([row.xy(jacks) for row in measured])),
        height=fixed(np.array([row.height_mm for row in measured]) / 1000),
        deviation=fixed(np.array([row.deviation_mm or usual for row in measured]) / 1000),
        turns=fixed(_turns(rows, case, given, number)),
        turns_given=given,
    )


def _turns(rows: Sequence[SurveyRow], case: Case, given: bool, number: int) -> NDArray[np.float64]:
    """(n,) full turns of each jack."""
    if given:
        turned = {row.id: row.turns for row in rows if row.id}
        return np.array([turned.get(name, 0.0) for name in case.jacks.ids])
    if number == 0 and case.lift is not None and case.lift.passes is not None:
        return np.full(len(case.jacks), case.lift.passes * case.lift.turns_per_pass)
    return np.zeros(len(case.jacks))
