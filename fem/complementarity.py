"""One-sided unknowns: contacts that only push and springs that only press, by an active set with a warm start.

Given a symmetric S (N, N), signs σ (N,) of ±1 and b (N,), find x with
    x ≥ 0,   y = σ (S x − b) ≥ 0,   x y = 0 at each of the N places,
where the part of S with σ = 1 is positive definite and that with σ = −1 negative definite. Then σ S is a P-matrix, and
there is exactly one solution (Cottle, Pang and Stone, The Linear Complementarity Problem, 1992, theorem 3.3.7).

The set of places with x > 0 is the active set A. A principal pivot transform T of S (same book, section 2.3) turns
u = (S x on A, x elsewhere) into v = (x on A, S x elsewhere). It is kept for a base set; a set that differs from it at
the places D takes one solution of the size of D. When D is large, T is pivoted on D as a block. Sets change by block
principal pivoting (Júdice and Pires, Computers & Operations Research 21, 1994, 587-596): all places that break a
condition change sides at once; where that makes no headway, only the last of them does (Murty), which is finite.
"""

from __future__ import annotations

from copy import copy

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.blas import dgemm

from fem.errors import ModelError

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

_PATIENCE = 8
"""Block changes without fewer broken conditions, after which places change one at a time."""
_LARGEST_CHANGE = 64
"""Places by which a set may differ from the base set before the base is pivoted."""
_MOST_CHANGES = 20_000
"""Changes of the set after which a solution is given up: many times what the largest floors need."""


class ActiveSet:
    """The solution for one b after another, each starting from the set of the last one."""

    def __init__(self, matrix: Floats, signs: Floats, active: Flags, *, least_x: float, least_y: float) -> None:
        """matrix: S (N, N). signs: σ (N,). active: (N,) the set to start from.

        least_x, least_y: a condition counts as broken below minus this, in units of x and of y.
        """
        self.active = active.copy()
        self._last_right: Floats | None = None
        self._matrix = matrix
        self._signs = signs
        self._least_x, self._least_y = least_x, least_y
        self._renew()

    def copy(self) -> ActiveSet:
        """One that goes its own way from here."""
        other = copy(self)
        other.active, other._base, other._T = self.active.copy(), self._base.copy(), self._T.copy(order="F")
        return other

    def solve(self, right: Floats, held: Flags) -> Floats:
        """x (N,) for b = right (N,).

        held: (N,) places that stay active whatever the sign of x there. Raises ModelError if no set is found.
        """
        self.active |= held
        self._settle()
        fewest, patience, doubtful = len(right) + 1, _PATIENCE, False
        for _ in range(_MOST_CHANGES):
            x, y = self._on_set(right)
            if doubtful or not len(self._broken(x, y, held)):
                x, y = self._refined(x, right)
                broken = self._broken(x, y, held)
                if not len(broken):
                    return x
                if not doubtful:  # T has lost too many digits
                    self._renew()
                    doubtful = True
                    continue
            broken = self._broken(x, y, held)
            if len(broken) < fewest:
                fewest, patience = len(broken), _PATIENCE
            elif patience > 0:
                patience -= 1
            else:
                broken = broken[-1:]
            self.active[broken] ^= True
            self._settle()
        raise ModelError("the places where slab, springs and floor touch cannot be found: check rates and stiffnesses")

    def _broken(self, x: Floats, y: Floats, held: Flags) -> NDArray[np.int64]:
        """Places with a wrong sign, ascending."""
        return np.flatnonzero(~held & np.where(self.active, x < -self._least_x, y < -self._least_y))

    def _refined(self, x: Floats, right: Floats) -> tuple[Floats, Floats]:
        """x and y of the present set, corrected by the residual with S itself: T loses digits pivot by pivot."""
        on = np.flatnonzero(x)
        product = self._matrix[on].T @ x[on] if len(on) < len(x) // 3 else self._matrix @ x
        missing = np.where(self.active, right - product, 0.0)
        change, rest = self._on_set(missing)
        product = product + np.where(self.active, missing, self._signs * rest)
        return x + change, np.where(self.active, 0.0, self._signs * (product - right))

    def _settle(self) -> None:
        """Make the present set the base set where they differ much."""
        changed = np.flatnonzero(self.active != self._base)
        if len(changed) > _LARGEST_CHANGE:
            self._pivot(changed)

    def _renew(self) -> None:
        """Pivot the matrix itself on the present set, so that nothing of what rounding did remains."""
        self._base = np.zeros(len(self._signs), dtype=bool)
        self._T = np.array(self._matrix, order="F")
        self._pivot(np.flatnonzero(self.active))

    def _on_set(self, right: Floats) -> tuple[Floats, Floats]:
        """x and y (N,) of the present set, whatever their signs."""
        if right is not self._last_right:
            self._last_right = right
            self._last_output = self._base_columns @ right[self._base_places]
        v = self._last_output
        changed = np.flatnonzero(self.active != self._base)
        wanted = np.where(self.active[changed], right[changed], 0.0)
        change: Floats = np.zeros(0)
        if len(changed):
            columns = self._T[:, changed]
            change = _solved(columns[changed], wanted - v[changed])
            v = np.asarray(v + columns @ change, dtype=np.float64)
        x = np.where(self._base, v, 0.0)
        product = np.where(self._base, right, v)  # S x
        left = ~self.active[changed]
        x[changed] = np.where(left, 0.0, change)
        product[changed] = np.where(left, right[changed] + change, right[changed])
        return x, self._signs * (product - right)

    def _pivot(self, places: NDArray[np.int64]) -> None:
        """Exchange u and v at `places`, and so move them in or out of the base set."""
        T = self._T
        inverse = _solved(T[np.ix_(places, places)], np.eye(len(places)))
        columns = np.array(T[:, places], order="F")
        rows = np.asfortranarray(inverse @ T[places])  # T_DD⁻¹ T_D
        rows[:, places] = 0.0
        columns[places] = 0.0
        T = dgemm(-1.0, columns, rows, 1.0, T, overwrite_c=1)
        T[:, places] = columns @ inverse
        T[places] = -rows
        T[np.ix_(places, places)] = inverse
        self._T = T
        self._base[places] ^= True
        self._base_places = np.flatnonzero(self._base)
        self._base_columns = T[:, self._base_places]
        self._last_right = None


def _solved(matrix: Floats, right: Floats) -> Floats:
    """Solution of a small system; ModelError where it has none."""
    try:
        return np.asarray(np.linalg.solve(matrix, right), dtype=np.float64)
    except np.linalg.LinAlgError as error:
        raise ModelError(f"the slab cannot stand on what holds it: {error}; check the springs and the floor") from error
