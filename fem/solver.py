"""Factorisation of a symmetric positive definite matrix, with a residual that is driven to rounding."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.linalg import splu

from fem.errors import ModelError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_REFINEMENTS = 8
_SETTLED = 1e-14
"""Refinement stops at this many steps, or when a correction is below this part of the solution or shrinks no more."""
_COLUMNS = 4
"""Right-hand sides that SuperLU gets at a time: more of them crowd each other out of the cache, threefold slower."""
_WORTH_THREADS, _THREADS = 16, 4
"""Batches from which on threads share the work, and how many threads at most: memory is the limit from there on."""
_REFINED_COLUMNS = 64
"""Right-hand sides that are refined together: residuals of more of them would need gigabytes on large slabs."""
_TRUSTED = 1e-6
"""The last correction must have been below this part of the solution."""


class Factor:
    """A = L U by SuperLU (X. S. Li, ACM Trans. Math. Softw. 31, 2005, 302-325), without pivoting.

    That suits symmetric positive definite matrices, eliminated in the given order.
    """

    def __init__(self, matrix: sparse.csr_array, order: Ints, product: Callable[[Floats], Floats]) -> None:
        """Factorise `matrix` (n, n).

        order: (n,) numbers of the unknowns in the order of elimination. product: x (n, k) -> A x, for residuals more
        accurate than the assembled matrix gives. Raises ModelError where the matrix is singular: the slab is free to
        move.
        """
        self.matrix = matrix
        self._order = order
        self._product = product
        try:
            self._factors = splu(
                matrix[order][:, order].tocsc(),
                permc_spec="NATURAL",
                diag_pivot_thresh=0.0,
                options={"SymmetricMode": True},
            )
        except RuntimeError as error:
            raise ModelError(f"the floor is free to move: its stiffness matrix is singular ({error})") from error

    def solve(self, right: Floats) -> Floats:
        """Solution for right-hand sides (n, k), refined with the residual (Wilkinson 1963)."""
        parts = max(1, -(-right.shape[1] // _REFINED_COLUMNS))
        return np.concatenate([self._refined(part) for part in np.array_split(right, parts, axis=1)], axis=1)

    def _refined(self, right: Floats) -> Floats:
        solution = self.solve_once(right)
        last = np.inf
        for _ in range(_REFINEMENTS):
            correction = self.solve_once(right - self._product(solution))
            size = np.abs(correction).max() / max(np.abs(solution).max(), np.finfo(float).tiny)
            if not size <= last / 2:
                break
            solution = solution + correction
            last = size
            if size <= _SETTLED:
                break
        if not last <= _TRUSTED:
            raise ModelError(
                "the stiffness matrix cannot be solved to six digits: the slab is free to move, or its plan has edges "
                "so near each other that the mesh has needles; keep openings and edges 20 mm apart or more"
            )
        return solution

    def solve_once(self, right: Floats) -> Floats:
        """Solution for (n,) or (n, k) without refinement, for iterations that correct themselves."""
        solution = np.empty_like(right)
        if right.ndim == 1:
            solution[self._order] = self._factors.solve(right[self._order])
            return solution

        def solve(first: int) -> None:
            columns = slice(first, first + _COLUMNS)
            solution[self._order, columns] = self._factors.solve(right[self._order, columns])

        firsts = range(0, right.shape[1], _COLUMNS)
        if len(firsts) < _WORTH_THREADS:
            for first in firsts:
                solve(first)
        else:  # SuperLU works without Python's lock
            with ThreadPoolExecutor(min(os.cpu_count() or 1, _THREADS)) as pool:
                list(pool.map(solve, firsts))
        return solution
