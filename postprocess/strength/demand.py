"""Design moments of many load columns at all places: the greatest of each face and direction, and its cause."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.strength.places import JudgedMoments
from postprocess.strength.wood_armer import design_moments

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_BATCH = 200_000
"""Triples that are worked on at a time: some megabytes, so that they stay in the processor's cache."""


@dataclass(frozen=True, eq=False)
class Envelope:
    """Columns in the order of `layers.FACES`: bottom x, bottom y, top x, top y.

    size: (m, 4) greatest design moment at each place, N·m/m ≥ 0. column: (m, 4) the load column that makes it.
    """

    size: Floats
    column: Ints

    def worst(self, side: int, among: NDArray[np.bool_]) -> int:
        """The place, of those in the mask (m,), with the greatest design moment of column `side`."""
        return int(np.argmax(np.where(among, self.size[:, side], -1.0)))


def design_envelope(moments: JudgedMoments, factors: Floats) -> Envelope:
    """The envelope of the columns superposed by factors (s, k), each with its own Wood-Armer moments."""
    size, column = _greatest(moments.for_x, factors)
    size_y, column_y = _greatest(moments.for_y[moments.strips], factors)
    size[moments.strips, 1::2], column[moments.strips, 1::2] = size_y[:, 1::2], column_y[:, 1::2]
    return Envelope(size, column)


def _greatest(triples: Floats, factors: Floats) -> tuple[Floats, Ints]:
    """(m, 4) greatest sizes of triples (m, 3, s) superposed by factors (s, k), and their columns."""
    m, k = len(triples), factors.shape[1]
    size, column = np.zeros((m, 4)), np.zeros((m, 4), dtype=np.int64)
    for part in np.array_split(np.arange(m), m * k // _BATCH + 1):
        sizes = _sizes(triples[part] @ factors)
        column[part] = sizes.argmax(axis=1)
        size[part] = np.take_along_axis(sizes, column[part][:, None], axis=1)[:, 0]
    return size, column


def _sizes(triples: Floats) -> Floats:
    """(m, k, 4) sizes of the Wood-Armer moments of triples (m, 3, k)."""
    return np.abs(design_moments(np.moveaxis(triples, 1, 2)))
