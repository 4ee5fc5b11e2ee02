"""Lines of jacks along x and along y, with names: a floor that was not set out by rules knows no rows."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.jobs.running_dimensions import STRAIGHT, RowLine, row_lines
from postprocess.jobs.setout_lists import DIGITS, row_names

Floats = NDArray[np.float64]

ON_LINE = 0.05e-3 + 1e-9
"""A jack this near to its line, m, has the line's dimension: with half a tenth that its figures are rounded by, no
dimension is over 0.1 mm from its jacks."""
FEWEST = 3
"""Jacks on a line where some line has as many: two jacks may share a coordinate by chance."""
SHARE = 0.5
"""Part of the jacks that must stand on lines both ways; below that there is no grid, and jacks have coordinates."""


@dataclass(frozen=True, eq=False)
class JackLines:
    """rows: lines along x, with letters. columns: lines along y, with numbers."""

    rows: tuple[RowLine, ...]
    columns: tuple[RowLine, ...]

    def off(self, xy: Floats) -> tuple[int, ...]:
        """Jacks at `xy` (n, 2) whose place two lines do not give within `ON_LINE`."""
        on = np.zeros((2, len(xy)), dtype=bool)
        for axis, lines in ((1, self.rows), (0, self.columns)):
            for line in lines:
                jacks = list(line.jacks)
                on[axis, jacks] |= np.abs(xy[jacks, axis] - line.at) <= ON_LINE
        return tuple(int(jack) for jack in np.flatnonzero(~on.all(axis=0)))


def jack_lines(ids: Sequence[str], xy: Floats) -> JackLines:
    """Lines through jacks (n, 2) that share x or y within `STRAIGHT`."""
    rows, columns = _together(xy, 1), _together(xy, 0)
    on_rows = {jack for row in rows for jack in row}
    on_both = on_rows & {jack for column in columns for jack in column}
    if len(on_both) < SHARE * len(xy):
        return JackLines((), ())
    return JackLines(
        row_lines(xy, rows, row_names(ids, rows)),
        row_lines(xy, columns, column_names(ids, columns)),
    )


def _together(xy: Floats, axis: int) -> list[list[int]]:
    """Jacks whose coordinate `axis` is the same within `STRAIGHT`, in order along the line."""
    groups: list[list[int]] = []
    for jack in np.argsort(xy[:, axis], kind="stable"):
        if groups and xy[jack, axis] - xy[groups[-1][0], axis] <= STRAIGHT:
            groups[-1].append(int(jack))
        else:
            groups.append([int(jack)])
    least = min(FEWEST, max((len(group) for group in groups), default=0))
    return [sorted(group, key=lambda j: float(xy[j, 1 - axis])) for group in groups if len(group) >= max(2, least)]


def column_names(ids: Sequence[str], columns: Sequence[Sequence[int]]) -> tuple[str, ...]:
    """A number for each column: the one at the end of its jacks' ids, such as 2 of A2, B2, if hardly another has it.

    Other columns have the numbers that are left.
    """
    everywhere = Counter(map(_number_of, ids))
    names: list[str] = []
    for column in columns:
        common, times = Counter(_number_of(ids[jack]) for jack in column).most_common(1)[0]
        own = common and 2 * times > max(len(column), everywhere[common]) and common not in names
        names.append(common if own else "")
    free = (str(number) for number in range(1, len(ids) + len(columns) + 1) if str(number) not in names)
    return tuple(name or next(free) for name in names)


def _number_of(name: str) -> str:
    """The number at the end of an id with letters before it, such as 12 of B12; empty where it has another form."""
    head = name.rstrip(DIGITS)
    number = name[len(head) :].lstrip("0")
    return number if head.isalpha() else ""
