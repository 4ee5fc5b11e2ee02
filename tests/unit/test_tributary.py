"""The tributary estimate in cases that can be done by hand."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, box

from postprocess.tributary import nearest_cells, tributary_loads

PLAN = box(0, 0, 6, 4)
JACKS = np.array([[1.0, 1], [3, 1], [5, 1], [1, 3], [3, 3], [5, 3]])


def test_even_grid_shares_evenly() -> None:
    np.testing.assert_allclose(tributary_loads(PLAN, JACKS, [(PLAN, 60e3)]), 10e3)


def test_a_foot_goes_to_the_nearest_jack_and_a_line_to_those_along_it() -> None:
    foot = Point(4.7, 2.6).buffer(0.1)
    line = LineString([(0, 0.2), (3, 0.2)])
    np.testing.assert_allclose(tributary_loads(PLAN, JACKS, [(foot, 9e3)]), [0, 0, 0, 0, 0, 9e3])
    np.testing.assert_allclose(tributary_loads(PLAN, JACKS, [(line, 9e3)]), [6e3, 3e3, 0, 0, 0, 0])


def test_a_cell_across_a_gap_counts_only_the_slab() -> None:
    """Nothing is lost on an irregular plan, and jacks listed in any order keep their own cell."""
    plan = Polygon([(0, 0), (6, 0), (6, 4), (4, 4), (4, 2), (0, 2)])
    order = np.array([5, 0, 2, 1])
    found = tributary_loads(plan, JACKS[order], [(plan, plan.area)])
    assert found.sum() == pytest.approx(plan.area)
    np.testing.assert_allclose(found, [4.0, 4.0, 4.0, 4.0])


@pytest.mark.parametrize("seed", range(5))
def test_cells_tile_the_plan_on_regular_and_shaken_grids(seed: int) -> None:
    """Square grids are where four cells meet in one corner and rounding may go either way."""
    random = np.random.default_rng(seed)
    nx, ny = random.integers(4, 12, 2)
    x, y = np.meshgrid(0.3 + 1.17 * np.arange(nx), 0.35 + 1.17 * np.arange(ny), indexing="ij")
    jacks = np.column_stack([x.ravel(), y.ravel()]) + random.normal(0, 1e-12 if seed else 0.0, (nx * ny, 2))
    plan = box(0, 0, 1.17 * nx - 0.5, 1.17 * ny - 0.4)
    areas = np.array([plan.intersection(cell).area for cell in nearest_cells(plan, jacks)])
    assert areas.sum() == pytest.approx(plan.area, rel=1e-9)
    assert areas.min() > 0.3


def test_a_wall_midway_between_two_rows_is_shared_evenly() -> None:
    """It lies on the border of cells; and one that is partly on the border and partly not loses nothing."""
    wall = LineString([(0, 2), (6, 2)])
    np.testing.assert_allclose(tributary_loads(PLAN, JACKS, [(wall, 12e3)]), 2e3, rtol=1e-5)
    bent = LineString([(1, 2), (3, 2), (3, 0)])  # 2 m on the border, 2 m in the cell of the second jack
    np.testing.assert_allclose(
        tributary_loads(PLAN, JACKS, [(bent, 8e3)]), [1e3, 5e3, 0, 1e3, 1e3, 0], atol=8e3 * 1e-5
    )
