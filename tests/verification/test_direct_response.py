"""The full system at each frequency against closed forms of rigid slabs, and against the laws that it must keep."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import sparse
from shapely import Polygon

from fem.cavity import Cavity, Opening
from fem.direct_response import DirectResponse, direct_response
from fem.errors import ModelError
from fem.mesh import Mesh
from fem.plate import Plate, mass, stiffness
from fem.sampling import Sampler
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from fem.statics import solve_states
from fem.structural_floor import FloorBays
from preprocess.meshing import Sizes, mesh_plan

Floats = NDArray[np.float64]

LENGTH, WIDTH, GAP, DENSITY = 6.0, 3.0, 0.05, 300.0
AREA, MASS = LENGTH * WIDTH, DENSITY * LENGTH * WIDTH
STIFF = Plate(thickness=0.12, modulus=33e9 * 1e3, poissons_ratio=0.2, surface_density=DENSITY)
"""A slab that does not bend: a thousand times as stiff as concrete, so that it first bends near 500 Hz."""
RIGID = 1e-4
"""Tolerance of a rigid slab's closed form: (40 Hz/1500 Hz)² = 7e-4 of what little bends an evenly loaded slab."""
JACKS = np.array([[x, y] for x in (0.75, 2.25, 3.75, 5.25) for y in (0.75, 2.25)])
MIDDLE = np.array([[LENGTH / 2, WIDTH / 2]])
FREQUENCIES = np.array([0.5, 1.0, 2.5, 3.4, 3.6, 5.0, 8.0, 15.0, 26.0, 31.0, 40.0])


@pytest.fixture
def rigid(rectangle_mesh: Callable[..., Mesh], sprung_plate: Callable[..., SprungPlate]) -> SprungPlate:
    """The slab that does not bend on eight jacks, symmetric about its middle."""
    return sprung_plate(rectangle_mesh(LENGTH, WIDTH, 8, 4), STIFF, JACKS)


def rates_for(frequency: float) -> Floats:
    """Equal rates that give the rigid slab a heave frequency, N/m."""
    return np.full(len(JACKS), MASS * (2 * np.pi * frequency) ** 2 / len(JACKS))


def heaved(model: SprungPlate, rates: Floats, frequencies: Floats, **more: object) -> DirectResponse:
    """Response of the mean to 1 N spread over the slab; losses 0.02 of the springs, 0.04 of the slab."""
    load = (model.space.rigid_motions()[:, :1].T @ model.mass).T / MASS
    mean = sparse.csr_array(np.asarray(load).T)
    losses = {"spring_loss": 0.02, "slab_loss": 0.04}
    return direct_response(model, rates, np.asarray(load), frequencies, rows=mean, **losses, **more)  # type: ignore[arg-type]


def test_rigid_slab_on_springs(rigid: SprungPlate) -> None:
    """w = 1/(k(1+iη) − mω²), force k(1+iη) w: one degree of freedom, any text on vibration."""
    rates = rates_for(3.5)
    found = heaved(rigid, rates, FREQUENCIES)
    omega, k = 2 * np.pi * FREQUENCIES, rates.sum() * (1 + 0.02j)
    np.testing.assert_allclose(found.slab[:, 0, 0], 1 / (k - MASS * omega**2), rtol=RIGID)
    np.testing.assert_allclose(found.force[:, 0], k / (k - MASS * omega**2), rtol=RIGID)


def test_rigid_slab_on_a_layer(rigid: SprungPlate) -> None:
    """ISO 12354-2:2017, annex C: f0 = 160 √(s′/m′), s′ in MN/m3, m′ in kg/m2; its example in annex G: m′ 73.5, s′ 8,
    52.8 Hz. The peak of the response; 0.6 %, as 160 stands for 1000/2π = 159.2."""
    model = replace(rigid, mass=rigid.mass * (73.5 / DENSITY))
    frequencies = np.arange(50.0, 55.0, 0.05)
    found = heaved(model, np.zeros(len(JACKS)), frequencies, layer=8e6 * (1 + 0.01j))
    peak = frequencies[np.argmax(np.abs(found.slab[:, 0, 0]))]
    assert peak == pytest.approx(52.8, rel=6e-3)
    assert np.all(np.isfinite(found.force))


def large_bay(frequency: float, share: float) -> FloorBays:
    """One bay that moves evenly under the slab: so large that its half-sine is 1 there to 1e-5."""
    corners = np.array([[MIDDLE[0] - 1000.0, MIDDLE[0] + 1000.0]])
    return FloorBays(corners, np.array([frequency]), np.array([MASS / share]), np.array([0.005]))


def test_two_degrees_of_freedom(rigid: SprungPlate) -> None:
    """ω⁴ − ω²[ωb² + (1+μ)ωs²] + ωb²ωs² = 0 (derived): 3.5 Hz on 6 Hz, μ 0.6, has its modes at 3.10 and 6.78 Hz.

    Peaks on steps of 0.01 Hz; damping this small moves them by 1e-4 of themselves. And the closed form of both.
    """
    rates, bays = rates_for(3.5), large_bay(6.0, 0.6)
    for low, high, expected in ((2.9, 3.3, 3.10), (6.5, 7.0, 6.78)):
        frequencies = np.arange(low, high, 0.01)
        found = heaved(rigid, rates, frequencies, bays=bays)
        assert frequencies[np.argmax(np.abs(found.slab[:, 0, 0]))] == pytest.approx(expected, abs=0.011)
    found = heaved(rigid, rates, FREQUENCIES, bays=bays)
    k, below = rates.sum() * (1 + 0.02j), bays.stiffnesses[0] * (1 + 0.01j)
    square = (2 * np.pi * FREQUENCIES) ** 2
    whole = (k - MASS * square) * (k + below - bays.masses[0] * square) - k**2
    np.testing.assert_allclose(found.slab[:, 0, 0], (k + below - bays.masses[0] * square) / whole, rtol=2 * RIGID)
    np.testing.assert_allclose(found.bays[:, 0, 0], k / whole, rtol=2 * RIGID)


@pytest.mark.parametrize("over_bay", [False, True])
@pytest.mark.parametrize("ends", ["sealed", "open", "slots"])
def test_rigid_slab_on_springs_and_air(ends: str, over_bay: bool, rigid: SprungPlate) -> None:
    """Air resists like Z = (γp0/h)(1+iη)(1 − tan κa/(κa)), a = L/2 with open ends; 1 when sealed; and with admittance d

    at the ends (1 − sin κa/(κa) / (cos κa − κ/d sin κa)), from p = p∞ (1 − C cos κx); κ² = (ω/c)²/(1+iη) (derived).
    Over a bay it acts between the two. Frequencies lie below and above the first resonance of the open air, 29 Hz. Near
    it the slab's bending, of the order 1/stiffness, is felt: it is taken off by a second slab twice as stiff.
    """
    admittance = {"sealed": 0.0, "open": np.inf, "slots": 0.3}[ends]
    sides = [Opening(np.array([[x, 0.0], [x, WIDTH]]), admittance) for x in (0.0, LENGTH)]
    air = Cavity.of(Sampler(rigid.space), GAP, 1.4, 0.1, sides)
    bays = large_bay(6.0, 0.6)
    soft, stiff = (
        heaved(model, rates_for(3.5), FREQUENCIES, cavity=air, bays=bays if over_bay else None)
        for model in (rigid, rigid.of_modulus(2 * STIFF.modulus))
    )
    omega = 2 * np.pi * FREQUENCIES
    x = omega / air.sound_speed / np.sqrt(1 + 0.1j) * LENGTH / 2
    if ends == "sealed":
        share = np.ones(len(x), dtype=complex)
    else:
        slot = 0.0 if ends == "open" else 1 / (admittance * LENGTH / 2)
        share = 1 - np.sin(x) / x / (np.cos(x) - slot * x * np.sin(x))
    k = rates_for(3.5).sum() * (1 + 0.02j) + AREA * air.stiffness * (1 + 0.1j) * share
    below = bays.stiffnesses[0] * (1 + 0.01j) - bays.masses[0] * omega**2
    moved = 1 / k + (1 / below if over_bay else 0)  # springs and air in series with the floor
    expected = moved / (1 - MASS * omega**2 * moved)
    np.testing.assert_allclose((2 * stiff.slab - soft.slab)[:, 0, 0], expected, rtol=RIGID)
    np.testing.assert_allclose((2 * stiff.force - soft.force)[:, 0], expected / moved, rtol=RIGID)


@pytest.fixture(scope="module")
def lopsided() -> tuple[SprungPlate, Floats, FloorBays, Cavity]:
    """A slab that bends, two bays that reach past it and end below it, and air with two openings."""
    space = PlateSpace(mesh_plan(Polygon([(0, 0), (6, 0), (6, 2), (3, 4), (0, 4)]), Sizes(1.0, 1.0)))
    plate, sampler = Plate(0.12, 33e9, 0.2, 300.0), Sampler(space)
    jacks = np.array([[0.5, 0.5], [2.5, 0.4], [5.4, 0.5], [0.6, 3.5], [2.6, 3.4], [5.0, 1.8], [2.9, 2.0]])
    model = SprungPlate(space, plate, stiffness(space, plate), mass(space, 340.0), jacks, sampler.discs(jacks, 0.15))
    bays = FloorBays(
        np.array([[[-1.0, -1.0], [3.3, 4.5]], [[3.3, -1.0], [7.0, 4.5]]]),
        np.array([6.0, 8.0]),
        np.array([4000.0, 5000.0]),
        np.array([0.03, 0.02]),
    )
    openings = [Opening(np.array([[1.1, 0], [2.3, 0]]), np.inf), Opening(np.array([[6.0, 2], [3, 4]]), 0.4)]
    return model, np.linspace(2e5, 5e5, len(jacks)), bays, Cavity.of(sampler, GAP, 1.3, 0.05, openings)


def test_reciprocity(lopsided: tuple[SprungPlate, Floats, FloorBays, Cavity]) -> None:
    """Force and motion may change places (Maxwell, Betti, Rayleigh): slab to slab, and slab to bay. 1e-7: solved to
    eight digits."""
    model, rates, bays, air = lopsided
    points = Sampler(model.space).points(np.array([[0.2, 0.3], [4.1, 1.2]])).rows
    loads = np.hstack([points.T.toarray(), np.zeros((model.space.unknowns, 2))])
    on_bays = np.hstack([np.zeros((2, 2)), np.eye(2)])
    found = direct_response(
        model, rates, loads, np.array([1.0, 6.0, 30.0, 90.0]), spring_loss=0.02, slab_loss=0.04, bays=bays, cavity=air,
        layer=1e5 + 2e4j, bay_loads=on_bays, rows=points,
    )  # fmt: skip
    both = np.concatenate([found.slab, found.bays], axis=1)
    scale = np.abs(both).max(axis=(1, 2), keepdims=True)
    np.testing.assert_allclose(both / scale, both.transpose(0, 2, 1) / scale, atol=1e-7)
    assert np.abs(both[:, 0, 2] / scale[:, 0, 0]).min() > 1e-5, "slab and bay do feel each other"


def test_forces_balance(lopsided: tuple[SprungPlate, Floats, FloorBays, Cavity]) -> None:
    """Newton's second law of the whole slab: load − force into the floor = −ω² ∫ m w. 1e-7 of the load."""
    model, rates, bays, air = lopsided
    heave = model.space.rigid_motions()[:, 0]
    loads = Sampler(model.space).points(np.array([[0.2, 0.3], [4.1, 1.2]])).rows.T.toarray()
    frequencies = np.array([0.7, 3.0, 12.0, 60.0])
    found = direct_response(
        model, rates, loads, frequencies, spring_loss=0.02, slab_loss=0.04, bays=bays, cavity=air, layer=1e5 + 2e4j
    )
    inertia = np.einsum("u,fup->fp", model.mass @ heave, found.slab) * (2 * np.pi * frequencies[:, None]) ** 2
    np.testing.assert_allclose(1 - found.force, -inertia, atol=1e-7)


def test_no_frequency_is_statics(lopsided: tuple[SprungPlate, Floats, FloorBays, Cavity]) -> None:
    """At 0 Hz without losses: the solver of static states, to 1e-7; and air, which knows no statics, is refused."""
    model, rates, _, air = lopsided
    loads = Sampler(model.space).points(np.array([[4.1, 1.2]])).rows.T.toarray()
    found = direct_response(model, rates, loads, np.zeros(1), spring_loss=0.0, slab_loss=0.0, rows=model.jacks.rows)
    (state,) = solve_states(model, loads, rates, np.zeros(len(rates)))
    np.testing.assert_allclose(rates * found.slab[0, :, 0].real, state.jack_load, atol=1e-7)
    with pytest.raises(ModelError, match="above 0 Hz"):
        direct_response(model, rates, loads, np.zeros(1), spring_loss=0.0, slab_loss=0.0, cavity=air)
