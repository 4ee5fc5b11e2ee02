"""The order of elimination: a permutation, separators last, and sparser factors than without it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.linalg import splu
from shapely import Polygon

from fem.mesh import Mesh
from fem.ordering import elimination_order
from fem.plate import Plate, mass, stiffness
from fem.space import PlateSpace
from preprocess.meshing import Sizes, mesh_plan

PLAN = Polygon([(0, 0), (9, 0), (9, 9), (6, 9), (6, 3), (3, 3), (3, 9), (0, 9)])


def fill(space: PlateSpace, order: NDArray[np.int64] | None) -> int:
    """Entries of both factors of stiffness plus a bed; without an order, in SuperLU's own of minimum degree."""
    matrix = stiffness(space, Plate(0.1, 30e9, 0.2, 250.0)) + 1e6 * mass(space, 1.0)
    if order is not None:
        matrix = matrix[order][:, order]
    own = "MMD_AT_PLUS_A" if order is None else "NATURAL"
    factors = splu(matrix.tocsc(), permc_spec=own, diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    return int(factors.nnz)


def test_every_unknown_once() -> None:
    for mesh in (mesh_plan(PLAN, Sizes(0.8, 0.2)), Mesh.from_arrays(np.eye(3)[:, :2], np.array([[0, 1, 2]]))):
        space = PlateSpace(mesh)
        np.testing.assert_array_equal(np.sort(elimination_order(space)), np.arange(space.unknowns))


def test_factors_are_sparse() -> None:
    """As good as minimum degree (Liu's, in SuperLU) within a fifth, and half the fill of the mesh's own numbering."""
    space = PlateSpace(mesh_plan(PLAN, Sizes(0.4, 0.1)))
    ours = fill(space, elimination_order(space))
    assert ours < 1.2 * fill(space, None)
    assert ours < 0.5 * fill(space, np.arange(space.unknowns))
