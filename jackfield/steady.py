"""Steady forces on the floated slab: transmissibility, people who jump together, machines that turn."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.gravity import GRAVITY
from fem.sampling import Footprints
from jackfield.moving import MovingFloor, Underfoot
from postprocess.dynamics.views import SteadyView, TransmissibilityView
from preprocess.dynamics import Group, Machine

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

LOWEST, HIGHEST = 0.5, 100.0
PER_OCTAVE = 60
RATES = 81
"""Even steps of a swept rate, to which those that meet a mode are added."""
NEAR, ON = 0.10, 0.03
"""How near to the band of a harmonic a mode counts as in it, as a share: where the floor passes on more than it is
given, springs of ±10 % and masses that are not known better move it by as much; where only the slab shakes, its many
modes in bending are never far, and only those right on the band count."""
BUILT_UP = 3.0
"""From this many times on, beyond what it would without a mode, the slab's shaking is a stop sign."""
ORDINALS = ("first", "second", "third")


def transmissibility(moving: MovingFloor) -> TransmissibilityView:
    """Net force into the structure over a steady force, at the points of the case."""
    names, xy = chosen_points(moving)
    even = np.geomspace(LOWEST, HIGHEST, int(PER_OCTAVE * np.log2(HIGHEST / LOWEST)) + 1)
    peaks = np.concatenate([under.steady.frequencies for under in (moving.springs, moving.rubber)])
    frequencies = np.unique(np.concatenate([even, peaks[(peaks > LOWEST) & (peaks < HIGHEST)]]))
    points = moving.floor.sampler.points(xy)
    local = moving.local(points)
    found = [
        None if under is None else np.abs(passed_on(moving, under, points.rows, local, frequencies)).T
        for under in (moving.springs, moving.rubber, moving.airless)
    ]
    springs, rubber, airless = found
    assert springs is not None  # only the slab without its air may be missing
    assert rubber is not None
    return TransmissibilityView(frequencies, names, springs, rubber, airless)


def passed_on(
    moving: MovingFloor, under: Underfoot, rows: sparse.csr_array, local: Floats, frequencies: Floats
) -> Complexes:
    """(f, p) net force into the structure over a steady unit force at frequencies (f,) Hz.

    rows: (p, unknowns) of the footprints on which it acts. local: (p, unknowns) as `MovingFloor.local`.
    """
    inputs = under.floor.at_slab(rows)
    modal = under.net(inputs, frequencies)
    net, swaying = (moving.net_of(field, under) for field in (local, moving.swaying(local)))
    return modal + moving.left_out(net, swaying, frequencies)


def chosen_points(moving: MovingFloor) -> tuple[tuple[str, ...], Floats]:
    """Names and (p, 2) places, m: those of the case, else of its drops and machines, else the middle of its jacks."""
    dynamics = moving.case.dynamics
    points = [(point.name, point.place) for point in dynamics.points]
    points = points or [(drop.name, drop.place) for drop in dynamics.impacts]
    points = points or [(machine.name, machine.place) for machine in dynamics.machines]
    if not points:
        xy = moving.case.jacks.xy
        nearest = int(np.argmin(np.sum((xy - xy.mean(axis=0)) ** 2, axis=1)))
        points = [(f"at jack {moving.case.jacks.ids[nearest]}", (float(xy[nearest, 0]), float(xy[nearest, 1])))]
    return tuple(name for name, _ in points), np.array([place for _, place in points])


def steady_views(moving: MovingFloor) -> tuple[SteadyView, ...]:
    """One for each group and each machine of the case."""
    dynamics, plan = moving.case.dynamics, moving.case.slab.plan
    sampler = moving.floor.sampler
    groups = [
        _view(moving, group, sampler.regions([group.area or plan]), _jumps(group), kind="group")
        for group in dynamics.groups
    ]
    machines = [
        _view(moving, item, sampler.points(np.array([item.place])), _turns(item), kind="machine")
        for item in dynamics.machines
    ]
    return (*groups, *machines)


@dataclass(frozen=True)
class _Source:
    """A force of several harmonics. sizes: from (r,) rates, 1/s, to (r,) N, one for each. basis: in words."""

    sizes: tuple[Callable[[Floats], Floats], ...]
    basis: str


def _jumps(group: Group) -> _Source:
    """People who jump; their own mass is not added to the slab."""
    weight = group.people * group.person * GRAVITY

    def even(factor: float) -> Callable[[Floats], Floats]:
        return lambda rates: np.full(len(rates), factor * weight)

    return _Source(tuple(even(factor) for factor in group.factors), group.basis)


def _turns(machine: Machine) -> _Source:
    """A vertical force of unbalance · ω²."""
    basis = f"unbalance {machine.unbalance * 1e3:.4g} kg·mm times the square of the angular speed"
    return _Source((lambda rates: machine.unbalance * (2 * np.pi * rates) ** 2,), basis)


def _rates(moving: MovingFloor, band: tuple[float, float], harmonics: int) -> Floats:
    """(r,) rates of a band, with those at which a harmonic meets a mode."""
    low, high = band
    modes = moving.springs.steady.frequencies
    meeting = np.concatenate([modes / number for number in range(1, harmonics + 1)])
    inside = meeting[(meeting > low) & (meeting < high)]
    return np.unique(np.concatenate([np.linspace(low, high, RATES), inside]))


def _view(moving: MovingFloor, item: Group | Machine, load: Footprints, source: _Source, *, kind: str) -> SteadyView:
    """Harmonics are added as if their peaks met: an upper bound, since their phases are not known."""
    answer = _Answer.of(moving, load)
    rates = _rates(moving, item.band, len(source.sizes))
    count = len(answer.amplitudes(rates[:1])[0])
    total = np.zeros((len(rates), count))
    moved = np.zeros_like(total)
    for number, size in enumerate(source.sizes, start=1):
        amplitudes = size(rates)[:, None] * answer.amplitudes(number * rates)
        total += amplitudes
        moved += (2 * np.pi * number * rates[:, None]) ** 2 * amplitudes
    n = len(moving.case.jacks)
    acceleration, jacks = moved[:, 1 + n :], total[:, 1 : 1 + n].max(axis=0)
    rate, place = np.unravel_index(int(np.argmax(acceleration)), acceleration.shape)
    x, y = moving.looked.centroids[place]
    rates_of_springs = moving.case.jacks.rates
    travel = moving.case.jacks.solid_deflections - (moving.service + jacks) / rates_of_springs
    gap = moving.service_gap
    return SteadyView(
        kind=kind,
        name=item.name,
        rates=rates,
        acceleration=acceleration.max(axis=1),
        force=total[:, 0],
        where=(float(x), float(y)),
        worst_rate=float(rates[rate]),
        meets=tuple(_meetings(moving, answer, item.band, len(source.sizes))),
        reserve=float(travel.min()),
        worst_jack=int(travel.argmin()),
        least_load=float((moving.service - jacks).min()),
        clearance=None if gap is None else gap - float(total[:, 1 + n :].max()),
        basis=source.basis,
    )


@dataclass(frozen=True, eq=False)
class _Answer:
    """What a steady unit force on a footprint does: net force, jack loads, motions of the slab where it is looked at.

    outputs: (n + p, N) rows of coordinates, without the net force. load: (1, N). local, swaying: (1 + n + p,) by modes
    left out.
    """

    moving: MovingFloor
    outputs: Complexes
    load: Floats
    local: Floats
    swaying: Floats

    @classmethod
    def of(cls, moving: MovingFloor, load: Footprints) -> _Answer:
        floor, rates = moving.springs.floor, moving.case.jacks.rates
        R, places = moving.floor.model.jacks.rows, moving.looked.rows
        loss = 1 + 1j * floor.support.loss
        outputs = np.vstack([loss * floor.support.forces, floor.at_slab(places)])
        field = moving.local(load)
        local, swaying = (
            np.concatenate([moving.net_of(each, moving.springs), rates * (R @ each[0]), places @ each[0]])
            for each in (field, moving.swaying(field))
        )
        return cls(moving, outputs, floor.at_slab(load.rows), local, swaying)

    def amplitudes(self, frequencies: Floats) -> Floats:
        """(f, 1 + n + p) sizes at frequencies (f,), Hz."""
        under = self.moving.springs
        net, rest = under.net(self.load, frequencies), under.steady.transfer(self.outputs, self.load, frequencies)
        modal = np.hstack([net, rest[:, :, 0]])
        return np.abs(modal + self.moving.left_out(self.local, self.swaying, frequencies))

    def passed_on(self, frequencies: Floats) -> Floats:
        """(f,) net force into the structure over the force."""
        return self.amplitudes(frequencies)[:, 0]

    def built_up(self, frequencies: Floats) -> Floats:
        """(f,) how many times more the slab is shaken than without a mode, where it is shaken most.

        Without one it moves as a free mass, or where that is more as an endless plate, F/(8√(m″D)) (Cremer, Heckl and
        Petersson, Structure-Borne Sound, 3rd ed. 2005, on the mobility of plates; from memory).
        """
        moving, n = self.moving, len(self.moving.case.jacks)
        omega = 2 * np.pi * frequencies
        mass, plate = moving.motions.mass, moving.floor.model.plate
        endless = 1 / (8 * np.sqrt(mass / moving.case.slab.plan.area * plate.rigidity))
        speed = omega * self.amplitudes(frequencies)[:, 1 + n :].max(axis=1)
        return np.asarray(speed / np.maximum(1 / (mass * omega), endless))


def _meetings(moving: MovingFloor, answer: _Answer, band: tuple[float, float], harmonics: int) -> list[str]:
    """Harmonics with a mode in their band or near it that passes on more than it is given, or builds up in the slab.

    The strongest first.
    """
    found = []
    for number in range(1, harmonics + 1):
        harmonic = number * band[0], number * band[1]
        which = f"{ORDINALS[number - 1]} harmonic" if harmonics > 1 else "speed"
        near, on = (_within(moving.springs.steady.frequencies, harmonic, margin) for margin in (NEAR, ON))
        passed, grown = answer.passed_on(near), answer.built_up(on)
        if passed.max(initial=0.0) > 1:
            worst, times = near[np.argmax(passed)], float(passed.max())
            found.append((times, f"{which} meets a mode at {worst:.2f} Hz: {times:.1f} times its force passed on"))
        elif grown.max(initial=0.0) >= BUILT_UP:
            worst, times = on[np.argmax(grown)], float(grown.max())
            found.append((times, f"{which} meets a mode at {worst:.2f} Hz: the slab shakes {times:.1f} times as much"))
    return [words for _, words in sorted(found, reverse=True)]


def _within(modes: Floats, band: tuple[float, float], margin: float) -> Floats:
    """The frequencies in a band widened by a share."""
    return modes[(modes >= band[0] / (1 + margin)) & (modes <= band[1] * (1 + margin))]
