"""The order of elimination: a permutation, separators last, and sparser factors than without it."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from scipy.sparse.linalg import splu
from shapely import Polygon

from fem.mesh import Mesh
from fem.ordering import elimination_order
from fem.plate import Plate, mass, stiffness
from fem.sampling import Sampler
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from preprocess.meshing import Sizes, mesh_plan

PLAN = Polygon([(0, 0), (9, 0), (9, 9), (6, 9), (6, 3), (3, 3), (3, 9), (0, 9)])


@pytest.fixture(scope="module")
def model() -> SprungPlate:
    """A U on jacks at 1.2 m."""
    space = PlateSpace(mesh_plan(PLAN, Sizes(0.5, 0.12)))
    x, y = np.meshgrid(0.31 + 1.197 * np.arange(8), 0.33 + 1.193 * np.arange(8))
    xy = np.column_stack([x.ravel(), y.ravel()])
    xy = xy[shapely.contains_xy(PLAN.buffer(-0.1), *xy.T)]
    plate = Plate(0.1, 30e9, 0.2, 250.0)
    K, M = stiffness(space, plate), mass(space, 250.0)
    return SprungPlate(space, plate, K, M, xy, Sampler(space).discs(xy, 0.15))


def fill(model: SprungPlate, order: NDArray[np.int64] | None) -> int:
    """Entries of both factors of the slab on its springs; without an order, in SuperLU's own of minimum degree."""
    matrix = model.factor(np.full(len(model.jack_xy), 3e5)).matrix
    if order is not None:
        matrix = matrix[order][:, order]
    own = "MMD_AT_PLUS_A" if order is None else "NATURAL"
    factors = splu(matrix.tocsc(), permc_spec=own, diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    return int(factors.nnz)


def test_every_unknown_once(model: SprungPlate) -> None:
    single = PlateSpace(Mesh.from_arrays(np.eye(3)[:, :2], np.array([[0, 1, 2]])))
    point = Sampler(single).points(np.array([[0.3, 0.3]]))
    for space, jacks in ((model.space, model.jacks), (single, point)):
        np.testing.assert_array_equal(np.sort(elimination_order(space, jacks)), np.arange(space.unknowns))


def test_factors_are_sparse(model: SprungPlate) -> None:
    """At most half as much again as minimum degree, which is near the least on a small mesh; half of what the mesh's
    own numbering gives."""
    ours = fill(model, elimination_order(model.space, model.jacks))
    assert ours < 1.5 * fill(model, None)
    assert ours < 0.5 * fill(model, np.arange(model.space.unknowns))
