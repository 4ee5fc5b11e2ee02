"""Welded fabric and bars: wires in two directions, by diameter and pitch."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Final, Literal

Direction = Literal["x", "y"]

STEEL_DENSITY: Final = 7850.0
"""kg/m3 (EN 1992-1-1:2004, 3.2.7(3))."""


@dataclass(frozen=True)
class Fabric:
    """One mat of steel: wires along x and wires along y. Diameters and pitches in m."""

    name: str
    diameter_x: float
    pitch_x: float
    diameter_y: float
    pitch_y: float

    def diameter(self, direction: Direction) -> float:
        """Diameter of the wires along `direction`, m."""
        return self.diameter_x if direction == "x" else self.diameter_y

    def pitch(self, direction: Direction) -> float:
        """Distance between the wires along `direction`, m."""
        return self.pitch_x if direction == "x" else self.pitch_y

    def area(self, direction: Direction) -> float:
        """Steel along `direction` in m²/m of slab across it."""
        return pi / 4 * self.diameter(direction) ** 2 / self.pitch(direction)

    @property
    def mass(self) -> float:
        """kg/m2 without laps."""
        return STEEL_DENSITY * (self.area("x") + self.area("y"))
