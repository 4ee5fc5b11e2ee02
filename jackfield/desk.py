"""A floor on the engineer's desk: condensed once, so that springs can be chosen and changed in milliseconds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from fem.condensed import CondensedFloor
from fem.modes import ModalResult, solve_modes
from fem.reduced_modes import BASIS, ReducedModes
from fem.solver import Factor
from fem.statics import StaticResult, solve_states
from postprocess.jobs.views import BuyingRow
from postprocess.spring_choice.buying import buying_list
from postprocess.spring_choice.problem import ChoiceProblem, SpringTypes
from preprocess.case import Case, Spring
from preprocess.draft import Draft
from preprocess.floor import Floor, build_floor
from preprocess.loads import state_factors
from preprocess.springs import usable_travel

Floats = NDArray[np.float64]

MODES = 6
"""Modes that single jobs solve for: the three of the rigid slab and those beside them."""
REFINED = 20_000
"""Unknowns beyond which the desk forgoes refinement, which takes minutes with a thousand jacks: papers show the loads
of the full model in any case."""


@dataclass(frozen=True, eq=False)
class Desk:
    """A floor whose springs are open; those of its case are the even bed that it was factorised and condensed on."""

    floor: Floor
    factor: Factor
    condensed: CondensedFloor
    modes: ReducedModes

    @property
    def catalogue(self) -> tuple[Spring, ...]:
        """What a jack may stand on, in the order of the catalogue."""
        return tuple(self.floor.case.catalogue.values())

    def with_springs(self, springs: Sequence[Spring]) -> Floor:
        """The floor on these springs, ready to solve."""
        case = self.floor.case
        return replace(self.floor, case=replace(case, jacks=replace(case.jacks, springs=tuple(springs))))


def on_desk(case: Case) -> Desk:
    """Mesh, condense and find the modes of a case; its springs only serve as the reference."""
    floor = build_floor(case)
    rates = case.jacks.rates
    factor = floor.model.factor(rates)
    refined = floor.model.space.unknowns <= REFINED
    return Desk(
        floor,
        factor,
        CondensedFloor.from_model(floor.model, floor.state_loads(), rates, factor, refined=refined),
        ReducedModes.from_model(floor.model, rates, BASIS, factor),
    )


def even_bed(catalogue: Mapping[str, Spring], count: int) -> tuple[Spring, ...]:
    """The spring of middling rate under every jack: a reference while springs are open."""
    springs = sorted(catalogue.values(), key=lambda spring: spring.rate)
    return (springs[len(springs) // 2],) * count


def draft_desk(draft: Draft) -> Desk:
    """The jacks of a draft's list on the desk."""
    return on_desk(draft.with_springs(even_bed(draft.catalogue, len(draft.rows))))


def choice_problem(desk: Desk, springs: Sequence[Spring]) -> ChoiceProblem:
    """What the case asks of its springs, to be chosen among `springs`."""
    case = desk.floor.case
    return ChoiceProblem(
        floor=desk.condensed,
        factors=np.eye(len(state_factors(case))),
        advance=case.jacks.advance,
        types=spring_types(springs, case.catalogue),
        band=case.target.load_ratio,
        frequency_limit=case.target.natural_frequency,
        modes=desk.modes,
        most_types=case.choice.most_types,
        solid_reserve=case.target.solid_reserve,
    )


def spring_types(springs: Sequence[Spring], catalogue: Mapping[str, Spring]) -> SpringTypes:
    """Catalogue entries as the arrays that the search works on, with the travel that they can be used for."""
    return SpringTypes(
        codes=tuple(spring.code for spring in springs),
        rates=np.array([spring.rate for spring in springs]),
        rated_loads=np.array([spring.rated_load for spring in springs]),
        solid_deflections=np.array([usable_travel(spring, catalogue) for spring in springs]),
        parts=tuple(spring.parts for spring in springs),
    )


def coils_to_buy(case: Case, types: SpringTypes, indices: NDArray[np.intp]) -> tuple[BuyingRow, ...]:
    """A row for each kind of coil of the springs `indices` (n,) of `types`, with the spares that the case asks for."""
    return tuple(
        BuyingRow(
            line.code,
            case.catalogue[line.code].rate,
            case.catalogue[line.code].rated_load,
            line.under_jacks,
            line.spares,
        )
        for line in buying_list(types, indices, case.choice.spares)
    )


def solve_floor(floor: Floor) -> tuple[dict[str, StaticResult], ModalResult]:
    """Load states by name and the lowest modes of a floor, by the full model: what papers show."""
    rates = floor.case.jacks.rates
    factor = floor.model.factor(rates)
    return solve_loads(floor, factor), solve_modes(floor.model, rates, MODES, factor)


def solve_loads(floor: Floor, factor: Factor | None = None) -> dict[str, StaticResult]:
    """Load states by name, by the full model; factor: of the floor on its springs, if it is at hand."""
    jacks = floor.case.jacks
    results = solve_states(floor.model, floor.state_loads(), jacks.rates, jacks.advance, factor)
    return dict(zip(state_factors(floor.case), results, strict=True))
