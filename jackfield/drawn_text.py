"""The files of a case from what was read of a drawing: text of case.toml and rows of jacks.csv."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import PurePath
from typing import Final

from jackfield.toml_text import toml_number, toml_points, toml_text, wrapped
from preprocess.cad.drawn import DrawnEquipment, DrawnJack, DrawnPlan, DrawnRing
from preprocess.entries import LONGEST_TEXT
from preprocess.wording import printable, quoted

_HEAD: Final = """\
# A floating floor from {file}: outline, openings, jacks and equipment are those of the drawing, each with the layer and
# the handle that it came from. All other numbers are those of an invented example: put in your own.
"""


def case_text(starter: str, plan: DrawnPlan, file: str, table: str) -> str:
    """The text of the starter's case.toml with outline, openings and equipment of the drawing called `file`.

    table: the lines of a table [drawing] that would read the same, as comments. What the starter has on its own slab,
    its finishes, becomes comments.
    """
    assert plan.outline is not None
    shown = printable(file)
    text = starter.replace("# A floating floor to start from. ", f"{_HEAD.format(file=shown)}# ", 1)
    text = text.replace(" The numbers here are invented.", "", 1)
    text = _with_line(text, "title = ", f"title = {toml_text(_title(file))} # required; stands on every paper")
    text = _with_line(text, "reference = ", '#reference = ""           # job or drawing number; default: empty')
    text = _with_line(text, "outline_mm = ", _outline(plan.outline, shown))
    text = _with_line(text, "#openings_mm = ", _openings(plan.openings, shown))
    text = _with_line(text, "positions = ", _positions(plan.jacks, shown))
    text = _with_block(text, "#   [drawing]", "", table)
    text = _with_block(text, "# What stands on the slab", "# Loads along a line", _equipment(plan.equipment, shown))
    start = text.index("[[finishes]]")
    end = text.index("# From the drawing: what stands")
    finishes = [line if line.startswith("#") or not line else f"#{line}" for line in text[start:end].split("\n")]
    return text[:start] + "\n".join(finishes) + text[end:]


def jack_text(jacks: Sequence[DrawnJack]) -> str:
    """The jack list; springs that the drawing does not name are left empty, without any there is no such column."""
    known = [jack.spring is not None for jack in jacks]
    # with empty springs the advance stands last, so that no row ends in an empty cell
    columns = ["id", "x_mm", "y_mm", *(["spring"] if any(known) else [])]
    if any(jack.advance_mm for jack in jacks) or any(known) > all(known):
        columns.append("advance_mm")
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    for jack in jacks:
        lengths = {"x_mm": jack.x_mm, "y_mm": jack.y_mm, "advance_mm": jack.advance_mm}
        numbers = {column: toml_number(value) for column, value in lengths.items()}
        writer.writerow({"id": jack.id, "spring": jack.spring or "", **numbers})
    return out.getvalue()


def drawing_table(file: str, layers: Mapping[str, str], settings: Mapping[str, str]) -> str:
    """A table [drawing] as a comment. settings: other keys with their values in TOML."""
    keys = {"file": toml_text(file), **{f"{part}_layer": toml_text(name) for part, name in layers.items()}, **settings}
    return "".join(f"#   {line}\n" for line in ("[drawing]", *(f"{key} = {value}" for key, value in keys.items())))


def _with_line(text: str, start: str, new: str) -> str:
    """The text with `new` in place of the first line that starts so."""
    lines = text.split("\n")
    number = next(number for number, line in enumerate(lines) if line.startswith(start))
    return "\n".join([*lines[:number], new, *lines[number + 1 :]])


def _with_block(text: str, start: str, end: str, new: str) -> str:
    """The text with `new` from the line that starts with `start` up to the next one of `end`, an empty one if none."""
    lines = text.split("\n")
    first = next(number for number, line in enumerate(lines) if line.startswith(start))
    last = next(n for n, line in enumerate(lines) if n > first and (line.startswith(end) if end else not line))
    return "\n".join([*lines[:first], *new.rstrip("\n").split("\n"), *([""] if end else []), *lines[last:]])


def _title(file: str) -> str:
    return printable(PurePath(file).stem).strip()[:LONGEST_TEXT] or "Floor"


def _outline(ring: DrawnRing, file: str) -> str:
    return f"# From {file}, {ring.source}.\n{wrapped(f'outline_mm = {toml_points(ring.corners)}')}"


def _openings(rings: Sequence[DrawnRing], file: str) -> str:
    if not rings:
        return f"# {file} has none."
    comments = [f"# Opening {number}: from {file}, {ring.source}." for number, ring in enumerate(rings, start=1)]
    value = ", ".join(toml_points(ring.corners) for ring in rings)
    return "\n".join([*comments, wrapped(f"openings_mm = [{value}]")])


def _positions(jacks: Sequence[DrawnJack], file: str) -> str:
    said = f'# {file} has no jacks: "jackfield setout" finds places for them and writes this file.'
    if jacks:
        said = f"# The places are from {file}, layer {quoted(jacks[0].source.layer)[1:-1]}."
    return f'{said}\npositions = "jacks.csv"'


def _equipment(items: Sequence[DrawnEquipment], file: str) -> str:
    text = """\
# From the drawing: what stands on the slab, one table for each. It has either feet_mm, over which the mass is shared
# equally, with foot_mm, the side of each square pad, or outline_mm, over which the mass is spread evenly.
"""
    if not items:
        text += f"# {file} has none.\n"
    return text + "\n".join(_item(item, file) for item in items) + "\n"


def _item(item: DrawnEquipment, file: str) -> str:
    mass = "# mass_kg =              # required, but not in the drawing: put it in, with all that hangs on it"
    if item.mass_kg is not None:
        mass = f"mass_kg = {item.mass_kg:.12g}"
    lines = ["[[equipment]]", f"# From {file}, {item.source}.", f"name = {toml_text(item.name)}", mass]
    if item.feet_mm is not None and item.foot_mm is not None:
        lines += [wrapped(f"feet_mm = {toml_points(item.feet_mm)}"), f"foot_mm = {toml_number(item.foot_mm)}"]
    else:
        lines += [wrapped(f"outline_mm = {toml_points(item.outline_mm or ())}")]
    return "\n".join(lines) + "\n"
