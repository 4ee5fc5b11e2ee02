"""One set of springs on the floor, and what any few swaps would make of it without solving the floor anew.

With C the flexibility at the jacks on the present springs and v their compressions, new rates k + Δ at a few jacks S
give (Woodbury 1950)
    v_S' = (I + C_SS Δ)⁻¹ v_S,   v' = v − C_S Δ v_S',   C' = C − C_S Δ (I + C_SS Δ)⁻¹ C_Sᵀ.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.objective import Goal, cost

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

CHUNK = 2_000_000
"""Numbers held at a time while candidates are judged."""
BATCH = 4
"""Candidates whose frequency is found on larger floors."""
SMALL = 12
"""Up to this many jacks every candidate's frequency is found, and all pairs of jacks and types are exchanged."""


@dataclass(frozen=True, eq=False)
class Trial:
    """indices: (n,) type under each jack. flexibility: (n, n) C, m/N. compression: (3, n) v, m. value: of the goal."""

    goal: Goal
    indices: Ints
    flexibility: Floats
    compression: Floats
    value: float

    @classmethod
    def of(cls, goal: Goal, indices: Ints) -> Trial:
        """Solve the condensed floor with the springs `indices` (n,)."""
        floor, problem = goal.problem.floor, goal.problem
        F = floor.flexibility
        system = np.eye(len(indices)) + F * (problem.types.rates[indices] - floor.reference_rates)
        right = np.column_stack([F, problem.reference_compression.T])
        solved = np.linalg.solve(system, right)
        C, v = solved[:, : len(F)], np.ascontiguousarray(solved[:, len(F) :].T)
        return cls(goal, indices, 0.5 * (C + C.T), v, _value(goal, v, indices))

    @property
    def rates(self) -> Floats:
        """(n,) N/m."""
        return self.goal.problem.types.rates[self.indices]

    def compressions(self, jacks: Ints, types: Ints, at: Ints | None = None) -> Floats:
        """(3, c, n) compressions after each of c candidates puts `types` (c, q) under `jacks` (c, q).

        at: only at these (a,) jacks, default all.
        """
        columns = slice(None) if at is None else at
        r, _ = self._forces(jacks, types)
        C = self.flexibility[:, columns]
        moved = self.compression[:, None, columns] - r[..., 0][..., None] * C[jacks[:, 0]]
        for i in range(1, jacks.shape[1]):
            moved -= r[..., i][..., None] * C[jacks[:, i]]
        return np.asarray(moved)

    def _forces(self, jacks: Ints, types: Ints) -> tuple[Floats, Floats]:
        """(3, c, q) added jack loads Δ v' and (c, q, q) the systems I + C_SS Δ."""
        change = self.goal.problem.types.rates[types] - self.rates[jacks]
        within = self.flexibility[jacks[:, :, None], jacks[:, None, :]]
        system = np.eye(jacks.shape[1]) + within * change[:, None, :]
        v = np.moveaxis(self.compression[:, jacks], 0, -1)
        return np.moveaxis(change[..., None] * np.linalg.solve(system, v), -1, 0), system

    def replaced(self, jacks: Ints, types: Ints) -> Ints:
        """(c, n) the types after each candidate."""
        indices = np.repeat(self.indices[None], len(jacks), axis=0)
        np.put_along_axis(indices, jacks, types, axis=1)
        return indices

    def bounds(self, jacks: Ints, types: Ints) -> Floats:
        """(c,) the goal after each candidate but for the frequency, which can only add to it."""
        size = max(1, CHUNK // (3 * len(self.indices)))
        parts = [slice(start, start + size) for start in range(0, len(jacks), size)]
        return np.concatenate(
            [
                self.goal.without_frequency(
                    self.compressions(jacks[part], types[part]), self.replaced(jacks[part], types[part])
                )
                for part in parts
            ]
        )

    def best(self, jacks: Ints, types: Ints, bounds: Floats) -> tuple[int, float]:
        """The candidate with the least goal below the present one and that goal; -1 if there is none.

        With a limit of the frequency, candidates are taken in the order of an estimate, and their goal is exact. On
        small floors none is passed over that could still be the best; on others the first BATCH are looked at.
        """
        least = self.value - 1e-12
        problem = self.goal.problem
        if problem.frequency_limit is None:
            first = int(np.argmin(bounds))
            return (first, float(bounds[first])) if bounds[first] < least else (-1, self.value)
        hopeful = np.flatnonzero(bounds < least)
        if not len(hopeful):
            return -1, self.value
        excess = self._estimated_frequencies(jacks[hopeful], types[hopeful]) / problem.frequency_limit - 1
        guess = bounds[hopeful] + self.goal.weight * cost(excess)
        hopeful = hopeful[np.argsort(guess, kind="stable")]
        looked_at = hopeful if len(self.indices) <= SMALL else hopeful[:BATCH]
        values = self._exact(jacks, types, bounds, looked_at[:1])
        if len(looked_at) > 1 and (bounds[looked_at[1:]] < values[0]).any():
            values = np.append(values, self._exact(jacks, types, bounds, looked_at[1:]))
        place = int(np.argmin(values))
        return (int(looked_at[place]), float(values[place])) if values[place] < least else (-1, self.value)

    def _exact(self, jacks: Ints, types: Ints, bounds: Floats, part: Ints) -> Floats:
        rates = self.goal.problem.types.rates[self.replaced(jacks[part], types[part])]
        return bounds[part] + self.goal.of_frequency(rates)

    @cached_property
    def _modes(self) -> tuple[Floats, Floats, int]:
        """Squares (m,) and jack shapes (n, m) of the reduced modes on the present springs, and which is heave."""
        modes = self.goal.problem.modes
        assert modes is not None, "a limit of the frequency comes with modes"
        squares, vectors = np.linalg.eigh(modes.stiffness(self.rates))
        return squares, modes.jack_shapes @ vectors, int(np.argmax((modes.momentum @ vectors) ** 2))

    def _estimated_frequencies(self, jacks: Ints, types: Ints) -> Floats:
        """(c,) heave frequency after each candidate by perturbation to second order (Rayleigh 1894), Hz."""
        squares, shapes, heave = self._modes
        change = self.goal.problem.types.rates[types] - self.rates[jacks]
        coupling = np.einsum("cq,cq,cqm->cm", change, shapes[jacks, heave], shapes[jacks])
        gap = squares[heave] - squares
        gap = np.where(gap < 0, -1, 1) * np.maximum(np.abs(gap), 2 * np.abs(coupling))
        second = np.where(np.arange(len(squares)) == heave, 0.0, coupling**2 / np.where(gap == 0, 1.0, gap))
        square = squares[heave] + coupling[:, heave] + second.sum(axis=1)
        return np.asarray(np.sqrt(np.maximum(square, 0.0)) / (2 * np.pi))

    def swapped(self, jacks: Ints, types: Ints) -> Trial:
        """The trial with `types` (q,) under `jacks` (q,)."""
        r, system = self._forces(jacks[None], types[None])
        C_S = self.flexibility[jacks]
        change = self.goal.problem.types.rates[types] - self.rates[jacks]
        C = self.flexibility - C_S.T @ (change[:, None] * np.linalg.solve(system[0], C_S))
        v = self.compression - r[:, 0] @ C_S
        indices = self.replaced(jacks[None], types[None])[0]
        return Trial(self.goal, indices, C, v, _value(self.goal, v, indices))


def _value(goal: Goal, v: Floats, indices: Ints) -> float:
    return float(goal.without_frequency(v, indices) + goal.of_frequency(goal.problem.types.rates[indices]))
