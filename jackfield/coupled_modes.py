"""Modes of slab, structural floor and air together, and the bays beside the slab above them, as papers show them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fem.coupled_floor import parts_of
from fem.modes import kind_of
from jackfield.moving import MovingFloor
from postprocess.dynamics.checks import APART, STIFF
from postprocess.dynamics.views import BayView, CoupledModesView

Floats = NDArray[np.float64]

UP_TO = 30.0
"""Modes are listed up to this frequency, Hz, or the first `LEAST`; never more than `MOST`."""
LEAST, MOST = 8, 30
OWN = 0.5
"""Share of the kinetic energy from which a mode is named after the structural floor or the air."""
RIGID = 0.3
"""Share of the mass in rigid motion from which a mode of the slab counts as one on its springs."""


def coupled_modes(moving: MovingFloor) -> CoupledModesView:
    """The lowest modes with their shares."""
    real, floor = moving.springs.real, moving.springs.floor
    frequencies = real.frequencies
    count = int(np.clip(np.searchsorted(frequencies, UP_TO), LEAST, MOST))
    shapes = real.shapes[:, :count]
    slab, bays, air = (np.sum(shapes[part] * (floor.mass[part] @ shapes), axis=0) for part in parts_of(floor))
    momentum = moving.motions.momentum.T @ floor.shapes @ shapes[: floor.slab_count]
    heave, rock_x, rock_y, rock = moving.motions.shares(momentum)
    names = [bay.name for bay in moving.case.dynamics.bays]
    middles = np.abs(shapes[floor.slab_count : floor.slab_count + len(names)]) * np.sqrt(moving.bays.masses)[:, None]
    kinds = []
    for i in range(count):
        if bays[i] >= OWN:
            kinds.append(f"structural floor, {names[int(middles[:, i].argmax())]}")
        elif air[i] >= OWN:
            kinds.append("air")
        else:
            kinds.append(kind_of(heave[i], rock_x[i], rock_y[i], rock[i]))
    return CoupledModesView(
        frequencies=frequencies[:count],
        damping=real.ratios[:count],
        heave=heave,
        rock_x=rock_x,
        rock_y=rock_y,
        slab=slab,
        floor=bays,
        air=air,
        kinds=tuple(kinds),
    )


def springs_alone(moving: MovingFloor) -> tuple[float, float, float]:
    """Heave and the lower and upper rocking of the slab on its springs over rigid ground without air, Hz."""
    slab = moving.slab
    rest = [i for i in range(len(slab.frequencies)) if i != slab.heave_mode]
    first, second = sorted(sorted(rest, key=lambda i: -slab.rock[i])[:2])
    return slab.heave_frequency, float(slab.frequencies[first]), float(slab.frequencies[second])


def bay_views(moving: MovingFloor) -> tuple[BayView, ...]:
    """Each bay, what it gives under the slab in service, and how far its frequency is from the slab's."""
    jacks, bays = moving.case.jacks, moving.bays
    shapes = bays.shapes(jacks.xy)
    given = moving.service @ shapes / bays.stiffnesses
    springs = moving.service / jacks.rates
    slab = moving.slab
    rigid = slab.frequencies[slab.heave + slab.rock >= RIGID]
    found = []
    for number, bay in enumerate(moving.case.dynamics.bays):
        on = shapes[:, number] > 0
        nearest = float(rigid[np.argmin(np.abs(np.log(rigid / bay.frequency)))])
        deflection, floor = float(springs[on].mean()), float(given[number])
        found.append(
            BayView(
                name=bay.name,
                low=bay.low,
                high=bay.high,
                frequency=bay.frequency,
                mass=bay.mass,
                jacks=int(on.sum()),
                spring_deflection=deflection,
                floor_deflection=floor,
                nearest=nearest,
                notes=tuple(_notes(deflection, floor, bay.frequency, nearest)),
            )
        )
    return tuple(found)


def _notes(springs: float, floor: float, frequency: float, nearest: float) -> list[str]:
    """Warnings in words; both rules are common practice, no source."""
    notes = []
    if springs < STIFF * floor:
        notes.append(
            f"the springs give {springs * 1e3:.1f} mm, {springs / floor:.1f} times the {floor * 1e3:.1f} mm of the "
            "floor below them: softer springs or a stiffer floor"
        )
    if max(frequency, nearest) < APART * min(frequency, nearest):
        notes.append(
            f"{frequency:.1f} Hz is within a factor of two of the slab's {nearest:.2f} Hz: they shake each other"
        )
    return notes
