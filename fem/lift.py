"""A slab lifted off the structural floor by jacks that are turned one after the other.

n jacks and m contact cells, which tile the slab. A jack's screw stands at the advance a_j below where it stood before
the first turn; its spring pushes once the slack s_j is taken up:
    compression e = w + a − s,   load r = k max(e, 0) + κ max(e − solid, 0).
A cell of the slab presses on the structural floor, the sheet between them, with c = κ max(w − g, 0), g the gap below it
where the slab lies at w = 0. K0 = K + Rᵀ k R, with all springs on, is factorised once; then at jacks and cells
    w = w0 − F q,   F = P K0⁻¹ Pᵀ,   q = (r − k w at jacks, c at cells),
and what is one-sided becomes unknowns x ≥ 0 (`fem.complementarity`): p, how much a spring that is off would have to
pull; t, what one that is solid carries beyond its rate; c. With b = w0 − F k (a − s) they obey
    spring off:   σ = −1,  S = F − 1/k,  b + a − s            contact:   σ = 1,  S = F + 1/κ,  b − g
    solid:        σ = 1,   S = F + 1/κ,  b + a − s − solid
The reaction of the floor at a jack acts under its spring, that of a cell is spread evenly over it.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.complementarity import ActiveSet
from fem.sampling import Footprints
from fem.solver import Factor
from fem.sprung_plate import SprungPlate

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]
Turn = tuple[int, float]
"""A jack and the change of its screw advance, m."""

SOLID_STIFFNESS = 1e9
"""Of a spring whose turns touch, N/m: some thousand times its rate, so that it gives way by a hundredth of a mm."""
HOLD = 1e-10
"""Part of their rate by which springs that are off hold the slab in the search for what touches, so that one that
passes through fewer than three supports meets no mechanism: F − 1/k alone is only semi-definite, as k moves rigidly."""
PRECISION = 1e-11
"""Part of the slab's weight below which a force counts as none."""
SMALLEST_GAP = 1e-13
"""A gap or an overlap below this counts as none, m."""


@dataclass(frozen=True, eq=False)
class LiftModel:
    """A slab condensed to its n jacks and m contact cells.

    weight: of the slab, N. rates, solids, slack: (n,) of the springs, N/m, m and m.
    gap: (m,) below the cells before the slab lies down, m. sheet: (m,) stiffness of sheet and floor, N/m.
    bond: (m,) greatest pull between slab and floor, N; once it is passed at a cell it is gone there.
    reference_rates: (n,) k0 of F. flexibility: (n + m, n + m) F for `rates`, m/N. deflection: (n + m,) w0, m.
    unit_fields: (unknowns, n + m) K0⁻¹ Pᵀ and load_field: (unknowns,) K0⁻¹ f, both for `reference_rates`.
    """

    weight: float
    rates: Floats
    solids: Floats
    slack: Floats
    gap: Floats
    sheet: Floats
    bond: Floats
    reference_rates: Floats
    flexibility: Floats
    deflection: Floats
    unit_fields: Floats
    load_field: Floats

    @classmethod
    def from_model(
        cls,
        model: SprungPlate,
        load: Floats,
        cells: Footprints,
        rates: Floats,
        *,
        weight: float,
        solids: Floats,
        slack: Floats,
        gap: Floats,
        sheet: Floats,
        bond: Floats,
        factor: Factor | None = None,
    ) -> LiftModel:
        """Condense `model` under `load` (unknowns,) of `weight` N; factor: `model.factor(rates)`, if it is at hand."""
        factor = factor or model.factor(rates)
        P = sparse.csr_array(sparse.vstack([model.jacks.rows, cells.rows]))
        unit_fields = factor.solve_once(P.T.toarray())
        load_field = factor.solve(load[:, None])[:, 0]
        flexibility = in_equilibrium(P @ unit_fields, np.vstack([model.jack_xy, cells.centroids]), rates)
        return cls(
            weight=weight,
            rates=rates,
            solids=solids,
            slack=slack,
            gap=gap,
            sheet=sheet,
            bond=bond,
            reference_rates=rates,
            flexibility=flexibility,
            deflection=P @ load_field,
            unit_fields=unit_fields,
            load_field=load_field,
        )

    def with_rates(self, rates: Floats) -> LiftModel:
        """The same slab on springs of other rates (n,), N/m (Woodbury)."""
        changed = np.flatnonzero(rates != self.rates)
        if not len(changed):
            return self
        F, change = self.flexibility, (rates - self.rates)[changed]
        columns = F[:, changed]
        inner = np.linalg.solve(np.eye(len(changed)) + change[:, None] * columns[changed], change[:, None] * columns.T)
        return replace(
            self,
            rates=rates,
            flexibility=F - columns @ inner,
            deflection=self.deflection - inner.T @ self.deflection[changed],
        )

    @property
    def jacks(self) -> int:
        """Number n of jacks."""
        return len(self.rates)

    @cached_property
    def matrix(self) -> Floats:
        """S of springs off (n), springs solid (n) and contacts (m)."""
        own = np.concatenate([-(1 + HOLD) / self.rates, np.full(self.jacks, 1 / SOLID_STIFFNESS), 1 / self.sheet])
        S = self.flexibility[np.ix_(self._points, self._points)]
        S[np.diag_indices_from(S)] += own
        return np.asarray(S)

    @cached_property
    def signs(self) -> Floats:
        """(2n + m,) σ of the same."""
        return np.concatenate([np.full(self.jacks, -1.0), np.ones(len(self._points) - self.jacks)])

    @cached_property
    def _points(self) -> NDArray[np.int64]:
        """(2n + m,) the jack or cell at which each one-sided unknown acts."""
        return np.concatenate([np.arange(self.jacks), np.arange(len(self.deflection))])

    def travel_left(self, path: LiftPath) -> Floats:
        """(T, n) travel left before the springs are solid, m."""
        return np.asarray(self.solids - (path.jack_deflection + path.advance - self.slack))

    def fields(self, path: LiftPath) -> Floats:
        """(unknowns, T) displacement of the whole slab in the states of a path, m downward."""
        change = np.hstack([path.jack_load - self.reference_rates * path.jack_deflection, path.contact])
        return np.asarray(self.load_field[:, None] - self.unit_fields @ change.T)


@dataclass(frozen=True, eq=False)
class LiftPath:
    """T states of a lift, one after the other.

    turned: (T,) the jack turned just before, −1 for none. advance: (T, n) of the screws, m. jack_deflection: (T, n),
    cell_deflection: (T, m), m downward, from where the slab was cast. jack_load: (T, n) and contact: (T, m) what
    springs and floor push, N; negative where a bond pulls. bonded: (T, m) cells whose bond holds. solid: (T, n) springs
    whose turns touch.
    """

    turned: Ints
    advance: Floats
    jack_deflection: Floats
    cell_deflection: Floats
    jack_load: Floats
    contact: Floats
    bonded: Flags
    solid: Flags

    def __len__(self) -> int:
        """Number T of states."""
        return len(self.turned)

    def at(self, states: slice | NDArray[np.int64]) -> LiftPath:
        """Some of the states."""
        return LiftPath(*(getattr(self, name)[states] for name in self.__dataclass_fields__))


def in_equilibrium(flexibility: Floats, xy: Floats, rates: Floats) -> Floats:
    """A flexibility (N, N), from a solution without refinement, symmetric and with the springs in equilibrium.

    xy: (N, 2) centres of the footprints, of which the first n are jacks on `rates` (n,). A load at any footprint and
    the springs' reactions to it must balance: F L = Z with Z the planes 1, x, y and L = k Z at the jacks, 0 elsewhere.
    What is missing is a rigid motion of some 1e-10, which a stiff sheet would turn into forces.
    """
    Z = np.column_stack([np.ones(len(xy)), xy - xy.mean(axis=0)])
    at_jacks = slice(0, len(rates))
    L = rates[:, None] * Z[at_jacks]
    inverse = np.linalg.inv(Z[at_jacks].T @ L)
    F = (flexibility + flexibility.T) / 2
    for _ in range(2):
        missing = Z - F[:, at_jacks] @ L
        half = (missing - Z @ inverse @ (L.T @ missing[at_jacks]) / 2) @ inverse @ Z.T
        F = F + half + half.T
    return np.asarray(F)


class Lifter:
    """The slab on the day, from where it was cast; remembers which springs and cells press."""

    def __init__(self, model: LiftModel) -> None:
        n, m = model.jacks, len(model.gap)
        self.model = model
        self.advance = np.zeros(n)
        self._bonded = model.bond > 0
        start = np.concatenate([np.ones(n, dtype=bool), np.zeros(n, dtype=bool), np.ones(m, dtype=bool)])
        precision = PRECISION * model.weight
        self._set = ActiveSet(model.matrix, model.signs, start, least_x=precision, least_y=SMALLEST_GAP)

    def copy(self) -> Lifter:
        """Another one that goes its own way from the present state."""
        other = copy(self)
        other.advance, other._bonded, other._set = self.advance.copy(), self._bonded.copy(), self._set.copy()
        return other

    def rest(self) -> LiftPath:
        """The one state before the next turn."""
        return self._path(np.array([-1]), [self._unknowns()])

    def states(self, turns: Sequence[Turn]) -> LiftPath:
        """Turn jacks one after the other; the state after each turn.

        Raises ModelError where no equilibrium is found.
        """
        found = []
        for jack, change in turns:
            self.advance[jack] += change
            found.append(self._unknowns())
        return self._path(np.array([jack for jack, _ in turns]), found)

    def _unknowns(self) -> tuple[Floats, Floats, Flags]:
        """The screw advances (n,), the one-sided unknowns (2n + m,) and the bonds that hold (m,)."""
        model, n = self.model, self.model.jacks
        screw = self.advance - model.slack
        b = model.deflection - model.flexibility[:, :n] @ (model.rates * screw)
        right = np.concatenate([b[:n] + screw, b[:n] + screw - model.solids, b[n:] - model.gap])
        return self.advance.copy(), self._with_bonds(right), self._bonded.copy()

    def _with_bonds(self, right: Floats) -> Floats:
        """The one-sided unknowns; bonds break one after the other, the most overloaded first."""
        n, bond = self.model.jacks, self.model.bond
        held = np.zeros(len(right), dtype=bool)
        while True:
            held[2 * n :] = self._bonded
            x = self._set.solve(right, held)
            over = np.where(self._bonded, -x[2 * n :] / np.where(bond > 0, bond, 1.0), 0.0)
            if over.max(initial=0.0) <= 1:
                return x
            self._bonded[int(over.argmax())] = False

    def _path(self, turned: Ints, found: Sequence[tuple[Floats, Floats, Flags]]) -> LiftPath:
        model, n = self.model, self.model.jacks
        advance, x, bonded = (np.array(values) for values in zip(*found, strict=True))
        screw = advance - model.slack
        off, solid, contact = x[:, :n], x[:, n : 2 * n], x[:, 2 * n :]
        q = np.hstack([model.rates * screw + off + solid, contact])
        w = model.deflection - q @ model.flexibility
        load = np.where(off > 0, 0.0, model.rates * (w[:, :n] + screw) + solid)
        return LiftPath(turned, advance, w[:, :n], w[:, n:], load, contact, bonded, solid > 0)
