"""Factorisation of a symmetric positive definite matrix, with a residual that is driven to rounding."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.linalg import splu

from fem.errors import ModelError

Floats = NDArray[np.float64]

_REFINEMENTS = 2


class Factor:
    """A = L U by SuperLU (X. S. Li, ACM Trans. Math. Softw. 31, 2005, 302-325) in its symmetric mode.

    Without pivoting and with minimum-degree ordering on the pattern of A, which suits symmetric positive definite
    matrices.
    """

    def __init__(self, matrix: sparse.csr_array, product: Callable[[Floats], Floats] | None = None) -> None:
        """Factorise `matrix` (n, n).

        product: x (n, k) -> A x, for residuals more accurate than the assembled matrix gives.
        Raises ModelError where the matrix is singular: the slab is free to move.
        """
        self.matrix = matrix
        self._product = product or (lambda x: np.asarray(matrix @ x))
        try:
            self._factors = splu(
                matrix.tocsc(),
                permc_spec="MMD_AT_PLUS_A",
                diag_pivot_thresh=0.0,
                options={"SymmetricMode": True},
            )
        except RuntimeError as error:
            raise ModelError(f"the floor is free to move: its stiffness matrix is singular ({error})") from error

    def solve(self, right: Floats) -> Floats:
        """Solution for right-hand sides (n, k), refined with the residual (Wilkinson 1963)."""
        solution = self._factors.solve(right)
        for _ in range(_REFINEMENTS):
            solution = solution + self._factors.solve(right - self._product(solution))
        if not np.isfinite(solution).all():
            raise ModelError("the floor is free to move: its stiffness matrix is singular")
        return np.asarray(solution)

    def solve_once(self, right: Floats) -> Floats:
        """Solution (n,) without refinement, for iterations that correct themselves."""
        return np.asarray(self._factors.solve(right))
