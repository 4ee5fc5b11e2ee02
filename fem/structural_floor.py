"""Bays of the structural floor: each an oscillator with a half-sine shape over its rectangle.

One coordinate a bay: the downward displacement of its middle. Modal mass and stiffness belong to that coordinate.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class FloorBays:
    """b bays. corners: (b, 2, 2) low and high corner, m. frequencies: (b,) Hz. masses: (b,) modal, kg.

    damping: (b,) ratio of critical.
    """

    corners: Floats
    frequencies: Floats
    masses: Floats
    damping: Floats

    @classmethod
    def none(cls) -> FloorBays:
        """A rigid structural floor."""
        empty = np.zeros(0)
        return cls(np.zeros((0, 2, 2)), empty, empty, empty)

    def __len__(self) -> int:
        return len(self.masses)

    @property
    def stiffnesses(self) -> Floats:
        """(b,) m ω², N/m."""
        return np.asarray(self.masses * (2 * np.pi * self.frequencies) ** 2)

    def shapes(self, xy: Floats) -> Floats:
        """(p, b) displacement at points (p, 2), m, for that of each middle: sin(πx/a) sin(πy/b) inside, else 0."""
        low, high = self.corners[:, 0], self.corners[:, 1]
        place = (np.asarray(xy, dtype=float).reshape(-1, 1, 2) - low) / (high - low)
        inside = np.all((place > 0) & (place < 1), axis=-1)
        return np.where(inside, np.prod(np.sin(np.pi * place), axis=-1), 0.0)
