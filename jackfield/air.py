"""What the air below the slab does to heave and rocking, and how much open edge would undo it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from fem.cavity import Cavity, Opening, even_openings
from fem.coupled_floor import Losses, SlabBasis
from fem.modes import RigidMotions
from fem.structural_floor import FloorBays
from fem.vibration import real_modes
from jackfield.moving import MovingFloor
from jackfield.trapped import edge_rings, openings_of
from postprocess.dynamics.air_words import air_sentence
from postprocess.dynamics.views import AirView

Floats = NDArray[np.float64]

LOW_MODES = 20
"""Modes of slab and of air with which openings are tried: heave and rocking, and what bends at their frequencies."""
NEAR = 0.05
"""How near to the springs' own frequency heave is to come, as a share."""
PARTS = 8
"""Openings that are tried are this many equal parts, evenly round the outline."""
LEAST_ROCK = 0.3
"""Share of the mass in rocking from which a mode is looked at as one of rocking."""
LEAST_ALSO = 0.25
"""Share of the mass in heave from which a second mode is named beside the first."""
_HALVINGS = 8


@dataclass(frozen=True, eq=False)
class _LowFloor:
    """The slab's lowest modes on its springs over rigid ground, with any openings of the air below it."""

    basis: SlabBasis
    motions: RigidMotions
    cavity: Cavity

    def modes(self, openings: Sequence[Opening] | None) -> _Heaving:
        """With these openings; None without air."""
        air = None if openings is None else self.cavity.with_openings(openings).modes(LOW_MODES)
        floor = self.basis.on_springs(FloorBays.none(), Losses(0.0, 0.0), air)
        modes = real_modes(floor)
        momentum = self.motions.momentum.T @ self.basis.shapes @ modes.shapes[: floor.slab_count]
        heave, _, _, rock = self.motions.shares(momentum)
        return _Heaving(modes.frequencies, heave, rock)


@dataclass(frozen=True, eq=False)
class _Heaving:
    """Modes by their frequencies (m,), Hz, and shares of the mass in heave and in rocking, (m,) each."""

    frequencies: Floats
    shares: Floats
    rocking: Floats

    @property
    def heave(self) -> float:
        """Frequency of the mode with the largest share, Hz."""
        return float(self.frequencies[np.argmax(self.shares)])

    @property
    def rock(self) -> float:
        """The lower frequency of rocking, Hz."""
        found = np.flatnonzero(self.rocking >= LEAST_ROCK)
        return float(self.frequencies[found[0] if len(found) else np.argmax(self.rocking)])

    @property
    def also(self) -> tuple[float, float] | None:
        """Frequency and share of the mode that heaves second most, if that is worth naming."""
        second = int(np.argsort(self.shares)[-2])
        share = float(self.shares[second])
        return (float(self.frequencies[second]), share) if share >= LEAST_ALSO else None


def air_view(moving: MovingFloor) -> AirView | None:
    """What the air of the case does, over rigid ground; None where the case has none."""
    case, cavity = moving.case, moving.cavity
    air = case.dynamics.air
    if air is None or cavity is None:
        return None
    plan = case.slab.plan
    low = _LowFloor(moving.basis.lowest(LOW_MODES), moving.motions, cavity)
    alone, found = low.modes(None), low.modes(openings_of(air, plan))
    rings = edge_rings(plan)
    heave, sealed = alone.heave, low.modes([]).heave
    opened = low.modes([Opening(ring, np.inf) for ring in rings]).heave
    needed = _open_length(low, rings[:1], heave, sealed)
    numbers = AirView(
        edge=air.edge,
        gap=air.gap,
        heave=heave,
        rock=alone.rock,
        heave_with=found.heave,
        rock_with=found.rock,
        sealed=sealed,
        opened=opened,
        perimeter=plan.length,
        open_length=needed,
        also=found.also,
        gap_needed=air.gap * ((heave / opened) ** 2 - 1) / ((1 - NEAR) ** -2 - 1),
        sentence="",
    )
    return replace(numbers, sentence=air_sentence(numbers))


def _open_length(low: _LowFloor, outline: list[Floats], heave: float, sealed: float) -> float | None:
    """The least length, in equal parts round the outline, that brings heave within `NEAR` of the springs' own, m.

    Through a short opening the air can hardly flow, and heave stays as stiff as sealed; through a longer one it flows
    as a mass that lowers heave, the less the longer the opening.
    """
    if abs(sealed / heave - 1) <= NEAR:
        return 0.0

    def near(length: float) -> bool:
        paths = even_openings(outline, length, PARTS)
        return abs(low.modes([Opening(path, np.inf) for path in paths]).heave / heave - 1) <= NEAR

    short, long = 0.0, float(shapely.LinearRing(outline[0]).length)
    if not near(long):
        return None
    for _ in range(_HALVINGS):
        middle = 0.5 * (short + long)
        short, long = (short, middle) if near(middle) else (middle, long)
    return long
