"""Fewer points of a history, without losing its extremes."""

from __future__ import annotations

from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

ROWS: Final = 1000
"""Rows in even steps of a list of jack loads, at most."""
ROW_STEP: Final = 2e-3
"""Their least step, s."""


def kept_points(values: Floats, most: int) -> NDArray[np.int64]:
    """Indices, ascending, of at most about `most` of t points that show a history (t,) or histories (t, k).

    The points are cut into even blocks; of each block the least and the greatest value of every history stay, and
    so do the first and the last point. All points stay where they are no more than `most`.
    """
    columns = values.reshape(len(values), -1)
    count, width = columns.shape
    if count <= most or width == 0:
        return np.unique(np.linspace(0, count - 1, min(count, most)).round().astype(np.int64))
    blocks = max(1, (most - 2) // (2 * width))
    edges = np.linspace(0, count, blocks + 1).astype(np.int64)
    kept = [np.array([0, count - 1])]
    for first, last in pairwise(edges):
        part = columns[first:last]
        kept.append(first + np.concatenate([part.argmin(axis=0), part.argmax(axis=0)]))
    return np.unique(np.concatenate(kept)).astype(np.int64)


def listed_rows(time: Floats, loads: Floats) -> NDArray[np.int64]:
    """Indices, ascending, of rows that list the loads (t, n) of jacks at times (t,), s, ascending.

    Even steps of at least `ROW_STEP`, no more than `ROWS` of them, and the rows with the greatest and with the least
    load of each jack besides, so that a list holds what the papers name.
    """
    span = float(time[-1] - time[0])
    step = max(ROW_STEP, span / (ROWS - 1))
    even = np.searchsorted(time, time[0] + step * np.arange(int(span / step * (1 + 1e-9)) + 1) - 1e-9)
    return np.unique(np.concatenate([even, loads.argmax(axis=0), loads.argmin(axis=0)])).astype(np.int64)


def jack_loads_name(number: int) -> str:
    """File with the history of every jack's load under the drop of index `number`."""
    return f"drop-{number + 1}-jack-loads.csv"
