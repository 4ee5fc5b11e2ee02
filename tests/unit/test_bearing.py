"""Where the slab bears on the structural floor: cells and rim."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import Polygon

from fem.sampling import Sampler
from fem.space import PlateSpace
from preprocess.bearing import CORNER, PARTS, ROUNDING, STRIP, bearing
from preprocess.contact import contact_cells
from preprocess.meshing import Sizes, mesh_plan

SIZE = 0.5
PLANS = {
    "rectangle": Polygon([(0, 0), (3, 0), (3, 2), (0, 2)]),
    "angle": Polygon([(0, 0), (4, 0), (4, 1.5), (1.5, 1.5), (1.5, 4), (0, 4)]),
    "slanted": Polygon([(0, 0), (4, 0.7), (3.3, 3), (0.4, 2.6)]),
    "opening": Polygon([(0, 0), (4, 0), (4, 3), (0, 3)], [[(1.3, 1), (2.2, 1), (2.2, 2), (1.3, 2)]]),
    "round": shapely.Point(0, 0).buffer(2, quad_segs=40),
}
CONVEX = {"rectangle": 4, "angle": 5, "slanted": 4, "opening": 4, "round": 0}


def on(name: str):
    plan = PLANS[name]
    return plan, bearing(plan, contact_cells(plan, np.zeros((0, 2)), SIZE))


@pytest.mark.parametrize("name", PLANS)
def test_the_area_of_the_plan_is_shared_out(name: str) -> None:
    """Every place stands for some of the slab, all for all of it, and each cell keeps half of its area at least."""
    plan, found = on(name)
    assert found.area.sum() == pytest.approx(plan.area, rel=1e-9)  # rounding of polygons cut by shapely
    assert found.area.min() > 0
    cells = len(found.cells)
    assert (found.area[:cells] >= found.cells.area / 2 * (1 - 1e-9)).all()
    own = np.bincount(found.cell, found.area, cells)
    np.testing.assert_allclose(own.sum(), plan.area)
    assert len(found) == cells + len(found.lines) + len(found.points) == len(found.cell)


@pytest.mark.parametrize("name", PLANS)
def test_lines_follow_the_whole_edge(name: str) -> None:
    """All lines lie on the edge and cover it but for what is shorter than the least length of a line."""
    plan, found = on(name)
    lines = [shapely.LineString(line) for line in found.lines]
    assert max(shapely.distance(plan.boundary, shapely.points(shapely.get_coordinates(lines)))) < 1e-9
    assert sum(line.length for line in lines) == pytest.approx(plan.boundary.length, rel=0.01)
    assert len(lines) >= PARTS * plan.boundary.length / (2 * SIZE)
    for line, cell in zip(lines, found.cell[len(found.cells) :], strict=False):  # then points
        assert found.cells.polygons[cell].distance(line) < 2 * ROUNDING


@pytest.mark.parametrize("name", PLANS)
def test_points_stand_at_convex_corners(name: str) -> None:
    """At none of re-entrant corners, openings and gentle curves."""
    plan, found = on(name)
    assert len(found.points) == CONVEX[name]
    for point in found.points:
        assert shapely.Point(point).distance(shapely.multipoints(shapely.get_coordinates(plan.exterior))) < 1e-9
    assert (found.area[len(found) - len(found.points) :] <= STRIP**2).all()
    assert np.rad2deg(CORNER) == pytest.approx(20)


def test_a_cell_touches_where_any_of_its_places_bears() -> None:
    _, found = on("rectangle")
    contact = np.zeros(len(found))
    contact[-1] = 5.0
    assert found.touching(contact).tolist() == [number == found.cell[-1] for number in range(len(found.cells))]
    assert not found.touching(0 * contact).any()


@pytest.mark.parametrize("name", ["angle", "round"])
def test_footprints_feel_their_own_place(name: str) -> None:
    """The mean over each place of the plane x, and the pressure of the slab's weight: their centroids."""
    plan, found = on(name)
    space = PlateSpace(mesh_plan(plan, Sizes(0.8, 0.8)))
    footprints = found.footprints(Sampler(space))
    assert footprints.count == len(found)
    centres = [shapely.get_coordinates(shapely.centroid(cell))[0] for cell in found.cells.polygons]
    centres += [shapely.get_coordinates(shapely.centroid(shapely.LineString(line)))[0] for line in found.lines]
    np.testing.assert_allclose(footprints.centroids, np.vstack([centres, found.points.reshape(-1, 2)]), atol=1e-6)
