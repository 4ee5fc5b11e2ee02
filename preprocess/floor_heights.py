"""Spot heights of the structural floor, a CSV file with one place a row, read in the units of the file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Final

import numpy as np
import shapely
from shapely import Polygon

from preprocess.csv_table import CellReader, Columns, read_table
from preprocess.entries import FARTHEST_MM
from preprocess.errors import Problem
from preprocess.height_points import MOST_HEIGHTS, repeated_places, spread_problems, support_problems
from preprocess.wording import point

FARTHEST_OFF: Final = 5.0
"""How far, m, a place may lie off the bounds of the slab; farther off it belongs to another floor or datum."""

GREATEST_SPREAD_MM: Final = 100.0

_SPREAD = f"heights in mm above one datum, within {GREATEST_SPREAD_MM:g} mm of each other; feet or metres?"
_COLUMNS = Columns(
    ("x_mm", "y_mm", "height_mm"),
    "columns x_mm,y_mm,height_mm, separated by commas",
    most=MOST_HEIGHTS,
    things="heights",
)


@dataclass(frozen=True)
class Spot:
    """One row as the file has it, in mm, height positive upward; a number that is not usable is NaN."""

    row: int
    x_mm: float
    y_mm: float
    height_mm: float

    @property
    def sound(self) -> bool:
        return isfinite(self.x_mm + self.y_mm + self.height_mm)


def read_floor_heights(text: str, file: str, plan: Polygon | None) -> tuple[list[Spot], list[Problem]]:
    """All heights and all that is wrong with them: numbers, places far off the plan, too few, too far apart."""
    table, problems = read_table(text, file, _COLUMNS)
    if not set(_COLUMNS.required) <= set(table.header):
        return [], problems
    spots = [_spot(file, number, cells, problems) for number, cells in table.rows]
    sound = [spot for spot in spots if spot.sound]
    xy = np.array([(spot.x_mm, spot.y_mm) for spot in sound]).reshape(-1, 2) / 1000
    rows, heights = [spot.row for spot in sound], [spot.height_mm for spot in sound]
    problems += _far_off(sound, plan, file)
    problems += repeated_places(xy, rows, file)
    problems += spread_problems(heights, rows, file, most_mm=GREATEST_SPREAD_MM, allowed=_SPREAD)
    return spots, problems + support_problems(xy, len(table.rows), file)


def _spot(file: str, row: int, cells: Mapping[str, str], problems: list[Problem]) -> Spot:
    reader = CellReader(file, row, cells, problems.append)
    x, y, height = (reader.number(column, FARTHEST_MM) for column in _COLUMNS.required)
    return Spot(row, x, y, height)


def _far_off(spots: Sequence[Spot], plan: Polygon | None, file: str) -> list[Problem]:
    """Places that cannot be below or beside the slab."""
    if plan is None or not spots:
        return []
    bounds = shapely.box(*plan.bounds)
    away = shapely.distance(bounds, shapely.points([(spot.x_mm / 1000, spot.y_mm / 1000) for spot in spots]))
    allowed = f"at most {FARTHEST_OFF:g} m off the slab, in the axes of its plan"
    return [
        Problem(file, f"row {spot.row}", point(spot.x_mm / 1000, spot.y_mm / 1000), allowed)
        for spot, distance in zip(spots, np.atleast_1d(away), strict=True)
        if distance > FARTHEST_OFF
    ]
