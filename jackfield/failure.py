"""Each spring of a solved floor out of service in turn, and the flexibility of its jacks on the way."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.outage import SolvedFloor
from jackfield.pipeline import Solution
from postprocess.doubt.failures import Failures, Springs, StateFailures
from postprocess.doubt.places import KeyPlaces
from postprocess.strength.crack import cracking_moment, lower_tensile_strength
from preprocess.case import Case
from preprocess.plan import re_entrant_corners

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

FAILURE_STATES = ("service", "bare")
UNITS = 64
"""Unit fields that are held at a time."""


def with_unit_fields(
    solution: Solution, columns: sparse.csr_array, combined: Floats, chosen: Ints
) -> tuple[Floats, Floats, Failures]:
    """All that needs the displacement under a unit force at each jack, a batch of jacks at a time.

    Flexibility (n, n) of the jacks, m/N, deflections (n, q + e) at them under the combined columns, m, and failures
    of the springs of the `chosen` jacks.
    """
    floor, factor = solution.floor, solution.factor
    rows = floor.model.jacks.rows
    count = len(floor.case.jacks)
    flexibility, deflection = np.zeros((count, count)), np.zeros((count, combined.shape[1]))
    places, solved = solved_floor(solution)
    parts: list[tuple[Ints, NDArray[np.bool_], dict[str, StateFailures]]] = []
    for first in range(0, count, UNITS):
        jacks = np.arange(first, min(first + UNITS, count))
        fields = factor.solve_once(rows[jacks].T.toarray())
        flexibility[:, jacks] = rows @ fields
        deflection[jacks] = (columns.T @ fields).T @ combined
        mine = np.isin(jacks, chosen)
        if mine.any():
            parts.append(_failed(solution, places, solved, jacks[mine], fields[:, mine]))
    cracking = _cracking(floor.case)
    failures = Failures(
        jacks=np.concatenate([part[0] for part in parts]),
        held=np.concatenate([part[1] for part in parts]),
        places=places,
        states={name: StateFailures.joined([part[2][name] for part in parts]) for name in FAILURE_STATES},
        cracking={name: limit for name, (limit, _) in cracking.items()},
        cracking_words={name: words for name, (_, words) in cracking.items()},
    )
    return 0.5 * (flexibility + flexibility.T), deflection, failures


def solved_floor(solution: Solution) -> tuple[KeyPlaces, SolvedFloor]:
    """The places where moments are wanted, and the floor with all its springs in its load states."""
    floor, bending = solution.floor, solution.bending
    case, states = floor.case, solution.states.values()
    places = KeyPlaces.of(
        floor.sampler,
        floor.concentrated,
        case.slab.poissons_ratio,
        plan=case.slab.plan,
        jack_xy=case.jacks.xy,
        strip=case.jacks.footprint + case.slab.thickness,
        corners=re_entrant_corners(case.slab.plan),
    )
    return places, SolvedFloor(
        rates=case.jacks.rates,
        deflection=np.column_stack([state.jack_deflection for state in states]),
        loads=np.column_stack([state.jack_load for state in states]),
        rows=floor.model.jacks.rows,
        factor=solution.factor,
        bending=bending,
        moves=floor.cap_moves,
        operator=places.operator,
        moments=bending.moments_by(places.operator),
    )


def _failed(
    solution: Solution, places: KeyPlaces, solved: SolvedFloor, jacks: Ints, fields: Floats
) -> tuple[Ints, NDArray[np.bool_], dict[str, StateFailures]]:
    """Some springs out of service in turn: their jacks, whether the others hold the slab, and what it comes to."""
    case = solution.floor.case
    out = solved.without_each(jacks, fields)
    moments = places.governing(out.moments)
    springs = Springs(case.jacks.rated_loads, case.jacks.solid_deflections)
    found = {}
    for name in FAILURE_STATES:
        s = list(solution.states).index(name)
        compression = out.deflection[:, :, s] + case.jacks.advance[:, None]
        found[name] = StateFailures.of(
            settlement=out.settlement[:, s],
            compression=compression,
            loads=out.loads[:, :, s],
            before=solved.loads[:, s],
            moments=moments[:, :, s],
            springs=springs,
        )
    return jacks, out.held, found


def _cracking(case: Case) -> dict[str, tuple[float, str]]:
    """Load state -> moment at which the slab may crack, N·m/m, and the strength that it is from, in words.

    The bare slab has the strength of the day of lifting, if there is one, else that of 28 days. Its moments are those
    with the modulus of the case: at an earlier age they are smaller.
    """
    concrete, thickness = case.slab.concrete, case.slab.thickness
    age = case.lift.age_days if case.lift else 28.0
    strengths = {"service": (concrete.fctm, 28.0), "bare": (concrete.fctm_at(age), age)}
    return {
        name: (float(cracking_moment(lower_tensile_strength(fctm), thickness)), f"fctk,0.05 at {days:g} days")
        for name, (fctm, days) in strengths.items()
    }
