"""The air below a slab against closed forms of thin cavities, standards' numbers and an independent library."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import skfem
from netgen.geom2d import SplineGeometry
from numpy.typing import NDArray
from scipy.linalg import eigh
from scipy.optimize import brentq
from scipy.special import jn_zeros
from shapely import Polygon
from skfem.helpers import dot, grad

from fem.cavity import DENSITY, PRESSURE, Cavity, Opening
from fem.gradient import gradient_products
from fem.mesh import Mesh
from fem.sampling import Sampler
from fem.space import PlateSpace
from preprocess.meshing import Sizes, mesh_plan

Floats = NDArray[np.float64]

LENGTH, WIDTH, GAP = 7.0, 2.0, 0.05
SIDES = [np.array([[x, 0.0], [x, WIDTH]]) for x in (0.0, LENGTH)]
"""The two ends of a strip of LENGTH between sealed long sides: everything depends on x alone."""


def strip(rectangle_mesh: Callable[..., Mesh], admittances: tuple[float, float], exponent: float = 1.4) -> Cavity:
    """The strip with openings at its two ends."""
    openings = [Opening(side, admittance) for side, admittance in zip(SIDES, admittances, strict=True)]
    return Cavity.of(Sampler(PlateSpace(rectangle_mesh(LENGTH, WIDTH, 12, 4))), GAP, exponent, 0.0, openings)


def wave_numbers(cavity: Cavity, count: int) -> Floats:
    """(count,) κ of the lowest modes, 1/m."""
    return 2 * np.pi * cavity.modes(count).frequencies / cavity.sound_speed


def added_mass(cavity: Cavity) -> float:
    """Of all modes, per area, on a rigid slab far below the cavity's resonances, kg/m2."""
    modes = cavity.modes(3)
    heave = cavity.space.rigid_motions()[:, :1]
    area = cavity.space.mesh.areas.sum()
    kept = np.sum(modes.masses * (modes.coupling @ heave)[:, 0] ** 2)
    return float((kept + modes.residual_mass(modes.cavity.unit_mass @ heave)[0, 0]) / area)


def test_enclosed_air_of_iso_9052(rectangle_mesh: Callable[..., Mesh]) -> None:
    """ISO 9052-1:1989: s'a = p0/(d ε) = 111/d MN/m3, d in mm, with p0 0.1 MPa, porosity 0.9, isothermal.

    The pores of a layer d hold air of height d ε. Ours times 0.1 MPa over our p0; 0.2 % for 111.1 printed as 111.
    """
    space = PlateSpace(rectangle_mesh(1, 1, 1, 1))
    for d in (10.0, 25.0):
        air = Cavity.of(Sampler(space), 0.9 * d * 1e-3, 1.0, 0.0, [])
        assert air.stiffness * 0.1e6 / PRESSURE == pytest.approx(111e6 / d, rel=2e-3)


def test_sealed_piston(rectangle_mesh: Callable[..., Mesh]) -> None:
    """A rigid slab of 300 kg/m2 on 50 mm of sealed adiabatic air: √(γ p0/(h m″))/2π = 15.5 Hz (computed by hand
    from the gas law). Printed to 0.1 Hz: 0.05 Hz. Only the constant mode feels heave, with ω = 0 exactly."""
    modes = strip(rectangle_mesh, (0.0, 0.0)).modes(6)
    assert modes.frequencies[0] == 0.0
    assert np.isinf(modes.masses[0])
    squeezed = modes.coupling @ modes.cavity.space.rigid_motions()[:, 0]
    area = LENGTH * WIDTH
    np.testing.assert_allclose(squeezed, [np.sqrt(area), 0, 0, 0, 0, 0], atol=1e-9 * area)
    rate = modes.stiffness * squeezed[0] ** 2
    assert np.sqrt(rate / (300 * area)) / (2 * np.pi) == pytest.approx(15.5, abs=0.05)


def test_sealed_rectangle(rectangle_mesh: Callable[..., Mesh]) -> None:
    """c/2 · √((m/a)² + (n/b)²), H. Kuttruff, Room Acoustics, 5th ed. 2009, chapter 3 (from memory).

    1e-6: the quintic's error in the twelfth mode of elements of half a metre is smaller still.
    """
    cavity = strip(rectangle_mesh, (0.0, 0.0))
    m, n = np.meshgrid(np.arange(20), np.arange(20))
    exact = np.sort(cavity.sound_speed / 2 * np.hypot(m / LENGTH, n / WIDTH).ravel())[:12]
    np.testing.assert_allclose(cavity.modes(12).frequencies, exact, rtol=1e-6)


def test_open_rectangle(rectangle_mesh: Callable[..., Mesh]) -> None:
    """p = 0 all round: the same with m, n from 1. 1e-6: that the open edge is one indeed, and not just a soft one."""
    space = PlateSpace(rectangle_mesh(LENGTH, 5.0, 10, 8))
    ring = np.array([[0, 0], [LENGTH, 0], [LENGTH, 5.0], [0, 5.0], [0, 0]])
    cavity = Cavity.of(Sampler(space), GAP, 1.4, 0.0, [Opening(ring, np.inf)])
    m, n = np.meshgrid(np.arange(1, 20), np.arange(1, 20))
    exact = np.sort(cavity.sound_speed / 2 * np.hypot(m / LENGTH, n / 5.0).ravel())[:8]
    np.testing.assert_allclose(cavity.modes(8).frequencies, exact, rtol=1e-6)


@pytest.mark.parametrize("admittance", [1e-3, 0.2, 5.0, 1e4])
def test_slots_at_both_ends(admittance: float, rectangle_mesh: Callable[..., Mesh]) -> None:
    """Even and odd modes of ∂p/∂n = −a p: κ tan(κL/2) = a and −κ cot(κL/2) = a, from cos κx and sin κx about the
    middle (derived). 1e-6, over the range from nearly tight to nearly open, for the reason above."""
    half = LENGTH / 2

    def even(x: float) -> float:
        return float(x / half * np.sin(x) - admittance * np.cos(x))

    def odd(x: float) -> float:
        return float(x / half * np.cos(x) + admittance * np.sin(x))

    tiny = 1e-12
    exact = [brentq(even, tiny, np.pi / 2), brentq(odd, np.pi / 2, np.pi), brentq(even, np.pi, 1.5 * np.pi)]
    found = wave_numbers(strip(rectangle_mesh, (admittance, admittance)), 3)
    np.testing.assert_allclose(found, np.array(exact) / half, rtol=1e-6)


def test_strip_of_open_edges_adds_mass(rectangle_mesh: Callable[..., Mesh]) -> None:
    """ρL²/(12 h) on a rigid slab: air flows out like ẅ x/h, so its kinetic energy is ρh/2 ∫ (ẇ x/h)² dx (derived).

    1e-6: p is a parabola, which the space holds; what is left is the openings' edge and the solver.
    """
    cavity = strip(rectangle_mesh, (np.inf, np.inf))
    assert added_mass(cavity) == pytest.approx(DENSITY * LENGTH**2 / (12 * GAP), rel=1e-6)


@pytest.mark.parametrize("count", [1, 3, 8])
def test_strip_dynamic_stiffness(count: int, rectangle_mesh: Callable[..., Mesh]) -> None:
    """(γp0/h)(1 − tan κa/(κa)), a = L/2, resists a rigid slab over open edges: p = (γp0/h) w (1 − cos κx/cos κa).

    By modes and the mass of those left out. The error of that mass is ω²/ω_k² of itself for the modes left out, so it
    falls with ω⁴: bounded here by its sum over the exact modes, times 1.3 for the next power.
    """
    cavity = strip(rectangle_mesh, (np.inf, np.inf))
    modes = cavity.modes(count)
    heave, area, a = cavity.space.rigid_motions()[:, :1], LENGTH * WIDTH, LENGTH / 2
    squeezed = (modes.coupling @ heave)[:, 0] ** 2 / area
    rest = modes.residual_mass(cavity.unit_mass @ heave)[0, 0] / area
    every = cavity.modes(40)
    left = (every.masses * (every.coupling @ heave)[:, 0] ** 2 / every.frequencies**2)[count:].sum() / area
    for frequency in (0.5, 5.0, 15.0, 22.0):
        omega = 2 * np.pi * frequency
        kappa = omega / cavity.sound_speed
        by_modes = np.sum(squeezed / (1 / modes.stiffness - 1 / (modes.masses * omega**2))) - omega**2 * rest
        exact = cavity.stiffness * (1 - np.tan(kappa * a) / (kappa * a))
        bound = 1.3 * omega**2 * frequency**2 * left + 1e-6 * abs(exact)
        assert by_modes == pytest.approx(exact, abs=bound)


def test_helmholtz_resonator(rectangle_mesh: Callable[..., Mesh]) -> None:
    """A sealed cavity with one small slot: ω = c √(S/(V t)), S the slot's area, V the cavity's volume, t its depth
    (H. Helmholtz 1860; from memory). Here κ² = a W/(L W) for admittance a over the end of the strip.

    The next term of κ tan κL = a is κ²L = a (1 − aL/3): a tolerance of 1.1 aL/3 on κ², half of that on κ.
    """
    slot, depth = 0.0005, 0.5
    admittance = slot / (GAP * depth)
    cavity = strip(rectangle_mesh, (admittance, 0.0))
    volume, area = LENGTH * WIDTH * GAP, slot * WIDTH
    exact = cavity.sound_speed * np.sqrt(area / (volume * depth)) / (2 * np.pi)
    assert cavity.modes(2).frequencies[0] == pytest.approx(exact, rel=1.1 * admittance * LENGTH / 6)


def test_open_round() -> None:
    """First mode of an open disc, κR = 2.404826 (zero of J0), on a polygon of 24 sides and the same area.

    3e-4: the polygon itself is 1.8e-4 off in κ; a field without slopes at its corners would be 50e-4 off.
    """
    radius, turn = 3.0, np.pi / 12
    angle = turn * np.arange(25)
    ring = radius * np.sqrt(turn / np.sin(turn)) * np.column_stack([np.cos(angle), np.sin(angle)])
    space = PlateSpace(mesh_plan(Polygon(ring[:-1]), Sizes(1.0, 1.0)))
    cavity = Cavity.of(Sampler(space), GAP, 1.4, 0.0, [Opening(ring, np.inf)])
    assert wave_numbers(cavity, 1)[0] == pytest.approx(jn_zeros(0, 1)[0] / radius, rel=3e-4)


def l_shape(size: float, corner: float) -> Mesh:
    """Three unit squares about the origin, graded to the re-entrant corner."""
    geometry = SplineGeometry()
    corners = [(0, 0), (0, -1), (1, -1), (1, 1), (-1, 1), (-1, 0)]
    points = [geometry.AppendPoint(x, y, corner if (x, y) == (0, 0) else size) for x, y in corners]
    for start, end in zip(points, [*points[1:], points[0]], strict=True):
        geometry.Append(["line", start, end], leftdomain=1, rightdomain=0)
    mesh = geometry.GenerateMesh(maxh=size, grading=0.3)
    vertices = np.array([list(p.p)[:2] for p in mesh.Points()])
    triangles = np.array([[v.nr - 1 for v in element.vertices] for element in mesh.Elements2D()])
    return Mesh.from_arrays(vertices, triangles)


def test_sealed_l_shape_converges() -> None:
    """First Neumann eigenvalues of the L of unit squares, M. Dauge's benchmark (2003): 1.47562182408, 3.53403136678,
    π², π² (from memory). The first has the singularity r^(2/3) at the corner: its error falls like size^(4/3) there.

    Corner sizes 0.2 to 0.0125: slope above 1.1 of 4/3, 1 % at first and 1e-3 at last; regular modes to 1e-6.
    """
    errors = []
    for corner in (0.2, 0.05, 0.0125):
        cavity = Cavity.of(Sampler(PlateSpace(l_shape(0.3, corner))), GAP, 1.4, 0.0, [])
        squares = wave_numbers(cavity, 5)[1:] ** 2
        errors.append(abs(squares[0] / 1.47562182408 - 1))
        np.testing.assert_allclose(squares[2:], np.pi**2, rtol=1e-6)
        assert squares[1] == pytest.approx(3.53403136678, rel=1e-3)
    slope = np.polyfit(np.log([0.2, 0.05, 0.0125]), np.log(errors), 1)[0]
    assert errors[0] < 1e-2
    assert errors[-1] < 1e-3
    assert slope > 1.1


def test_open_l_shape_converges() -> None:
    """First Dirichlet eigenvalue of the same L, 9.6397238440 (L. N. Trefethen and T. Betcke, Contemp. Math. 412, 2006,
    from memory): open edges on both sides of the re-entrant corner. The same slope and bounds."""
    ring = np.array([(0, 0), (0, -1), (1, -1), (1, 1), (-1, 1), (-1, 0), (0, 0)], dtype=float)
    errors = []
    for corner in (0.2, 0.05, 0.0125):
        cavity = Cavity.of(Sampler(PlateSpace(l_shape(0.3, corner))), GAP, 1.4, 0.0, [Opening(ring, np.inf)])
        errors.append(abs(wave_numbers(cavity, 1)[0] ** 2 / 9.6397238440 - 1))
    slope = np.polyfit(np.log([0.2, 0.05, 0.0125]), np.log(errors), 1)[0]
    assert errors[0] < 1e-2
    assert errors[-1] < 1e-3
    assert slope > 1.1


def test_gradient_against_scikit_fem() -> None:
    """∫ ∇p·∇q of scikit-fem's Argyris element (J. Open Source Softw. 5, 2020, 2369): eigenvalues against ∫ p q on the
    same irregular mesh, since its unknowns are scaled and numbered otherwise. 1e-8: the same space; rounding only."""
    mesh = l_shape(0.6, 0.2)
    basis = skfem.Basis(
        skfem.MeshTri(mesh.vertices.T.copy(), mesh.triangles.T.copy()), skfem.ElementTriArgyris(), intorder=10
    )
    theirs = skfem.BilinearForm(lambda u, v, _: dot(grad(u), grad(v))).assemble(basis)
    unit = skfem.BilinearForm(lambda u, v, _: u * v).assemble(basis)
    expected = eigh(theirs.toarray(), unit.toarray(), eigvals_only=True, subset_by_index=[1, 12])
    cavity = Cavity.of(Sampler(PlateSpace(mesh)), GAP, 1.4, 0.0, [])
    np.testing.assert_allclose(wave_numbers(cavity, 13)[1:] ** 2, expected, rtol=1e-8)
    x = PlateSpace(mesh).rigid_motions()
    np.testing.assert_allclose(x.T @ gradient_products(PlateSpace(mesh)) @ x, np.diag([0, 3, 3]), atol=1e-10)


def test_part_of_an_edge_that_ends_inside_a_mesh_edge() -> None:
    """An opening of 0.5 m in a wall of 6 m, off the mesh's vertices: mass on a rigid slab against the same opening on a
    mesh of 4 mm at its ends. 5 %: a quintic on edges of 0.6 m against the root of the distance at the opening's ends;
    the length that acts is 15 % too long then, as d mass/d ln(length) is a third of the mass."""
    path = np.array([[0.0, 2.7], [0.0, 3.2]])
    plan = Polygon([(0, 0), (8, 0), (8, 6), (0, 6)])
    fine = mesh_plan(plan, Sizes(0.5, 0.5, path, np.array([0.004, 0.004])))
    masses = [
        added_mass(Cavity.of(Sampler(PlateSpace(mesh)), GAP, 1.4, 0.0, [Opening(path, np.inf)]))
        for mesh in (mesh_plan(plan, Sizes(0.6, 0.6)), fine)
    ]
    assert masses[0] == pytest.approx(masses[1], rel=0.05)


def test_more_kept_modes_leave_the_same_mass(rectangle_mesh: Callable[..., Mesh]) -> None:
    """Kept and left modes add up to ρ/h wᵀA⁻¹w for any number kept, slots of any size: 1e-8, as they are one sum."""
    cavity = strip(rectangle_mesh, (1e-4, np.inf))
    fields = cavity.space.rigid_motions()
    totals = []
    for count in (1, 4, 20):
        modes = cavity.modes(count)
        squeezed = modes.coupling @ fields
        rest = modes.residual_mass(modes.cavity.unit_mass @ fields)
        assert np.linalg.eigvalsh(rest)[0] >= -1e-12 * np.trace(rest)
        totals.append(rest + squeezed.T @ (modes.masses[:, None] * squeezed))
    np.testing.assert_allclose(totals[1:], [totals[0]] * 2, atol=1e-8 * np.abs(totals[0]).max())
