"""Natural frequencies of free plates against tables and converged values."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from netgen.geom2d import SplineGeometry
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.sparse.linalg import eigsh
from scipy.special import iv, ivp, jv, jvp

from fem.mesh import Mesh
from fem.plate import Plate, mass, stiffness
from fem.space import PlateSpace

Floats = NDArray[np.float64]

COMPUTED_SQUARE = {
    0.3: [13.4682, 19.5961, 24.2702, 34.8009, 34.8009, 61.0932, 61.0932],
    0.2: [14.3226, 20.6346, 23.7343, 36.3357, 36.3357, 61.438],
}
"""λ = ω a² √(ρh/D), converged Ritz solutions worked out apart from this program."""
LEISSA_SQUARE = [13.489, 19.789, 24.432, 35.024, 35.024, 61.526]
"""A. W. Leissa, The free vibration of rectangular plates, J. Sound Vib. 31 (1973) 257-293, ν 0.3, case FFFF."""


def circular_frequencies(space: PlateSpace, plate: Plate) -> Floats:
    """(9,) ω of the free plate without its three rigid motions, rad/s."""
    K, M = stiffness(space, plate), mass(space, plate.surface_density)
    shift = -1e-3 * K.trace() / M.trace()
    squares = np.sort(eigsh(K, k=12, M=M, sigma=shift, return_eigenvectors=False, v0=np.ones(space.unknowns)))
    assert np.all(np.abs(squares[:3]) < 1e-6 * squares[3]), "three rigid motions at rest"
    return np.sqrt(squares[3:])


@pytest.mark.parametrize("nu", [0.3, 0.2])
def test_square_plate_matches_converged_values_with_few_unknowns(
    nu: float, rectangle_mesh: Callable[..., Mesh], unit_plate: Callable[[float], Plate]
) -> None:
    """Within 0.01 %: what the element promises at 301 unknowns; the values have six digits, i.e. 0.0004 %."""
    space = PlateSpace(rectangle_mesh(1, 1, 5, 5))
    assert space.unknowns <= 400
    ours = circular_frequencies(space, unit_plate(nu))
    expected = COMPUTED_SQUARE[nu][:6]
    np.testing.assert_allclose(ours[:6], expected, rtol=1e-4)


def test_square_plate_matches_leissa(
    rectangle_mesh: Callable[..., Mesh], unit_plate: Callable[[float], Plate]
) -> None:
    """Leissa's values are upper bounds of a Ritz series that had not converged: 0.15 to 1 % above. So ours lie
    below, by 1.2 % at most."""
    ours = circular_frequencies(PlateSpace(rectangle_mesh(1, 1, 5, 5)), unit_plate(0.3))[:6]
    assert np.all(ours < LEISSA_SQUARE)
    np.testing.assert_allclose(ours, LEISSA_SQUARE, rtol=0.012)


def test_nafems_fv12(rectangle_mesh: Callable[..., Mesh]) -> None:
    """NAFEMS, The Standard NAFEMS Benchmarks (1990), FV12: free thin square plate, modes 4 to 9 in Hz.

    1.2 %: the published numbers come from unconverged upper bounds; a converged thin-plate solution gives 4.190 and
    7.356 Hz where they say 4.233 and 7.416. The published ones must not lie below ours.
    """
    plate = Plate(thickness=0.05, modulus=200e9, poissons_ratio=0.3, surface_density=8000 * 0.05)
    ours = circular_frequencies(PlateSpace(rectangle_mesh(10, 10, 6, 6)), plate)[:6] / (2 * np.pi)
    published = np.array([1.622, 2.360, 2.922, 4.233, 4.233, 7.416])
    np.testing.assert_allclose(ours, published, rtol=0.012)
    assert np.all(ours < published * 1.0005), "rounding of the printed digits at most"
    assert ours[3] == pytest.approx(4.190, rel=2e-4), "converged value, printed to four digits"
    assert ours[5] == pytest.approx(7.356, rel=2e-4), "converged value, printed to four digits"


def disc_mesh(radius: float, sides: int, size: float) -> Mesh:
    """A regular polygon of the disc's area."""
    turn = 2 * np.pi / sides
    reach = radius * np.sqrt(np.pi / (sides / 2 * np.sin(turn)))
    geometry = SplineGeometry()
    corners = [geometry.AppendPoint(reach * np.cos(i * turn), reach * np.sin(i * turn)) for i in range(sides)]
    for start, end in zip(corners, corners[1:] + corners[:1], strict=True):
        geometry.Append(["line", start, end])
    mesh = geometry.GenerateMesh(maxh=size)
    vertices = np.array(mesh.Coordinates())[:, :2]
    return Mesh.from_arrays(vertices, np.array([[v.nr - 1 for v in el.vertices] for el in mesh.Elements2D()]))


def free_disc_frequency(n: int, nu: float, low: float, high: float) -> float:
    """λ² = ω a² √(ρh/D) of a free disc with n nodal diameters, between two bounds of λ².

    w = [J_n(λr) + C I_n(λr)] cos nθ; radial moment and Kelvin-Kirchhoff shear vanish at r = 1 (Leissa, NASA SP-160,
    1969, chapter 2).
    """

    def edge(f: Callable[..., float], df: Callable[..., float], sign: float, s: float) -> tuple[float, float]:
        """Moment and shear at r = 1 of f(s r) cos nθ, where ∇²f = sign · s² f."""
        value, slope = f(n, s), s * df(n, s)
        moment = sign * s**2 * value - (1 - nu) * (slope - n**2 * value)
        shear = sign * s**2 * slope - (1 - nu) * n**2 * (slope - value)
        return moment, shear

    def determinant(square: float) -> float:
        s = np.sqrt(square)
        m_j, v_j = edge(jv, jvp, -1.0, s)
        m_i, v_i = edge(iv, ivp, +1.0, s)
        return float(m_j * v_i - m_i * v_j)

    return float(brentq(determinant, low, high, xtol=1e-10))


@pytest.mark.parametrize(
    ("nu", "listed"), [(0.33, [5.262, 9.069, 12.244, 20.513]), (0.3, [5.358, 9.003, 12.439, 20.475])]
)
def test_circular_plate(nu: float, listed: list[float], unit_plate: Callable[[float], Plate]) -> None:
    """Free disc: modes of 2, 0, 3 and 1 nodal diameters, from Bessel functions solved here and as listed.

    0.05 %: the disc is a 96-sided polygon of equal area, whose edge departs from the circle by 0.05 % of the radius
    in the middle of a side; the listed values have four digits.
    """
    bessel = [free_disc_frequency(n, nu, x * 0.97, x * 1.03) for n, x in zip((2, 0, 3, 1), listed, strict=True)]
    np.testing.assert_allclose(bessel, listed, atol=6e-4)
    ours = circular_frequencies(PlateSpace(disc_mesh(1.0, 96, 0.5)), unit_plate(nu))
    pairs = ours[[0, 2, 3, 5]]  # each mode with nodal diameters comes twice
    np.testing.assert_allclose(pairs, bessel, rtol=5e-4)


def test_circular_plate_against_leissa(unit_plate: Callable[[float], Plate]) -> None:
    """Leissa, NASA SP-160 (1969), table 2.5, ν 0.33: from memory; 0.3 %, since those values are rounded by hand."""
    ours = circular_frequencies(PlateSpace(disc_mesh(1.0, 96, 0.5)), unit_plate(0.33))
    np.testing.assert_allclose(ours[[0, 2, 3, 5]], [5.253, 9.084, 12.23, 20.52], rtol=3e-3)
