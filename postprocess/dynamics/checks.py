"""Verdicts on the floor in motion."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from postprocess.checks import PRACTICE, SOLID, TENSION, Check
from postprocess.dynamics.views import DynamicsView
from postprocess.dynamics.words import DOSE

STIFF: Final = 10.0
"""Deflection of the springs over that of the structural floor, at least."""
APART: Final = 2.0
"""Ratio of the frequencies of slab and structural floor, at least."""
TRUNCATION: Final = 1.0
"""Difference of modal from direct response, %, at most."""
STEP: Final = 0.5
"""Change of the peak force when the time step is halved, %, at most."""
SELF: Final = "self-check"
CLEAR: Final = "slab and structural floor must not touch"
MET: Final = "a harmonic on a mode builds up"


def dynamics_checks(
    view: DynamicsView,
    ids: Sequence[str],
    *,
    solid_reserve: float = 0.0,
    acceleration: float | None = None,
    dose: float | None = None,
) -> list[Check]:
    """Springs, gap, bays, harmonics, limits of the case and the program's own work.

    ids: of the jacks. solid_reserve: travel to solid that must be left, m. acceleration: of the slab under groups and
    machines, m/s2, and dose: of the structural floor by a day of drops, m/s1.75; None where the case sets no limit.
    Checks of what the case does not hold (drops, bays, moving loads) are left out.
    """
    found = [*_spring_checks(view, ids, solid_reserve), *_bay_checks(view), *_steady_checks(view, acceleration)]
    if dose is not None and view.bays and view.drops:
        found.append(_dose_check(view, dose))
    return [*found, *_self_checks(view)]


def _spring_checks(view: DynamicsView, ids: Sequence[str], solid_reserve: float) -> Iterator[Check]:
    """Travel left, loads that stay pressure, and the gap, over all drops."""
    wanted = 1e3 * solid_reserve
    if view.drops:
        worst = min(view.drops, key=lambda drop: drop.reserve)
        where = f"jack {ids[worst.worst_jack]}, {worst.name}"
        left = 1e3 * worst.reserve
        yield Check("drops: least travel left to solid", left, wanted, "mm", "at least", SOLID, where, worst.place)
    if view.drop_map is not None:
        grid, place = view.drop_map, int(view.drop_map.reserve.argmin())
        xy = float(grid.xy[place, 0]), float(grid.xy[place, 1])
        where = f"jack {ids[grid.worst_jack[place]]}, {grid.name} at ({xy[0]:.2f}, {xy[1]:.2f}) m"
        left = 1e3 * float(grid.reserve[place])
        yield Check("drop anywhere: least travel left to solid", left, wanted, "mm", "at least", SOLID, where, xy)
    if view.drops:
        least = min(view.drops, key=lambda drop: drop.least_load)
        load = least.least_load / 1e3
        yield Check("drops: least jack load", load, 0.0, "kN", "at least", TENSION, least.name, least.place)
    known = [(drop.clearance, drop) for drop in view.drops if drop.clearance is not None]
    if known:
        clearance, drop = min(known, key=lambda pair: pair[0])
        yield Check("drops: least gap left", 1e3 * clearance, 0.0, "mm", "at least", CLEAR, drop.name, drop.place)


def _bay_checks(view: DynamicsView) -> Iterator[Check]:
    """Springs softer than the bays, and frequencies apart."""
    stiff = [(bay.spring_deflection / bay.floor_deflection, bay) for bay in view.bays if bay.floor_deflection > 0]
    if stiff:
        ratio, bay = min(stiff, key=lambda pair: pair[0])
        name = "bays: springs' deflection over the floor's"
        yield Check(name, ratio, STIFF, "", "at least", PRACTICE, f"bay {bay.name}")
    near = [(max(bay.frequency, bay.nearest) / min(bay.frequency, bay.nearest), bay) for bay in view.bays]
    if near:
        ratio, bay = min(near, key=lambda pair: pair[0])
        where = f"bay {bay.name}: {bay.frequency:.2f} Hz, slab {bay.nearest:.2f} Hz"
        name = "bays: frequencies of slab and floor, ratio"
        yield Check(name, ratio, APART, "", "at least", PRACTICE, where)


def _steady_checks(view: DynamicsView, acceleration: float | None) -> Iterator[Check]:
    """Harmonics off the modes, and the limit of acceleration."""
    if not view.steady:
        return
    meeting = [each for each in view.steady if each.meets]
    number = float(sum(len(each.meets) for each in meeting))
    where = ", ".join(each.name for each in meeting)
    yield Check("groups, machines: harmonics on a mode", number, 0.0, "", "at most", MET, where)
    if acceleration is not None:
        worst = max(view.steady, key=lambda each: each.peak_acceleration)
        basis = "vibration.acceleration_m_s2 of the case"
        name, peak = "groups, machines: slab's acceleration", worst.peak_acceleration
        yield Check(name, peak, acceleration, "m/s2", "at most", basis, worst.name, worst.where)


def _dose_check(view: DynamicsView, limit: float) -> Check:
    """The greatest dose at any bay of a day of all drops; a drop counts once where no number a day is given.

    Doses of events of one day add by their fourth powers, BS 6472-1:2008, from memory.
    """
    each = np.array([drop.springs.dose if drop.day_dose is None else drop.day_dose for drop in view.drops])
    total = (each**4).sum(axis=0) ** 0.25
    bay, once = int(total.argmax()), [drop.name for drop in view.drops if drop.day_dose is None]
    where = f"bay {view.bay_names[bay]}" + (f"; counted once: {', '.join(once)}" if once else "")
    basis = "vibration.dose_m_s175 of the case"
    return Check("drops: vibration dose of a day", float(total[bay]), limit, DOSE, "at most", basis, where)


def _self_checks(view: DynamicsView) -> Iterator[Check]:
    """What the program's own simplifications cost."""
    name = "modes to 125 Hz: off the direct response"
    yield Check(name, 100 * view.truncation, TRUNCATION, "%", "at most", SELF)
    if view.drops:
        worst = max(view.drops, key=lambda drop: abs(drop.step_change))
        change = 100 * abs(worst.step_change)
        yield Check("drops: change of peak at half the step", change, STEP, "%", "at most", SELF, worst.name)
