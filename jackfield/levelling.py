"""A lifted floor on the desk: what its screws do at the points of its surveys."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.condensed import CondensedFloor
from fem.screw_response import MomentSource, ScrewResponse
from jackfield.desk import REFINED
from jackfield.judged import concrete_at, judged_moments, judged_places
from jackfield.lifting import screw_slack
from postprocess.level.straightedge import Straightedges
from postprocess.strength.age import YoungConcrete
from postprocess.strength.places import Places
from preprocess.case import Case, Lift
from preprocess.floor import Floor, build_floor
from preprocess.loads import PATTERNS, state_factors
from preprocess.survey import Survey

Floats = NDArray[np.float64]

SAME_POINT = 0.010
"""Points of two surveys nearer than this are the same, m."""


@dataclass(frozen=True, eq=False)
class LevelDesk:
    """A floor whose slab floats, condensed with the concrete of the day.

    points: (q, 2) all points of all surveys, m. straightedges: and their sample points. rows: of points, then samples.
    bending: what moments at `places` are made of.
    """

    floor: Floor
    rules: Lift
    concrete: YoungConcrete
    condensed: CondensedFloor
    places: Places
    bending: MomentSource
    points: Floats
    straightedges: Straightedges
    rows: sparse.csr_array

    @property
    def case(self) -> Case:
        """The case."""
        return self.floor.case

    @property
    def states(self) -> tuple[str, ...]:
        """Names of the load states, in the order of every array that has one column a state."""
        return tuple(state_factors(self.case))

    def response(self, rates: Floats, *, bent: bool = True) -> ScrewResponse:
        """What the screws do with springs of rates (n,), N/m; bent: moments as well."""
        bending = self.bending if bent else None
        return ScrewResponse.of(self.condensed, rates, np.eye(len(self.states)), self.rows, bending)

    def advance(self, turns: Floats) -> Floats:
        """(n,) by which the screws press, m, after so many full turns (n,) in all."""
        return self.case.jacks.advance + turns * self.rules.pitch - screw_slack(self.rules, self.case.jacks.xy)


def level_desk(case: Case, rules: Lift, surveys: Sequence[Survey]) -> LevelDesk:
    """Mesh and condense a case for the points of its surveys."""
    floor = build_floor(case)
    age = case.level.age_days or rules.age_days
    concrete = concrete_at(case.slab, age)
    model = floor.model.of_modulus(concrete.modulus)
    rates = case.jacks.rates
    factor = model.factor(rates)
    refined = model.space.unknowns <= REFINED
    condensed = CondensedFloor.from_model(model, floor.state_loads(), rates, factor, refined=refined)
    places = judged_places(floor)
    feet = np.outer(floor.foot_forces, floor.state_matrix()[PATTERNS.index("equipment")])
    bending = MomentSource.of(model.plate, judged_moments(floor, places), floor.cap_moves, feet, factor)
    points = _points(surveys)
    edges = Straightedges.on_plan(case.slab.plan, case.level.straightedge_length)
    rows = floor.sampler.points(np.vstack([points, edges.xy])).rows
    return LevelDesk(floor, rules, concrete, condensed, places, bending, points, edges, rows)


def _points(surveys: Sequence[Survey]) -> Floats:
    """(q, 2) the different points of all surveys, m."""
    found: list[Floats] = []
    for survey in surveys:
        for xy in survey.xy:
            if not found or np.hypot(*(np.array(found) - xy).T).min() > SAME_POINT:
                found.append(xy)
    return np.array(found)


@dataclass(frozen=True, eq=False)
class Reading:
    """A survey on the desk. at: (k,) numbers of its points among those of the desk. turns: (n,) in all until then."""

    survey: Survey
    at: NDArray[np.int64]
    turns: Floats

    @property
    def at_rest(self) -> bool:
        """Whether nothing had been turned."""
        return not self.turns.any()


def readings(desk: LevelDesk, surveys: Sequence[Survey]) -> tuple[Reading, ...]:
    """The surveys in their order."""
    total = np.zeros(len(desk.case.jacks))
    found = []
    for survey in surveys:
        total = total + survey.turns
        apart = np.hypot(*(survey.xy[:, None] - desk.points).transpose(2, 0, 1))
        found.append(Reading(survey, apart.argmin(axis=1), total))
    return tuple(found)
