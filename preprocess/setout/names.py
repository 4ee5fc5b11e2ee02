"""Names of jacks and the straight lines that they stand on."""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from preprocess.setout.ground import Floats

STRAIGHT: Final = 0.003
"""Jacks within this distance, m, of a common line stand on it."""


def row_letters(number: int) -> str:
    """A, B, … Z, AA, AB, … for 0, 1, …."""
    letters = ""
    number += 1
    while number:
        number, last = divmod(number - 1, 26)
        letters = chr(ord("A") + last) + letters
    return letters


def named(across: Floats, along: Floats, heights: Floats) -> tuple[NDArray[np.int_], tuple[str, ...]]:
    """The order of jacks in the list, row by row, and their names in this order.

    across, along: (n,) coordinates of the jacks from the first row on and in the direction of numbers, m.
    heights: the rows' own coordinates; a jack between rows belongs to the nearest.
    """
    levels = np.sort(heights) if len(heights) else np.array([float(np.mean(across))])
    row = np.argmin(np.abs(across[:, None] - levels[None, :]), axis=1)
    order = np.lexsort((np.round(across, 4), np.round(along, 4), row))
    names, last, number, letter = [], -1, 0, -1
    for jack in order:
        if row[jack] != last:
            last, number, letter = row[jack], 0, letter + 1
        number += 1
        names.append(f"{row_letters(letter)}{number}")
    return order, tuple(names)


def straight_lines(across: Floats, along: Floats) -> tuple[tuple[int, ...], ...]:
    """The jacks that share a coordinate `across`, at least two, from the lowest line on, each in order along it."""
    order = np.argsort(np.round(across, 6), kind="stable")
    groups: list[list[int]] = []
    for jack in order:
        if groups and across[jack] - across[groups[-1][0]] <= STRAIGHT:
            groups[-1].append(int(jack))
        else:
            groups.append([int(jack)])
    return tuple(tuple(sorted(group, key=lambda jack: along[jack])) for group in groups if len(group) >= 2)
