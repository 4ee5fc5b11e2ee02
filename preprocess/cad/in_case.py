"""The drawing that a case names: what it holds goes among the tables of case.toml, for the checks of all cases."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from preprocess.cad.drawing_in import DRAWING_ALLOWED, drawn_in
from preprocess.cad.drawn import DrawnEquipment, DrawnPlan
from preprocess.cad.rules import PARTS, DrawingRules
from preprocess.errors import InputError, Problem
from preprocess.files import LARGEST_DRAWING, read_content
from preprocess.jack_list import JackRow
from preprocess.schema import CASE_FILE, DrawingTable
from preprocess.validation import location, table_of, validate
from preprocess.wording import nearest, quoted, shown

Tables = Mapping[str, Any]

HELD_BY = {
    "outline": ("slab", "outline_mm"),
    "openings": ("slab", "openings_mm"),
    "jacks": ("jacks", "positions"),
    "equipment": ("equipment",),
}
"""Where case.toml holds what the drawing may hold instead."""


@dataclass(frozen=True)
class WithDrawing:
    """The tables of a case with those of its drawing.

    rows: the jacks of the drawing, None where they are from a list. parts: that the drawing is to give. plan: what it
    gave, None if it cannot be used. places: words for places in case.toml -> file and place in the drawing.
    """

    data: dict[str, Any]
    rows: list[JackRow] | None
    parts: tuple[str, ...]
    plan: DrawnPlan | None
    remarks: tuple[str, ...]
    places: Mapping[str, tuple[str, str]]

    def placed(self, problems: Sequence[Problem]) -> list[Problem]:
        """The problems, those of drawn things with their place in the drawing, without those of things not read."""
        if self.plan is None:
            return [problem for problem in problems if not self._not_read(problem)]
        return [self._placed(problem) for problem in problems]

    def _not_read(self, problem: Problem) -> bool:
        """Whether it says only that something is missing that the drawing was to give."""
        return problem.file == CASE_FILE and "outline" in self.parts and problem.where in ("slab.outline_mm", "slab")

    def _placed(self, problem: Problem) -> Problem:
        if problem.file != CASE_FILE:
            return problem
        for words, (file, place) in self.places.items():
            rest = problem.where.removeprefix(words)
            if rest != problem.where and not rest[:1].isdigit():
                return replace(problem, file=file, where=place + (f"{', ' if rest[:1].isalnum() else ''}{rest}"))
        return problem


def with_drawing(folder: Path, data: dict[str, Any], wanted: Collection[str]) -> tuple[WithDrawing, list[Problem]]:
    """The tables of case.toml with what its drawing holds, and what is wrong with the drawing.

    wanted: those of `PARTS` that are needed.
    """
    plain = WithDrawing(data, None, (), None, (), {})
    if "drawing" not in data:
        return plain, []
    given = {part: f"{part}_layer" for part in PARTS if f"{part}_layer" in table_of(data, "drawing")}
    plain = replace(plain, parts=tuple(given), rows=[] if "jacks" in given else None)
    table, faults = validate(DrawingTable, table_of(data, "drawing"), CASE_FILE)
    if table is None or faults:
        return plain, []  # the check of the whole file names them
    if not given:
        keys = ", ".join(f"{part}_layer" for part in PARTS)
        return plain, [Problem(CASE_FILE, "drawing", "no layer", f"one or more of {keys}; or no [drawing]")]
    problems = [problem for part in given for problem in _held_twice(data, part)]
    layers = {part: getattr(table, key) for part, key in given.items() if part in wanted}
    try:
        plan, remarks = _read(folder, table, layers)
    except InputError as error:
        return plain, [*problems, *error.problems]
    injected, places = _injected(data, plan, layers, table.file)
    rows = _rows(plan) if "jacks" in given else None
    problems += _massless(plan.equipment, table.file)
    return WithDrawing(injected, rows, tuple(given), plan, remarks, places), problems


def spring_problems(plan: DrawnPlan, file: str, codes: Collection[str]) -> list[Problem]:
    """Jacks of a drawing without a spring, or with one that the catalogue, if any, does not have."""
    problems = []
    for jack in plan.jacks:
        where = f"{jack.source}, jack {quoted(jack.id)}"
        if jack.spring is None:
            allowed = "the code of a spring as attribute SPRING of the block; jackfield springs chooses springs"
            problems.append(Problem(file, where, "no spring", allowed))
        elif codes and jack.spring not in codes:
            value = f"attribute SPRING {quoted(jack.spring)}"
            problems.append(Problem(file, where, value, nearest(jack.spring, codes, "spring")))
    return problems


def _held_twice(data: Tables, part: str) -> list[Problem]:
    """A key of case.toml that holds what the drawing is to give."""
    path = HELD_BY[part]
    held = data if len(path) == 1 else table_of(data, path[0])
    if path[-1] not in held:
        return []
    key = ".".join(path)
    allowed = f"one of the two: take out {key} where the drawing gives the {part}, or the layer"
    return [Problem(CASE_FILE, f"{key} and drawing.{part}_layer", "both", allowed)]


def _read(folder: Path, table: DrawingTable, layers: Mapping[str, str]) -> tuple[DrawnPlan, tuple[str, ...]]:
    content, fault = read_content(folder, table.file, LARGEST_DRAWING)
    if fault:
        allowed = f"{fault}; a regular file in the folder of the case: {DRAWING_ALLOWED}"
        raise InputError([Problem(CASE_FILE, "drawing.file", quoted(table.file), allowed)])
    rules = DrawingRules(table.units, layers, table.chord_mm, table.closing_mm, table.origin_mm, table.masses_kg)
    return drawn_in(content, table.file, rules)


def _injected(
    data: dict[str, Any], plan: DrawnPlan, layers: Mapping[str, str], file: str
) -> tuple[dict[str, Any], dict[str, tuple[str, str]]]:
    """The tables with what was drawn, and where each of it stands in the drawing."""
    injected = dict(data)
    places = {}
    slab = dict(table_of(data, "slab"))
    if plan.outline is not None and "outline_mm" not in slab:
        slab["outline_mm"] = [list(corner) for corner in plan.outline.corners]
        places["slab.outline_mm"] = (file, str(plan.outline.source))
    if "openings" in layers and "openings_mm" not in slab:
        slab["openings_mm"] = [[list(corner) for corner in ring.corners] for ring in plan.openings]
        for number, ring in enumerate(plan.openings, start=1):
            places[f"slab.openings_mm, opening {number}"] = (file, str(ring.source))
    if slab:
        injected["slab"] = slab
    if "equipment" in layers and "equipment" not in data:
        injected["equipment"] = [_item(item) for item in plan.equipment]
        for index, item in enumerate(plan.equipment):
            places[location(injected, ("equipment", index))] = (file, f"{item.source}, equipment {quoted(item.name)}")
    return injected, places


def _item(item: DrawnEquipment) -> dict[str, Any]:
    """The item as a table of case.toml. A missing mass is named elsewhere and stands as 1 kg, never to be used."""
    table: dict[str, Any] = {"name": item.name, "mass_kg": 1.0 if item.mass_kg is None else item.mass_kg}
    if item.feet_mm is not None:
        return table | {"feet_mm": [list(foot) for foot in item.feet_mm], "foot_mm": item.foot_mm}
    return table | {"outline_mm": [list(corner) for corner in item.outline_mm or ()]}


def _massless(items: Sequence[DrawnEquipment], file: str) -> list[Problem]:
    problems = []
    for item in items:
        if item.mass_kg is None:
            owner = item.block or item.name
            allowed = f"its mass in kg: attribute MASS_KG of the block, or {shown(owner)} in [drawing.masses_kg]"
            problems.append(Problem(file, f"{item.source}, equipment {quoted(item.name)}", "no mass", allowed))
    return problems


def _rows(plan: DrawnPlan) -> list[JackRow]:
    return [
        JackRow(number, jack.id, jack.x_mm, jack.y_mm, jack.spring or "", jack.advance_mm, str(jack.source))
        for number, jack in enumerate(plan.jacks, start=1)
    ]
