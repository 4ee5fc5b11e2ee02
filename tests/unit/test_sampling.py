"""Footprints: exact means, masses and refusals, whatever the mesh below them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely import MultiPolygon, Point, Polygon, box

from fem.errors import ModelError
from fem.moments import moments, principal_moments
from fem.plate import Plate
from fem.sampling import Footprints, Sampler
from fem.space import PlateSpace
from preprocess.meshing import Sizes, mesh_plan

Floats = NDArray[np.float64]
PLAN = Polygon([(0, 0), (6, 0), (7, 4), (0, 5)], [box(2, 1, 3, 2).exterior.coords])


@pytest.fixture(scope="module")
def sampler() -> Sampler:
    """A slanted plan with an opening, edges of about 0.5 m."""
    return Sampler(PlateSpace(mesh_plan(PLAN, Sizes(0.5, 0.3))))


def means_of_plane(footprints: Footprints) -> Floats:
    """(n, 3) means of the fields 1, x and y."""
    return footprints.rows @ footprints.space.rigid_motions()


MAKERS: dict[str, Callable[[Sampler, Floats], Footprints]] = {
    "points": lambda s, xy: s.points(xy),
    "discs": lambda s, xy: s.discs(xy, 0.5),
    "pads": lambda s, xy: s.pads(xy, 0.4),
    "lines": lambda s, xy: s.lines([p + np.array([[-0.3, -0.1], [0.3, 0.1]]) for p in xy]),
    "polygons": lambda s, xy: s.polygons([box(x - 0.2, y - 0.3, x + 0.2, y + 0.3) for x, y in xy]),
}


@pytest.mark.parametrize("kind", MAKERS)
def test_mean_of_a_plane_is_its_value_in_the_middle(kind: str, sampler: Sampler) -> None:
    """Weights add up to one and their centre is the footprint's, to rounding, so forces keep their moments."""
    random = np.random.default_rng(4)
    xy = np.column_stack([random.uniform(3.4, 5.4, 30), random.uniform(0.5, 3.8, 30)])
    expected = np.column_stack([np.ones(30), xy])
    np.testing.assert_allclose(means_of_plane(MAKERS[kind](sampler, xy)), expected, rtol=1e-12)


@settings(max_examples=30, deadline=None)
@given(st.floats(3.6, 5.6), st.floats(0.4, 3.6), st.floats(0.05, 0.7))
def test_mean_square_of_disc_and_pad(x: float, y: float, size: float) -> None:
    """Mean of (x − x0)² + (y − y0)², which the field w = x² + y² holds exactly: d²/8 and a²/6.

    Rounding: both rules are exact for quadratics."""
    space = PlateSpace(mesh_plan(box(0, 0, 7, 4.5), Sizes(0.9, 0.9)))
    sampler = Sampler(space)
    w = quadratic(space)
    centre = np.array([[x, y]])
    at_centre = x**2 + y**2
    assert (sampler.discs(centre, size).rows @ w)[0] - at_centre == pytest.approx(size**2 / 8, rel=1e-9, abs=1e-12)
    assert (sampler.pads(centre, size).rows @ w)[0] - at_centre == pytest.approx(size**2 / 6, rel=1e-9, abs=1e-12)


def quadratic(space: PlateSpace) -> Floats:
    """(unknowns,) of w = x² + y²."""
    mesh = space.mesh
    h = mesh.vertex_sizes
    x, y = mesh.vertices.T
    at_vertices = np.column_stack([x**2 + y**2, 2 * x * h, 2 * y * h, 2 * h**2, 0 * h, 2 * h**2])
    ends = mesh.vertices[mesh.edges]
    along, middle = ends[:, 1] - ends[:, 0], ends.mean(axis=1)
    at_sides = -along[:, 1] * 2 * middle[:, 0] + along[:, 0] * 2 * middle[:, 1]
    return np.concatenate([at_vertices.ravel(), at_sides])


@pytest.mark.parametrize("kind", MAKERS)
def test_moments_of_a_sphere_like_field(kind: str, sampler: Sampler) -> None:
    """w = x² + y² has w,xx = w,yy = 2, so Mx = My = −2 D (1 + ν) everywhere, hogging: the rim lies lower."""
    plate = Plate(0.1, 30e9, 0.2, 250.0)
    xy = np.array([[4.0, 1.0], [5.1, 2.9]])
    found = moments(MAKERS[kind](sampler, xy), plate, quadratic(sampler.space))
    expected = -2 * plate.rigidity * 1.2
    np.testing.assert_allclose(found[:, :2], expected, rtol=1e-8)
    np.testing.assert_allclose(found[:, 2], 0, atol=1e-8 * abs(expected))


def test_line_along_mesh_edges_counts_once(sampler: Sampler) -> None:
    """The outline itself and the mesh's own edges: length is not counted from both triangles."""
    edges = [np.array([[0.0, 0.0], [6.0, 0.0]]), np.array(PLAN.interiors[0].coords)]
    inner = sampler.space.mesh.edges[: len(sampler.space.mesh.edges) // 2]
    edges += list(sampler.space.mesh.vertices[inner])
    np.testing.assert_allclose(means_of_plane(sampler.lines(edges))[:, 0], 1, rtol=1e-12)
    np.testing.assert_allclose(means_of_plane(sampler.lines(edges))[0], [1, 3, 0], atol=1e-12)


def test_bent_line_is_averaged_over_its_length(sampler: Sampler) -> None:
    path = np.array([[3.5, 0.5], [5.5, 0.5], [5.5, 3.5]])
    mean = means_of_plane(sampler.lines([path]))[0]
    np.testing.assert_allclose(mean, [1, (2 * 4.5 + 3 * 5.5) / 5, (2 * 0.5 + 3 * 2.0) / 5], rtol=1e-12)


def test_mass_spread_over_shapes(sampler: Sampler) -> None:
    """Mass, centre and second moment of an L-shaped area around the opening and of a line, in closed form."""
    rigid = sampler.space.rigid_motions()
    area = Polygon([(1, 0.5), (4, 0.5), (4, 0.9), (1.5, 0.9), (1.5, 3), (1, 3)])
    M = rigid.T @ (sampler.polygons([area]).mass(np.array([100.0])) @ rigid)
    centre = area.centroid
    np.testing.assert_allclose(M[0], 100 * np.array([1, centre.x, centre.y]), rtol=1e-11)
    line = np.array([[3.5, 1.0], [5.5, 1.0]])
    M = rigid.T @ (sampler.lines([line]).mass(np.array([60.0])) @ rigid)
    assert M[1, 1] == pytest.approx(60 * (4.5**2 + 2**2 / 12), rel=1e-11)


def test_area_with_a_hole(sampler: Sampler) -> None:
    ring = Polygon(box(1, 0.5, 5, 3.5).exterior, [box(1.8, 0.8, 3.4, 2.4).exterior])
    mean = means_of_plane(sampler.polygons([ring]))[0]
    np.testing.assert_allclose(mean, [1, ring.centroid.x, ring.centroid.y], rtol=1e-11)


@pytest.mark.parametrize(
    ("make", "what"),
    [
        (lambda s: s.points(np.array([[1.0, 1.0], [9.0, 1.0]])), "1 of 2 point .* 1 at \\(9.000, 1.000\\) m"),
        (lambda s: s.points(np.array([[2.5, 1.5]])), "point"),
        (lambda s: s.discs(np.array([[0.05, 1.0]]), 0.2), "disc"),
        (lambda s: s.pads(np.array([[2.0, 1.5]]), 0.2), "area"),
        (lambda s: s.lines([np.array([[1.0, 1.5], [4.0, 1.5]])]), "line"),
        (lambda s: s.polygons([box(20, 20, 21, 21)]), "area"),
    ],
)
def test_footprints_off_the_slab_are_refused(
    make: Callable[[Sampler], Footprints], what: str, sampler: Sampler
) -> None:
    with pytest.raises(ModelError, match=what):
        make(sampler)


def test_points_on_the_edge_are_found(sampler: Sampler) -> None:
    ring = PLAN.exterior
    xy = np.array([ring.interpolate(t, normalized=True).coords[0] for t in np.linspace(0, 1, 40)])
    np.testing.assert_allclose(means_of_plane(sampler.points(xy)), np.column_stack([np.ones(40), xy]), atol=1e-7)


def test_principal_moments_turn_with_the_axes() -> None:
    """A pure twist is ± itself at 45°; and R diag(M1, M2) Rᵀ gives back M (Mohr's circle), to rounding."""
    twist = principal_moments(np.array([[0.0, 0.0, 3.0]]))
    np.testing.assert_allclose([twist.larger[0], twist.smaller[0], twist.angle[0]], [3, -3, np.pi / 4])
    triple = np.random.default_rng(7).normal(size=(50, 3))
    found = principal_moments(triple)
    first, second, c, s = found.larger, found.smaller, np.cos(found.angle), np.sin(found.angle)
    rebuilt = np.column_stack([first * c**2 + second * s**2, first * s**2 + second * c**2, (first - second) * c * s])
    np.testing.assert_allclose(rebuilt, triple, atol=1e-14)
    assert np.all(first >= second)


def test_pads_as_one_shape_equal_pads_one_by_one(sampler: Sampler) -> None:
    xy = np.array([[4.0, 1.0], [5.1, 2.9]])
    shapes = MultiPolygon([Point(p).buffer(0.1, cap_style="square") for p in xy])
    one = sampler.polygons(list(shapes.geoms)).rows
    np.testing.assert_allclose(one.toarray(), sampler.pads(xy, 0.2).rows.toarray(), atol=1e-12)


@pytest.mark.parametrize("degrees", range(0, 180, 15))
def test_line_along_a_slanted_edge(degrees: int) -> None:
    """The outline of a turned rectangle, with corners rounded to the micrometre as a drawing gives them."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    corners = np.round(np.array([[0.0, 0], [5, 0], [5, 3], [0, 3]]) @ np.array([[c, s], [-s, c]]), 6)
    slanted = Sampler(PlateSpace(mesh_plan(Polygon(corners), Sizes(0.7, 0.7))))
    ring = np.vstack([corners, corners[:1]])
    path = [ring, ring[:2], ring[1:3], np.vstack([ring[:2], ring[:1]])]  # round it, along a side, there and back
    expected = [np.mean(corners, axis=0), *(ring[i : i + 2].mean(axis=0) for i in (0, 1, 0))]
    found = means_of_plane(slanted.lines(path))
    np.testing.assert_allclose(found, np.column_stack([np.ones(4), expected]), atol=1e-6)


def test_disc_that_just_touches_the_edge(sampler: Sampler) -> None:
    """All points of a disc lie inside it, so a housing flush with the edge is on the slab."""
    means = means_of_plane(sampler.discs(np.array([[0.075, 1.5], [1.925, 1.5]]), 0.15))
    np.testing.assert_allclose(means, [[1, 0.075, 1.5], [1, 1.925, 1.5]], rtol=1e-12)
