"""The geometric checks of a case, on whatever in its files is usable by itself."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from shapely import Polygon

from preprocess.entries import FOOT_MM, FOOTPRINT_MM, POINTS
from preprocess.errors import Problem
from preprocess.jack_list import JackRow
from preprocess.lengths import metres
from preprocess.placement import (
    area_problems,
    foot_problems,
    foot_spacing_problems,
    jack_plan_problems,
    jack_spacing_problems,
    jack_support_problems,
    path_problems,
)
from preprocess.plan import ring_problems, slab_plan
from preprocess.schema import CASE_FILE, DEFAULT_FOOT_MM, DEFAULT_FOOTPRINT_MM
from preprocess.validation import location, table_of, tables_of, usable

Tables = Mapping[str, Any]


def plan_of(data: Tables) -> tuple[Polygon | None, list[Problem]]:
    """The plan that case.toml gives, None if its outline is not usable, and what is wrong with it."""
    slab = table_of(data, "slab")
    listed = slab.get("openings_mm")
    openings = [
        (location(data, ("slab", "openings_mm", index)), metres(corners))
        for index, opening in enumerate(listed if isinstance(listed, list) else [])
        if (corners := usable(POINTS, opening)) is not None
    ]
    outline = usable(POINTS, slab.get("outline_mm"))
    where = location(data, ("slab", "outline_mm"))
    return slab_plan(None if outline is None else metres(outline), openings, CASE_FILE, where)


def load_problems(plan: Polygon | None, data: Tables) -> list[Problem]:
    """Loads in case.toml of impossible shape or, if there is a plan, not wholly on it."""
    problems: list[Problem] = []
    for kind in ("finishes", "equipment", "groups"):
        for index, item in tables_of(data, kind):
            problems += _outline_problems(plan, item, location(data, (kind, index, "outline_mm")))
    for index, item in tables_of(data, "no_jack_zones"):  # these may reach beyond the slab
        problems += _outline_problems(None, item, location(data, ("no_jack_zones", index, "outline_mm")))
    problems += _feet_problems(plan, data)
    for kind in ("line_loads", "jack_lines"):
        problems += _line_problems(plan, data, kind)
    return problems


def jack_layout_problems(plan: Polygon | None, rows: Sequence[JackRow], file: str, data: Tables) -> list[Problem]:
    """Jacks that are too few, too close together or, if there is a plan, not wholly on the slab."""
    problems = jack_support_problems(rows, file)
    footprint = usable(FOOTPRINT_MM, table_of(data, "jacks").get("footprint_mm", DEFAULT_FOOTPRINT_MM))
    if footprint is not None:
        problems += jack_spacing_problems(rows, footprint / 1000, file)
        if plan is not None:
            problems += jack_plan_problems(plan, rows, footprint / 1000, file)
    return problems


def _outline_problems(plan: Polygon | None, item: Tables, where: str) -> list[Problem]:
    outline = usable(POINTS, item.get("outline_mm"))
    if outline is None:
        return []
    corners = metres(outline)
    problems = ring_problems(corners, CASE_FILE, where)
    if problems or plan is None:
        return problems
    return area_problems(plan, corners, CASE_FILE, where)


def _feet_problems(plan: Polygon | None, data: Tables) -> list[Problem]:
    problems = []
    for index, item in tables_of(data, "equipment"):
        feet = usable(POINTS, item.get("feet_mm"))
        foot = usable(FOOT_MM, item.get("foot_mm", DEFAULT_FOOT_MM))
        if feet and foot is not None:
            where = [location(data, ("equipment", index, "feet_mm", number)) for number in range(len(feet))]
            problems += foot_spacing_problems(metres(feet), foot / 1000, CASE_FILE, where)
            if plan is not None:
                problems += foot_problems(plan, metres(feet), foot / 1000, CASE_FILE, where)
    return problems


def _line_problems(plan: Polygon | None, data: Tables, kind: str) -> list[Problem]:
    problems = []
    for index, item in tables_of(data, kind):
        path = usable(POINTS, item.get("path_mm"))
        if path is not None and len(path) >= 2:
            where = location(data, (kind, index, "path_mm"))
            problems += path_problems(plan, metres(path), CASE_FILE, where)
    return problems
