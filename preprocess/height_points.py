"""What points with heights have to be, those of a survey and those of the structural floor alike."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preprocess.errors import Problem
from preprocess.placement import in_one_line, too_close
from preprocess.wording import count, point

SAME_PLACE: Final = 0.010
"""Points less apart than this, m, are one."""

LEAST_OFF_LINE: Final = 0.1
"""How far, m, points must lie out of one line to tell a slope across it."""

MOST_HEIGHTS: Final = 10_000

_SUPPORT = f"heights at three points or more, {1000 * LEAST_OFF_LINE:g} mm or more out of one line"


def repeated_places(xy: NDArray[np.float64], rows: Sequence[int], file: str) -> list[Problem]:
    """One problem for each point (q, 2), m, where an earlier row has one already. rows: of the points."""
    return [
        Problem(file, f"row {rows[later]}", point(*xy[later]), f"each point once; row {rows[earlier]} has it already")
        for earlier, later in too_close(xy, SAME_PLACE, norm=2)
    ]


def support_problems(xy: NDArray[np.float64], heights: int, file: str) -> list[Problem]:
    """Fewer than three heights, or all in one line: they would not tell how the floor slopes.

    xy: (q, 2) the usable points, m. heights: how many the file has, usable or not; with some that are not, only their
    number is checked.
    """
    if heights < 3:
        return [Problem(file, "column height_mm", count(heights, "height"), _SUPPORT)]
    if len(xy) < heights or not in_one_line(xy, LEAST_OFF_LINE):
        return []
    return [Problem(file, "column height_mm", f"{heights} heights in one line", _SUPPORT)]


def spread_problems(
    heights_mm: Sequence[float], rows: Sequence[int], file: str, *, most_mm: float, allowed: str
) -> list[Problem]:
    """Heights farther from each other than `most_mm`: in another unit, or above different benchmarks."""
    if not len(heights_mm) or np.ptp(heights_mm) <= most_mm:
        return []
    low, high = int(np.argmin(heights_mm)), int(np.argmax(heights_mm))
    value = f"{heights_mm[low]:,.6g} in row {rows[low]} and {heights_mm[high]:,.6g} in row {rows[high]}"
    return [Problem(file, "column height_mm", value, allowed)]
