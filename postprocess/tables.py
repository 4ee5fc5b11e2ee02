"""Tables of comma-separated values."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def write_table(headings: Iterable[str], rows: Iterable[Sequence[str]], path: Path) -> None:
    """Write comma-separated values in UTF-8, the headings first."""
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(headings)
        writer.writerows(rows)


def fixed(values: Floats, digits: int) -> list[str]:
    """(n,) numbers with so many decimals, no sign on zero."""
    return [f"{value:z.{digits}f}" for value in values]
