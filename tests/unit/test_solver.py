"""The factorisation: rounding-level residuals, and a word where digits are lost."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy import sparse
from shapely import Polygon, box

from fem.errors import ModelError
from fem.plate import Plate, mass, stiffness
from fem.sampling import Sampler
from fem.solver import Factor
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from fem.statics import solve_states
from preprocess.meshing import Sizes, mesh_plan


def factor_of(matrix: np.ndarray) -> Factor:
    csr = sparse.csr_array(matrix)
    return Factor(csr, np.arange(len(matrix)), lambda x: np.asarray(csr @ x))


def test_solution_is_refined_and_the_order_does_not_matter() -> None:
    random = np.random.default_rng(0)
    root = random.normal(size=(30, 30))
    matrix = root @ root.T + np.eye(30)
    right = random.normal(size=(30, 2))
    order = random.permutation(30)
    csr = sparse.csr_array(matrix)
    found = Factor(csr, order, lambda x: np.asarray(csr @ x)).solve(right)
    np.testing.assert_allclose(matrix @ found, right, atol=1e-12)


@pytest.mark.parametrize("matrix", [np.zeros((3, 3)), np.diag([1.0, 0.0, 1.0])])
def test_singular_matrix_is_refused(matrix: np.ndarray) -> None:
    with pytest.raises(ModelError, match="free to move"):
        factor_of(matrix).solve(np.ones((3, 1)))


@pytest.fixture
def slab_with_gap() -> Callable[[float], SprungPlate]:
    """A slab with an opening of 4 m at a distance from its edge."""

    def build(gap: float) -> SprungPlate:
        plan = Polygon(box(0, 0, 8, 6).exterior, [box(2, gap, 6, 1).exterior])
        space = PlateSpace(mesh_plan(plan, Sizes(0.6, 0.15)))
        x, y = np.meshgrid(0.4 + 1.2 * np.arange(7), 1.4 + 1.05 * np.arange(5))
        xy = np.column_stack([x.ravel(), y.ravel()])
        plate = Plate(0.125, 33e9, 0.2, 312.5)
        K, M = stiffness(space, plate), mass(space, 312.5)
        return SprungPlate(space, plate, K, M, xy, Sampler(space).discs(xy, 0.15))

    return build


def test_needles_are_named_and_a_narrow_strip_is_solved(slab_with_gap: Callable[[float], SprungPlate]) -> None:
    """A strip of 1 mm along 4 m costs all digits and is refused; one of 20 mm keeps eleven."""
    rates, none = np.full(35, 2.8e5), np.zeros(35)
    needle = slab_with_gap(0.001)
    load = np.asarray(needle.mass @ needle.space.rigid_motions()[:, :1])
    with pytest.raises(ModelError, match="needles"):
        solve_states(needle, load, rates, none)
    narrow = slab_with_gap(0.020)
    load = np.asarray(narrow.mass @ narrow.space.rigid_motions()[:, :1]) * 9.80665
    (found,) = solve_states(narrow, load, rates, none)
    assert found.jack_load.sum() == pytest.approx(312.5 * 9.80665 * (48 - 4 * 0.98), rel=1e-10)
