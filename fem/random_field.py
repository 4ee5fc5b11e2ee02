"""A random field on the plan with a given correlation length, as a sum of few uncorrelated shapes.

Karhunen–Loève expansion: the covariance C between places of areas a is split in its eigenvectors, those of
W C W with W = diag(√a), so that the sum over places is an integral over the plan. A pivoted Cholesky factor stands for
the whole matrix (Harbrecht, Peters and Schneider, Applied Numerical Mathematics 62, 2012, 428-440, from memory):
its error is the variance that is still missing, and the cost grows with the places, not with their square.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

KEPT = 0.99
"""Share of the variance, averaged over the plan, that the shapes keep."""
MOST_SHAPES = 600
"""Largest number of columns of the Cholesky factor; a field that needs more keeps less, and `kept` says how much."""


@dataclass(frozen=True, eq=False)
class RandomField:
    """q shapes over t places. shapes: (t, q), times standard normal numbers (q,): a field of mean 0 and deviation 1.

    eigenvalues: (q,) of the covariance, m2, descending; their sum over the area of the plan is `kept`.
    """

    shapes: Floats
    eigenvalues: Floats
    kept: float

    @classmethod
    def squared_exponential(cls, xy: Floats, areas: Floats, length: float) -> RandomField:
        """Correlation exp(−r²/length²) between places (t, 2) at a distance r, m: 1/e at `length`. areas: (t,), m2."""
        root = np.sqrt(areas)
        columns = _pivoted_cholesky(xy, root, length)
        values, vectors = np.linalg.eigh(columns.T @ columns)
        values, vectors = values[::-1], vectors[:, ::-1]
        vectors = vectors * np.sign(np.take_along_axis(vectors, np.abs(vectors).argmax(axis=0)[None], axis=0))
        share = np.cumsum(values) / areas.sum()
        count = min(int(np.searchsorted(share, KEPT)) + 1, len(values))
        shapes = columns @ vectors[:, :count] / root[:, None]
        return cls(shapes, values[:count], float(share[count - 1]))

    def __repr__(self) -> str:
        places, shapes = self.shapes.shape
        return f"RandomField\n  places  {places}\n  shapes  {shapes}\n  kept    {self.kept:.4f}"


def _pivoted_cholesky(xy: Floats, root: Floats, length: float) -> Floats:
    """(t, k) columns L with L Lᵀ ≈ W C W, W = diag(root); each column takes the place with most variance left."""
    left = root**2
    enough = (1 - KEPT) / 10 * left.sum()
    columns = np.zeros((min(MOST_SHAPES, len(xy)), len(xy)))
    for k in range(len(columns)):
        pivot = int(np.argmax(left))
        correlation = np.exp(-np.sum((xy - xy[pivot]) ** 2, axis=1) / length**2)
        column = root * root[pivot] * correlation - columns[:k].T @ columns[:k, pivot]
        columns[k] = column / np.sqrt(left[pivot])
        left = np.maximum(left - columns[k] ** 2, 0.0)
        if left.sum() <= enough:
            return columns[: k + 1].T
    return columns.T
