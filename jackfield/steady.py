"""Steady forces on the floated slab: transmissibility, people who jump together, machines that turn."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.drop import GRAVITY
from fem.sampling import Footprints
from jackfield.drop_map import grid_of
from jackfield.moving import MovingFloor, Underfoot
from postprocess.dynamics.views import SteadyView, TransmissibilityView
from preprocess.dynamics import Group, Machine

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

LOWEST, HIGHEST = 0.5, 100.0
PER_OCTAVE = 60
RATES = 81
"""Even steps of a swept rate, to which those that meet a mode are added."""
MEETS = 0.03
"""A mode this near to the band of a harmonic counts as in it, as a share: frequencies are not known better."""
ORDINALS = ("first", "second", "third")
EDGE = 0.05
"""How far from edges the slab's acceleration is looked at, m."""


def transmissibility(moving: MovingFloor) -> TransmissibilityView:
    """Net force into the structure over a steady force, at the points of the case."""
    names, xy = chosen_points(moving)
    even = np.geomspace(LOWEST, HIGHEST, int(PER_OCTAVE * np.log2(HIGHEST / LOWEST)) + 1)
    peaks = np.concatenate([under.steady.frequencies for under in (moving.springs, moving.rubber)])
    frequencies = np.unique(np.concatenate([even, peaks[(peaks > LOWEST) & (peaks < HIGHEST)]]))
    points = moving.floor.sampler.points(xy)
    local = moving.local(points)
    springs, rubber = (
        np.abs(passed_on(moving, under, points.rows, local, frequencies)).T for under in (moving.springs, moving.rubber)
    )
    return TransmissibilityView(frequencies, names, springs, rubber)


def passed_on(
    moving: MovingFloor, under: Underfoot, rows: sparse.csr_array, local: Floats, frequencies: Floats
) -> Complexes:
    """(f, p) net force into the structure over a steady unit force at frequencies (f,) Hz.

    rows: (p, unknowns) of the footprints on which it acts. local: (p, unknowns) as `MovingFloor.local`.
    """
    inputs = under.floor.at_slab(rows)
    modal = under.steady.transfer(under.floor.into_structure[None], inputs, frequencies)[:, 0]
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
    dynamics = moving.case.dynamics
    xy = np.vstack([grid_of(moving.case.slab.plan, EDGE)[0], moving.case.jacks.xy])
    looked = _Looked(moving, xy, moving.floor.sampler.points(xy))
    groups = [_group_view(looked, group) for group in dynamics.groups]
    machines = [_machine_view(looked, machine) for machine in dynamics.machines]
    return (*groups, *machines)


@dataclass(frozen=True, eq=False)
class _Looked:
    """Where the slab's acceleration is looked at: (p, 2) m, and their footprints."""

    moving: MovingFloor
    xy: Floats
    points: Footprints

    def swept(self, load: Footprints, rates: Floats, factors: Sequence[Floats]) -> tuple[Floats, Floats]:
        """Greatest acceleration (r, p), m/s2, and net force (r,), N, of harmonics whose sizes (r,), N, are `factors`.

        load: where the force acts. Harmonics are added as if their peaks met: an upper bound, since their phases are
        not known.
        """
        under = self.moving.springs
        acceleration, force = np.zeros((len(rates), len(self.xy))), np.zeros(len(rates))
        outputs = np.vstack([under.floor.into_structure, under.floor.at_slab(self.points.rows)])
        field = self.moving.local(load)
        local, swaying = (
            np.concatenate([self.moving.net_of(each, under), self.points.rows @ each[0]])
            for each in (field, self.moving.swaying(field))
        )
        for number, size in enumerate(factors, start=1):
            frequencies = number * rates
            modal = under.steady.transfer(outputs, under.floor.at_slab(load.rows), frequencies)[:, :, 0]
            transfer = np.abs(modal + self.moving.left_out(local, swaying, frequencies))
            force += size * transfer[:, 0]
            acceleration += (size * (2 * np.pi * frequencies) ** 2)[:, None] * transfer[:, 1:]
        return acceleration, force

    def rates(self, band: tuple[float, float], harmonics: int) -> Floats:
        """(r,) rates of a band, with those at which a harmonic meets a mode."""
        low, high = band
        modes = self.moving.springs.steady.frequencies
        meeting = np.concatenate([modes / number for number in range(1, harmonics + 1)])
        inside = meeting[(meeting > low) & (meeting < high)]
        return np.unique(np.concatenate([np.linspace(low, high, RATES), inside]))

    def meetings(self, load: Footprints, band: tuple[float, float], harmonics: int) -> Iterator[str]:
        """Harmonics with a mode in their band at which the floor passes on more than it is given."""
        under, local = self.moving.springs, self.moving.local(load)
        for number in range(1, harmonics + 1):
            low, high = number * band[0] * (1 - MEETS), number * band[1] * (1 + MEETS)
            modes = under.steady.frequencies
            modes = modes[(modes >= low) & (modes <= high)]
            if not len(modes):
                continue
            passed = np.abs(passed_on(self.moving, under, load.rows, local, modes)[:, 0])
            worst = int(np.argmax(passed))
            if passed[worst] > 1:
                which = f"{ORDINALS[number - 1]} harmonic" if harmonics > 1 else "speed"
                yield (
                    f"{which} meets a mode at {modes[worst]:.2f} Hz, which passes on {passed[worst]:.1f} times "
                    "the force into the structure"
                )


def _group_view(looked: _Looked, group: Group) -> SteadyView:
    """People spread over their area; their own mass is not added to the slab."""
    moving = looked.moving
    area = group.area or moving.case.slab.plan
    load = moving.floor.sampler.regions([area])
    rates = looked.rates(group.band, len(group.factors))
    weight = group.people * group.person * GRAVITY
    swept = looked.swept(load, rates, [np.full(len(rates), factor * weight) for factor in group.factors])
    meets = tuple(looked.meetings(load, group.band, len(group.factors)))
    return _view(looked, "group", group.name, rates=rates, swept=swept, meets=meets, basis=group.basis)


def _machine_view(looked: _Looked, machine: Machine) -> SteadyView:
    """A force of unbalance · ω², vertical, at its place."""
    moving = looked.moving
    load = moving.floor.sampler.points(np.array([machine.place]))
    rates = looked.rates(machine.band, 1)
    swept = looked.swept(load, rates, [machine.unbalance * (2 * np.pi * rates) ** 2])
    meets = tuple(looked.meetings(load, machine.band, 1))
    basis = f"unbalance {machine.unbalance * 1e3:.4g} kg·mm times the square of the angular speed"
    return _view(looked, "machine", machine.name, rates=rates, swept=swept, meets=meets, basis=basis)


def _view(
    looked: _Looked,
    kind: str,
    name: str,
    *,
    rates: Floats,
    swept: tuple[Floats, Floats],
    meets: tuple[str, ...],
    basis: str,
) -> SteadyView:
    acceleration, force = swept
    rate, place = np.unravel_index(int(np.argmax(acceleration)), acceleration.shape)
    x, y = looked.xy[place]
    return SteadyView(
        kind=kind,
        name=name,
        rates=rates,
        acceleration=acceleration.max(axis=1),
        force=force,
        where=(float(x), float(y)),
        worst_rate=float(rates[rate]),
        meets=meets,
        basis=basis,
    )
