"""Weights dropped on a floor: on its springs, on a rubber layer and on the bare structural floor."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.drop import Oscillators, Weights, touch
from fem.drop_history import DropHistory, follow
from fem.sampling import Footprints
from fem.synthesis import Record
from fem.vibration import OVERDAMPED
from jackfield.moving import MovingFloor, Underfoot
from postprocess.dynamics.bands import EDGES, band_energies, band_grid, levels
from postprocess.dynamics.views import DropView, SupportView
from postprocess.dynamics.weighting import day_dose, dose
from preprocess.dynamics import Impact

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

SPRINGS, RUBBER, BARE, AIRLESS = "springs", "rubber layer", "bare floor", "springs without air"
FOLLOWED = 4.0
"""How long a weight, its bounces and what they do are followed, s."""
RECORD = Record(step=5e-4, count=2**14)
"""8 s: doses count what rings on after the last bounce."""
TIME = RECORD.time[RECORD.time < FOLLOWED]
"""(t,) s of histories."""
CONTACT_POINTS = 200
"""Points of a history within each touch, at most."""
SLAB_HIGHEST = 250.0
"""Loads of jacks and motions of the slab are made of frequencies up to this one, Hz."""
PEAK_POINTS = 25
"""Frequencies on either side of each of some 200 modes: bands are then within 0.03 dB of those of 80."""
RIPPLE = 8.0
"""Frequencies to each ripple that bounces leave in the spectrum: one over the time from the first touch to the last."""
VELOCITY_REFERENCE = 1e-9
"""Of velocity levels, m/s (ISO 1683)."""


@dataclass(frozen=True, eq=False)
class Landing:
    """A drop, where it lands. disc: its footprint. local, swaying: (unknowns,) as those of `MovingFloor`."""

    impact: Impact
    disc: Footprints
    local: Floats
    swaying: Floats


def weights_of(impact: Impact, places: Floats, local: Floats) -> Weights:
    """The weight of a drop over p places whose modes give (p, N) there, and local (p,), m/N."""
    covering = impact.covering
    mass, stiffness, restitution = (
        np.full(len(places), value) for value in (impact.mass, covering.stiffness, covering.restitution)
    )
    return Weights(mass, stiffness, restitution, places, local)


def landing(moving: MovingFloor, impact: Impact) -> Landing:
    """A drop of the case on its floor."""
    disc = moving.floor.sampler.discs(np.array([impact.place]), impact.footprint)
    local = moving.local(disc)
    return Landing(impact, disc, local[0], moving.swaying(local)[0])


def drop_view(moving: MovingFloor, impact: Impact) -> DropView:
    """Everything that papers show of a drop, on all supports."""
    at = landing(moving, impact)
    history = _fall(moving.springs, at)
    first = history.first
    finer = touch(history.floor, _weights(moving.springs, at), np.array([impact.speed]), step=first.time[1] / 2)
    springs = _on_support(moving, moving.springs, at, history, name=SPRINGS)
    rubber = _on_support(moving, moving.rubber, at, _fall(moving.rubber, at), name=RUBBER)
    airless = None
    if moving.airless is not None:
        airless = _on_support(moving, moving.airless, at, _fall(moving.airless, at), name=AIRLESS)
    bare = _on_bare(moving, at)
    time = history_times(history)
    slab, added, closing = (each[: len(TIME)] for each in _slab_motion(moving, at, history))
    jacks = moving.case.jacks
    jack_loads = added + moving.service
    highest = added.max(axis=0)
    reserve, full = (jacks.solid_deflections - (load + highest) / jacks.rates for load in (moving.service, moving.full))
    worst = int(np.argmin(reserve))
    gap = moving.service_gap
    return DropView(
        name=impact.name,
        place=impact.place,
        mass=impact.mass,
        height=impact.height,
        speed=impact.speed,
        stiffness=impact.covering.stiffness,
        restitution=impact.covering.restitution,
        depth=float(first.force.max()) / impact.covering.stiffness,
        contact_time=float(first.duration[0]),
        impulse=float(first.impulse[0]),
        touches=len(history.contacts),
        time=time,
        contact=history.force(time),
        slab=np.interp(time, TIME, slab),
        jack_time=TIME,
        jack_loads=jack_loads,
        worst_jack=worst,
        reserve=float(reserve[worst]),
        full_reserve=float(full.min()),
        least_load=float(jack_loads.min()),
        clearance=None if gap is None else gap - float(closing.max()),
        springs=springs,
        rubber=rubber,
        bare=bare,
        airless=airless,
        reduction=bare.force_levels - springs.force_levels,
        rubber_reduction=bare.force_levels - rubber.force_levels,
        drops=impact.drops_a_day,
        day_dose=None if impact.drops_a_day is None else day_dose(springs.dose, impact.drops_a_day),
        step_change=float(abs(finer.force.max() / first.force.max() - 1)),
        assumed=impact.assumed,
    )


def _weights(under: Underfoot, at: Landing) -> Weights:
    """The weight over the slab on a support."""
    rows = at.disc.rows
    return weights_of(at.impact, under.real.at(under.floor.at_slab(rows)), rows @ at.local)


def _fall(under: Underfoot, at: Landing) -> DropHistory:
    """The weight and its bounces on the slab over a support."""
    return follow(under.oscillators, _weights(under, at), at.impact.speed, FOLLOWED)


def history_times(history: DropHistory) -> Floats:
    """(t,) s: even steps, finer within each touch."""
    within = [
        contact.start + contact.touch.time[:: max(1, len(contact.touch.time) // CONTACT_POINTS)]
        for contact in history.contacts
    ]
    return np.unique(np.concatenate([TIME, *within]))


def _slab_motion(moving: MovingFloor, at: Landing, history: DropHistory) -> tuple[Floats, Floats, Floats]:
    """Over the record: motion of the slab under the weight (t,), m; loads added to the jacks (t, n), N; and (t, p) how
    far slab and structural floor come together at the weight and at places along edges and over the slab, m."""
    under, model = moving.springs, moving.floor.model
    places = moving.looked
    rows = sparse.vstack([at.disc.rows, places.rows])
    floor_xy = np.vstack([[at.impact.place], places.centroids])
    jacks, slab, below = under.floor.support.forces, under.floor.at_slab(rows), under.floor.at_floor(floor_xy)
    rates, R = moving.case.jacks.rates[:, None], model.jacks.rows
    loss = 1 + 1j * under.floor.support.loss
    outputs = np.vstack([loss * jacks, slab, slab - below])
    local, swaying = (
        np.concatenate([rates[:, 0] * (R @ field), rows @ field, rows @ field]) for field in (at.local, at.swaying)
    )
    count = RECORD.below(SLAB_HIGHEST)
    frequencies = RECORD.frequencies[:count]
    modal = under.steady.transfer(outputs, under.floor.at_slab(at.disc.rows), frequencies)[:, :, 0]
    found = modal + moving.left_out(local, swaying, frequencies)
    whole = RECORD.back(found * RECORD.force(history)[:count, None])
    n, p = len(rates), rows.shape[0]
    return whole[:, n], whole[:, :n], whole[:, n + p :]


def _on_support(moving: MovingFloor, under: Underfoot, at: Landing, history: DropHistory, *, name: str) -> SupportView:
    """Force into the structure and the structural floor's motion below the slab."""
    floor = under.floor
    local, swaying = (moving.net_of(field[None], under) for field in (at.local, at.swaying))
    place, bays = floor.at_slab(at.disc.rows), floor.at_bays()

    def transfer(frequencies: Floats | Complexes) -> Complexes:
        net = under.net(place, frequencies) + moving.left_out(local, swaying, frequencies)
        return np.hstack([net, under.steady.transfer(bays, place, frequencies)[:, :, 0]])

    grid = band_grid(under.steady.frequencies, under.steady.ratios, per_peak=PEAK_POINTS)
    return _support_view(name, history, transfer, grid)


def _on_bare(moving: MovingFloor, at: Landing) -> SupportView:
    """The same drop on the structural floor without a slab: the contact force is the force into it."""
    bays = moving.bays
    root = np.sqrt(bays.masses)
    shapes = bays.shapes(np.array([at.impact.place]))[0] / root
    oscillators = Oscillators(2 * np.pi * bays.frequencies, np.minimum(bays.damping, OVERDAMPED))
    history = follow(oscillators, weights_of(at.impact, shapes[None], np.zeros(1)), at.impact.speed, FOLLOWED)
    stiffness = (2 * np.pi * bays.frequencies) ** 2 * (1 + 2j * bays.damping)

    def transfer(frequencies: Floats | Complexes) -> Complexes:
        motion = shapes / (stiffness - (2 * np.pi * frequencies[:, None]) ** 2) / root
        return np.column_stack([np.ones(len(frequencies)), motion])

    view = _support_view(BARE, history, transfer, band_grid(bays.frequencies, bays.damping))
    force = history.force(view.time)
    return replace(view, force=force, peak_force=max(float(each.touch.force.max()) for each in history.contacts))


def _support_view(
    name: str, history: DropHistory, transfer: Callable[[Floats | Complexes], Complexes], grid: Floats
) -> SupportView:
    """transfer: from (f,) frequencies to (f, 1 + b) force into the structure, and motion of the bays, m, over contact.

    grid: (f,) Hz, fine enough for the floor; between bounces the force's own spectrum asks for more.
    """
    ripple = np.arange(EDGES[0], EDGES[-1], 1 / (RIPPLE * max(history.length, 1e-3)))
    grid = np.union1d(grid, ripple) if len(history.contacts) > 1 else grid
    spectrum = transfer(grid) * history.spectrum(grid)[:, None]
    speed = 2j * np.pi * grid[:, None] * spectrum[:, 1:]
    s = 2j * np.pi * RECORD.frequencies[:, None]
    whole = transfer(RECORD.frequencies) * RECORD.force(history)[:, None]
    force, *_ = RECORD.back(whole[:, :1]).T
    velocity, acceleration = RECORD.back(s * whole[:, 1:]), RECORD.back(s**2 * whole[:, 1:])
    shown = slice(len(TIME))
    return SupportView(
        name=name,
        time=TIME,
        force=force[shown],
        velocity=velocity[shown],
        acceleration=acceleration[shown],
        peak_force=float(np.abs(force[shown]).max()),
        peak_velocity=np.abs(velocity[shown]).max(axis=0),
        peak_acceleration=np.abs(acceleration[shown]).max(axis=0),
        force_levels=levels(band_energies(grid, spectrum[:, 0]), 1.0),
        velocity_levels=levels(band_energies(grid, speed), VELOCITY_REFERENCE**2),
        dose=dose(acceleration, RECORD.step),
    )
