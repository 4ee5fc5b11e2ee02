"""A floor on the day it is lifted: condensed to its jacks and to the cells that touch the structural floor."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from fem.lift import LiftModel
from fem.lift_bending import LiftBending
from fem.moment_operator import MomentOperator
from jackfield.judged import concrete_at, judged_moments, judged_places
from postprocess.key_moments import span_pairs
from postprocess.lift.record import LiftBench
from postprocess.strength.age import YoungConcrete
from postprocess.strength.places import Places
from preprocess.case import GRAVITY, Lift
from preprocess.contact import ContactCells, contact_cells
from preprocess.floor import Floor
from preprocess.loads import PATTERNS

Floats = NDArray[np.float64]

CELL = 0.35
"""Default edge length of a contact cell, m: half of it changes peak moments by some percent."""
MOST_CELLS = 3_000
"""Cells beyond which they are larger by default: the work grows with the square of their number."""


@dataclass(frozen=True, eq=False)
class LiftDesk:
    """A floor to be lifted at an age of its concrete. pairs: (s, 2) neighbouring jacks."""

    floor: Floor
    concrete: YoungConcrete
    cells: ContactCells
    bench: LiftBench
    pairs: NDArray[np.int64]

    @property
    def places(self) -> Places:
        """Where the slab's moments are judged."""
        return self.bench.places

    @property
    def cracking_moment(self) -> float:
        """The moment at which the slab may crack at this age, N·m/m."""
        return self.concrete.lifting_moment(self.floor.case.slab.thickness)


def lift_desk(floor: Floor, lift: Lift, age: float | None = None) -> LiftDesk:
    """The floor with its concrete at `age` days (default: that of the lift)."""
    places = judged_places(floor)
    return desk_at(floor, lift, lift.age_days if age is None else age, places, judged_moments(floor, places))


def desk_at(floor: Floor, lift: Lift, age: float, places: Places, operator: MomentOperator) -> LiftDesk:
    """The same with places and moments at hand, which do not depend on age."""
    case, jacks = floor.case, floor.case.jacks
    concrete = concrete_at(case.slab, age)
    model = floor.model.of_modulus(concrete.modulus)
    factor = model.factor(jacks.rates)
    cells = contact_cells(case.slab.plan, jacks.xy, lift.lattice or default_cell(case.slab.plan.area))
    footprints = floor.sampler.polygons(list(cells.polygons))
    condensed = LiftModel.from_model(
        model,
        floor.patterns[:, PATTERNS.index("self-weight")],
        footprints,
        jacks.rates,
        weight=case.slab.mass * GRAVITY,
        solids=jacks.solid_deflections,
        slack=screw_slack(lift, jacks.xy) - jacks.advance,
        gap=floor_gaps(lift, footprints.centroids),
        sheet=lift.sheet_stiffness * cells.area,
        bond=lift.bond * cells.area,
        factor=factor,
    )
    bending = LiftBending.of(condensed, model.plate, operator, floor.cap_moves, factor)
    return LiftDesk(floor, concrete, cells, LiftBench(bending, places), span_pairs(case.slab.plan, jacks.xy))


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
