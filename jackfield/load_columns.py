"""Load columns of a floor: what each load alone does, to be superposed in any combination."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import sparse

from fem.bending import BendingField
from fem.solver import Factor
from fem.statics import solve_states
from jackfield.pipeline import bending_field
from postprocess.strength.combinations import ADVANCE, EQUIPMENT, IMPOSED, PERMANENT, Actions
from preprocess.case import Case
from preprocess.floor import Floor
from preprocess.loads import PATTERNS, state_factors
from preprocess.patterns import Pattern, imposed_patterns

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LoadColumns:
    """One column for each name of `actions.columns`, characteristic.

    bending: of all columns, with the forces of jacks and feet. patterns: where imposed load lies alone.
    """

    actions: Actions
    bending: BendingField
    patterns: tuple[Pattern, ...]


def solve_columns(floor: Floor, factor: Factor) -> LoadColumns:
    """Every load of the case alone, the screw advances, and the imposed load on each unfavourable pattern.

    factor: of the slab on its springs.
    """
    case = floor.case
    patterns = _patterns(floor) if case.imposed.pressure else ()
    actions = Actions(
        tuple(pattern.name for pattern in patterns),
        equipment_stays=case.factors.equipment == "permanent",
        has_imposed=bool(case.imposed.pressure),
        has_equipment=bool(case.equipment),
    )
    loads = np.zeros((floor.model.space.unknowns, len(actions.columns)))
    for name in (*PERMANENT, EQUIPMENT, IMPOSED):
        loads[:, actions.columns.index(name)] = floor.patterns[:, PATTERNS.index(name)]
    if patterns:
        areas = floor.sampler.regions([pattern.shape for pattern in patterns])
        forces = case.imposed.pressure * shapely.area(np.array([pattern.shape for pattern in patterns], dtype=object))
        loads[:, -len(patterns) :] = (areas.rows.T @ sparse.diags_array(forces)).toarray()
    return LoadColumns(actions, _bending(floor, factor, loads, actions.columns), patterns)


def _bending(floor: Floor, factor: Factor, loads: Floats, names: tuple[str, ...]) -> BendingField:
    """Moments of load columns (unknowns, s) by their names; that named ADVANCE gets the screw advances, that named
    EQUIPMENT the forces of its feet."""
    jacks, model = floor.case.jacks, floor.model
    results = list(solve_states(model, loads, jacks.rates, 0.0 * jacks.rates, factor, refined=False))
    at = names.index(ADVANCE)
    (results[at],) = solve_states(model, loads[:, [at]], jacks.rates, jacks.advance, factor, refined=False)
    return bending_field(floor, model.plate, results, np.array([name == EQUIPMENT for name in names]), factor)


def bare_at(floor: Floor, modulus: float) -> BendingField:
    """The bare slab with its screw advances while its concrete has `modulus`, Pa: one column."""
    young = floor.model.of_modulus(modulus)
    jacks, weight = floor.case.jacks, floor.patterns[:, [PATTERNS.index("self-weight")]]
    factor = young.factor(jacks.rates)
    results = solve_states(young, weight, jacks.rates, jacks.advance, factor, refined=False)
    return bending_field(floor, young.plate, results, np.zeros(1), factor)


def state_columns(case: Case, actions: Actions) -> dict[str, Floats]:
    """Load state -> (s,) factors of the columns, for bare, service and full."""
    found = {}
    for name, factors in state_factors(case).items():
        shares = dict(zip(PATTERNS, factors, strict=True)) | {ADVANCE: 1.0}
        found[name] = np.array([shares.get(column, 0.0) for column in actions.columns])
    return found


def _patterns(floor: Floor) -> tuple[Pattern, ...]:
    plan, jacks = floor.case.slab.plan, floor.case.jacks
    bed = float(jacks.rates.sum()) / plan.area
    return imposed_patterns(plan, jacks.xy, (floor.model.plate.rigidity / bed) ** 0.25)
