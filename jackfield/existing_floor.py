"""What the jacks press on the existing floor: load states, the lift, and every spring out of service in turn."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from fem.outage import Removals, chosen_jacks, removals
from jackfield.influence import Influences, influences
from jackfield.pipeline import Solution
from postprocess.existing_floor import Bays, ExistingFloor, FloorCase, envelope_case, state_case
from postprocess.lift.course import Course
from preprocess.case import Case

Floats = NDArray[np.float64]

MOST_REMOVED = 400
"""Springs that are taken out in turn; of a larger floor half of them are the most loaded, half the nearest to edges."""
REMOVED_IN = ("service", "full")
STATE_WORDS = {
    "bare": "the slab's own weight alone, afloat on all jacks",
    "service": "slab, finishes, equipment and line loads, with the sustained share of the imposed load, {share:g} of "
    "{pressure:g} kPa everywhere",
    "full": "slab, finishes, equipment and line loads, with all of the imposed load, {pressure:g} kPa everywhere",
}


def existing_floor(solution: Solution, lift: Course | None) -> ExistingFloor:
    """Loads at every jack and totals by bay. lift: the course of the lift, None where the case has none."""
    case = solution.floor.case
    bays = Bays.of(case.jacks.xy, [(bay.name, bay.low, bay.high) for bay in case.dynamics.bays])
    found = influences(solution, bays)
    removed, sentences = _removed(solution, bays, found.flexibility)
    cases = [
        *(state_case(name, _words(case, name), state.jack_load, bays) for name, state in solution.states.items()),
        _worst_parts(solution, bays, found),
        *([] if lift is None else [_lift_peak(case, lift, bays)]),
        *removed,
    ]
    return ExistingFloor(
        ids=case.jacks.ids,
        xy=case.jacks.xy,
        footprint=case.jacks.footprint,
        bays=bays.names,
        bay_of=bays.bay_of,
        cases=tuple(cases),
        assumptions=(*_assumptions(case, lift), *sentences),
    )


def _words(case: Case, state: str) -> str:
    imposed = case.imposed
    words = STATE_WORDS[state].format(share=imposed.service_fraction, pressure=imposed.pressure / 1e3)
    return f"{words}; all with factor 1.0"


def _worst_parts(solution: Solution, bays: Bays, found: Influences) -> FloorCase:
    """The state full without the imposed load that relieves: for every jack, every bay and the whole by itself.

    What it relieves is taken off the loads of the state, so that only this small part hangs on the integration.
    """
    pressure = solution.floor.case.imposed.pressure
    full = state_case("full", "", solution.states["full"].jack_load, bays)
    words = (
        f"as full, but with the imposed load of {pressure / 1e3:g} kPa only on those parts of the slab where it "
        "presses on that jack, or on the jacks of that bay together: the greatest of each jack and of each bay by "
        "itself; slab, finishes, equipment and line loads everywhere as in full; factor 1.0"
    )
    return FloorCase(
        key="full_worst_parts",
        words=words,
        loads=full.loads + pressure * found.jacks,
        totals=full.totals + pressure * found.bays,
        whole=full.whole + pressure * found.whole,
        envelope=True,
    )


def _lift_peak(case: Case, lift: Course, bays: Bays) -> FloorCase:
    """The greatest loads after any single turn of the lift."""
    rules = case.lift
    age = f", at {rules.age_days:g} days" if rules else ""
    words = (
        f"bare slab while it is lifted{age}: the greatest after any single turn of {len(lift.passes)} passes, of a bay "
        "at one moment; factor 1.0; what a part of the slab that still lies on the floor presses is not in it"
    )
    return envelope_case("lift_peak", words, np.vstack([record.path.jack_load for record in lift.records]).T, bays)


def _removed(solution: Solution, bays: Bays, flexibility: Floats) -> tuple[list[FloorCase], list[str]]:
    """Envelopes over every spring out of service in turn, and what has to be told of them. flexibility: (n, n) m/N."""
    states, out, chosen = _removals(solution, flexibility)
    held = np.flatnonzero(out.held)
    ids = solution.floor.case.jacks.ids
    told = []
    if len(chosen) < len(ids):
        told.append(
            f"Springs out of service: {len(chosen)} of {len(ids)} in turn, half of them the most loaded in service, "
            "half the nearest to edges; the others are left out."
        )
    if len(held) < len(chosen):
        names = ", ".join(ids[jack] for jack in chosen[~out.held][:10])
        told.append(f"Without the spring of {names} the others do not hold the slab: not in loads of springs removed.")
    if not len(held):
        return [], told
    cases = []
    for name in REMOVED_IN:
        loads = out.loads[:, held, list(states).index(name)]
        words = f"one spring out of service, each in turn, in the state {name}: the greatest of {len(held)} such cases"
        cases.append(envelope_case(f"spring_removed_{name}", f"{words}; factor 1.0", loads, bays))
        pulling = int((loads < -1e-9 * np.abs(loads).max()).any(axis=0).sum())
        if pulling:
            told.append(
                f"With a spring removed in {name}, in {pulling} of {len(held)} cases another spring would have to "
                "pull, which it cannot: loads of some jacks are then greater than shown."
            )
    return cases, told


def _removals(solution: Solution, flexibility: Floats) -> tuple[tuple[str, ...], Removals, NDArray[np.int64]]:
    floor = solution.floor
    jacks = floor.case.jacks
    service = solution.states["service"].jack_load
    chosen = chosen_jacks(service, floor.sampler.clearance(jacks.xy), MOST_REMOVED)
    loads = np.column_stack([state.jack_load for state in solution.states.values()])
    return tuple(solution.states), removals(jacks.rates, loads, flexibility[:, chosen], chosen), chosen


def _assumptions(case: Case, lift: Course | None) -> Iterator[str]:
    """What holds for all of it, in sentences."""
    diameter = case.jacks.footprint * 1e3
    yield (
        "Characteristic values with partial factors and combination factors of 1.0: the engineer of the building "
        "applies the combinations and factors that rule there."
    )
    yield f"A jack presses on the existing floor within the diameter of its housing, {diameter:g} mm, straight down."
    yield "The existing floor is rigid and level under the jacks; springs are linear, with the catalogue's rates."
    yield (
        "Imposed load lies on the whole slab, but in the state of its worst parts: there it is left out, for each jack "
        "and each bay by itself, where it would relieve them. These greatest values do not come at one time, and the "
        "whole floor gets no more than in full. Springs removed are with imposed load on the whole slab. Equipment is "
        "always there, where the case puts it."
    )
    yield (
        "Not in it: the weight of the existing floor itself and all else that it carries, dynamic effects of drops, "
        "groups and machines, horizontal forces, and the weight of jacks and springs."
    )
    yield "Screw advances of the case are in the loads of bare, service, full and springs removed."
    if not case.dynamics.bays:
        yield "The case has no [[bays]]: totals are those of the whole floor."
    if lift is None:
        yield "The lift is not in it."
    else:
        yield (
            "While the slab is lifted, what has not yet left the floor presses on it directly, spread out: that is not "
            "a jack load. Slab and jacks together press as much as the slab weighs. Screws are turned as the lift of "
            "the case says."
        )
