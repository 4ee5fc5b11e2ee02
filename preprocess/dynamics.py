"""What moves a floor and what it stands on, as the rest of the program sees it: checked and in SI units."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from fem.gravity import GRAVITY

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Bay:
    """A bay of the structural floor: an oscillator with a half-sine shape over its rectangle.

    low, high: opposite corners, m. frequency: without the floating slab, Hz. mass: modal, kg. damping: ratio of
    critical.
    """

    name: str
    low: tuple[float, float]
    high: tuple[float, float]
    frequency: float
    mass: float
    damping: float


@dataclass(frozen=True, eq=False)
class Vent:
    """A part of the slab's perimeter that lets air out, along `path` (n, 2), m.

    width: of the slot between slab and wall, m, or None where the cavity is open at its full height. depth: of the
    slot, m.
    """

    name: str
    path: Floats
    width: float | None
    depth: float


@dataclass(frozen=True)
class Air:
    """The air between slab and structural floor.

    edge: all round. gap: height, m. exponent: of the change of state, 1.4 adiabatic to 1.0 isothermal. loss: loss
    factor of its stiffness. vents: only where edge is "vents"; sealed elsewhere.
    """

    edge: Literal["sealed", "open", "vents"]
    gap: float
    exponent: float
    loss: float
    vents: tuple[Vent, ...]


@dataclass(frozen=True)
class Damping:
    """Ratios of critical damping: of the springs at any frequency, and of the slab in bending."""

    springs: float
    slab: float


@dataclass(frozen=True)
class Covering:
    """What a weight falls on: stiffness in N/m under it and coefficient of restitution."""

    stiffness: float
    restitution: float


@dataclass(frozen=True)
class Impact:
    """A weight of `mass` kg dropped from `height` m on a round of `footprint` m diameter at `place`, m.

    drops_a_day: None where not given. assumed: what of it is an assumption of the program, in words.
    """

    name: str
    mass: float
    height: float
    place: tuple[float, float]
    footprint: float
    covering: Covering
    drops_a_day: int | None
    assumed: tuple[str, ...]

    @property
    def speed(self) -> float:
        """At the first touch, m/s: √(2gH)."""
        return sqrt(2 * GRAVITY * self.height)


@dataclass(frozen=True)
class Group:
    """People who jump together, spread over `area` (the whole slab when None).

    people: their number. person: mass of one, kg. band: lowest and highest rate, jumps a second. factors: Fourier
    factors of the first three harmonics of their weight, coordination included. basis: where these come from.
    """

    name: str
    people: int
    person: float
    area: Polygon | None
    band: tuple[float, float]
    factors: tuple[float, float, float]
    basis: str


@dataclass(frozen=True)
class Machine:
    """A rotating machine at `place`, m. band: lowest and highest speed, turns a second. unbalance: kg·m."""

    name: str
    place: tuple[float, float]
    band: tuple[float, float]
    unbalance: float


@dataclass(frozen=True)
class Point:
    """A named place on the slab, m, for curves of transmissibility."""

    name: str
    place: tuple[float, float]


@dataclass(frozen=True)
class Rubber:
    """A continuous rubber layer below the same slab, to compare with.

    frequency: of the slab in service on it, Hz. loss: its loss factor. assumed: whether these are the program's.
    """

    frequency: float
    loss: float
    assumed: bool


@dataclass(frozen=True, eq=False)
class Strip:
    """A resilient strip along `path` (n, 2), m, between the slab's edge and what surrounds it.

    rate: pressed together, N/m per m of length. shear_share: rate along its length and upward over that.
    """

    name: str
    path: Floats
    rate: float
    shear_share: float


@dataclass(frozen=True)
class Sideways:
    """Horizontal springing.

    lateral_share: lateral over vertical rate of springs whose geometry and lateral rate are not known.
    equipment_height: of the equipment's centre of mass over the slab's top, m. strips: round the slab. assumed: in
    words.
    """

    lateral_share: float
    equipment_height: float
    strips: tuple[Strip, ...]
    assumed: tuple[str, ...]


@dataclass(frozen=True)
class Limits:
    """What is asked for, None where it is not.

    acceleration: of the slab under groups and machines, m/s2. dose: of the structural floor by a day of drops,
    m/s1.75.
    """

    acceleration: float | None
    dose: float | None


@dataclass(frozen=True)
class Dynamics:
    """All of it. bays: none where the structural floor is rigid. air: None where it is not looked at.

    assumed: what the program assumes, in words, but for what stands with each impact and with sideways springing.
    given: whether the case says anything that `jackfield run` should look at: bays, air, impacts, groups, machines.
    """

    bays: tuple[Bay, ...]
    air: Air | None
    damping: Damping
    impacts: tuple[Impact, ...]
    groups: tuple[Group, ...]
    machines: tuple[Machine, ...]
    points: tuple[Point, ...]
    rubber: Rubber
    sideways: Sideways
    limits: Limits
    assumed: tuple[str, ...]

    @property
    def given(self) -> bool:
        """Whether the case holds anything to compute."""
        return bool(self.bays or self.air or self.impacts or self.groups or self.machines)
