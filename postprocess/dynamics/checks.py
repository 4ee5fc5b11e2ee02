"""Verdicts on the floor in motion."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from postprocess.checks import PRACTICE, SOLID, TENSION, Check
from postprocess.dynamics.dangers import spot
from postprocess.dynamics.views import DropView, DynamicsView, SteadyView
from postprocess.dynamics.words import DOSE, bay_words

Floats = NDArray[np.float64]

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
DROPS, ANYWHERE, STEADY = "drops", "drop anywhere", "groups, machines"
"""How names of checks begin."""


def dynamics_checks(
    view: DynamicsView, ids: Sequence[str], *, acceleration: float | None = None, dose: float | None = None
) -> list[Check]:
    """Springs, gap, bays, harmonics, limits of the case and the program's own work.

    ids: of the jacks. acceleration: of the slab under groups and machines, m/s2, and dose: of the structural floor by
    a day of drops, m/s1.75; None where the case sets no limit. Checks of what the case does not hold (drops, bays,
    moving loads) are left out.
    """
    found = [*_safe(DROPS, view.drops, ids), *_anywhere(view, ids), *_safe(STEADY, view.steady, ids)]
    found += [*_bay_checks(view), *_steady_checks(view, acceleration)]
    if dose is not None and view.bays and view.drops:
        found.append(_dose_check(view, dose))
    return [*found, *_self_checks(view)]


def _safe(kind: str, moved: Sequence[DropView | SteadyView], ids: Sequence[str]) -> Iterator[Check]:
    """Travel left, loads that stay pressure, and the gap where it is known, the worst of all drops or moving loads."""
    if not moved:
        return
    worst = min(moved, key=lambda each: each.reserve)
    where = f"jack {ids[worst.worst_jack]}, {worst.name}"
    yield _travel(kind, worst.reserve, where, _place(worst))
    least = min(moved, key=lambda each: each.least_load)
    yield _load(kind, least.least_load, least.name, _place(least))
    known = [(each.clearance, each) for each in moved if each.clearance is not None]
    if known:
        gap, each = min(known, key=lambda pair: pair[0])
        yield Check(f"{kind}: least gap left", 1e3 * gap, 0.0, "mm", "at least", CLEAR, each.name, _place(each))


def _anywhere(view: DynamicsView, ids: Sequence[str]) -> Iterator[Check]:
    """The same of the heaviest drop at every place of the map, and of the drops at theirs with all their touches."""
    if view.drop_map is None:
        return
    grid = view.drop_map
    place, loaded = int(grid.reserve.argmin()), int(grid.least_load.argmin())
    where = f"jack {ids[int(grid.worst_jack[place])]}, {grid.name} at {spot(grid, place)}"
    travels = [(float(grid.reserve[place]), where, _corner(grid.xy[place]))]
    travels += [(each.reserve, f"jack {ids[each.worst_jack]}, {each.name}", each.place) for each in view.drops]
    yield _travel(ANYWHERE, *min(travels, key=lambda found: found[0]))
    loads = [(float(grid.least_load[loaded]), f"{grid.name} at {spot(grid, loaded)}", _corner(grid.xy[loaded]))]
    loads += [(each.least_load, each.name, each.place) for each in view.drops]
    yield _load(ANYWHERE, *min(loads, key=lambda found: found[0]))


def _travel(kind: str, reserve: float, where: str, xy: tuple[float, float]) -> Check:
    return Check(f"{kind}: least travel left to solid", 1e3 * reserve, 0.0, "mm", "at least", SOLID, where, xy)


def _load(kind: str, load: float, where: str, xy: tuple[float, float]) -> Check:
    return Check(f"{kind}: least jack load", load / 1e3, 0.0, "kN", "at least", TENSION, where, xy)


def _place(each: DropView | SteadyView) -> tuple[float, float]:
    return each.place if isinstance(each, DropView) else each.where


def _corner(xy: Floats) -> tuple[float, float]:
    return float(xy[0]), float(xy[1])


def _bay_checks(view: DynamicsView) -> Iterator[Check]:
    """Springs softer than the bays, and frequencies apart."""
    stiff = [(bay.spring_deflection / bay.floor_deflection, bay) for bay in view.bays if bay.floor_deflection > 0]
    if stiff:
        ratio, bay = min(stiff, key=lambda pair: pair[0])
        name = "bays: springs' deflection over the floor's"
        yield Check(name, ratio, STIFF, "", "at least", PRACTICE, bay_words(bay.name))
    near = [(max(bay.frequency, bay.nearest) / min(bay.frequency, bay.nearest), bay) for bay in view.bays]
    if near:
        ratio, bay = min(near, key=lambda pair: pair[0])
        where = f"{bay_words(bay.name)}: {bay.frequency:.2f} Hz, slab {bay.nearest:.2f} Hz"
        name = "bays: frequencies of slab and floor, ratio"
        yield Check(name, ratio, APART, "", "at least", PRACTICE, where)


def _steady_checks(view: DynamicsView, acceleration: float | None) -> Iterator[Check]:
    """Harmonics off the modes, and the limit of acceleration."""
    if not view.steady:
        return
    meeting = [each for each in view.steady if each.meets]
    number = float(sum(len(each.meets) for each in meeting))
    where = ", ".join(each.name for each in meeting)
    yield Check(f"{STEADY}: harmonics on a mode", number, 0.0, "", "at most", MET, where)
    if acceleration is not None:
        worst = max(view.steady, key=lambda each: each.peak_acceleration)
        basis = "vibration.acceleration_m_s2 of the case"
        name, peak = f"{STEADY}: slab's acceleration", worst.peak_acceleration
        yield Check(name, peak, acceleration, "m/s2", "at most", basis, worst.name, worst.where)


def _dose_check(view: DynamicsView, limit: float) -> Check:
    """The greatest dose at any bay of a day of all drops; a drop counts once where no number a day is given.

    Doses of events of one day add by their fourth powers, BS 6472-1:2008, from memory.
    """
    each = np.array([drop.springs.dose if drop.day_dose is None else drop.day_dose for drop in view.drops])
    total = (each**4).sum(axis=0) ** 0.25
    bay, once = int(total.argmax()), [drop.name for drop in view.drops if drop.day_dose is None]
    where = bay_words(view.bay_names[bay]) + (f"; counted once: {', '.join(once)}" if once else "")
    basis = "vibration.dose_m_s175 of the case"
    return Check(f"{DROPS}: vibration dose of a day", float(total[bay]), limit, DOSE, "at most", basis, where)


def _self_checks(view: DynamicsView) -> Iterator[Check]:
    """What the program's own simplifications cost."""
    name = "modes: off the direct response"
    yield Check(name, 100 * view.truncation, TRUNCATION, "%", "at most", SELF)
    if view.drops:
        worst = max(view.drops, key=lambda drop: abs(drop.step_change))
        change = 100 * abs(worst.step_change)
        yield Check(f"{DROPS}: change of peak at half the step", change, STEP, "%", "at most", SELF, worst.name)
