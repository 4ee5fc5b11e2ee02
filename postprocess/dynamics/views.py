"""What the papers on the floor in motion show: numbers of single drops, groups, machines, bays and air."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class CoupledModesView:
    """m modes of slab, structural floor and air together, ascending.

    frequencies: (m,) Hz. damping: (m,) ratio of critical. heave, rock_x, rock_y: (m,) shares of the slab's mass in
    rigid motion. slab, floor, air: (m,) shares of the kinetic energy, adding to 1. kinds: in words.
    """

    frequencies: Floats
    damping: Floats
    heave: Floats
    rock_x: Floats
    rock_y: Floats
    slab: Floats
    floor: Floats
    air: Floats
    kinds: tuple[str, ...]


@dataclass(frozen=True)
class BayView:
    """A bay and the slab above it. jacks: how many stand on it.

    low, high: corners, m. frequency: Hz. mass: modal, kg. spring_deflection, floor_deflection: of the springs on it
    (mean) and of its middle under the slab in service, m. nearest: the coupled mode whose frequency is nearest to its
    own among those in which the slab moves, Hz. notes: warnings in words, none where it is stiff enough.
    """

    name: str
    low: tuple[float, float]
    high: tuple[float, float]
    frequency: float
    mass: float
    jacks: int
    spring_deflection: float
    floor_deflection: float
    nearest: float
    notes: tuple[str, ...]


@dataclass(frozen=True)
class AirView:
    """What the air below the slab does.

    edge: as in the case. gap: m. heave, rock: frequencies on the springs alone, without bays, Hz (rock: the lower of
    the two). heave_with, rock_with: with the air. sealed: heave with all edges sealed, opened: with all edges open, Hz.
    perimeter: length of all edges, m. open_length: the least length, in even parts round the outline, that brings
    heave back within 5 % of the springs' own, m; None where none does. also: frequency, Hz, and share of the mass of
    another mode that heaves with the air, None where none has a quarter of it. gap_needed: height of the gap with which
    heave would be within 5 %, all edges open, m. sentence: what it does, in words.
    """

    edge: str
    gap: float
    heave: float
    rock: float
    heave_with: float
    rock_with: float
    sealed: float
    opened: float
    perimeter: float
    open_length: float | None
    also: tuple[float, float] | None
    gap_needed: float
    sentence: str


@dataclass(frozen=True, eq=False)
class SupportView:
    """One drop on one support: "springs", "rubber layer", "bare floor" or "springs without air".

    time: (t,) s from the first touch. force: (t,) into the structure, N, without what rests on it anyway; downward.
    velocity, acceleration: (t, b) at the middles of the bays, m/s and m/s2 downward, b = 0 where the structural floor
    is rigid.
    peak_force: N. peak_velocity: (b,) m/s. peak_acceleration: (b,) m/s2, each the greatest size. force_levels:
    (24,) exposure level of the force in each band, dB re 1 N²·s. velocity_levels: (24, b) dB re 1e-18 m²/s (1 nm/s
    over 1 s). dose: (b,) vibration dose of one drop, Wm, m/s1.75.
    """

    name: str
    time: Floats
    force: Floats
    velocity: Floats
    acceleration: Floats
    peak_force: float
    peak_velocity: Floats
    peak_acceleration: Floats
    force_levels: Floats
    velocity_levels: Floats
    dose: Floats


@dataclass(frozen=True, eq=False)
class DropView:
    """A drop and what it does. Bands are those of `postprocess.dynamics.bands.CENTRES`.

    place: m. mass: kg. height: m. speed: at touch, m/s. depth: to which the covering is pressed, m. contact_time: of
    the first touch, s. impulse: of the first touch, N·s. touches: how many were followed. time: (t,) s. contact: (t,)
    contact force, N. slab: (t,) downward motion of the slab under the weight, m. jack_time: (u,) s and jack_loads: (u,
    n), static load in service included, N in compression. worst_jack: index of the jack with the least reserve.
    reserve: its travel left to solid at the worst moment, m (negative: solid). full_reserve: the least of all jacks
    with all imposed load on the floor as well, m. least_load: smallest jack load at any time, N (negative: a spring
    would have to pull). clearance: gap left between slab and structural floor at the worst moment, m, or None where the
    gap is not known. springs, rubber, bare: the three supports. airless: springs without the air of the case, None
    where it has none. reduction: (24,) dB, bare less springs in force; rubber_reduction: (24,) the same for rubber.
    day_dose: (b,) dose of `drops` drops, or None. step_change: of peak force, as a share, when the step is halved.
    assumed: in words.
    """

    name: str
    place: tuple[float, float]
    mass: float
    height: float
    speed: float
    stiffness: float
    restitution: float
    depth: float
    contact_time: float
    impulse: float
    touches: int
    time: Floats
    contact: Floats
    slab: Floats
    jack_time: Floats
    jack_loads: Floats
    worst_jack: int
    reserve: float
    full_reserve: float
    least_load: float
    clearance: float | None
    springs: SupportView
    rubber: SupportView
    bare: SupportView
    airless: SupportView | None
    reduction: Floats
    rubber_reduction: Floats
    drops: int | None
    day_dose: Floats | None
    step_change: float
    assumed: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class DropMapView:
    """The heaviest drop (by energy), its first touch, all over the slab.

    cells: (p, 2) middles of the square cells of side `spacing`, m. xy: (p, 2) the place in each, m: at its middle, or
    where the weight can lie nearest to an edge or corner. force: (p,) greatest force into the structure, N. jack_load:
    (p,) greatest load of any jack, N. reserve: (p,) least travel left to solid, m. worst_jack: (p,) the jack that has
    it. velocity: (p,) greatest speed of any bay's middle, m/s, zeros where rigid. least_load: (p,) smallest load of any
    jack, N. name: of the drop.
    """

    name: str
    cells: Floats
    xy: Floats
    spacing: float
    force: Floats
    jack_load: Floats
    reserve: Floats
    worst_jack: NDArray[np.int64]
    least_load: Floats
    velocity: Floats


@dataclass(frozen=True, eq=False)
class TransmissibilityView:
    """Net force into the structure over a steady force of one frequency at p points. frequencies: (f,) Hz.

    names: (p,). springs: (p, f) size of the ratio. rubber: (p, f) the same on the rubber layer. airless: (p, f) on
    springs without the air of the case, None where it has none.
    """

    frequencies: Floats
    names: tuple[str, ...]
    springs: Floats
    rubber: Floats
    airless: Floats | None


@dataclass(frozen=True, eq=False)
class SteadyView:
    """A group that jumps or a machine that turns, swept over its rates. kind: "group" or "machine".

    rates: (r,) 1/s. acceleration: (r,) greatest of any place on the slab, m/s2. force: (r,) into the structure,
    greatest size, N. where: place of the greatest acceleration, m. worst_rate: 1/s. meets: harmonics that meet modes,
    in words; a stop sign. reserve, least_load, clearance: as those of a drop, m, N and m, at the worst rate for each.
    worst_jack: index of the jack with the least reserve. basis: where factors come from.
    """

    kind: str
    name: str
    rates: Floats
    acceleration: Floats
    force: Floats
    where: tuple[float, float]
    worst_rate: float
    meets: tuple[str, ...]
    reserve: float
    worst_jack: int
    least_load: float
    clearance: float | None
    basis: str

    @property
    def peak_acceleration(self) -> float:
        """The greatest of all rates, m/s2."""
        return float(self.acceleration.max())

    @property
    def peak_force(self) -> float:
        """The greatest of all rates, N."""
        return float(self.force.max())


@dataclass(frozen=True, eq=False)
class SidewaysView:
    """The rigid slab in six degrees of freedom. frequencies: (6,) Hz ascending. kinds: (6,) in words.

    shares: (6, 6) share of each mode's kinetic energy in x, y, heave, rocking about x, rocking about y, twist.
    sway_rates: (2,) N/m along x and y. notes: in words.
    """

    frequencies: Floats
    kinds: tuple[str, ...]
    shares: Floats
    sway_rates: Floats
    notes: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class DynamicsView:
    """Everything. springs_alone: (heave, lower rocking, upper rocking) of the slab alone on its springs, Hz.

    air: None where the case does not ask. drop_map: None without drops. bay_names: (b,). truncation: greatest
    difference of modal from direct response, as a share. sentences: what is to be said, the comparison of springs with
    rubber and the theory's limits among it.
    """

    springs_alone: tuple[float, float, float]
    modes: CoupledModesView
    bay_names: tuple[str, ...]
    bays: tuple[BayView, ...]
    air: AirView | None
    drops: tuple[DropView, ...]
    drop_map: DropMapView | None
    transmissibility: TransmissibilityView
    steady: tuple[SteadyView, ...]
    sideways: SidewaysView
    truncation: float
    sentences: tuple[str, ...]
    assumed: tuple[str, ...]
