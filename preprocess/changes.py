"""Changes to the tables of a case before it is read, so that a study varies one thing at a time by the same rules."""

from __future__ import annotations

import copy
from collections.abc import Mapping
from typing import Any, Final

import numpy as np

from preprocess.errors import Problem
from preprocess.wording import nearest, quoted, shown

CHANGES: Final = "changes"
"""What messages call the changes, where they would name a file."""

Tables = dict[str, Any]


def changed(data: Mapping[str, Any], changes: Mapping[str, object]) -> tuple[Tables, list[Problem]]:
    """The tables with these values put in, and which changes have no place; `data` itself stays as it is.

    Keys are those of case.toml joined by points, as "slab.thickness_mm"; an item of a list of tables is called by its
    name or its number from 1, as "equipment.Rack 1.mass_kg"; a list of tables may be replaced as a whole, as
    "equipment". Whether a value is allowed is for the reader to say.
    """
    found, problems = copy.deepcopy(dict(data)), []
    for key, given in changes.items():
        value = plain(given)
        fault = _put(found, key, value)
        if fault is not None:
            problems.append(Problem(CHANGES, quoted(key), shown(value), fault))
    return found, problems


def plain(value: object) -> object:
    """A value as TOML would have it: numbers of numpy as numbers, arrays and tuples as lists."""
    if isinstance(value, np.ndarray | np.generic):
        value = value.tolist()
    if isinstance(value, list | tuple):
        return [plain(part) for part in value]
    return {key: plain(part) for key, part in value.items()} if isinstance(value, dict) else value


def _put(data: Tables, key: str, value: object) -> str | None:
    """Put one value in its place; what would be allowed where there is none."""
    *path, last = key.split(".")
    if not path and isinstance(value, list):
        data[last] = value
        return None
    if not path:
        return "a key in a table, such as slab.thickness_mm, or a list of tables as a whole"
    table: Any = data
    for depth, part in enumerate(path):
        if isinstance(table, list):
            names = [str(item.get("name", number)) for number, item in enumerate(table, start=1)]
            if part in names:
                table = table[names.index(part)]
            elif part.isdecimal() and 1 <= int(part) <= len(table):
                table = table[int(part) - 1]
            else:
                return nearest(part, names, "name")
        elif depth == 0:
            table = table.setdefault(part, {})
        else:
            return "a key as case.toml has it: a table, in a list of tables the name or number of the item, and the key"
    if not isinstance(table, dict):
        return "a list of tables: give the name or number of the item before the key"
    table[last] = value
    return None
