"""A rigid slab in six freedoms against closed forms, symmetries, and the vertical model of the floor."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from fem.mesh import Mesh
from fem.modes import solve_modes
from fem.plate import Plate
from fem.rigid_slab import Masses, RigidSlab, Springs
from fem.sprung_plate import SprungPlate

Floats = NDArray[np.float64]
A, B, T = 7.0, 5.0, 0.2
GRAVITY = 9.80665


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Floats:
    """Corners, anticlockwise."""
    return np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])


def grid_of_springs(height: float, lateral: float, vertical: float, count: tuple[int, int] = (6, 4)) -> Springs:
    """Equal springs in rows and columns within A × B about the origin, without load."""
    x, y = np.meshgrid(np.linspace(-0.45 * A, 0.45 * A, count[0]), np.linspace(-0.4 * B, 0.4 * B, count[1]))
    xyz = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, height)])
    return Springs.single(xyz, np.tile([lateral, lateral, vertical], (len(xyz), 1)), np.zeros(len(xyz)))


def lopsided() -> tuple[Masses, Springs]:
    """An L with an opening, a mass on a post and a wall, on uneven springs and two strips."""
    rng = np.random.default_rng(5)
    outline = np.array([[0.0, 0], [6, 0], [6, 2], [3, 2], [3, 5], [0, 5]])
    slab = Masses.layer([outline, rectangle(1, 1, 2, 3)[::-1]], 7000.0, 0.0, T)
    post = Masses(np.array([[5.0, 1.0, 1.3]]), np.array([900.0]))
    wall = Masses.line(np.array([[0.0, 5], [0, 0], [4, 0]]), 800.0, 0.9)
    xyz = np.column_stack([rng.uniform(0, 6, 9), rng.uniform(0, 5, 9), np.full(9, -0.1)])
    jacks = Springs.single(xyz, rng.uniform(1e5, 4e5, (9, 3)), rng.uniform(5e3, 2e4, 9))
    strip = Springs.strip(np.array([[6.0, 0], [6, 2], [3, 2.5]]), 0.0, normal=8e5, along=2e5, vertical=1e5)
    return Masses.joined([slab, post, wall]), Springs.joined([jacks, strip])


def turned(angle: float) -> Floats:
    """(3, 3) rotation about z."""
    c, s = np.cos(angle), np.sin(angle)
    return np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])


def test_springs_in_the_plane_of_the_centre() -> None:
    """Six uncoupled oscillators: √(Σk/m) along x, y, z and √(Σ k r²/J) about them; rounding only.

    A block has J = m(b² + t²)/12 about x and m(a² + b²)/12 about z: any handbook of mechanics.
    """
    springs = grid_of_springs(0.0, 1.5e5, 2.5e5)
    mass = 2500 * A * B * T
    modes = RigidSlab.of(Masses.layer([rectangle(-A / 2, -B / 2, A / 2, B / 2)], mass, 0.0, T), springs).modes()
    x, y, _ = springs.xyz.T
    count = len(x)
    stiffness = [1.5e5 * count, 1.5e5 * count, 2.5e5 * count]
    stiffness += [2.5e5 * np.sum(y**2), 2.5e5 * np.sum(x**2), 1.5e5 * np.sum(x**2 + y**2)]
    inertia = [mass, mass, mass, mass * (B**2 + T**2) / 12, mass * (A**2 + T**2) / 12, mass * (A**2 + B**2) / 12]
    expected = np.array(stiffness) / inertia
    np.testing.assert_allclose(modes.squares, np.sort(expected), rtol=1e-12)
    names = np.array(["sway along x", "sway along y", "heave", "rocking about x", "rocking about y", "twist"])
    sway = {"sway along x", "sway along y"}
    for kind, name in zip(modes.kinds, names[np.argsort(expected, kind="stable")], strict=True):
        assert kind == name or {kind, name} <= sway or (name in sway and kind == "sway along a slanted line")
    np.testing.assert_allclose(springs.sway_rates, 1.5e5 * count)


@pytest.mark.parametrize("lateral_share", [0.3, 1.0, 1.6])
def test_sway_coupled_with_rocking(lateral_share: float) -> None:
    """Symmetric supports a_z below the centre: the quadratic of the handbook in both planes; rounding only.

    (ω/ω_z)⁴ − (ω/ω_z)² (η (1 + a_z²/ρ²) + a_x²/ρ²) + η a_x²/ρ² = 0, η lateral over vertical rate, a_x² and ρ² mean
    squares of the supports' arms and of the mass. Harris and Crede, Shock and Vibration Handbook, chapter on vibration
    of a resiliently supported rigid body, from memory; also from the two equations of motion by hand. The second of
    them gives the share of sway too: c²/(c² + (ω² − ηω_z²)²), c = ηω_z² a_z/ρ.
    """
    depth, vertical = 0.9, 2e5
    springs = grid_of_springs(-depth, lateral_share * vertical, vertical)
    mass = 2500 * A * B * T
    modes = RigidSlab.of(Masses.layer([rectangle(-A / 2, -B / 2, A / 2, B / 2)], mass, 0.0, T), springs).modes()
    heave = vertical * len(springs.xyz) / mass
    expected = [heave, lateral_share * vertical * np.sum(springs.xyz[:, :2] ** 2) / (mass * (A**2 + B**2) / 12)]
    for arm, side in ((springs.xyz[:, 0], A), (springs.xyz[:, 1], B)):
        gyration, reach = (side**2 + T**2) / 12, np.mean(arm**2)
        middle = lateral_share * (1 + depth**2 / gyration) + reach / gyration
        expected += list(heave * np.roots([1, -middle, lateral_share * reach / gyration]))
    np.testing.assert_allclose(modes.squares, np.sort(expected), rtol=1e-10)
    for freedom, side in ((0, A), (1, B)):
        sway, across = lateral_share * heave, lateral_share * heave * depth / np.sqrt((side**2 + T**2) / 12)
        pair = np.flatnonzero(modes.shares[:, freedom] > 1e-9)
        shares = across**2 / (across**2 + (modes.squares[pair] - sway) ** 2)
        np.testing.assert_allclose(modes.shares[pair, freedom], shares, rtol=1e-8)
        assert len(pair) == 2


def test_a_push_at_the_centre_leans_the_slab_forward() -> None:
    """On springs below it a push along x moves the slab along x and turns its top forward: about y, right-handed.

    By hand: the springs move by F/K_x, and the moment F h turns it by F h/Σ k x²; rounding only.
    """
    depth = 0.5
    springs = grid_of_springs(-depth, 1e5, 2e5)
    slab = RigidSlab.of(Masses.layer([rectangle(-A / 2, -B / 2, A / 2, B / 2)], 1e4, 0.0, T), springs)
    moved = np.linalg.solve(slab.stiffness, [1000.0, 0, 0, 0, 0, 0])
    turn = 1000 * depth / (2e5 * np.sum(springs.xyz[:, 0] ** 2))
    sway = 1000 / (1e5 * len(springs.xyz)) + depth * turn
    np.testing.assert_allclose(moved, [sway, 0, 0, 0, turn, 0], rtol=1e-10, atol=1e-15)


def test_strips_round_a_rectangle() -> None:
    """Integrals along the edges by hand; rounding only.

    Along x: normal on the two edges of length b, along on those of length a. Twist: normal over s² and along over the
    square of the distance of each edge. Rocking about x: vertical over y².
    """
    n, s, v = 9e5, 2.5e5, 1.2e5
    ring = rectangle(-A / 2, -B / 2, A / 2, B / 2)
    strips = Springs.strip(np.vstack([ring, ring[:1]]), 0.0, normal=n, along=s, vertical=v)
    K = RigidSlab.of(Masses.layer([ring], 1000.0, 0.0, T), strips).stiffness
    twist = n * (A**3 + B**3) / 6 + s * (A * B**2 + B * A**2) / 2
    rock_x = v * (A * B**2 / 2 + B**3 / 6)
    rock_y = v * (B * A**2 / 2 + A**3 / 6)
    expected = [2 * (n * B + s * A), 2 * (n * A + s * B), 2 * v * (A + B), rock_x, rock_y, twist]
    np.testing.assert_allclose(K, np.diag(expected), rtol=1e-12, atol=1e-9 * max(expected))


def test_a_slanted_strip_is_many_springs() -> None:
    """Against 4000 small springs along it, each with its rates turned by hand: their midpoint rule is off by 1e-7."""
    path, count = np.array([[1.0, 2.0], [4.0, 6.0]]), 4000  # direction (0.6, 0.8), 5 m
    one = Masses(np.random.default_rng(2).normal(size=(8, 3)), np.ones(8))
    strip = Springs.strip(path, -0.3, normal=7e5, along=1e5, vertical=2e5)
    way = (np.arange(count) + 0.5) / count
    xyz = np.column_stack([1 + 3 * way, 2 + 4 * way, np.full(count, -0.3)])
    along, across = np.array([0.6, 0.8, 0]), np.array([-0.8, 0.6, 0])
    rate = 7e5 * np.outer(across, across) + 1e5 * np.outer(along, along) + 2e5 * np.diag([0, 0, 1.0])
    many = Springs(xyz, np.tile(rate * 5 / count, (count, 1, 1)), np.zeros(count))
    found, expected = RigidSlab.of(one, strip).stiffness, RigidSlab.of(one, many).stiffness
    np.testing.assert_allclose(found, expected, rtol=0, atol=1e-6 * np.abs(expected).max())


def test_masses_of_an_angle_with_an_opening() -> None:
    """Against its rectangles, each with its own moments and the parallel-axis theorem; rounding only."""
    outline = np.array([[0.0, 0], [6, 0], [6, 2], [3, 2], [3, 5], [0, 5], [0, 0]])
    masses = Masses.layer([outline, rectangle(1, 1, 2, 3)[::-1]], 19 * 400.0, 0.3, T)
    parts = [(0, 0, 6, 2, 1), (0, 2, 3, 5, 1), (1, 1, 2, 3, -1)]
    total, first, second = 0.0, np.zeros(3), np.zeros((3, 3))
    for x0, y0, x1, y1, sign in parts:
        mass = sign * 400.0 * (x1 - x0) * (y1 - y0)
        middle = np.array([(x0 + x1) / 2, (y0 + y1) / 2, 0.3])
        total, first = total + mass, first + mass * middle
        own = np.diag([(x1 - x0) ** 2, (y1 - y0) ** 2, T**2]) / 12
        second += mass * (own + np.outer(middle, middle))
    slab = RigidSlab.of(masses, grid_of_springs(0.0, 1e5, 1e5))
    spread = second - np.outer(first, first) / total
    assert slab.mass[0, 0] == pytest.approx(total, rel=1e-12)
    np.testing.assert_allclose(slab.centre, first / total, rtol=1e-12)
    expected = np.trace(spread) * np.eye(3) - spread
    np.testing.assert_allclose(slab.mass[3:, 3:], expected, rtol=1e-11, atol=1e-9 * expected.max())
    assert abs(slab.mass[3, 4]) > 0.1 * slab.mass[3, 3]  # a product of inertia, so that the test means something


def test_moving_the_origin_changes_nothing() -> None:
    """By some tens of metres. Squares of 50 over squares of 2 lose three digits."""
    masses, springs = lopsided()
    by = np.array([30.0, -50.0, 4.0])
    there = RigidSlab.of(replace(masses, xyz=masses.xyz + by), replace(springs, xyz=springs.xyz + by)).modes()
    here = RigidSlab.of(masses, springs).modes()
    np.testing.assert_allclose(there.squares, here.squares, rtol=1e-10)
    np.testing.assert_allclose(there.shares, here.shares, atol=1e-9)


@pytest.mark.parametrize("angle", [0.4, np.pi / 2, 2.3])
def test_turning_the_axes_changes_names_only(angle: float) -> None:
    """Frequencies, and shares in heave, twist, sway and rocking of any direction; rounding only."""
    masses, springs = lopsided()
    R = turned(angle)
    rates = R @ springs.rates @ R.T
    there = RigidSlab.of(
        replace(masses, xyz=masses.xyz @ R.T), replace(springs, xyz=springs.xyz @ R.T, rates=rates)
    ).modes()
    here = RigidSlab.of(masses, springs).modes()
    np.testing.assert_allclose(there.squares, here.squares, rtol=1e-10)
    for columns in ([2], [5], [0, 1], [3, 4]):
        np.testing.assert_allclose(there.shares[:, columns].sum(axis=1), here.shares[:, columns].sum(axis=1), atol=1e-9)


def test_shares_and_shapes() -> None:
    """Shares add to 1 over freedoms and over modes; shapes are orthogonal in mass and stiffness; rounding only."""
    slab = RigidSlab.of(*lopsided())
    modes = slab.modes()
    np.testing.assert_allclose(modes.shares.sum(axis=0), 1, rtol=1e-12)
    np.testing.assert_allclose(modes.shares.sum(axis=1), 1, rtol=1e-12)
    assert (modes.shares >= 0).all()
    np.testing.assert_allclose(modes.shapes.T @ slab.mass @ modes.shapes, np.eye(6), atol=1e-12)
    stiffness = modes.shapes.T @ slab.stiffness @ modes.shapes
    np.testing.assert_allclose(stiffness, np.diag(modes.squares), atol=1e-10 * modes.squares.max())


def test_a_slab_that_stands_high_tips_over() -> None:
    """A block on two rows of springs 2c apart tips where W h = Σ k c²: an inverted pendulum on a rotary spring.

    Whatever the lateral rate: it cancels from the determinant of sway and rocking. 1e-4 either side of the limit.
    """
    mass, height, half = 1000.0, 2.0, 0.1
    xyz = np.array([[half, 0.5, 0], [half, -0.5, 0], [-half, 0.5, 0], [-half, -0.5, 0]])
    limit = mass * GRAVITY * height / (4 * half**2)
    block = Masses.layer([rectangle(-0.3, -0.6, 0.3, 0.6)], mass, height, 0.4)
    for factor, stable in ((1 + 1e-4, True), (1 - 1e-4, False)):
        rates = np.tile([2e5, 2e5, factor * limit], (4, 1))
        modes = RigidSlab.of(block, Springs.single(xyz, rates, np.full(4, mass * GRAVITY / 4))).modes()
        assert (modes.squares[0] > 0) == stable
        assert modes.kinds[0].endswith("not stable") != stable
        assert (modes.frequencies[0] > 0) == stable


def test_stiffness_of_loads_is_their_work() -> None:
    """The loads' part of the stiffness against the second difference of the potential energy of weight and loads.

    The slab turned exactly (not to the second order) by small angles about slanted axes: the energy of constant loads
    is −Σ N u_z of their places. Steps of 1e-3 leave 1e-6, rounding less.
    """
    masses = Masses(np.random.default_rng(3).normal(size=(12, 3)), np.full(12, 50.0))
    centre = masses.xyz.mean(axis=0)
    arms = np.array([[1.5, 1, -0.4], [-1.5, 1, -0.7], [1.5, -1, -0.7], [-1.5, -1, -0.4]])
    loads = np.full(4, 600 * GRAVITY / 4)  # in equilibrium about the centre of mass
    loose = Springs.single(centre + arms, np.zeros((4, 3)), loads)
    stiffness = RigidSlab.of(masses, loose).stiffness[3:, 3:]
    step = 1e-3
    for axis in (np.array([1.0, 0, 0]), np.array([0.6, 0.8, 0]), np.array([0.0, 0, 1])):
        k = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
        energy = []
        for angle in (-step, step):
            R = np.eye(3) + np.sin(angle) * k + (1 - np.cos(angle)) * k @ k
            energy.append(-np.sum(loads * (arms @ R.T - arms)[:, 2]))
        found = sum(energy) / step**2
        assert found == pytest.approx(axis @ stiffness @ axis, rel=1e-5, abs=1e-3)


def test_heave_and_rocking_of_the_plate_model(
    rectangle_mesh: Callable[..., Mesh], sprung_plate: Callable[..., SprungPlate], concrete_plate: Plate
) -> None:
    """The vertical part equals the finite-element floor with a plate 10⁵ times stiffer: its own bending is smaller by
    that factor, so 10⁻⁴. The plate has no thickness in its mass and is held in its plane here."""
    x, y = np.meshgrid(0.3 + 1.3 * np.arange(6), 0.4 + 1.3 * np.arange(4), indexing="ij")
    jack_xy = np.column_stack([x.ravel(), y.ravel()])
    rates = np.random.default_rng(3).uniform(1e5, 5e5, len(jack_xy))
    model = sprung_plate(rectangle_mesh(7.2, 4.8, 9, 6), concrete_plate, jack_xy)
    stiff = replace(
        model, plate=replace(model.plate, modulus=1e5 * model.plate.modulus), stiffness=1e5 * model.stiffness
    )
    expected = solve_modes(stiff, rates, 4)
    masses = Masses.layer([rectangle(0, 0, 7.2, 4.8)], concrete_plate.surface_density * 7.2 * 4.8, 0.0)
    springs = Springs.single(
        np.column_stack([jack_xy, np.zeros(len(rates))]),
        np.column_stack([np.full((len(rates), 2), 1e9), rates]),
        np.zeros(len(rates)),
    )
    modes = RigidSlab.of(masses, springs).modes()
    np.testing.assert_allclose(modes.frequencies[:3], expected.frequencies[:3], rtol=1e-4)
    np.testing.assert_allclose(modes.shares[:3, 2], expected.heave[:3], atol=1e-4)
    np.testing.assert_allclose(modes.shares[:3, 3], expected.rock_x[:3], atol=1e-4)
