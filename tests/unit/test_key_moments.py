"""Where moments are looked at: strips at jacks, cut at edges, and spans between jacks."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Point, Polygon, box

from fem.bending import BendingField
from fem.concentrated import ConcentratedForces
from fem.plate import Plate
from fem.sampling import Sampler
from fem.space import PlateSpace
from postprocess.key_moments import key_moments, span_points
from preprocess.meshing import Sizes, mesh_plan

U_PLAN = Polygon([(0, 0), (6, 0), (6, 4), (4, 4), (4, 1.4), (2, 1.4), (2, 4), (0, 4)])


def test_spans_stay_on_the_slab() -> None:
    """No span across the gap of a U, none between jacks far apart, none beside a re-entrant corner."""
    jacks = np.array([[1.5, 3.5], [1.5, 2.3], [1.5, 1.1], [4.5, 3.5], [4.5, 2.3], [4.5, 1.1], [3.0, 0.7]])
    corners = np.array([[4.0, 1.4], [2.0, 1.4]])
    middles = span_points(U_PLAN, jacks, corners, 0.3)
    assert len(middles) == 6
    assert all(U_PLAN.covers(Point(p)) for p in middles)
    crowded = np.vstack([jacks, [[2.5, 0.2], [3.9, 1.2]]])
    near = span_points(U_PLAN, crowded, np.zeros((0, 2)), 0.3)
    clear = span_points(U_PLAN, crowded, np.array([[4.2, 1.15]]), 0.3)
    assert len(clear) == len(near) - 1


def test_strip_means_of_a_cubic_bend() -> None:
    """w = x³ bends about y only: Mx = −6 D x, My = ν Mx. The strip across y takes the value at the jack; the strip
    along x the mean of the part that is on the slab."""
    plan = box(0, 0, 3, 2)
    space = PlateSpace(mesh_plan(plan, Sizes(0.7, 0.7)))
    mesh, h = space.mesh, space.mesh.vertex_sizes
    x = mesh.vertices[:, 0]
    zero = 0 * x
    at_vertices = np.column_stack([x**3, 3 * x**2 * h, zero, 6 * x * h**2, zero, zero])
    ends = mesh.vertices[mesh.edges]
    at_sides = -(ends[:, 1, 1] - ends[:, 0, 1]) * 3 * ends[:, :, 0].mean(axis=1) ** 2
    u = np.concatenate([at_vertices.ravel(), at_sides])
    plate = Plate(0.1, 30e9, 0.2, 250.0)
    jacks = np.array([[0.1, 1.0], [1.5, 0.5], [2.5, 1.5]])
    nowhere = ConcentratedForces(jacks, np.full(3, 0.05), np.zeros(3))
    field = BendingField(Sampler(space), plate, u[:, None], nowhere, np.zeros((3, 1)))
    (found,) = key_moments(field, plan=plan, jack_xy=jacks, strip=0.4, corners=np.zeros((0, 2)))
    bend = -6 * plate.rigidity
    np.testing.assert_allclose(found.at_jacks[:, 0], bend * jacks[:, 0], rtol=1e-7)
    means = [0.15, 1.5, 2.5]  # the first strip is cut at the edge: from 0 to 0.3 m
    np.testing.assert_allclose(found.at_jacks[:, 1], 0.2 * bend * np.array(means), rtol=1e-7)
    np.testing.assert_allclose(found.in_spans[:, 0], bend * found.span_xy[:, 0], rtol=1e-7)
    assert found.largest == pytest.approx(abs(bend) * 2.5, rel=1e-7)
