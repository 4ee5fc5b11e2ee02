"""Verdicts on a lift: does the young slab stay below the moment at which it may crack, turn by turn?"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from fem.lift import LiftModel, LiftPath
from postprocess.checks import EQUILIBRIUM_LIMIT, PRACTICE, SOLID, Check
from postprocess.lift.course import Course
from postprocess.lift.record import LiftBench, PassRecord
from postprocess.lift.views import PeakView
from postprocess.strength.age import LATEST, YoungConcrete
from postprocess.strength.lift import AGE_BASIS, EARLIEST, first_passing_day, tensile_basis
from postprocess.strength.places import Places

MILLIMETRE = 1e-3
WOUND_UP = 1.1
"""Force of all springs over the weight of the slab from which on letting go of a bond is a danger: an assumption."""
AT_REST = 0.05
"""Share of the cracking moment below which the bending of a slab at rest is not worth a check: where it lies on the
floor everywhere it is some thousandth."""


@dataclass(frozen=True, eq=False)
class Yardstick:
    """What bending is held against. concrete_at: age in days -> the concrete. thickness: m."""

    concrete_at: Callable[[float], YoungConcrete]
    thickness: float

    def cracking_moment(self, age: float) -> float:
        """The moment at which the slab may crack at that age, N·m/m."""
        return self.concrete_at(age).lifting_moment(self.thickness)

    def earliest_age(self, moment: float, age: float) -> int | None:
        """First whole day on which a lift whose peak is `moment`, N·m/m, at `age` days stays uncracked; None if never.

        On the safe side, without lifting again: a stiffer slab bends more, but at most in proportion to its modulus,
        as the turns impose deflections and the weight does not change.
        """
        modulus = self.concrete_at(age).modulus

        def stays_whole(day: int) -> bool:
            greater = max(self.concrete_at(day).modulus / modulus, 1.0)
            return day >= EARLIEST and moment * greater <= self.cracking_moment(day)

        return first_passing_day(stays_whole, round(age), LATEST)


def peak_view(record: PassRecord, bench: LiftBench, cracking_moment: float) -> PeakView:
    """The turn of a pass after which the slab bends most."""
    turn, places = record.worst, bench.places
    moment = float(record.moments[turn])
    place = int(record.places[turn])
    return PeakView(
        jack=int(record.path.turned[turn]),
        pass_number=record.number,
        moment=moment,
        use=moment / cracking_moment,
        place=places.name(place),
        xy=places.point(place),
        face=bench.tension_face(record.path.at(slice(turn, turn + 1)), place),
    )


def balance_errors(model: LiftModel, path: LiftPath) -> tuple[float, float]:
    """How far the states of a path are from equilibrium and from what one-sided contact allows.

    Part of the weight that springs and floor do not carry, or carry beyond it; and, as parts of the weight, of 1 mm
    and of their product, the greatest pull beyond the bond, overlap beyond what the sheet gives way, and product of
    force and gap.
    """
    carried = path.jack_load.sum(axis=1) + path.contact.sum(axis=1)
    gap = model.gap - path.cell_deflection + path.contact / model.sheet
    pull = np.where(path.bonded, -path.contact - model.bond, -path.contact)
    free_gap, force = np.where(path.bonded, 0.0, gap), path.contact
    complementarity = max(
        pull.max(initial=0.0) / model.weight,
        -gap.min(initial=0.0) / MILLIMETRE,
        np.abs(force * free_gap).max(initial=0.0) / (model.weight * MILLIMETRE),
    )
    return float(np.abs(carried / model.weight - 1).max()), float(complementarity)


def lift_checks(
    course: Course,
    places: Places,
    worst: PeakView,
    model: LiftModel,
    concrete: YoungConcrete,
    *,
    cracking_moment: float,
    ids: tuple[str, ...],
    air_gap: float | None,
    solid_reserve: float,
) -> list[Check]:
    """Bending over every turn, age, travel left, the air gap, and the program's own work.

    air_gap: wanted height above where the slab lay, m, None for any. solid_reserve: least travel left, m.
    """
    reserves = np.array([model.travel_left(record.path).min(axis=0) for record in course.passes])
    number, jack = np.unravel_index(int(reserves.argmin()), reserves.shape)
    lowest = least_height(course.records[-1].end)
    errors = [balance_errors(model, record.path) for record in course.records]
    carried, one_sided = (max(error) for error in zip(*errors, strict=True))
    return [
        *_resting_check(course.records[0], places, concrete, cracking_moment),
        Check(
            "cracking, turn by turn",
            worst.moment / 1e3,
            cracking_moment / 1e3,
            "kN·m/m",
            "at most",
            tensile_basis(concrete),
            worst.place,
            worst.xy,
            f"pass {worst.pass_number}, after jack {ids[worst.jack]}",
        ),
        Check(
            "age for the lift",
            concrete.age,
            EARLIEST,
            "days",
            "at least",
            AGE_BASIS,
        ),
        Check(
            "least travel left to solid, lift",
            float(reserves.min()) * 1e3,
            solid_reserve * 1e3,
            "mm",
            "at least",
            SOLID,
            f"jack {ids[jack]}",
            combination=f"pass {number + 1}",
        ),
        Check(
            "least height after the last pass",
            lowest * 1e3,
            (air_gap or 0.0) * 1e3,
            "mm",
            "at least",
            "lift.air_gap_mm of the case" if air_gap else PRACTICE,
            "anywhere on the slab",
        ),
        *_bond_checks(course, model, ids),
        Check("weight carried, every turn", carried, EQUILIBRIUM_LIMIT, "", "at most", "self-check"),
        Check("contact one-sided, every turn", one_sided, EQUILIBRIUM_LIMIT, "", "at most", "self-check"),
    ]


def _resting_check(
    rest: PassRecord, places: Places, concrete: YoungConcrete, cracking_moment: float
) -> Iterator[Check]:
    """Bending before the first turn, where the slab bridges hollows of the structural floor."""
    moment = float(rest.moments.max())
    if moment < AT_REST * cracking_moment:
        return
    place = int(rest.places[0])
    yield Check(
        "cracking, before the first turn",
        moment / 1e3,
        cracking_moment / 1e3,
        "kN·m/m",
        "at most",
        tensile_basis(concrete),
        places.name(place),
        places.point(place),
        "lying on the highest places of the structural floor",
    )


def least_height(end: LiftPath) -> float:
    """Least height of the slab above where it lay, over its jacks and wherever it may touch the floor, m."""
    return -float(max(end.jack_deflection.max(), end.cell_deflection.max()))


def _bond_checks(course: Course, model: LiftModel, ids: tuple[str, ...]) -> Iterator[Check]:
    """How far springs are wound up against a sheet that holds, and whether the slab jumps as it lets go."""
    if not model.bond.any():
        return
    carried = [record.path.jack_load.sum(axis=1) for record in course.passes]
    number = int(np.argmax([loads.max() for loads in carried]))
    turn = int(carried[number].argmax())
    yield Check(
        "force of all springs over the weight, any turn",
        float(carried[number].max()) / model.weight,
        WOUND_UP,
        "",
        "at most",
        PRACTICE,
        f"pass {number + 1}, after jack {ids[int(course.passes[number].path.turned[turn])]}",
    )
    rises = [
        -np.diff(np.vstack([before.end.jack_deflection, record.path.jack_deflection]), axis=0)
        for before, record in pairwise(course.records)
    ]
    number = int(np.argmax([rise.max() for rise in rises]))
    turn, jack = (int(i) for i in np.unravel_index(int(rises[number].argmax()), rises[number].shape))
    record = course.passes[number]
    yield Check(
        "rise of the slab in one turn",
        float(rises[number].max()) * 1e3,
        abs(record.turns[turn][1]) * 1e3,
        "mm",
        "at most",
        "more than the screw's own advance is a jump as the sheet lets go: no state between is in balance",
        f"jack {ids[jack]}, pass {record.number}, as jack {ids[int(record.path.turned[turn])]} is turned",
    )
