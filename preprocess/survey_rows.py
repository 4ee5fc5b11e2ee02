"""The rows of a survey, read in the units of the file, and what is wrong with each by itself."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import isnan
from typing import Final

import numpy as np
from numpy.typing import NDArray
from shapely import Point, Polygon

from preprocess.csv_table import CellReader, number_in
from preprocess.entries import FARTHEST_MM
from preprocess.errors import Problem
from preprocess.height_points import SAME_PLACE
from preprocess.wording import listed, nearest, point, quoted, shown

PLACE: Final = ("x_mm", "y_mm")
GREATEST_DEVIATION_MM: Final = 20.0
MOST_TURNS: Final = 1000
QUARTERS: Final = 4
ROUNDING: Final = 1e-9
TOLERANCE: Final = 1e-6
"""How far, m, a point may lie over an edge: it forgives rounding."""

FEW: Final = 5
"""Unknown ids that are named one by one."""

Places = Mapping[str, NDArray[np.float64]]
"""(2,) place of each jack by its id, m."""

_BLANK_PLACE = "the id of a jack, or x_mm and y_mm of a point on the slab"


@dataclass(frozen=True)
class SurveyRow:
    """One row as the file has it; a number that is not usable is NaN, a place that is not given too.

    measured: whether it has a height, usable or not. has_turns: whether it has turns, usable or not; else they are 0.
    deviation_mm: None where the row gives none. stated: whether x or y is given, usable or not.
    """

    row: int
    id: str
    x_mm: float
    y_mm: float
    stated: bool
    height_mm: float
    measured: bool
    deviation_mm: float | None
    turns: float
    has_turns: bool

    @property
    def name(self) -> str:
        """What the point is called: the id of its jack or its place in m."""
        return self.id or f"({self.x_mm / 1000:.3f}, {self.y_mm / 1000:.3f}) m"

    @property
    def place(self) -> NDArray[np.float64] | None:
        """(2,) the place that the row itself gives, m; None without one."""
        place = np.array([self.x_mm, self.y_mm]) / 1000
        return place if np.isfinite(place).all() else None

    def xy(self, jacks: Places) -> NDArray[np.float64] | None:
        """(2,) where the height was taken, m: that of its jack or the place given; None where neither is known."""
        return jacks.get(self.id) if self.id else self.place


def survey_row(file: str, row: int, cells: Mapping[str, str], report: Callable[[Problem], None]) -> SurveyRow:
    """The row of these cells; what is wrong with them goes to `report`."""
    reader = CellReader(file, row, cells, report)
    stated = [column for column in PLACE if cells.get(column)]
    x, y = (reader.number(column, FARTHEST_MM) if column in stated else np.nan for column in PLACE)
    if cells and not cells.get("id") and not stated:
        report(Problem(file, f"row {row}", "neither id nor place", _BLANK_PLACE))
    elif len(stated) == 1:
        [missing] = set(PLACE) - set(stated)
        report(Problem(file, f"row {row}, column {missing}", "''", f"a number beside {stated[0]}: {_BLANK_PLACE}"))
    return SurveyRow(
        row=row,
        id=cells.get("id", ""),
        x_mm=x,
        y_mm=y,
        stated=bool(stated),
        height_mm=reader.number("height_mm", FARTHEST_MM) if cells.get("height_mm") else np.nan,
        measured=bool(cells.get("height_mm")) or not cells,
        deviation_mm=_deviation(reader) if cells.get("deviation_mm") else None,
        turns=_turns(reader) if cells.get("turns") else 0.0,
        has_turns=bool(cells.get("turns")),
    )


def _deviation(reader: CellReader) -> float | None:
    value = number_in(reader.cells["deviation_mm"])
    if 0 < value <= GREATEST_DEVIATION_MM:
        return value
    reader.refuse("deviation_mm", f"a number above 0, at most {GREATEST_DEVIATION_MM:g} mm")
    return None


def _turns(reader: CellReader) -> float:
    value = number_in(reader.cells["turns"])
    quarters = round(QUARTERS * value) if abs(value) <= MOST_TURNS else 0
    if isnan(value) or abs(value) > MOST_TURNS or abs(QUARTERS * value - quarters) > ROUNDING:
        reader.refuse("turns", f"full turns within ±{MOST_TURNS:,}, quarters as .25, .5 and .75")
    elif not reader.cells.get("id"):
        reader.refuse("turns", "turns only in a row with the id of a jack")
    return quarters / QUARTERS


def row_problems(rows: Sequence[SurveyRow], jacks: Places, plan: Polygon, file: str) -> list[Problem]:
    """Jacks that the case does not have, jacks given elsewhere than they stand, points off the slab."""
    problems = _unknown_jacks([row for row in rows if row.id and row.id not in jacks], tuple(jacks), file)
    for row in rows:
        place, jack = row.place, row.xy(jacks)
        if place is None:
            continue
        where = f"row {row.row}" + (f", jack {quoted(row.id)}" if row.id else "")
        if row.id and jack is not None and np.hypot(*(place - jack)) > SAME_PLACE:
            allowed = f"{point(*jack)}, where the case has it, or a row without id for another point"
            problems.append(Problem(file, where, point(*place), allowed))
        if not row.id and (fault := _off_slab(plan, place)):
            problems.append(Problem(file, where, f"{point(*place)}, {fault}", "on the slab, in the axes of its plan"))
    return problems


def _unknown_jacks(rows: Sequence[SurveyRow], ids: Sequence[str], file: str) -> list[Problem]:
    """One problem for each of a few, one for all of many."""
    if len(rows) > FEW:
        value = f"{len(rows)} jacks that this floor does not have: {listed([row.id for row in rows])}"
        allowed = f"ids of this floor's own jacks, such as {listed(ids)}"
        return [Problem(file, "column id", value, allowed)]
    return [
        Problem(file, f"row {row.row}, column id", shown(row.id), nearest(row.id, ids, "jack"))
        for row in rows
    ]


def _off_slab(plan: Polygon, place: NDArray[np.float64]) -> str:
    """Why a point (2,) is not on the slab, empty if it is."""
    spot = Point(place)
    if plan.distance(spot) <= TOLERANCE:
        return ""
    return "in an opening" if Polygon(plan.exterior).covers(spot) else "off the slab"
