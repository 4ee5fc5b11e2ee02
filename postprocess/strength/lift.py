"""The day of lifting: may the young slab be lifted at this age, and from which age?"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

import numpy as np

from postprocess.checks import Check
from postprocess.strength.age import YoungConcrete
from postprocess.strength.design import Design
from postprocess.strength.effects import Effects, LiftDay, LiftStage
from postprocess.strength.layers import FACES
from postprocess.strength.local_checks import Perimeters, perimeter_check, punching_places
from postprocess.strength.materials import MPA

EARLIEST: Final = 3.0
"""Days before which the standard gives no characteristic strength (EN 1992-1-1:2004, 3.1.2(5))."""
AGE_BASIS: Final = "EN 1992-1-1, 3.1.2(5): strengths at an age from 3 days on; before that only tests tell"
LOWEST_STRENGTH: Final = 12 * MPA
"""fck of the lowest class of EN 1992-1-1:2004, Table 3.1: with less, its resistances are not claimed."""


def tensile_basis(concrete: YoungConcrete) -> str:
    """Which tensile strength the moment at which the slab may crack is worked out with."""
    strength = f"{concrete.fctk_005 / MPA:.2f} MPa"
    return f"EN 1992-1-1, fctk,0.05 at {concrete.age:g} days = {strength} (3.1.2(9), Table 3.1)"


def cracking_check(effects: Effects, day: LiftDay, thickness: float) -> Check:
    """The stage and place with the greatest moment against the cracking moment at that age."""
    own = effects.places.cracking
    stage = max(day.stages, key=lambda stage: float(stage.crack[own].max()))
    place = int(np.argmax(np.where(own, stage.crack, -1.0)))
    concrete = day.concrete
    return Check(
        "cracking, day of lifting",
        float(stage.crack[place]) / 1e3,
        concrete.lifting_moment(thickness) / 1e3,
        "kN·m/m",
        "at most",
        tensile_basis(concrete),
        effects.places.name(place),
        effects.places.point(place),
        stage.name,
    )


def strength_checks(effects: Effects, design: Design, perimeters: Perimeters, day: LiftDay) -> Iterator[Check]:
    """Concrete strength, bending and punching under γG times the bare slab with the concrete of that age.

    Re-entrant corners are held against the mats alone, without their trimmers.
    """
    concrete, gamma = day.concrete, design.materials.values.gamma_g
    if concrete.age < EARLIEST:
        yield Check("concrete strength, day of lifting", concrete.age, EARLIEST, "days", "at least", AGE_BASIS)
        return
    basis = f"EN 1992-1-1, fck at {concrete.age:g} days = {concrete.fck / MPA:.1f} MPa"
    yield Check(
        "concrete strength, day of lifting",
        concrete.fck / MPA,
        LOWEST_STRENGTH / MPA,
        "MPa",
        "at least",
        "EN 1992-1-1, 3.1.2(5); lowest class of Table 3.1",
        f"{concrete.age:g} days",
    )
    if concrete.fck < LOWEST_STRENGTH or not (design.layers.bottom and design.layers.top):
        return
    young = design.at_strength(concrete.fck)
    yield max((_bending(effects, stage, young, gamma, basis) for stage in day.stages), key=_use)
    yield max((_punching(effects, stage, young, perimeters, basis) for stage in day.stages), key=_use)


def _use(check: Check) -> float:
    return check.value / check.limit if check.limit else np.inf


def _bending(effects: Effects, stage: LiftStage, young: Design, gamma: float, basis: str) -> Check:
    resistances = young.resistances
    uses = np.where(effects.places.bending[:, None], gamma * stage.design / resistances, -1.0)
    place, side = (int(i) for i in np.unravel_index(int(uses.argmax()), uses.shape))
    face, direction = FACES[side]
    return Check(
        "bending, day of lifting",
        gamma * float(stage.design[place, side]) / 1e3,
        float(resistances[side]) / 1e3,
        "kN·m/m",
        "at most",
        basis,
        f"{effects.places.name(place)}, {face} {direction}",
        effects.places.point(place),
        f"{gamma:g} self-weight, {stage.name}",
    )


def _punching(effects: Effects, stage: LiftStage, young: Design, perimeters: Perimeters, basis: str) -> Check:
    gamma = young.materials.values.gamma_g
    places = punching_places(effects, young, perimeters, "jack", gamma * stage.forces)
    worst = max(places, key=lambda place: place.stress / place.strength)
    return perimeter_check("punching, day of lifting", worst, basis, f"{gamma:g} self-weight, {stage.name}")


def first_passing_day(passes: Callable[[int], bool], guess: int, latest: int) -> int | None:
    """First whole day ≥ 1 on which the lift passes; None up to `latest`.

    Concrete gains strength faster than stiffness (exponents 1 and 0.3 of its strength, EN 1992-1-1, 3.1.2 and 3.1.3),
    and moments grow at most like the stiffness: once it passes it goes on passing, so the search walks from a guess
    in doubling steps and halves the gap that is left.
    """
    failing, passing = 0, None
    day, step = min(max(guess, 1), latest), 1
    while passing is None or passing - failing > 1:
        if passes(day):
            passing = day
        elif day >= latest:
            return None
        else:
            failing = day
        if passing is None:
            day, step = min(day + step, latest), 2 * step
        elif failing == 0:
            day, step = max(passing - step, 1), 2 * step
        else:
            day = (failing + passing) // 2
    return passing


def age_check(day: LiftDay, earliest: int | None, latest: int) -> Check:
    """The age on the day against the earliest one; where none up to `latest` passes, the limit is the day after."""
    basis = "EN 1992-1-1, 3.1.2: first whole day on which cracking, bending and punching pass"
    limit = float(latest + 1 if earliest is None else earliest)
    words = f"never up to {latest} days" if earliest is None else ""
    return Check("age for the lift", day.concrete.age, limit, "days", "at least", basis, words)
