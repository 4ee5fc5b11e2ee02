"""Springs for a floor on the desk: chosen afresh, or kept as far as they serve; and what the papers say of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from jackfield.desk import Desk, choice_problem, coils_to_buy, spring_types
from postprocess.jobs.views import ChoiceView, Habit
from postprocess.schedule import JackSchedule
from postprocess.spring_choice.choose import choose
from postprocess.spring_choice.extra_jack import Points
from postprocess.spring_choice.fewest import Swaps, fewest_swaps
from postprocess.spring_choice.nested_reasons import nested_reasons
from postprocess.spring_choice.problem import ChoiceProblem
from postprocess.spring_choice.shortfall import shortfall
from postprocess.spring_choice.shortfall_words import shortfall_words
from postprocess.spring_choice.tributary_picks import tributary_picks
from postprocess.spring_choice.verdict import Choice
from preprocess.case import Spring
from preprocess.setout.ground import permitted
from preprocess.setout.measure import far_points

Floats = NDArray[np.float64]

RELIEVED = 12
"""No more overloaded jacks are looked at for a further jack beside them, the worst first."""


@dataclass(frozen=True, eq=False)
class Chosen:
    """Springs under n jacks. swaps: None where all were chosen afresh."""

    desk: Desk
    problem: ChoiceProblem
    choice: Choice
    swaps: Swaps | None

    @property
    def springs(self) -> tuple[Spring, ...]:
        """(n,) the chosen springs."""
        catalogue = self.desk.floor.case.catalogue
        return tuple(catalogue[self.problem.types.codes[index]] for index in self.choice.indices)

    @cached_property
    def shortfalls(self) -> tuple[str, ...]:
        """Where no choice works: a sentence for each jack, which spring would do, and whether one more jack would."""
        if self.choice.works:
            return ()
        found = shortfall(self.problem, self.choice, further_places(self))
        return shortfall_words(self.problem, self.choice, found, self.desk.floor.case.jacks.ids)


def choose_springs(desk: Desk) -> Chosen:
    """A spring for each jack, afresh."""
    problem = choice_problem(desk, offered(desk))
    return Chosen(desk, problem, choose(problem), None)


def keep_springs(desk: Desk, kept: Sequence[Spring]) -> Chosen:
    """The springs that stand already (n,), with as few of them changed as bring every jack into its band."""
    problem = choice_problem(desk, offered(desk, kept))
    place = {code: index for index, code in enumerate(problem.types.codes)}
    swaps = fewest_swaps(problem, np.array([place[spring.code] for spring in kept], dtype=np.intp))
    if not swaps.after.works and swaps.after.sound.sum() <= swaps.before.sound.sum():
        swaps = replace(swaps, after=swaps.before, jacks=swaps.jacks[:0])  # swaps that help no jack are none
    return Chosen(desk, problem, swaps.after, swaps)


def offered(desk: Desk, kept: Sequence[Spring] = ()) -> tuple[Spring, ...]:
    """What may stand under a jack, in the catalogue's order: inner coils of pairs do not, unless one stands already."""
    types = spring_types(desk.catalogue, desk.floor.case.catalogue)
    free = set(types.free_standing().codes) | {spring.code for spring in kept}
    return tuple(spring for spring in desk.catalogue if spring.code in free)


def choice_view(chosen: Chosen, schedule: JackSchedule, heave_frequency: float) -> ChoiceView:
    """What sheets and lists show of a choice; heave_frequency: of the full model, Hz."""
    case, problem, choice = chosen.desk.floor.case, chosen.problem, chosen.choice
    picks = tributary_picks(problem, choice, schedule.tributary_loads)
    return ChoiceView(
        coils=tuple(spring.parts for spring in chosen.springs),
        buying=coils_to_buy(case, problem.types, choice.indices),
        pair_reasons=nested_reasons(problem, choice),
        shortfalls=chosen.shortfalls,
        heave_frequency=heave_frequency,
        target_frequency=case.target.natural_frequency,
        solid_reserve=case.target.solid_reserve,
        most_types=case.choice.most_types,
        habit=Habit(
            tuple(problem.types.codes[index] for index in picks.indices),
            picks.ratio_alone,
            picks.wrong_alone,
            int(picks.wrong_together.sum()),
        ),
    )


def further_places(chosen: Chosen) -> Points | None:
    """Places farthest from all jacks, around the most overloaded ones, where a further jack could stand by the rules
    for setting out, with the flexibility of the floor there."""
    desk, choice = chosen.desk, chosen.choice
    case, condensed = desk.floor.case, desk.condensed
    high = chosen.problem.band[1]
    over = np.flatnonzero(choice.load_ratio > high)
    over = over[np.argsort(-choice.load_ratio[over], kind="stable")][:RELIEVED]
    if not len(over):
        return None
    rules = case.setout
    places, apart = far_points(permitted(case.slab.plan, rules), case.jacks.xy)
    near = cKDTree(case.jacks.xy[over]).query(places)[0] <= rules.greatest_spacing
    places = places[near & (apart >= rules.least_spacing)]
    if not len(places):
        return None
    rows = desk.floor.sampler.discs(places, case.jacks.footprint).rows
    own = desk.factor.solve_once(rows.T.toarray())
    return Points(
        xy=places,
        coupling=np.asarray(rows @ condensed.unit_fields),
        own=np.einsum("cu,uc->c", rows.toarray(), own),
        deflection=np.asarray(rows @ condensed.pattern_fields),
    )
