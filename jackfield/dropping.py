"""Weights dropped on a floor: on its springs, on a rubber layer and on the bare structural floor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem.drop import GRAVITY, Oscillators, Weights, touch
from fem.drop_history import DropHistory, follow
from fem.sampling import Footprints
from fem.vibration import OVERDAMPED
from jackfield.moving import MovingFloor, Underfoot
from postprocess.dynamics.bands import band_energies, band_grid, levels
from postprocess.dynamics.views import DropView, SupportView
from postprocess.dynamics.weighting import day_dose, dose
from preprocess.case import Case
from preprocess.dynamics import Impact

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

SPRINGS, RUBBER, BARE = "springs", "rubber layer", "bare floor"
FOLLOWED = 2.0
"""How long a weight and its bounces are followed, s."""
EVEN = np.arange(0.0, FOLLOWED, 5e-4)
"""Times of histories, s, to which finer ones are added within each touch."""
CONTACT_POINTS = 200
"""Points of a history within each touch, at most."""
DOSE_TIME = 8.0
"""How long the structural floor's motion counts for its dose, s: at 1 % damping a fifth of it is left then at 3.5 Hz,
which counts with its fourth power."""
DOSE_STEP = 1e-3
PEAK_POINTS = 25
"""Frequencies on either side of each of some 200 modes: bands are then within 0.03 dB of those of 80."""
VELOCITY_REFERENCE = 1e-9
"""Of velocity levels, m/s (ISO 1683)."""


@dataclass(frozen=True, eq=False)
class Landing:
    """A drop, where it lands. disc: its footprint. local, swaying: (unknowns,) as those of `MovingFloor`."""

    impact: Impact
    disc: Footprints
    local: Floats
    swaying: Floats

    @property
    def speed(self) -> float:
        """At the first touch, m/s."""
        return float(np.sqrt(2 * GRAVITY * self.impact.height))

    def weights(self, places: Floats, local: float) -> Weights:
        """The weight over a floor whose modes give (N,) there; local: m/N."""
        covering = self.impact.covering
        mass, stiffness, restitution = (
            np.array([value]) for value in (self.impact.mass, covering.stiffness, covering.restitution)
        )
        return Weights(mass, stiffness, restitution, places[None], np.array([local]))


def landing(moving: MovingFloor, impact: Impact) -> Landing:
    """A drop of the case on its floor."""
    disc = moving.floor.sampler.discs(np.array([impact.place]), impact.footprint)
    local = moving.local(disc)
    return Landing(impact, disc, local[0], moving.swaying(local)[0])


@dataclass(frozen=True, eq=False)
class _Course:
    """A drop on one support over time. time: (t,) s. q, v: (t, N) of the modes. force: (t,) contact force, N."""

    history: DropHistory
    time: Floats
    q: Floats
    v: Floats
    force: Floats

    @classmethod
    def of(cls, history: DropHistory, time: Floats) -> _Course:
        return cls(history, time, *history.states(time), history.force(time))

    def accelerations(self, shapes: Floats) -> Floats:
        """(t, b) m/s2 of quantities with shapes (b, N) in the modes: q̈ = f − 2ζω q̇ − ω² q."""
        if not len(shapes):
            return np.zeros((len(self.time), 0))
        floor = self.history.floor
        drive = np.outer(self.force, self.history.places) - 2 * floor.ratios * floor.angular * self.v
        return np.asarray((drive - floor.angular**2 * self.q) @ shapes.T)


def drop_view(moving: MovingFloor, impact: Impact) -> DropView:
    """Everything that papers show of a drop, on all three supports."""
    at = landing(moving, impact)
    local = float((at.disc.rows @ at.local)[0])
    weights, course = _fall(moving.springs, at, local)
    finer = touch(course.history.floor, weights, np.array([at.speed]), step=weights.step / 2)
    first = course.history.first
    slab = course.q @ weights.places[0] + local * course.force
    springs = _on_support(moving, moving.springs, at, course, name=SPRINGS)
    rubber = _on_support(moving, moving.rubber, at, _fall(moving.rubber, at, local)[1], name=RUBBER)
    bare = _on_bare(moving, at)
    even = np.searchsorted(course.time, EVEN)
    added = _jack_loads(moving, at, course.q[even], course.force[even])
    jack_loads = added + moving.service
    jacks = moving.case.jacks
    reserve = jacks.solid_deflections - jack_loads.max(axis=0) / jacks.rates
    worst = int(np.argmin(reserve))
    gap = known_gap(moving.case)
    nearest = max(float(slab.max()), float((added / jacks.rates).max()))
    return DropView(
        name=impact.name,
        place=impact.place,
        mass=impact.mass,
        height=impact.height,
        speed=at.speed,
        stiffness=impact.covering.stiffness,
        restitution=impact.covering.restitution,
        contact_time=float(first.duration[0]),
        impulse=float(first.impulse[0]),
        touches=len(course.history.contacts),
        time=course.time,
        contact=course.force,
        slab=slab,
        jack_time=EVEN,
        jack_loads=jack_loads,
        worst_jack=worst,
        reserve=float(reserve[worst]),
        least_load=float(jack_loads.min()),
        clearance=None if gap is None else gap - nearest,
        springs=springs,
        rubber=rubber,
        bare=bare,
        reduction=bare.force_levels - springs.force_levels,
        rubber_reduction=bare.force_levels - rubber.force_levels,
        drops=impact.drops_a_day,
        day_dose=None if impact.drops_a_day is None else day_dose(springs.dose, impact.drops_a_day),
        step_change=float(abs(finer.force.max() / first.force.max() - 1)),
        assumed=impact.assumed,
    )


def known_gap(case: Case) -> float | None:
    """Height of the gap below the slab in service, m, where the case says it."""
    if case.dynamics.air is not None:
        return case.dynamics.air.gap
    return None if case.lift is None else case.lift.air_gap


def _fall(under: Underfoot, at: Landing, local: float) -> tuple[Weights, _Course]:
    """The drop on the slab over one support; local: what the slab gives under it by modes that are left out, m/N."""
    weights = at.weights(under.real.at(under.floor.at_slab(at.disc.rows))[0], local)
    history = follow(under.oscillators, weights, at.speed, FOLLOWED)
    return weights, _Course.of(history, history_times(history))


def history_times(history: DropHistory) -> Floats:
    """(t,) s: even steps, finer within each touch."""
    within = [
        contact.start + contact.touch.time[:: max(1, len(contact.touch.time) // CONTACT_POINTS)]
        for contact in history.contacts
    ]
    return np.unique(np.concatenate([EVEN, *within]))


def _jack_loads(moving: MovingFloor, at: Landing, q: Floats, force: Floats) -> Floats:
    """(t, n) loads of the jacks beyond those in service, N: elastic, without the springs' losses."""
    under = moving.springs
    rates, R = moving.case.jacks.rates, moving.floor.model.jacks.rows
    return np.asarray(q @ under.real.at(under.floor.support.forces).T + np.outer(force, rates * (R @ at.local)))


def _on_support(moving: MovingFloor, under: Underfoot, at: Landing, course: _Course, *, name: str) -> SupportView:
    """Force into the structure and the structural floor's motion below the slab."""
    floor = under.floor
    local, swaying = (moving.net_of(field[None], under) for field in (at.local, at.swaying))
    net = under.real.at((floor.support.net + floor.air.real)[None])[0]
    outputs = np.vstack([floor.into_structure, floor.at_bays()])
    grid = band_grid(under.steady.frequencies, under.steady.ratios, per_peak=PEAK_POINTS)
    transfer = under.steady.transfer(outputs, floor.at_slab(at.disc.rows), grid)[:, :, 0]
    transfer[:, 0] += moving.left_out(local, swaying, grid)[:, 0]
    force = course.q @ net + local * course.force
    return _support_view(name, course, force, bays=under.real.at(floor.at_bays()), grid=grid, transfer=transfer)


def _on_bare(moving: MovingFloor, at: Landing) -> SupportView:
    """The same drop on the structural floor without a slab: the contact force is the force into it."""
    bays = moving.bays
    root = np.sqrt(bays.masses)
    shapes = bays.shapes(np.array([at.impact.place]))[0] / root
    oscillators = Oscillators(2 * np.pi * bays.frequencies, np.minimum(bays.damping, OVERDAMPED))
    history = follow(oscillators, at.weights(shapes, 0.0), at.speed, FOLLOWED)
    course = _Course.of(history, history_times(history))
    grid = band_grid(bays.frequencies, bays.damping)
    stiffness = (2 * np.pi * bays.frequencies) ** 2 * (1 + 2j * bays.damping)
    motion = shapes / (stiffness - (2 * np.pi * grid[:, None]) ** 2) / root
    transfer = np.column_stack([np.ones(len(grid)), motion])
    return _support_view(BARE, course, course.force, bays=np.diag(1 / root), grid=grid, transfer=transfer)


def _support_view(
    name: str, course: _Course, force: Floats, *, bays: Floats, grid: Floats, transfer: Complexes
) -> SupportView:
    """force: (t,) into the structure, N. bays: (b, N) displacement of the middle of each bay in each mode.

    transfer: (f, 1 + b) force into the structure, and motion of the bays, m, over the contact force at the frequencies
    `grid`, Hz.
    """
    spectrum = transfer * course.history.spectrum(grid)[:, None]
    speed = 2j * np.pi * grid[:, None] * spectrum[:, 1:]
    velocity = course.v @ bays.T
    long = _Course.of(course.history, np.arange(0.0, DOSE_TIME, DOSE_STEP))
    return SupportView(
        name=name,
        time=course.time,
        force=force,
        velocity=velocity,
        peak_force=float(np.abs(force).max()),
        peak_velocity=np.abs(velocity).max(axis=0),
        peak_acceleration=np.abs(course.accelerations(bays)).max(axis=0),
        force_levels=levels(band_energies(grid, spectrum[:, 0]), 1.0),
        velocity_levels=levels(band_energies(grid, speed), VELOCITY_REFERENCE**2),
        dose=dose(long.accelerations(bays), DOSE_STEP),
    )
