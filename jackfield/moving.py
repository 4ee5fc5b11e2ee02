"""A floor made ready to move: its modes on springs and on rubber over what lies below, for every drop and machine."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil, pi

import numpy as np
import shapely
from numpy.typing import NDArray

from fem.cavity import Cavity
from fem.coupled_floor import CoupledFloor, Losses, SlabBasis
from fem.drop import Oscillators
from fem.modes import ModalResult, RigidMotions, solve_modes
from fem.plate import Plate
from fem.sampling import Footprints
from fem.solver import Factor
from fem.statics import StaticResult
from fem.structural_floor import FloorBays
from fem.vibration import ComplexModes, RealModes, complex_modes, real_modes
from jackfield.desk import solve_loads
from jackfield.places import places_of
from jackfield.trapped import cavity_modes, trapped_air
from preprocess.case import Case
from preprocess.dynamics import Bay
from preprocess.floor import Floor, floor_on
from preprocess.meshing import Sizes, mesh_plan

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

HIGHEST = 400.0
"""Modes are taken up to this frequency, Hz: nearly twice the highest band edge, 224 Hz."""
MOST_MODES = 300
"""No more modes than this: on floors of hundreds of square metres they end lower, and the papers say where."""
WAVE_SHARE = 0.65
"""Edge length of the mesh over the length of a bending wave at `HIGHEST`: frequencies are then within 0.3 %."""
LONGEST_EDGE = 0.9
CORNER_SHARE = 1 / 4
"""Edge length at re-entrant corners over the general one."""
LEAST_MODES = 120
"""At least so many, however high: small slabs are cheap, and modes left out matter more below a small weight."""
EDGE = 1e-3
"""How far from edges the slab's motion is looked at, m: at them, but for rounding."""
FREE_EDGE = 1.7
"""What a free edge adds to the number of modes, over L k/4π: seen on plates of many shapes, and not critical."""


@dataclass(frozen=True, eq=False)
class Underfoot:
    """The slab on one kind of support, ready for time histories and steady response."""

    floor: CoupledFloor
    real: RealModes
    steady: ComplexModes

    @classmethod
    def of(cls, floor: CoupledFloor) -> Underfoot:
        """Both kinds of modes of a coupled floor."""
        return cls(floor, real_modes(floor), complex_modes(floor))

    def net(self, inputs: Floats, frequencies: Floats | Complexes) -> Complexes:
        """(f, p) net force into the structure over a steady unit force at rows (p, N) of coordinates."""
        rows = np.vstack([self.floor.into_structure, self.floor.air_mass])
        found = self.steady.transfer(rows, inputs, frequencies)
        return np.asarray(found[:, 0] - (2 * pi * frequencies[:, None]) ** 2 * found[:, 1])

    @property
    def oscillators(self) -> Oscillators:
        """Its modes, for integration in time."""
        return Oscillators(self.real.angular, self.real.ratios)


@dataclass(frozen=True, eq=False)
class MovingFloor:
    """A floor in service and all that couples to it.

    slab: its modes on springs over rigid ground. springs: with bays and air. rubber: on a continuous layer over the
    same bays. airless: on springs over the bays, None where there is no air. motions: rigid ones of the slab in
    service. layer_rate: of that layer, N/m3. cavity: None without air. states: load states by name. looked: places all
    over the slab, edges and corners among them, at which its motion is looked at.
    """

    floor: Floor
    factor: Factor
    slab: ModalResult
    basis: SlabBasis
    bays: FloorBays
    cavity: Cavity | None
    springs: Underfoot
    rubber: Underfoot
    airless: Underfoot | None
    motions: RigidMotions
    layer_rate: float
    states: Mapping[str, StaticResult]
    looked: Footprints

    @property
    def case(self) -> Case:
        """The case that it is of."""
        return self.floor.case

    @property
    def service(self) -> Floats:
        """(n,) jack loads in service, N."""
        return self.states["service"].jack_load

    @property
    def full(self) -> Floats:
        """(n,) jack loads in the full state, N."""
        return self.states["full"].jack_load

    @property
    def service_gap(self) -> float | None:
        """Height of the gap below the slab in service, m, where the case says it.

        Of [air]; else that of the lift, under the bare slab, less what it sinks until service where it sinks most.
        """
        if self.case.dynamics.air is not None:
            return self.case.dynamics.air.gap
        gap = None if self.case.lift is None else self.case.lift.air_gap
        sinking = self.states["service"].jack_deflection - self.states["bare"].jack_deflection
        return None if gap is None else gap - float(sinking.max())

    def net_of(self, fields: Floats, under: Underfoot) -> Floats:
        """(p,) net force of the support on the structural floor, N, under displacements (p, unknowns) of the slab."""
        if under is self.rubber:
            return np.asarray(self.layer_rate * (fields @ self.basis.even))
        return np.asarray(self.case.jacks.rates @ (self.floor.model.jacks.rows @ fields.T))

    def local(self, footprints: Footprints) -> Floats:
        """(p, unknowns) what the slab gives under a unit force on each footprint by modes that are left out, m/N.

        The whole static deflection less that of the modes: Σ φφᵀ/ω² over those left out.
        """
        rows = footprints.rows
        whole = self.factor.solve_once(rows.toarray().T)
        kept = self.slab.shapes @ ((rows @ self.slab.shapes) / self.basis.squares).T
        return np.asarray((whole - kept).T)

    def swaying(self, local: Floats) -> Floats:
        """(p, unknowns) Σ φφᵀ/ω⁴ over the modes left out, m s²/N, from `local`: what ω² adds to it."""
        return np.asarray(self.factor.solve_once(self.floor.model.mass @ local.T).T)

    def left_out(self, local: Floats, swaying: Floats, frequencies: Floats | Complexes) -> Complexes:
        """(f, ...) amplitude under a steady unit force by modes left out: Σ φφᵀ/(ω_i² (1 + iη) − ω²) to second order.

        local, swaying: (...) of what is asked for, from the fields of these names. frequencies: (f,) Hz.
        """
        stiffness = 1 + 2j * self.case.dynamics.damping.slab
        square = (2 * pi * frequencies.reshape(-1, *(1,) * local.ndim)) ** 2
        return np.asarray(local / stiffness + square * swaying / stiffness**2)


def floor_bays(bays: tuple[Bay, ...]) -> FloorBays:
    """Bays of a case as arrays."""
    if not bays:
        return FloorBays.none()
    return FloorBays(
        np.array([(bay.low, bay.high) for bay in bays]),
        np.array([bay.frequency for bay in bays]),
        np.array([bay.mass for bay in bays]),
        np.array([bay.damping for bay in bays]),
    )


def moving_floor(case: Case) -> MovingFloor:
    """Mesh a case for motion and find its modes; its springs are those of the jack list."""
    floor = floor_on(case, mesh_plan(case.slab.plan, _sizes(case)))
    rates, model = case.jacks.rates, floor.model
    factor = model.factor(rates)
    motions = RigidMotions.of(model)
    slab = solve_modes(model, rates, _mode_count(case, motions.mass), factor)
    basis = SlabBasis.of(model, rates, slab)
    dynamics = case.dynamics
    bays = floor_bays(dynamics.bays)
    losses = Losses(2 * dynamics.damping.springs, 2 * dynamics.damping.slab)
    cavity = air_modes = None
    if dynamics.air is not None:
        cavity = trapped_air(floor, case)
        air_modes = cavity_modes(cavity)
        losses = Losses(losses.support, losses.slab, dynamics.air.loss)
    springs = Underfoot.of(basis.on_springs(bays, losses, air_modes))
    airless = None if air_modes is None else Underfoot.of(basis.on_springs(bays, losses))
    layer_rate = motions.mass * (2 * pi * dynamics.rubber.frequency) ** 2 / case.slab.plan.area
    rubber = Underfoot.of(basis.on_layer(bays, Losses(dynamics.rubber.loss, losses.slab), layer_rate))
    places = places_of(case.slab.plan, EDGE).xy
    corners = shapely.get_coordinates(case.slab.plan.buffer(-EDGE, join_style="mitre"))
    return MovingFloor(
        floor, factor, slab, basis, bays, cavity, springs, rubber,
        airless=airless,
        motions=motions,
        layer_rate=layer_rate,
        states=solve_loads(floor, factor),
        looked=floor.sampler.points(np.unique(np.vstack([places, corners, case.jacks.xy]), axis=0)),
    )  # fmt: skip


def _bending_wave(case: Case, density: float) -> float:
    """√(m″/D), s/m²: the square of a bending wave's number over its angular frequency; density: m″, kg/m2."""
    slab = case.slab
    return float(np.sqrt(density / Plate(slab.thickness, slab.modulus, slab.poissons_ratio, density).rigidity))


def _sizes(case: Case) -> Sizes:
    """Edge lengths that follow bending waves at the highest frequency; moments are not asked for here."""
    wave = 2 * pi / np.sqrt(2 * pi * HIGHEST * _bending_wave(case, case.slab.thickness * case.slab.density))
    size = min(LONGEST_EDGE, WAVE_SHARE * wave)
    return Sizes(size, CORNER_SHARE * size)


def _mode_count(case: Case, mass: float) -> int:
    """How many modes a free plate of `mass` kg has up to `HIGHEST`: A k²/4π + c L k/4π with k the wave number.

    The area's part after Courant and Hilbert, Methods of Mathematical Physics I, 1953, chapter VI.
    """
    plan = case.slab.plan
    square = 2 * pi * HIGHEST * _bending_wave(case, mass / plan.area)
    count = (plan.area * square + FREE_EDGE * plan.length * np.sqrt(square)) / (4 * pi)
    return int(np.clip(ceil(count), LEAST_MODES, MOST_MODES))
