"""A case folder to a `Case`: reads the files, gathers every problem in them, converts once all is sound."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, Final, Literal

from shapely import Polygon

from preprocess.cad.in_case import WithDrawing, spring_problems, with_drawing
from preprocess.cad.rules import PARTS
from preprocess.case import Case
from preprocess.changes import changed
from preprocess.draft import Draft
from preprocess.dynamics_places import dynamics_place_problems
from preprocess.dynamics_problems import dynamics_problems
from preprocess.entries import NAME
from preprocess.errors import InputError, Problem
from preprocess.files import FILE_ALLOWED, NO_SUCH_FILE, decode, parse_toml, read_content
from preprocess.floor_heights import Spot, read_floor_heights
from preprocess.jack_list import JackRow, read_jack_list
from preprocess.layout import jack_layout_problems, load_problems, plan_of
from preprocess.mesh_budget import lattice_problems, mesh_problems
from preprocess.reinforcement import reinforcement_problems
from preprocess.schema import CASE_FILE, DEFAULT_FILES, CaseFile, cross_problems
from preprocess.springs import Catalogue, read_catalogue
from preprocess.validation import table_of, usable, validate
from preprocess.wording import quoted

Tables = Mapping[str, Any]

Given = Literal["springs", "positions", "plan"]
"""What a case must hold of its jacks: positions and springs, positions only, or nothing: they are set out anew."""

NO_CHANGES: Final[Mapping[str, object]] = {}

_PARTS: Final[Mapping[Given, tuple[str, ...]]] = {
    "springs": PARTS,
    "positions": PARTS,
    "plan": tuple(part for part in PARTS if part != "jacks"),
}
"""What a drawing, where there is one, has to give."""

HINTS = {"positions": "; jackfield setout finds places for the jacks"}

_FOLDER_ALLOWED = f"a folder that holds {CASE_FILE}"


def read_case(folder: str | Path, changes: Mapping[str, object] = NO_CHANGES) -> Case:
    """The case in `folder`, checked and in SI; changes: to its tables before they are checked, `preprocess.changes`.

    Raises InputError with every problem of `case.toml` and the files that it names, in the order of
    the files; a check is left out only where the data that it needs are not usable.
    """
    return read_draft(folder, "springs", changes).listed()


def read_draft(folder: str | Path, given: Given, changes: Mapping[str, object] = NO_CHANGES) -> Draft:
    """The case in `folder`, of whose jacks only what is `given` is read and checked.

    Raises InputError like `read_case`.
    """
    folder = Path(folder)
    drawn, drawing_problems = _with_changes(folder, given, changes)
    data = drawn.data
    file, problems = validate(CaseFile, data, CASE_FILE)
    plan, plan_problems = plan_of(data)
    catalogue, catalogue_problems = _catalogue(folder, data)
    rows, jack_problems = _jacks(folder, drawn, catalogue, plan, given)
    problems += [*cross_problems(data), *plan_problems, *load_problems(plan, data)]
    problems += [*reinforcement_problems(data), *mesh_problems(plan, len(rows), data)]
    problems += lattice_problems(plan, data)
    problems += [*dynamics_problems(data), *dynamics_place_problems(plan, rows, data)]
    spots, spot_problems = _spots(folder, data, plan)
    problems += [*catalogue_problems, *jack_problems, *spot_problems]
    problems = [*drawn.placed(problems), *drawing_problems]
    if problems or file is None or plan is None or catalogue is None:
        raise InputError(_in_file_order(problems, data))
    return Draft(folder, file, plan, catalogue.springs, tuple(rows), tuple(spots), drawn.remarks)


def _case_tables(folder: Path) -> dict[str, Any]:
    """The parsed `case.toml`; without it nothing else can be read."""
    if not folder.is_dir():
        raise InputError([_not_a_folder(folder)])
    content, fault = read_content(folder, CASE_FILE)
    if fault:
        missing = fault == NO_SUCH_FILE
        value = f"no {CASE_FILE} in it" if missing else CASE_FILE
        allowed = _FOLDER_ALLOWED if missing else f"{FILE_ALLOWED}; {fault}"
        raise InputError([Problem(CASE_FILE, str(folder), value, allowed)])
    text, problems = decode(content, CASE_FILE)
    data: dict[str, Any] = {}
    if not problems:
        data, problems = parse_toml(text, CASE_FILE)
    if problems:
        raise InputError(problems)
    return data


def _with_changes(folder: Path, given: Given, changes: Mapping[str, object]) -> tuple[WithDrawing, list[Problem]]:
    """The tables of the case and its drawing with changes: those of [drawing] count before it is read, others after."""
    how = {key: value for key, value in changes.items() if key.startswith("drawing.")}
    data, problems = changed(_case_tables(folder), how)
    drawn, drawing_problems = with_drawing(folder, data, _PARTS[given])
    if drawn.parts and drawn.plan is None:
        return drawn, problems + drawing_problems
    data, more = changed(drawn.data, {key: value for key, value in changes.items() if key not in how})
    if problems or more:
        raise InputError([*problems, *more])
    return replace(drawn, data=data), drawing_problems


def _not_a_folder(folder: Path) -> Problem:
    """What is wrong with a case that is no folder."""
    if folder.is_file():
        allowed = f"{_FOLDER_ALLOWED}; name its folder, {quoted(str(folder.parent))}"
        return Problem(CASE_FILE, str(folder), "a file", allowed)
    return Problem(CASE_FILE, str(folder), "no such folder", _FOLDER_ALLOWED)


def _named_text(folder: Path, data: Tables, table: str, key: str) -> tuple[str, str | None, list[Problem]]:
    """Name and text (None if it cannot be had) of the file under `table.key`, and what is wrong with it."""
    name = usable(NAME, table_of(data, table).get(key, DEFAULT_FILES.get(key)))
    if name is None:
        return "", None, []
    content, fault = read_content(folder, name)
    if fault:
        hint = HINTS.get(key, "") if fault == NO_SUCH_FILE else ""
        return name, None, [Problem(CASE_FILE, f"{table}.{key}", quoted(name), f"{FILE_ALLOWED}; {fault}{hint}")]
    text, problems = decode(content, name)
    return name, None if problems else text, problems


def _catalogue(folder: Path, data: Tables) -> tuple[Catalogue | None, list[Problem]]:
    """The spring catalogue, None if its file cannot be parsed, and what is wrong with it."""
    name, text, problems = _named_text(folder, data, "springs", "catalogue")
    if text is None:
        return None, problems
    springs, problems = parse_toml(text, name)
    return (None, problems) if problems else read_catalogue(springs, name)


def _jacks(
    folder: Path, drawn: WithDrawing, catalogue: Catalogue | None, plan: Polygon | None, given: Given
) -> tuple[list[JackRow], list[Problem]]:
    """The rows of the jack list, or the jacks of the drawing, and what is wrong with them, alone and on the plan."""
    data = drawn.data
    if given == "plan":
        return [], []
    if drawn.rows is not None:
        return _drawn_jacks(drawn, catalogue, plan, given)
    name, text, problems = _named_text(folder, data, "jacks", "positions")
    if text is None:
        return [], problems
    codes = () if catalogue is None else catalogue.codes
    rows, problems = read_jack_list(text, name, codes, springs_open=given == "positions")
    if problems and not rows:
        return [], problems
    return rows, problems + jack_layout_problems(plan, rows, name, data)


def _drawn_jacks(
    drawn: WithDrawing, catalogue: Catalogue | None, plan: Polygon | None, given: Given
) -> tuple[list[JackRow], list[Problem]]:
    """The jacks of the drawing, none where it cannot be used, and what is wrong with them."""
    rows, data = drawn.rows or [], drawn.data
    if drawn.plan is None:
        return [], []
    file = str(table_of(data, "drawing")["file"]).strip()
    codes = () if catalogue is None else catalogue.codes
    problems = spring_problems(drawn.plan, file, codes) if given == "springs" else []
    return rows, problems + jack_layout_problems(plan, rows, file, data)


def _spots(folder: Path, data: Tables, plan: Polygon | None) -> tuple[list[Spot], list[Problem]]:
    """The heights of the structural floor if the lift names a file of them, and what is wrong with it."""
    name, text, problems = _named_text(folder, data, "lift", "floor_heights")
    return ([], problems) if text is None else read_floor_heights(text, name, plan)


def _in_file_order(problems: Sequence[Problem], data: Tables) -> list[Problem]:
    """Sorted by file, then by table as case.toml has them, then by number of the item or row."""
    files = list(dict.fromkeys((CASE_FILE, *(problem.file for problem in problems))))
    tables = [*data, "spring", "nested", "rows", "row"]

    def place(problem: Problem) -> tuple[int, int, int]:
        match = re.match(r"(\w+)(?: (\d+))?", problem.where)
        word, number = match.groups() if match else ("", None)
        word = "row" if number and word == "rows" else word
        table = tables.index(word) if word in tables else len(tables)
        return files.index(problem.file), table, int(number or 0)

    return sorted(problems, key=place)
