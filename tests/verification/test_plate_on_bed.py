"""A plate on a uniform elastic bed, under a disc load and under a load that varies linearly."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from netgen.geom2d import SplineGeometry
from netgen.meshing import MeshingParameters
from numpy.typing import NDArray
from scipy.sparse.linalg import spsolve
from scipy.special import kei, keip, kerp

from fem.mesh import Mesh
from fem.moments import moments
from fem.plate import Plate, mass, stiffness
from fem.sampling import Sampler
from fem.space import PlateSpace

Floats = NDArray[np.float64]

ELL = 1.0
"""Characteristic length (D/k)^¼ of the plates here, m: D = 1 N·m and k = 1 N/m3."""
HALF_WIDTH = 12.0
"""Half the side of the square that stands for an infinite plate: w there is below e^(−12/√2) = 0.0002 of w0."""


@pytest.fixture(scope="module")
def wide_mesh() -> Mesh:
    """24 ℓ × 24 ℓ, graded to the middle."""
    geometry = SplineGeometry()
    geometry.AddRectangle((-HALF_WIDTH, -HALF_WIDTH), (HALF_WIDTH, HALF_WIDTH))
    sizes = MeshingParameters(maxh=2.0, grading=0.3)
    sizes.RestrictH(0, 0, 0, 0.05)
    mesh = geometry.GenerateMesh(mp=sizes)
    triangles = np.array([[v.nr - 1 for v in el.vertices] for el in mesh.Elements2D()])
    return Mesh.from_arrays(np.array(mesh.Coordinates())[:, :2], triangles)


def kelvin(b: float, nu: float) -> tuple[float, float]:
    """w0 and M0 for P = 1, D = k = 1 under a disc of radius b.

    w0 = (q/k)(1 + b ker′ b), M0 = (1+ν) q ℓ² b kei′(b)/2, q = P/(π b²): Timoshenko and Woinowsky-Krieger, Theory of
    Plates and Shells, 2nd ed. 1959, chapter 8.
    """
    q = 1 / (np.pi * b**2)
    return float(q * (1 + b * kerp(b))), float((1 + nu) * q * b * keip(b) / 2)


@pytest.mark.parametrize(
    ("b", "deflection", "moment"),
    [(0.1, 0.994161, 0.232326), (0.5, 0.917752, 0.106062), (1.0, 0.777685, 0.056081)],
)
@pytest.mark.parametrize("nu", [0.2, 0.3])
def test_disc_load_on_infinite_plate(
    b: float, deflection: float, moment: float, nu: float, wide_mesh: Mesh, unit_plate: Callable[[float], Plate]
) -> None:
    """8 w0 √(kD)/P within 0.02 % and M0/(P(1+ν)) within 0.2 %.

    The finite width changes w0 by about e^(−12/√2), 0.02 %; the moment under the disc is a local value, and the disc
    of 32 sides and the mesh there leave about 0.1 %.
    """
    space = PlateSpace(wide_mesh)
    plate = unit_plate(nu)
    sampler = Sampler(space)
    disc = sampler.discs(np.zeros((1, 2)), 2 * b)
    u = spsolve((stiffness(space, plate) + mass(space, 1.0)).tocsc(), disc.rows.toarray()[0])
    centre = sampler.points(np.zeros((1, 2)))
    w0, (Mx, My, Mxy) = (centre.rows @ u)[0], moments(centre, plate, u)[0]
    exact_w0, exact_M0 = kelvin(b, nu)
    assert 8 * exact_w0 == pytest.approx(deflection, abs=1e-6), "the listed value, six digits"
    assert exact_M0 / (1 + nu) == pytest.approx(moment, abs=1e-6), "the listed value, six digits"
    assert 8 * w0 == pytest.approx(deflection, rel=2e-4)
    assert Mx / (1 + nu) == pytest.approx(moment, rel=2e-3)
    assert My / (1 + nu) == pytest.approx(moment, rel=2e-3)
    assert Mxy == pytest.approx(0, abs=2e-3 * moment)


def test_westergaard_interior_loading() -> None:
    """M = P(1+ν)/(4π) [ln(2/b) + 0.5 − 0.5772 + π b²/32] is the series of the disc's moment for small b.

    H. M. Westergaard, Public Roads 7 (1926). 0.1 % at b 0.2, where the terms left out are of order b⁴ ln b.
    """
    b, nu = 0.2, 0.15
    series = (1 + nu) / (4 * np.pi) * (np.log(2 / b) + 0.5 - 0.5772 + np.pi * b**2 / 32)
    assert kelvin(b, nu)[1] == pytest.approx(series, rel=1e-3)
    assert kei(0.0) == pytest.approx(-np.pi / 4), "w0 = P/(8 √(kD)) for a point load follows from kei(0)"


def test_linear_load_gives_plane_deflection(
    rectangle_mesh: Callable[..., Mesh], unit_plate: Callable[[float], Plate]
) -> None:
    """Patch test: load q = a + b x + c y on a uniform bed of 1 N/m3 gives w = q and no moment anywhere; rounding."""
    space = PlateSpace(rectangle_mesh(3, 2, 5, 3))
    plate = unit_plate(0.2)
    bed = mass(space, 1.0)
    plane = space.rigid_motions() @ np.array([0.4, -0.3, 0.7])
    u = spsolve((stiffness(space, plate) + bed).tocsc(), bed @ plane)
    points = Sampler(space).points(np.random.default_rng(1).uniform([0, 0], [3, 2], (50, 2)))
    assert np.abs(u - plane).max() < 1e-11
    assert np.abs(moments(points, plate, u)).max() < 1e-9


def test_simply_supported_square_plate(
    rectangle_mesh: Callable[..., Mesh], unit_plate: Callable[[float], Plate]
) -> None:
    """Uniform load, ν 0.3: 0.00406 q a⁴/D and 0.0479 q a² (Timoshenko and Woinowsky-Krieger, table 8).

    The supports are penalty springs on 40 pieces of each edge; 0.2 % is half a unit of the printed 0.00406.
    """
    space = PlateSpace(rectangle_mesh(1, 1, 8, 8))
    plate = unit_plate(0.3)
    sampler = Sampler(space)
    ends = np.linspace(0, 1, 41)
    along = [np.array([[a, 0.0], [b, 0.0]]) for a, b in pairwise(ends)]
    up, right = np.array([0.0, 1.0]), np.array([1.0, 0.0])
    edges = [*along, *(p + up for p in along), *(p[:, ::-1] for p in along), *(p[:, ::-1] + right for p in along)]
    R = sampler.lines(edges).rows
    load = np.asarray(mass(space, 1.0) @ space.rigid_motions()[:, 0])
    u = spsolve((stiffness(space, plate) + 1e6 * (R.T @ R)).tocsc(), load)
    centre = sampler.points(np.array([[0.5, 0.5]]))
    assert (centre.rows @ u)[0] == pytest.approx(0.00406, rel=2e-3)
    np.testing.assert_allclose(moments(centre, plate, u)[0, :2], 0.0479, rtol=2e-3)
