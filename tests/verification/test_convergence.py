"""How fast the solution settles as the mesh is refined, with the slope fitted and the last error bounded."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.sparse.linalg import eigsh

from fem.mesh import Mesh
from fem.modes import solve_modes
from fem.moments import moments
from fem.plate import Plate, mass, stiffness
from fem.sampling import Sampler
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from fem.statics import solve_states

Floats = NDArray[np.float64]


def slope(sizes: Floats, errors: Floats) -> float:
    """Exponent p of error = c h^p by least squares."""
    return float(np.polyfit(np.log(sizes), np.log(errors), 1)[0])


def test_smooth_deflection_and_moments(
    rectangle_mesh: Callable[..., Mesh], unit_plate: Callable[[float], Plate]
) -> None:
    """w = cos πx cos 2πy on a unit square: nodal interpolation has error h⁶ in w and h⁴ in moments (Ciarlet 1978,
    theorem 6.1.1). Half an order is left for meshes that are not yet in the limit; the bounds are ten times what
    the constants give."""
    plate = unit_plate(0.3)
    points_xy = np.random.default_rng(2).uniform(0.05, 0.95, (400, 2))
    x, y = np.pi * points_xy.T[0], 2 * np.pi * points_xy.T[1]
    exact = np.cos(x) * np.cos(y)
    Mx = np.pi**2 * exact * (1 + 0.3 * 4)
    sizes, in_w, in_M = [], [], []
    for n in (4, 6, 9, 13):
        space = PlateSpace(rectangle_mesh(1, 1, n, n))
        u = interpolated(space)
        points = Sampler(space).points(points_xy)
        sizes.append(1 / n)
        in_w.append(np.abs(points.rows @ u - exact).max())
        in_M.append(np.abs(moments(points, plate, u)[:, 0] - Mx).max() / np.abs(Mx).max())
    assert slope(np.array(sizes), np.array(in_w)) > 5.5
    assert slope(np.array(sizes), np.array(in_M)) > 3.5
    assert in_w[-1] < 1e-5
    assert in_M[-1] < 1e-3


def interpolated(space: PlateSpace) -> Floats:
    """(unknowns,) nodal values of cos πx cos 2πy, scaled as the space has them."""
    mesh = space.mesh
    a, b = np.pi, 2 * np.pi

    def derivatives(xy: Floats) -> Floats:
        cx, sx, cy, sy = np.cos(a * xy[:, 0]), np.sin(a * xy[:, 0]), np.cos(b * xy[:, 1]), np.sin(b * xy[:, 1])
        values = [cx * cy, -a * sx * cy, -b * cx * sy, -a * a * cx * cy, a * b * sx * sy, -b * b * cx * cy]
        return np.column_stack(values)

    h = mesh.vertex_sizes
    at_vertices = derivatives(mesh.vertices) * np.column_stack([h**0, h, h, h**2, h**2, h**2])
    ends = mesh.vertices[mesh.edges]
    along = ends[:, 1] - ends[:, 0]
    slopes = derivatives(ends.mean(axis=1))[:, 1:3]
    at_sides = -along[:, 1] * slopes[:, 0] + along[:, 0] * slopes[:, 1]  # length × slope along the left normal
    return np.concatenate([at_vertices.ravel(), at_sides])


def test_free_square_frequency(
    rectangle_mesh: Callable[..., Mesh], unit_plate: Callable[[float], Plate]
) -> None:
    """First λ² of the free square against a mesh of 36 × 36 squares: the field is smooth but for weak corner
    terms, so the error falls at least as h⁴; from above, as a Ritz value must."""
    plate = unit_plate(0.3)

    def first(n: int) -> float:
        space = PlateSpace(rectangle_mesh(1, 1, n, n))
        K, M = stiffness(space, plate), mass(space, 1.0)
        start = np.ones(space.unknowns)
        return float(np.sort(eigsh(K, k=4, M=M, sigma=-1.0, return_eigenvectors=False, v0=start))[3])

    limit = first(36)
    sizes = np.array([2, 3, 4, 6])
    errors = np.array([first(n) for n in sizes]) / limit - 1
    assert np.all(errors > 0)
    assert slope(1 / sizes, errors) > 3.5
    assert errors[-1] < 1e-5


def test_jack_loads_settle_far_below_what_is_asked(
    rectangle_mesh: Callable[..., Mesh], sprung_plate: Callable[..., SprungPlate], concrete_plate: Plate
) -> None:
    """A jack is a small disc, so beside it w has only a weak third derivative: energy settles as h² or better.
    Bound: 0.05 % at triangles of 0.6 m, what jack loads must keep to."""
    x, y = np.meshgrid(0.35 + 1.3 * np.arange(4), 0.3 + 1.2 * np.arange(3), indexing="ij")
    jacks = np.column_stack([x.ravel(), y.ravel()])
    rates = np.random.default_rng(0).uniform(1e5, 5e5, len(jacks))

    def loads(n: int) -> tuple[Floats, float]:
        model = sprung_plate(rectangle_mesh(4.6, 3.0, 3 * n, 2 * n), concrete_plate, jacks)
        load = np.asarray(model.mass @ model.space.rigid_motions()[:, 0]) * 9.80665
        (result,) = solve_states(model, load[:, None], rates, np.zeros(len(jacks)))
        return result.jack_load, float(solve_modes(model, rates, 1).frequencies[0])

    fine, fine_frequency = loads(20)
    counts = np.array([2, 3, 4, 6])
    found = [loads(n) for n in counts]
    errors = np.array([np.abs(load - fine).max() / fine.max() for load, _ in found])
    assert slope(1 / counts, errors) > 1.8
    assert errors[1] < 5e-4
    assert found[1][1] == pytest.approx(fine_frequency, rel=2e-4)
