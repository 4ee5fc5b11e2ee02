"""Welded fabric and bars: wires in two directions, by diameter and pitch."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite, pi
from typing import Final, Literal

from postprocess.strength.errors import StrengthError
from postprocess.strength.naming import unknown

Direction = Literal["x", "y"]

STEEL_DENSITY: Final = 7850.0
"""kg/m3 (EN 1992-1-1:2004, 3.2.7(3))."""
THICKEST, WIDEST = 0.040, 0.500
"""Largest diameter and pitch, m, taken for those of a slab's steel; common practice, no source."""


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
    def depth(self) -> float:
        """Both wires together, m."""
        return self.diameter_x + self.diameter_y

    @property
    def mass(self) -> float:
        """kg/m2 without laps."""
        return STEEL_DENSITY * (self.area("x") + self.area("y"))


def _square(name: str, diameter: float) -> Fabric:
    return Fabric(name, diameter, 0.200, diameter, 0.200)


SQUARE_FABRICS: Final = {
    fabric.name: fabric
    for fabric in (
        _square("A98", 0.005),  # from memory
        _square("A142", 0.006),
        _square("A193", 0.007),
        _square("A252", 0.008),
        _square("A393", 0.010),
    )
}
"""Square fabrics of BS 4483, 200 × 200 mm, lightest first."""


def square_fabric(name: str) -> Fabric:
    """The square fabric of BS 4483 with this name; StrengthError with the nearest one for any other."""
    if name not in SQUARE_FABRICS:
        raise StrengthError([unknown(name, SQUARE_FABRICS, "fabric")])
    return SQUARE_FABRICS[name]


def bars(diameter_x: float, pitch_x: float, diameter_y: float, pitch_y: float) -> Fabric:
    """A mat of bars, m; StrengthError names each diameter and pitch that makes no sense."""
    problems = []
    for direction, diameter, pitch in (("x", diameter_x, pitch_x), ("y", diameter_y, pitch_y)):
        if not (isfinite(diameter) and 0 < diameter <= THICKEST):
            problems.append(f"bars along {direction}: diameter {1e3 * diameter:g} mm: above 0, at most 40 mm")
        if not (isfinite(pitch) and diameter < pitch <= WIDEST):
            problems.append(f"bars along {direction}: pitch {1e3 * pitch:g} mm: above the diameter, at most 500 mm")
    if problems:
        raise StrengthError(problems)
    parts = [f"{1e3 * d:g} at {1e3 * p:g}" for d, p in ((diameter_x, pitch_x), (diameter_y, pitch_y))]
    return Fabric(" × ".join(parts) + " mm", diameter_x, pitch_x, diameter_y, pitch_y)
