"""A floor on the day it is lifted: condensed to its jacks and to the cells that touch the structural floor."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from fem.gravity import GRAVITY
from fem.lift import LiftModel
from fem.lift_bending import LiftBending
from fem.moment_operator import MomentOperator
from jackfield.judged import concrete_at, judged_moments, judged_places
from postprocess.key_moments import span_pairs
from postprocess.lift.record import LiftBench
from postprocess.strength.age import YoungConcrete
from postprocess.strength.places import Places
from preprocess.bearing import Bearing, bearing
from preprocess.case import Lift
from preprocess.contact import contact_cells
from preprocess.floor import Floor
from preprocess.loads import PATTERNS

Floats = NDArray[np.float64]

CELL = 0.40
"""Default edge length of a contact cell, m: half of it changes peak moments by 3 % and heights by 0.02 mm."""
MOST_CELLS = 2_500
"""Cells beyond which they are larger by default: the work grows with the square of their number."""


@dataclass(frozen=True, eq=False)
class LiftDesk:
    """A floor to be lifted at an age of its concrete.

    bearing: where it lies on the structural floor. pairs: (s, 2) neighbouring jacks.
    """

    floor: Floor
    concrete: YoungConcrete
    bearing: Bearing
    bench: LiftBench
    pairs: NDArray[np.int64]

    def on_floor(self, contact: Floats) -> NDArray[np.bool_]:
        """(cells,) which cells of the slab bear on the floor with contact forces (m,)."""
        return self.bearing.touching(contact)

    def contact_share(self, contact: Floats) -> float:
        """Part of the slab's area that these cells take."""
        area = self.bearing.cells.area
        return float(area[self.on_floor(contact)].sum() / area.sum())

    @property
    def places(self) -> Places:
        """Where the slab's moments are judged."""
        return self.bench.places

    @property
    def cracking_moment(self) -> float:
        """The moment at which the slab may crack at this age, N·m/m."""
        return self.concrete.lifting_moment(self.floor.case.slab.thickness)


def lift_desk(floor: Floor, lift: Lift) -> LiftDesk:
    """The floor with its concrete at the age of the lift."""
    places = judged_places(floor)
    return desk_at(floor, lift, lift.age_days, places, judged_moments(floor, places))


def desk_at(floor: Floor, lift: Lift, age: float, places: Places, operator: MomentOperator) -> LiftDesk:
    """The same at `age` days, with places and moments at hand, which do not depend on age."""
    case, jacks = floor.case, floor.case.jacks
    concrete = concrete_at(case.slab, age)
    model = floor.model.of_modulus(concrete.modulus)
    factor = model.factor(jacks.rates)
    plan = case.slab.plan
    places_below = bearing(plan, contact_cells(plan, jacks.xy, lift.lattice or default_cell(plan.area)))
    footprints = places_below.footprints(floor.sampler)
    condensed = LiftModel.from_model(
        model,
        floor.patterns[:, PATTERNS.index("self-weight")],
        footprints,
        jacks.rates,
        weight=case.slab.mass * GRAVITY,
        solids=jacks.solid_deflections,
        slack=screw_slack(lift, jacks.xy) - jacks.advance,
        gap=floor_gaps(lift, footprints.centroids),
        sheet=lift.sheet_stiffness * places_below.area,
        bond=lift.bond * places_below.area,
        factor=factor,
    )
    bending = LiftBending.of(condensed, model.plate, operator, floor.cap_moves, factor)
    return LiftDesk(floor, concrete, places_below, LiftBench(bending, places), span_pairs(plan, jacks.xy))


def default_cell(area: float) -> float:
    """Edge length of a contact cell for a slab of `area` m2, m."""
    return max(CELL, sqrt(area / MOST_CELLS))


def screw_slack(lift: Lift, jack_xy: Floats) -> Floats:
    """(n,) travel of the screws before springs touch, m, over the structural floor as it is.

    Screws stand alike before the first turn, so that the spring on the highest spot has the slack of the case.
    """
    slack = np.full(len(jack_xy), lift.slack)
    if lift.floor is None:
        return slack
    at_jacks = lift.floor.at(jack_xy)
    return np.asarray(slack + at_jacks.max() - at_jacks)


def floor_gaps(lift: Lift, cell_xy: Floats) -> Floats:
    """(m,) gaps below a slab whose underside is plane, m."""
    if lift.floor is None or lift.floor.underside != "plane":
        return np.zeros(len(cell_xy))
    at_cells = lift.floor.at(cell_xy)
    return np.asarray(at_cells.max() - at_cells)
