"""A spring taken out of floors whose answers are known: by `fem.outage`, as a run does it for every spring."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.bending import BendingField, cap_moves
from fem.concentrated import ConcentratedForces
from fem.moment_operator import MomentOperator
from fem.outage import Outages, SolvedFloor
from fem.plate import pressure_load
from fem.sampling import Sampler
from fem.sprung_plate import SprungPlate
from fem.statics import solve_states
from jackfield.known_models import CONCRETE, STIFF, floor_on_jacks
from postprocess.report.known_answer import KnownAnswer

Floats = NDArray[np.float64]

SIDE = 4.0
"""Of the square slabs, m."""
PRESSURE = 3000.0
"""Even load, Pa."""


def outage_answers() -> Iterator[KnownAnswer]:
    """A rigid square on four springs, in closed form; a slab that bends on nine, against a new solution."""
    yield from _rigid_square()
    yield _bending_square()


@dataclass(frozen=True, eq=False)
class Square:
    """A square slab under an even load. operator: of its middle; the other fields as `SolvedFloor` needs them."""

    model: SprungPlate
    sampler: Sampler
    forces: ConcentratedForces
    moves: sparse.csr_array
    operator: MomentOperator

    @classmethod
    def of(cls, lines: Floats, modulus: float) -> Square:
        """On jacks at the crossings of `lines`, m. modulus: Pa."""
        model = floor_on_jacks(lines, lines, (SIDE, SIDE), modulus)
        xy, sampler = model.jack_xy, Sampler(model.space)
        clearance = np.minimum(xy, SIDE - xy).min(axis=1)
        forces = ConcentratedForces(xy, np.full(len(xy), 0.075), np.minimum(clearance * (1 - 1e-9), 1.2))
        middle = np.full((1, 2), SIDE / 2)
        operator = MomentOperator.at(sampler, middle, forces, model.plate.poissons_ratio)
        return cls(model, sampler, forces, cap_moves(sampler, forces, model.jacks.rows), operator)

    def solved(self, rates: Floats) -> SolvedFloor:
        """On springs of `rates` (n,) in N/m."""
        model, factor = self.model, self.model.factor(rates)
        (state,) = solve_states(model, pressure_load(model.space, PRESSURE)[:, None], rates, 0 * rates, factor)
        bending = BendingField.from_displacement(
            self.sampler,
            model.plate,
            displacement=state.displacement[:, None],
            forces=self.forces,
            moves=self.moves,
            magnitudes=-state.jack_load[:, None],
            factor=factor,
        )
        return SolvedFloor(
            rates=rates,
            deflection=state.jack_deflection[:, None],
            loads=state.jack_load[:, None],
            rows=model.jacks.rows,
            factor=factor,
            bending=bending,
            moves=self.moves,
            operator=self.operator,
            moments=bending.moments_by(self.operator),
        )

    def without(self, jack: int, rates: Floats) -> Outages:
        """One spring out of service."""
        floor = self.solved(rates)
        return floor.without_each(np.array([jack]), floor.factor.solve(floor.rows[[jack]].toarray().T))


def _rigid_square() -> Iterator[KnownAnswer]:
    rate, weight = 2e5, PRESSURE * SIDE**2
    out = Square.of(np.array([0.5, 3.5]), STIFF).without(0, np.full(4, rate))
    source = "rigid square on four springs: the corner without its spring settles by 3W/4k, the neighbours carry W/2"
    reason = "0.05 %: a slab a million times stiffer than concrete still bends a little"
    expected, found = 0.75 * weight / rate * 1e3, float(out.settlement[0, 0]) * 1e3
    yield KnownAnswer("spring taken out: settlement", source, expected, found, "mm", 5e-4 * expected, reason)
    expected, found = weight / 2e3, float(out.loads[1, 0, 0]) / 1e3
    yield KnownAnswer("spring taken out: load of a neighbour", source, expected, found, "kN", 5e-4 * expected, reason)


def _bending_square() -> KnownAnswer:
    """Nine uneven springs without the middle one: by one more term of the old solution, and solved anew."""
    square, rates = Square.of(np.array([0.5, 2.0, 3.5]), CONCRETE), np.linspace(2e5, 3.6e5, 9)
    out = square.without(4, rates)
    anew = square.solved(np.where(np.arange(9) == 4, 0.0, rates))
    expected, found = float(anew.moments[0, 0, 0]) / 1e3, float(out.moments[0, 0, 0, 0]) / 1e3
    source = "the same floor solved anew without the spring: both are exact (Sherman and Morrison, 1950)"
    reason = "0.0001 %: rounding"
    name = "spring taken out: moment Mx in its place"
    return KnownAnswer(name, source, expected, found, "kN·m/m", 1e-6 * abs(expected), reason)
