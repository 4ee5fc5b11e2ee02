"""Where on the slab the heaviest drop does most: the same weight let fall at places all over the plan."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fem.drop import Touch, touch
from jackfield.dropping import weights_of
from jackfield.moving import MovingFloor
from jackfield.places import places_of
from postprocess.dynamics.views import DropMapView
from preprocess.dynamics import Impact

Floats = NDArray[np.float64]

AFTER = 0.6
"""How long the floor's motion is followed after the touch, s: two cycles of a soft floor."""
STEP = 2.5e-3
_KEPT = 12
"""Every so many steps within the touch are looked at."""
_TOGETHER = 40
"""Times that are looked at together: memory."""


def heaviest(impacts: tuple[Impact, ...]) -> Impact:
    """The drop with the greatest energy."""
    return max(impacts, key=lambda impact: impact.mass * impact.height)


def drop_map(moving: MovingFloor, impact: Impact) -> DropMapView:
    """The first touch of a drop, in every cell of a grid at once."""
    where = places_of(moving.case.slab.plan, impact.footprint / 2 + 1e-3)
    xy = where.xy
    discs = moving.floor.sampler.discs(xy, impact.footprint)
    local, under, count = moving.local(discs), moving.springs, len(xy)
    places = under.real.at(under.floor.at_slab(discs.rows))
    weights = weights_of(impact, places, np.asarray((discs.rows @ local.T).diagonal()))
    fallen = touch(under.oscillators, weights, np.full(count, impact.speed), keep=_KEPT)
    jacks = moving.case.jacks
    jack_local = (jacks.rates[:, None] * (moving.floor.model.jacks.rows @ local.T)).T
    highest, lowest, force, velocity = _peaks(moving, fallen, jack_local)
    loads = highest + moving.service
    travel = jacks.solid_deflections - loads / jacks.rates
    return DropMapView(
        name=impact.name,
        cells=where.cells,
        xy=xy,
        spacing=where.spacing,
        force=force,
        jack_load=loads.max(axis=1),
        reserve=travel.min(axis=1),
        worst_jack=travel.argmin(axis=1),
        least_load=(lowest + moving.service).min(axis=1),
        velocity=velocity,
    )


def _peaks(moving: MovingFloor, fallen: Touch, jack_local: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Most and least load added to each jack (p, n), N, greatest net force (p,), N, and speed of any bay, m/s.

    jack_local: (p, n) what jacks take at once of a unit force, by modes that are left out.
    """
    under = moving.springs
    forces = under.real.at(under.floor.support.forces).T
    net = under.real.at((under.floor.support.net + under.floor.air.real)[None])[0]
    bays = under.real.at(under.floor.at_bays()).T
    count, jacks = jack_local.shape
    highest, lowest = np.zeros((count, jacks)), np.zeros((count, jacks))
    force, velocity = np.zeros(count), np.zeros(count)

    def look(q: Floats, v: Floats, contact: Floats) -> None:
        """q, v: (t, p, N). contact: (t, p) N."""
        loads = q @ forces + contact[:, :, None] * jack_local
        np.maximum(highest, loads.max(axis=0), out=highest)
        np.minimum(lowest, loads.min(axis=0), out=lowest)
        np.maximum(force, np.abs(q @ net + contact * jack_local.sum(axis=1)).max(axis=0), out=force)
        if bays.shape[1]:
            np.maximum(velocity, np.abs(v @ bays).max(axis=(0, 2)), out=velocity)

    look(fallen.q, fallen.v, fallen.force[fallen.kept])
    times = np.arange(STEP, AFTER, STEP)
    for part in np.array_split(times, len(times) // _TOGETHER + 1):
        q, v = under.oscillators.free(fallen.q[-1], fallen.v[-1], part)
        look(q, v, np.zeros((len(part), count)))
    return highest, lowest, force, velocity
