"""From pydantic's findings to problems in the words of the file: dotted keys, counted from 1."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, TypeVar, get_args, get_origin

from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic_core import ErrorDetails

from preprocess.entries import REFUSED
from preprocess.errors import Problem
from preprocess.wording import nearest, quoted, shown

Model = TypeVar("Model", bound=BaseModel)
Value = TypeVar("Value")
Location = tuple[int | str, ...]

_ITEMS = {
    "outline_mm": ("corner",),
    "openings_mm": ("opening", "corner"),
    "feet_mm": ("foot",),
    "path_mm": ("point",),
}
"""What the items of a list are called, and the items of those."""

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]{1,60}")


def validate(model: type[Model], data: Mapping[str, Any], file: str) -> tuple[Model | None, list[Problem]]:
    """The tables of a parsed file, or None and all that is wrong with them."""
    try:
        return model.model_validate(data), []
    except ValidationError as error:
        return None, [_problem(model, data, file, detail) for detail in error.errors(include_url=False)]


def usable(adapter: TypeAdapter[Value], value: object) -> Value | None:
    """The value if it passes by itself, else None: checks go on with it when its neighbours are bad."""
    try:
        return adapter.validate_python(value)
    except ValidationError:
        return None


def table_of(data: Mapping[str, Any], key: str) -> Mapping[str, Any]:
    """The table `key`, empty if the file has something else there."""
    table = data.get(key)
    return table if isinstance(table, Mapping) else {}


def tables_of(data: Mapping[str, Any], key: str) -> Iterator[tuple[int, Mapping[str, Any]]]:
    """Index and table of each item of the list of tables `key` that is a table at all."""
    items = data.get(key)
    if isinstance(items, list):
        yield from ((index, item) for index, item in enumerate(items) if isinstance(item, Mapping))


def location(data: Mapping[str, Any], loc: Location) -> str:
    """Where `loc` is, in words: 'equipment 2 ("Rack").feet_mm, foot 3'."""
    words = ""
    items: tuple[str, ...] = ()
    for depth, step in enumerate(loc):
        if isinstance(step, str):
            words += ("." if words else "") + (step if _BARE_KEY.fullmatch(step) else quoted(step))
            items = _ITEMS.get(step, ())
        elif depth == 1:
            words += f" {step + 1}{_name_of_item(data, loc)}"
        else:
            words += f", {items[0] if items else 'item'} {step + 1}"
            items = items[1:]
    return words


def _name_of_item(data: Mapping[str, Any], loc: Location) -> str:
    item = data[str(loc[0])][loc[1]]
    name = item.get("name", item.get("code")) if isinstance(item, Mapping) else None
    return f" ({quoted(name.strip())})" if isinstance(name, str) and name.strip() else ""


def _problem(model: type[BaseModel], data: Mapping[str, Any], file: str, detail: ErrorDetails) -> Problem:
    loc = detail["loc"]
    if detail["type"] == "missing":
        return Problem(file, location(data, loc), "", f"required, but missing{_missing(model, loc)}")
    return Problem(file, location(data, loc), shown(detail["input"]), _allowed(model, detail))


def _allowed(model: type[BaseModel], detail: ErrorDetails) -> str:
    """What would be accepted instead. The schemas can fail in the ways listed here and no others."""
    loc = detail["loc"]
    top = len(loc) == 1
    match detail["type"]:
        case "extra_forbidden":
            return nearest(str(loc[-1]), _table_at(model, loc[:-1]).model_fields, "key")
        case "model_type":
            return f"a table, written {f'[{loc[0]}]' if top else f'[[{loc[0]}]]'}{_with_keys(model, loc)}"
        case "list_type":
            return _tables(model, loc) if top else f"a list of {_points(loc)}"
        case "too_short":
            return f"{detail['ctx']['min_length']} or more {_tables(model, loc) if top else _points(loc)}"
        case kind:
            assert kind == REFUSED, f"no words for pydantic's {kind}"
            return detail["msg"]


def _missing(model: type[BaseModel], loc: Location) -> str:
    """What a table or list of tables that is missing would have to be; empty for a key within a table."""
    if len(loc) > 1:
        return ""
    if get_origin(model.model_fields[str(loc[0])].annotation) is list:
        return f": {_tables(model, loc)}"
    return f": a table, written [{loc[0]}]{_with_keys(model, loc)}"


def _tables(model: type[BaseModel], loc: Location) -> str:
    return f"tables, each written [[{loc[0]}]]{_with_keys(model, loc)}"


def _with_keys(model: type[BaseModel], loc: Location) -> str:
    """The keys that the table at `loc` needs."""
    keys = [key for key, field in _table_at(model, loc).model_fields.items() if field.is_required()]
    listed = ", ".join(keys[:-1]) + (" and " if keys[:-1] else "") + "".join(keys[-1:])
    return f" with {listed}, at least" if keys else ""


def _points(loc: Location) -> str:
    points = "points [x, y] in mm"
    return f"openings, each a list of {points}" if loc[-1] == "openings_mm" else points


def _table_at(model: type[BaseModel], loc: Location) -> type[BaseModel]:
    """The model of the table at `loc`."""
    for key in loc:
        if isinstance(key, str):
            annotation = model.model_fields[key].annotation
            candidates = (annotation, *get_args(annotation))
            model = next(c for c in candidates if isinstance(c, type) and issubclass(c, BaseModel))
    return model
