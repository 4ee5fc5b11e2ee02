"""Places where moments are judged: strip means of known fields, which vertex stands under which place, and names.

The fields are polynomials of third degree, for which Simpson's rule is exact; tolerances are rounding.
"""

from __future__ import annotations

from math import sqrt

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import box

from fem.mesh import Mesh
from postprocess.strength.places import Places, Spots
from preprocess.plan import re_entrant_corners
from tests.unit.strength_cases import ANGLE, FEET, JACKS, RECTANGLE, some_places

Floats = NDArray[np.float64]


def field(xy: Floats) -> Floats:
    """(p, 3, 2) two columns of Mx, My, Mxy, all different, at points (p, 2)."""
    x, y = xy.T
    first = [3 + x - 2 * y**2 + 0.5 * x * y**2, 1 - x**3 + y, 0.3 * x * y]
    second = [x**2 * y, y**3 - 2 * x, 5 - x * y + y**2]
    return np.stack([np.stack(first, axis=1), np.stack(second, axis=1)], axis=2)


def mean_between(start: Floats | list[float], end: Floats | list[float]) -> Floats:
    """(3, 2) mean of the field along a straight line by Simpson's rule."""
    start, end = np.asarray(start, dtype=float), np.asarray(end, dtype=float)
    at = field(np.array([start, (start + end) / 2, end]))
    return np.asarray((at[0] + 4 * at[1] + at[2]) / 6)


@pytest.fixture(scope="module")
def places() -> Places:
    """The angle with three jacks, of which the third stands 0.1 m from the edge x = 0, and two feet."""
    jacks = np.array([[1.0, 1.0], [4.0, 1.0], [0.1, 3.0]])
    return some_places(ANGLE, jacks)


def test_points_and_rows_match(places: Places) -> None:
    judged = places.judge(field(places.points))
    rows = len(places.mesh.vertices) + 3 + 2 + 1 + 3
    assert judged.for_x.shape == judged.for_y.shape == (rows, 3, 2)
    assert places.xy.shape == (rows, 2)
    assert judged.strips == slice(len(places.mesh.vertices), len(places.mesh.vertices) + 5)
    assert places.at_strips == slice(rows - 4, rows - 3)


def test_vertices_are_judged_as_they_are(places: Places) -> None:
    judged = places.judge(field(places.points))
    v = len(places.mesh.vertices)
    np.testing.assert_allclose(judged.for_x[:v], field(places.mesh.vertices), rtol=1e-12)
    np.testing.assert_array_equal(judged.for_y[:v], judged.for_x[:v])


def test_means_over_strips(places: Places) -> None:
    """Over size plus thickness, 275 mm at jacks and 225 mm at feet: for steel along x along y, and the other way."""
    judged = places.judge(field(places.points))
    first = len(places.mesh.vertices)
    np.testing.assert_allclose(places.strips, [0.275, 0.275, 0.275, 0.225, 0.225], rtol=1e-12)
    for spot, (x, y) in enumerate(places.spots.xy):
        half = places.strips[spot] / 2
        expected_x = mean_between([x, y - half], [x, y + half])
        np.testing.assert_allclose(judged.for_x[first + spot], expected_x, rtol=1e-10, atol=1e-12)
        if spot != 2:
            expected_y = mean_between([x - half, y], [x + half, y])
            np.testing.assert_allclose(judged.for_y[first + spot], expected_y, rtol=1e-10, atol=1e-12)
    change = np.abs(judged.for_x - judged.for_y)[judged.strips].max(axis=(1, 2))
    assert change.min() > 1e-3, "or sections along x and along y could be mixed up"


def test_strip_cut_at_the_edge(places: Places) -> None:
    """The jack 0.1 m from the edge: from the edge to 0.1 + 0.1375 m, not beyond."""
    judged = places.judge(field(places.points))
    found = judged.for_y[len(places.mesh.vertices) + 2]
    np.testing.assert_allclose(found, mean_between([0.0, 3.0], [0.2375, 3.0]), rtol=1e-10)
    assert np.abs(found - mean_between([-0.0375, 3.0], [0.2375, 3.0])).max() > 1e-3


def test_means_at_the_corner(places: Places) -> None:
    """From (2, 2) along the bisector into the slab: 0.275 m for cracks, 4 h = 0.5 m for resistance, each by its own
    mean. Across it, at 135°, M = (Mx + My)/2 − Mxy.
    """
    judged = places.judge(field(places.points))
    for row, width, across in ((-4, 0.275, judged.across), (-3, 0.5, judged.across_zone)):
        expected = mean_between([2.0, 2.0], [2 - width / sqrt(2), 2 - width / sqrt(2)])
        np.testing.assert_allclose(judged.for_x[row], expected, rtol=1e-10)
        np.testing.assert_allclose(judged.for_y[row], expected, rtol=1e-10)
        normal = (expected[0] + expected[1]) / 2 - expected[2]
        np.testing.assert_allclose(across[0], normal, rtol=1e-10)


def test_zone_is_no_shorter_than_the_strip() -> None:
    """A slab of 50 mm under housings of 300 mm: 4 h = 0.2 m is less than the strip, 0.35 m, which then serves both."""
    spots = Spots(("jack J1",), np.array([[1.0, 1.0]]), np.array([0.3]), 1)
    corner = np.array([[2.0, 2.0]])
    mesh = some_places(ANGLE).mesh
    found = Places.on_plan(ANGLE, mesh, spots, corner, thickness=0.05, corner_strip=0.35)
    np.testing.assert_allclose(found.zones.widths, 0.35)
    np.testing.assert_allclose(found.corners.widths, 0.35)


def test_combined_columns(places: Places) -> None:
    """Superposed before or after judging: the same, in every part."""
    factors = np.array([[1.35, 1.0, 0.0], [-1.5, 1.5, 2.0]])
    triples = field(places.points)
    one, other = places.judge(triples).combined(factors), places.judge(triples @ factors)
    for name in ("for_x", "for_y", "across", "across_zone"):
        np.testing.assert_allclose(getattr(one, name), getattr(other, name), rtol=1e-10, atol=1e-10)
    assert one.strips == other.strips


VERTICES = np.array(
    [[0.0, 0], [6, 0], [6, 2], [2, 2], [2, 4], [0, 4], [1, 1], [1.1, 1], [1.2, 1], [1.7, 1.7], [1.8, 1.8]]
)
"""Three beside a jack at (1, 1), within its 137.5 mm or not, and two near the corner at (2, 2), 424 and 283 mm off."""


def on_vertices(jacks: Floats, size: Floats | None = None) -> Places:
    """The angle with jacks and no feet, its mesh a fan of any triangles: only the vertices count here."""
    triangles = np.array(
        [[0, 1, 6], [6, 1, 7], [7, 1, 8], [8, 1, 2], [8, 2, 9], [9, 2, 10], [10, 2, 3], [6, 3, 4], [6, 4, 5]]
    )
    sizes = np.full(len(jacks), 0.15) if size is None else size
    spots = Spots(tuple(f"jack J{i}" for i in range(len(jacks))), jacks, sizes, len(jacks))
    mesh = Mesh.from_arrays(VERTICES, triangles)
    return Places.on_plan(ANGLE, mesh, spots, np.array([[2.0, 2.0]]), thickness=0.125, corner_strip=0.275)


def test_whose_moments_stand_for_a_vertex() -> None:
    """11 vertices, a jack (11), the corner by its strip (12), and by its zone (13).

    Resistance: the corner's zone reaches 0.5 m; cracks: its strip 0.275 m.
    """
    places = on_vertices(np.array([[1.0, 1.0]]))
    own = np.arange(11)
    np.testing.assert_array_equal(places.home, [*own[:3], 13, 4, 5, 11, 11, 8, 13, 13])
    np.testing.assert_array_equal(places.crack_home, [*own[:3], 12, 4, 5, 11, 11, 8, 9, 10])
    np.testing.assert_array_equal(np.flatnonzero(places.regular), [0, 1, 2, 4, 5, 8, 11])
    np.testing.assert_array_equal(np.flatnonzero(places.cracking), [0, 1, 2, 4, 5, 8, 9, 10, 11, 12])


def test_nearest_of_two_jacks() -> None:
    """Housings side by side: (1, 1) is 50 mm from the second and 120 mm from the first, (1.1, 1) the other way."""
    places = on_vertices(np.array([[1.12, 1.0], [0.95, 1.0]]))
    assert list(places.home[[6, 7]]) == [12, 11]


def test_reach_goes_with_the_size() -> None:
    """(1.2, 1) lies 200 mm off: within half of 500 + 125 mm, not within half of 150 + 125 mm."""
    assert on_vertices(np.array([[1.0, 1.0], [5.0, 1.0]]), np.array([0.5, 0.15])).home[8] == 11
    assert on_vertices(np.array([[1.0, 1.0], [5.0, 1.0]]), np.array([0.15, 0.5])).home[8] == 8


def test_without_corners() -> None:
    places = some_places(RECTANGLE)
    judged = places.judge(field(places.points))
    assert judged.across.shape == judged.across_zone.shape == (0, 2)
    assert len(places.xy) == len(places.mesh.vertices) + 5
    np.testing.assert_array_equal(places.home, places.crack_home)
    np.testing.assert_array_equal(places.regular, places.cracking)
    assert places.regular[-5:].all()


def test_without_feet() -> None:
    places = some_places(RECTANGLE, feet=np.zeros((0, 2)))
    judged = places.judge(field(places.points))
    assert places.spots.names == ("jack J1", "jack J2", "jack J3")
    assert judged.for_x.shape == (len(places.mesh.vertices) + 3, 3, 2)
    assert {places.spots.kind(spot) for spot in range(3)} == {"jack"}


def test_names(places: Places) -> None:
    v = len(places.mesh.vertices)
    x, y = places.mesh.vertices[7]
    assert places.name(7) == f"slab at ({x:.3f}, {y:.3f}) m"
    assert [places.name(v + spot) for spot in (0, 2, 3)] == ["jack J1", "jack J3", "Rack, foot 1"]
    assert places.name(v + 5) == places.name(v + 6) == "re-entrant corner at (2.000, 2.000) m"
    assert [places.spots.kind(spot) for spot in range(5)] == ["jack"] * 3 + ["foot"] * 2


def test_strip_beside_an_opening() -> None:
    """Slits 0.1 m east of a jack and 0.1 m west of another cut their strips; the part with the jack counts, not that
    beyond.
    """
    plan = RECTANGLE.difference(box(1.1, 0.5, 1.12, 1.5)).difference(box(3.88, 0.5, 3.9, 1.5))
    places = some_places(plan, JACKS, FEET)
    judged = places.judge(field(places.points))
    first = len(places.mesh.vertices)
    np.testing.assert_allclose(judged.for_y[first], mean_between([0.8625, 1.0], [1.1, 1.0]), rtol=1e-10)
    np.testing.assert_allclose(judged.for_y[first + 1], mean_between([3.9, 1.0], [4.1375, 1.0]), rtol=1e-10)


def test_zones_of_neighbouring_corners_do_not_overlap() -> None:
    """An opening of 300 × 300 mm: half of that for each corner, not four thicknesses; a corner far off keeps these."""
    plan = ANGLE.difference(box(0.5, 2.5, 0.8, 2.8))
    spots = Spots(("jack J1",), np.array([[1.0, 1.0]]), np.array([0.15]), 1)
    corners = re_entrant_corners(plan)
    mesh = some_places(plan).mesh
    found = Places.on_plan(plan, mesh, spots, corners, thickness=0.125, corner_strip=0.275)
    of_opening = np.hypot(*(corners - [2.0, 2.0]).T) > 0.1
    np.testing.assert_allclose(found.zones.widths[of_opening], 0.15)
    np.testing.assert_allclose(found.zones.widths[~of_opening], 0.5)
