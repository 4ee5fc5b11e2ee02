"""From what the loads do to what the slab bears: every check, the layers' verdicts, the choice of mats."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from math import ceil

import numpy as np
from numpy.typing import NDArray

from postprocess.checks import Check
from postprocess.strength import lift
from postprocess.strength.age import LATEST
from postprocess.strength.corner_verdicts import corner_checks, corner_verdicts
from postprocess.strength.crack import cracking_moment, lower_tensile_strength
from postprocess.strength.design import Design
from postprocess.strength.effects import Effects, LiftDay
from postprocess.strength.layers import COLUMNS, Face
from postprocess.strength.local_checks import Perimeters, bearing_checks, punching_checks, punching_places
from postprocess.strength.result import LayerVerdict, LiftVerdict, StateCracking, Strength
from postprocess.strength.slab_checks import (
    bending_checks,
    crack_checks,
    crack_widths,
    sag_check,
    shear_check,
    steel_checks,
)

Floats = NDArray[np.float64]
LiftAt = Callable[[float], LiftDay]
"""The lift at an age of the concrete, days."""


def assess(effects: Effects, candidates: Sequence[Design], lift_at: LiftAt | None) -> Strength:
    """The strength of the slab with the first of the candidates that passes, or else with the last one.

    candidates: pairs of mats, lightest first; one if there is nothing to choose. lift_at: None without a lift.
    """
    perimeters = Perimeters(effects)
    design = _first_passing(effects, candidates, perimeters)
    day = effects.lift
    young: list[Check] = []
    verdict: LiftVerdict | None = None
    if day is not None and lift_at is not None:
        young, verdict = _lift(effects, design, perimeters, day, lift_at)
    home = effects.places.home
    of_mats = list(_mat_checks(effects, design, perimeters))
    cracking = _cracking_moments(effects, design)
    return Strength(
        layers=design.layers,
        materials=design.materials,
        strip=float(effects.places.strips[0]),
        mesh=effects.places.mesh,
        combinations=effects.combinations,
        demand=effects.design.size[home],
        combination=effects.design.column[home],
        resistance=design.resistances,
        crack_width=crack_widths(effects.service, design)[effects.places.crack_home],
        punching=tuple(
            place for kind in ("jack", "foot") for place in punching_places(effects, design, perimeters, kind)
        ),
        corners=corner_verdicts(effects, design, cracking),
        trimmer_diameter=design.trimmer_diameter,
        layer_verdicts=(
            _layer(effects, design, perimeters, "bottom", of_mats),
            _layer(effects, design, perimeters, "top", of_mats),
        ),
        patterns=effects.patterns,
        remarks=effects.remarks,
        cracking=_state_cracking(effects, cracking),
        lift=verdict,
        checks=(*of_mats, *_other_checks(effects, design), *young),
        chosen=len(candidates) > 1,
    )


def _mat_checks(effects: Effects, design: Design, perimeters: Perimeters) -> Iterator[Check]:
    """The checks that depend on the mats, quick ones first."""
    yield from bending_checks(effects, design)
    yield from steel_checks(design)
    yield from crack_checks(effects, design)
    yield shear_check(effects, design)
    yield from corner_checks(effects, design)
    yield from punching_checks(effects, design, perimeters)
    if effects.lift is not None:
        yield from lift.strength_checks(effects, design, perimeters, effects.lift)


def _other_checks(effects: Effects, design: Design) -> Iterator[Check]:
    yield from bearing_checks(effects, design)
    yield sag_check(effects, design)


def _first_passing(effects: Effects, candidates: Sequence[Design], perimeters: Perimeters) -> Design:
    passing = (design for design in candidates if all(check.ok for check in _mat_checks(effects, design, perimeters)))
    return candidates[0] if len(candidates) == 1 else next(passing, candidates[-1])


def _lift(
    effects: Effects, design: Design, perimeters: Perimeters, day: LiftDay, lift_at: LiftAt
) -> tuple[list[Check], LiftVerdict]:
    thickness = design.layers.thickness

    def passes(age: int) -> bool:
        if age < lift.EARLIEST:  # fails whatever the moments are
            return False
        then = lift_at(float(age))
        found = lift.strength_checks(effects, design, perimeters, then)
        return lift.cracking_check(effects, then, thickness).ok and all(check.ok for check in found)

    latest = max(LATEST, ceil(day.concrete.age))
    cracking = lift.cracking_check(effects, day, thickness)
    earliest = lift.first_passing_day(passes, ceil(day.concrete.age), latest)
    verdict = LiftVerdict(day.concrete, cracking.value * 1e3, cracking.limit * 1e3, earliest)
    return [cracking, lift.age_check(day, earliest, latest)], verdict


def _cracking_moments(effects: Effects, design: Design) -> dict[str, float]:
    """Load state -> moment at which the slab may crack: the bare slab's on the day of lifting, if there is one."""
    strength = lower_tensile_strength(design.fctm)
    found = dict.fromkeys(effects.across, float(cracking_moment(strength, design.layers.thickness)))
    if effects.lift is not None:
        found["bare"] = effects.lift.concrete.lifting_moment(design.layers.thickness)
    return found


def _state_cracking(effects: Effects, limits: Mapping[str, float]) -> tuple[StateCracking, ...]:
    """The place of each load state where the moment is largest, strip means at spots and corners."""
    found = []
    for state, moments in effects.cracking.items():
        place = int(np.argmax(np.where(effects.places.cracking, moments, -1.0)))
        where, xy = effects.places.name(place), effects.places.point(place)
        found.append(StateCracking(state, float(moments[place]), limits[state], where, xy))
    return tuple(found)


def _layer(
    effects: Effects, design: Design, perimeters: Perimeters, face: Face, of_mats: Sequence[Check]
) -> LayerVerdict:
    """How much one mat is used, re-entrant corners with their trimmers included, and what fails without it.

    of_mats: the checks with both mats.
    """
    fabric = design.layers.fabric(face)
    assert fabric, "a slab that is assessed has both mats"
    sides = COLUMNS[face]
    checks = {check.name: check for check in of_mats}
    worst = []
    for direction in ("x", "y"):
        rows = [checks.get(f"{name}, {face} {direction}") for name in ("bending", "bending at corners")]
        worst.append(max((row for row in rows if row), key=lambda row: row.value / row.limit))
    without = [check.name for check in _mat_checks(effects, design.without(face), perimeters) if not check.ok]
    return LayerVerdict(
        face=face,
        fabric=fabric.name,
        use=np.array([row.value / row.limit for row in worst]),
        where=(worst[0].where, worst[1].where),
        share_used=_area_share(effects, sides, design.resistances[sides] / 2),
        fails_without=tuple(without),
    )


def _area_share(effects: Effects, sides: list[int], limits: Floats) -> Floats:
    """Part of the slab's area where each of these columns of the design moments is above its limit, N·m/m."""
    mesh = effects.places.mesh
    area = np.zeros(len(mesh.vertices))
    np.add.at(area, mesh.triangles, mesh.areas[:, None] / 3)
    carries = effects.design.size[effects.places.home][:, sides] > limits
    return np.asarray(area @ carries / area.sum())
