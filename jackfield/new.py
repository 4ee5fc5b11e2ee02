"""`jackfield new`: a small complete case to start from, or one with the plan of a drawing."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from importlib.resources import files
from pathlib import Path

from jackfield.drawn_text import case_text, drawing_table, jack_text
from jackfield.output import OutputError, staged
from jackfield.toml_text import toml_number, toml_text
from preprocess.cad.drawing_in import off_slab, read_drawing
from preprocess.cad.drawn import DrawnPlan
from preprocess.cad.rules import DEFAULT_LAYERS, PARTS, DrawingRules
from preprocess.errors import InputError, Problem
from preprocess.schema import CASE_FILE, DEFAULT_FILES
from preprocess.wording import count, listed, nearest, quoted, shown

OPTIONAL_PARTS = frozenset(PARTS) - {"outline"}


@dataclass(frozen=True)
class NewCase:
    """A case that was written.

    remarks: on the drawing. to_do: what it still needs, in words. first: what no job can do without, in words. job: to
    go on with.
    """

    files: tuple[Path, ...]
    remarks: tuple[str, ...]
    to_do: tuple[str, ...]
    first: tuple[str, ...] = ()
    job: str = "run"

    @property
    def next_step(self) -> str:
        """What can be done with it now, in words."""
        command = f"jackfield {self.job} {self.files[0].parent}"
        return f"Next: {' and '.join(self.first)}, then {command}" if self.first else f"Try it: {command}"


def new(folder: Path) -> tuple[Path, ...]:
    """Write the starter case to `folder`, which must not exist or be empty; returns the files.

    Raises OutputError where the folder holds something already or cannot be written.
    """
    return _write(folder, _starter())


def new_from(folder: Path, drawing: Path, rules: DrawingRules) -> NewCase:
    """Write a case with the plan of `drawing` to `folder`, which must not exist or be empty.

    Masses and springs that the drawing does not have are left open. Raises InputError where the drawing cannot be read
    or has a jack off the slab, OutputError where the folder holds something already or cannot be written.
    """
    _check_empty(folder)
    plan, remarks = read_drawing(drawing, rules)
    if problems := off_slab(plan, drawing.name):
        raise InputError(problems)
    starter = _starter()
    name = _name_beside(drawing.name, starter)
    read = {part: layer for part, layer in rules.layers.items() if _holds(plan, part)}
    table = drawing_table(name, read, _settings(rules))
    text = case_text(starter[CASE_FILE].decode("utf-8"), plan, name, table)
    content = {
        CASE_FILE: text.encode("utf-8"),
        DEFAULT_FILES["catalogue"]: starter[DEFAULT_FILES["catalogue"]],
        name: drawing.read_bytes(),
    }
    if plan.jacks:
        content[DEFAULT_FILES["positions"]] = jack_text(plan.jacks).encode("utf-8")
    return NewCase(_write(folder, content), remarks, _to_do(plan, starter), _first(plan, starter), _next_job(plan))


def drawing_rules(
    units: str | None, layers: Sequence[str], origin_mm: tuple[float, float] | None, closing_mm: float | None
) -> DrawingRules:
    """The rules of the options of the command. layers: each "outline=NAME", or another of `PARTS`.

    Raises InputError. A layer that is named has to be there, of the others only that of the outline.
    """
    given, problems = {}, []
    for option in layers:
        part, equals, name = (piece.strip() for piece in option.partition("="))
        if part in PARTS and equals and name:
            given[part] = name
        else:
            allowed = f"PART=NAME, PART one of {', '.join(PARTS)}"
            known = allowed if part in PARTS else f"{allowed}; {nearest(part, PARTS, 'part')}"
            problems.append(Problem("command", "--layer", quoted(option), known))
    if closing_mm is not None and not 0 <= closing_mm <= 100:
        problems.append(Problem("command", "--closing", shown(closing_mm), "a number of mm from 0 to 100"))
    if problems:
        raise InputError(problems)
    rules = DrawingRules(units, {**DEFAULT_LAYERS, **given}, may_lack=OPTIONAL_PARTS - given.keys())
    rules = rules if origin_mm is None else replace(rules, origin_mm=origin_mm)
    return rules if closing_mm is None else replace(rules, closing_mm=closing_mm)


def _starter() -> dict[str, bytes]:
    """The files of the starter case by name."""
    return {source.name: source.read_bytes() for source in files("jackfield").joinpath("starter").iterdir()}


def _check_empty(folder: Path) -> None:
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise OutputError(f"new: got {folder}: it exists already; name a folder that is new or empty")


def _write(folder: Path, content: dict[str, bytes]) -> tuple[Path, ...]:
    """Files by name, all of them or none."""
    _check_empty(folder)
    with staged(folder) as staging:
        for name, data in content.items():
            (staging / name).write_bytes(data)
    return tuple(folder / name for name in sorted(content))


def _name_beside(name: str, taken: dict[str, bytes]) -> str:
    """The name of the drawing in the folder of the case, where other files have theirs."""
    return f"drawing-{name}" if name.lower() in {other.lower() for other in taken} else name


def _holds(plan: DrawnPlan, part: str) -> bool:
    return bool(getattr(plan, part))


def _settings(rules: DrawingRules) -> dict[str, str]:
    """Keys of [drawing] beside file and layers."""
    settings = {"closing_mm": toml_number(rules.closing_mm), "chord_mm": toml_number(rules.chord_mm)}
    if rules.units is not None:
        settings["units"] = toml_text(rules.units)
    if any(rules.origin_mm):
        settings["origin_mm"] = f"[{', '.join(toml_number(value) for value in rules.origin_mm)}]"
    return settings


def _first(plan: DrawnPlan, starter: dict[str, bytes]) -> tuple[str, ...]:
    """What has to be put in before anything can be computed."""
    found = []
    if any(item.mass_kg is None for item in plan.equipment):
        found.append(f"put the masses into {CASE_FILE}")
    if _unknown_springs(plan, starter):
        found.append(f"put the springs of the drawing into {DEFAULT_FILES['catalogue']}")
    return tuple(found)


def _unknown_springs(plan: DrawnPlan, starter: dict[str, bytes]) -> list[str]:
    """Springs of the drawing that the catalogue of the starter does not have."""
    tables = tomllib.loads(starter[DEFAULT_FILES["catalogue"]].decode("utf-8"))
    known = {entry["code"] for kind in ("spring", "nested") for entry in tables.get(kind, ())}
    return list(dict.fromkeys(jack.spring for jack in plan.jacks if jack.spring and jack.spring not in known))


def _next_job(plan: DrawnPlan) -> str:
    """The command that does not need what the drawing lacks."""
    if not plan.jacks:
        return "setout"
    return "run" if all(jack.spring for jack in plan.jacks) else "springs"


def _to_do(plan: DrawnPlan, starter: dict[str, bytes]) -> tuple[str, ...]:
    """What the case still needs."""
    found = []
    massless = [item.name for item in plan.equipment if item.mass_kg is None]
    if massless:
        found.append(f"mass_kg of {listed(massless)} in {CASE_FILE}: the drawing does not have it")
    if not plan.jacks:
        found.append("places of the jacks: jackfield setout finds them")
    springless = [jack.id for jack in plan.jacks if jack.spring is None]
    if springless:
        what = f"springs of {count(len(springless), 'jack')} ({listed(springless)}) in {DEFAULT_FILES['positions']}"
        found.append(f"{what}: jackfield springs chooses them")
    catalogue = DEFAULT_FILES["catalogue"]
    if unknown := _unknown_springs(plan, starter):
        what = f"{'springs' if len(unknown) > 1 else 'spring'} {listed(unknown)} in {catalogue}"
        found.append(f"{what}: jacks of the drawing name what the catalogue of the example does not have")
    found.append(f"your own numbers in {CASE_FILE} and {catalogue}: all that is not from the drawing is invented")
    return tuple(found)
