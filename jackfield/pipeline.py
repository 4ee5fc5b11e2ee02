"""The way of a case through the three rooms: model, solution, self-check."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem.bending import BendingField
from fem.modes import ModalResult, solve_modes
from fem.plate import Plate
from fem.solver import Factor
from fem.statics import StaticResult, equilibrium_error, solve_states
from postprocess.key_moments import KeyMoments, key_moments
from preprocess.floor import Floor, default_sizes, floor_on
from preprocess.loads import PATTERNS, state_factors
from preprocess.meshing import mesh_plan
from preprocess.plan import re_entrant_corners

Floats = NDArray[np.float64]

REFINED = "every triangle cut into four"
MODES = 10
"""Number of modes that a run solves for."""
REFINEMENT_LIMIT = 75_000
"""Largest number of unknowns of a floor that is refined for the self-check: four times as many take about 3 GiB.
A larger one is held against a coarser mesh instead."""


@dataclass(frozen=True, eq=False)
class Solution:
    """A floor solved.

    factor: of its stiffness with springs. states: load state -> result. modes: in service. bending: moments
    anywhere, states in the same order. moments: load state -> moments where slabs are judged.
    """

    floor: Floor
    factor: Factor
    states: Mapping[str, StaticResult]
    modes: ModalResult
    bending: BendingField
    moments: Mapping[str, KeyMoments]

    @property
    def heave_frequency(self) -> float:
        """Frequency of the mode with the largest share of the mass in heave, Hz."""
        return self.modes.heave_frequency

    @property
    def largest_jack_load(self) -> float:
        """The largest jack load of all states, N."""
        return float(max(state.jack_load.max() for state in self.states.values()))

    @property
    def largest_moment(self) -> float:
        """The largest of the key moments of all states, N·m/m."""
        return max(key.largest for key in self.moments.values())

    def equilibrium_errors(self) -> dict[str, float]:
        """Load state -> relative imbalance of force and moments."""
        resultants = self.floor.resultants @ self.floor.state_matrix()
        xy = self.floor.case.jacks.xy
        return {
            name: equilibrium_error(resultants[:, i], xy, state.jack_load)
            for i, (name, state) in enumerate(self.states.items())
        }


@dataclass(frozen=True)
class MeshCheck:
    """Change in percent of the largest jack load, the largest moment and the heave frequency on another mesh.

    moment_anywhere: the greatest change of any strip moment at a jack or moment in a span, as a share of the largest.
    """

    compared_with: str
    jack_load: float
    moment: float
    moment_anywhere: float
    frequency: float

    def as_dict(self) -> dict[str, float]:
        """The changes under the names of results.json."""
        return {
            "jack_load": self.jack_load,
            "moment": self.moment,
            "moment_anywhere": self.moment_anywhere,
            "frequency": self.frequency,
        }


def solve(floor: Floor, modes: int = MODES) -> Solution:
    """Three load states and the lowest modes of a floor; one factorisation serves both."""
    case, model = floor.case, floor.model
    rates = case.jacks.rates
    factor = model.factor(rates)
    names = list(state_factors(case))
    results = solve_states(model, floor.state_loads(), rates, case.jacks.advance, factor)
    states = dict(zip(names, results, strict=True))
    shapes = solve_modes(model, rates, modes, factor)
    bending = bending_field(floor, model.plate, results, floor.state_matrix()[PATTERNS.index("equipment")], factor)
    moments = key_moments(
        bending,
        plan=case.slab.plan,
        jack_xy=case.jacks.xy,
        strip=case.jacks.footprint + case.slab.thickness,
        corners=re_entrant_corners(case.slab.plan),
    )
    return Solution(floor, factor, states, shapes, bending, dict(zip(names, moments, strict=True)))


def bending_field(
    floor: Floor, plate: Plate, results: Sequence[StaticResult], equipment: Floats, factor: Factor
) -> BendingField:
    """Moments of solved load columns; equipment: (s,) share of the equipment's weight in each of them."""
    return BendingField.from_displacement(
        floor.sampler,
        plate,
        displacement=np.column_stack([result.displacement for result in results]),
        forces=floor.concentrated,
        moves=floor.cap_moves,
        magnitudes=floor.magnitudes(np.column_stack([result.jack_load for result in results]), equipment),
        factor=factor,
    )


def check_mesh(solution: Solution) -> MeshCheck:
    """Solve again on one refinement (or, for a very large slab, on a coarser mesh) and compare."""
    floor = solution.floor
    modes = solution.modes.heave_mode + 2
    if floor.model.space.unknowns <= REFINEMENT_LIMIT:
        other, name = solve(floor.refined(), modes), REFINED
    else:
        other, name = solve(_coarser(floor), modes), "a mesh of twice the edge length"
    return MeshCheck(
        name,
        _percent(solution.largest_jack_load, other.largest_jack_load),
        _percent(solution.largest_moment, other.largest_moment),
        max(_moment_change(key, other.moments[state]) for state, key in solution.moments.items()),
        _percent(solution.heave_frequency, other.heave_frequency),
    )


def _coarser(floor: Floor) -> Floor:
    return floor_on(floor.case, mesh_plan(floor.case.slab.plan, default_sizes(floor.case).times(2)))


def _moment_change(key: KeyMoments, other: KeyMoments) -> float:
    """Percent of the largest moment by which those at one place differ at most; both have the same places."""
    changes = [np.abs(key.at_jacks - other.at_jacks).max(), np.abs(key.in_spans - other.in_spans).max(initial=0.0)]
    return 100 * float(max(changes)) / other.largest


def _percent(value: float, other: float) -> float:
    return 100 * (other - value) / value if value else 0.0
