"""A cylindrical compression spring of round wire from its geometry: rate, stress, solid length, sideways behaviour.

Letters as in EN 13906-1:2013: d wire, D mean diameter of the coil, n active turns, w = D/d, G and E shear and elastic
modulus, F load, L0 free length, L compressed length, s deflection, ν seating coefficient. The functions take floats or
arrays of one shape, SI units.

Left out, as no source is at hand: the sum of the least gaps between turns that the standard wants to be kept, the
growth of the coil's diameter under load, the lateral rate under load, permissible stresses, fatigue and relaxation.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Final, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Value = TypeVar("Value", float, Floats)

SEATINGS: Final = {"clamped": 0.5, "clamped-pivoted": 0.7, "pivoted": 1.0, "sliding": 1.0, "free": 2.0}
"""Seating coefficient ν: free length × ν is the length of the column with pivoted ends that gives way at the same load.

clamped: both ends flat on parallel seats that cannot move sideways. clamped-pivoted: one seat may tilt.
pivoted: both may tilt. sliding: flat on parallel seats, one of which may move sideways. free: one seat may tilt and
move sideways. The effective lengths of Euler's column; EN 13906-1 has the same five, from memory.
"""

DEFAULT_SEATING: Final = "sliding"
"""The conservative one for a jack: the ends stand flat, and nothing but the springs holds the slab sideways."""

SHEAR_MODULUS: Final = 79.5e9
"""Pa. Oil-hardened and tempered spring wire, EN 13906-1, from memory; other spring steels have 78.5 to 81.5 GPa."""

ELASTIC_MODULUS: Final = 206e9
"""Pa. Spring steel, EN 13906-1, from memory. With SHEAR_MODULUS, G/E = 0.386."""


def rate(wire: Value, diameter: Value, active_turns: Value, shear_modulus: Value) -> Value:
    """Load for each unit of deflection, N/m: R = G d⁴/(8 D³ n), EN 13906-1:2013."""
    return shear_modulus * wire**4 / (8 * diameter**3 * active_turns)


def shear_stress(load: Value, wire: Value, diameter: Value) -> Value:
    """Shear stress of the wire without correction for its curvature, Pa: τ = 8 F D/(π d³), EN 13906-1:2013."""
    return 8 * load * diameter / (pi * wire**3)


def correction_factor(index: Value) -> Value:
    """Greatest stress over `shear_stress`, at the inside of the coil: k = (w + 0.5)/(w − 0.75), EN 13906-1:2013."""
    return (index + 0.5) / (index - 0.75)


def solid_length(wire: Value, total_turns: Value) -> Value:
    """Length with all turns touching, m: n_t d, plain geometry of closed ends that are ground flat."""
    return total_turns * wire


def lateral_rate(rate: Value, free_length: Value, diameter: Value, shear_over_elastic: Value) -> Value:
    """Sideways force for each unit of sideways movement between parallel seats, N/m, of a spring without load.

    R/R_Q = (1 + 2G/E)(L0/D)²/6 + G/E: the limit of EN 13906-1 for no deflection. It falls as the spring is compressed,
    to nothing where a spring with ν = 1 gives way, so it is an upper bound.
    """
    slenderness = free_length / diameter
    return rate / ((1 + 2 * shear_over_elastic) * slenderness**2 / 6 + shear_over_elastic)


def buckling_share(free_length: Value, diameter: Value, seating: Value, shear_over_elastic: Value) -> Floats:
    """Share of the free length by which the spring is shortened as it gives way sideways, infinite if it never does.

    s/L0 = (1 − √(1 − (1 − G/E)/(0.5 + G/E) · (πD/(νL0))²)) · 0.5/(1 − G/E), EN 13906-1 from memory. The same follows
    for a column whose stiffness in bending, R L0 D²/(2 + 4G/E), and in shear, R L0 E/G, shrink with its length
    (Haringx, Philips Research Reports 3, 1948; from memory). It never gives way if the root is imaginary:
    L0/D < 2.62/ν for G/E = 0.386.
    """
    ratio = np.asarray(shear_over_elastic)
    square = np.asarray(pi * diameter / (seating * free_length)) ** 2
    under_root = 1 - (1 - ratio) / (0.5 + ratio) * square
    share = 0.5 / (1 - ratio) * (1 - np.sqrt(np.maximum(under_root, 0)))
    return np.where(under_root < 0, np.inf, share)


@dataclass(frozen=True)
class Coil:
    """A spring of round wire with closed ends, ground flat; SI units.

    wire: its diameter d. diameter: mean diameter D. active_turns, total_turns: n and n_t. free_length: L0.
    seating: a key of SEATINGS. allowed_stress: shear stress that the wire may have, Pa, None if not given.
    """

    wire: float
    diameter: float
    active_turns: float
    total_turns: float
    free_length: float
    shear_modulus: float
    elastic_modulus: float
    seating: str
    allowed_stress: float | None

    @property
    def rate(self) -> float:
        """N/m."""
        return rate(self.wire, self.diameter, self.active_turns, self.shear_modulus)

    @property
    def index(self) -> float:
        """Spring index w = D/d."""
        return self.diameter / self.wire

    @property
    def correction_factor(self) -> float:
        """k of EN 13906-1."""
        return correction_factor(self.index)

    @property
    def solid_length(self) -> float:
        """m."""
        return solid_length(self.wire, self.total_turns)

    @property
    def solid_deflection(self) -> float:
        """Free length less solid length, m."""
        return self.free_length - self.solid_length

    @property
    def inside_diameter(self) -> float:
        """D − d of the coil without load, m."""
        return self.diameter - self.wire

    @property
    def outside_diameter(self) -> float:
        """D + d of the coil without load, m."""
        return self.diameter + self.wire

    @property
    def seating_coefficient(self) -> float:
        """ν of EN 13906-1."""
        return SEATINGS[self.seating]

    @property
    def buckling_deflection(self) -> float:
        """Deflection at which it gives way sideways, m, infinite if it never does."""
        ratio = self.shear_modulus / self.elastic_modulus
        share = buckling_share(self.free_length, self.diameter, self.seating_coefficient, ratio)
        return self.free_length * float(share)

    @property
    def lateral_rate(self) -> float:
        """Without load, seats parallel, N/m."""
        return lateral_rate(self.rate, self.free_length, self.diameter, self.shear_modulus / self.elastic_modulus)

    def shear_stress(self, load: float) -> float:
        """Without correction, under a load in N, Pa. Static loading is judged by it: EN 13906-1 from memory."""
        return shear_stress(load, self.wire, self.diameter)
