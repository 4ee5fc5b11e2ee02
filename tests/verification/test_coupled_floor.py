"""Slab, structural floor and air together: closed forms, reciprocity, and the full system without modes."""

from __future__ import annotations

from collections.abc import Callable
from math import pi

import numpy as np
import pytest
from numpy.typing import NDArray

from fem.cavity import Cavity, Opening
from fem.coupled_floor import CoupledFloor, Losses, SlabBasis
from fem.direct_response import direct_response
from fem.drop import Oscillators
from fem.modes import solve_modes
from fem.plate import Plate
from fem.sampling import Sampler
from fem.sprung_plate import SprungPlate
from fem.structural_floor import FloorBays
from fem.vibration import complex_modes, real_modes

Floats = NDArray[np.float64]

RATES = np.linspace(2e5, 5e5, 9)
BAYS = FloorBays(
    np.array([[[-1.0, -0.5], [3.5, 4.5]], [[3.5, -0.5], [7.5, 4.5]]]),
    np.array([7.0, 9.5]),
    np.array([5000.0, 4000.0]),
    np.array([0.03, 0.08]),
)
FREQUENCIES = np.array([1.0, 2.9, 3.6, 6.5, 9.0, 14.0, 31.0, 63.0, 90.0, 120.0])


@pytest.fixture
def model(rectangle_mesh: Callable, sprung_plate: Callable, concrete_plate: Plate) -> SprungPlate:
    """A slab of 6 × 4 m on nine jacks."""
    x, y = np.meshgrid([0.3, 3.0, 5.7], [0.3, 2.0, 3.7])
    return sprung_plate(rectangle_mesh(6.0, 4.0, 6, 4), concrete_plate, np.column_stack([x.ravel(), y.ravel()]))


@pytest.fixture
def basis(model: SprungPlate) -> SlabBasis:
    """Its modes up to some 900 Hz."""
    return SlabBasis.of(model, RATES, solve_modes(model, RATES, 110))


def rigid_rig(rectangle_mesh: Callable, sprung_plate: Callable, bays: FloorBays, f0: float) -> CoupledFloor:
    """A very stiff slab of 2 × 2 m and 1000 kg, f0 Hz on four springs."""
    plate = Plate(thickness=1.0, modulus=1e14, poissons_ratio=0.2, surface_density=250.0)
    corners = np.array([[0.3, 0.3], [1.7, 0.3], [0.3, 1.7], [1.7, 1.7]])
    model = sprung_plate(rectangle_mesh(2.0, 2.0, 2, 2), plate, corners)
    rates = np.full(4, 1000 * (2 * pi * f0) ** 2 / 4)
    return SlabBasis.of(model, rates, solve_modes(model, rates, 3)).on_springs(bays, Losses(0.0, 0.0))


def test_two_degrees_of_freedom(rectangle_mesh: Callable, sprung_plate: Callable) -> None:
    """ω⁴ − ω²[ωb² + (1 + μ) ωs²] + ωb² ωs² = 0: f0 3.5, fb 6 Hz, μ 0.6 → 3.10 and 6.78 Hz.

    The slab lies over the middle of a bay so large that all of it moves like the middle: 1 − cos(0.001) at most. Values
    to half a unit of their last digit.
    """
    bays = FloorBays(
        np.array([[[-2000.0, -2000.0], [2002.0, 2002.0]]]), np.array([6.0]), np.array([1000 / 0.6]), np.zeros(1)
    )
    modes = real_modes(rigid_rig(rectangle_mesh, sprung_plate, bays, 3.5))
    slab_bay = [f for f, shape in zip(modes.frequencies, modes.shapes.T, strict=True) if abs(shape[3]) > 1e-6]
    np.testing.assert_allclose(slab_bay, [3.10, 6.78], atol=0.005)


def test_half_sine_shape_couples_with_its_square(rectangle_mesh: Callable, sprung_plate: Callable) -> None:
    """Over a place where the bay moves s times its middle, μ in the same equation is s² ms/mb (derived).

    The slab is small beside the bay of 800 m, a quarter along it: s = sin(π/4), to 1e-4 over its length.
    """
    s = np.sin(pi / 4)
    bays = FloorBays(np.array([[[-199.0, -399.0], [601.0, 401.0]]]), np.array([6.0]), np.array([1500.0]), np.zeros(1))
    modes = real_modes(rigid_rig(rectangle_mesh, sprung_plate, bays, 3.5))
    slab_bay = np.array([f for f, shape in zip(modes.frequencies, modes.shapes.T, strict=True) if abs(shape[3]) > 1e-4])
    mu, fb, fs = s**2 * 1000 / 1500, 6.0**2, 3.5**2
    expected = np.sqrt(np.roots([1, -(fb + (1 + mu) * fs), fb * fs]))
    np.testing.assert_allclose(sorted(slab_bay[[0, -1]]), sorted(expected), rtol=1e-3)


def test_sealed_air_below_a_slab(rectangle_mesh: Callable, sprung_plate: Callable) -> None:
    """300 kg/m2 over 50 mm of sealed air, adiabatic: the air alone gives 15.5 Hz, and its rate adds to the springs'.

    k = γ p0/h on each square metre. 15.5 as printed.
    """
    plate = Plate(thickness=1.0, modulus=1e14, poissons_ratio=0.2, surface_density=300.0)
    model = sprung_plate(
        rectangle_mesh(2.0, 2.0, 2, 2), plate, np.array([[0.3, 0.3], [1.7, 0.3], [0.3, 1.7], [1.7, 1.7]])
    )
    cavity = Cavity.of(Sampler(model.space), 0.05, 1.4, 0.0, [])
    for rate in (1.0, 2e5):
        rates = np.full(4, rate)
        basis = SlabBasis.of(model, rates, solve_modes(model, rates, 3))
        floor = basis.on_springs(FloorBays.none(), Losses(0.0, 0.0), cavity.modes(12))
        modes = real_modes(floor)
        uniform = basis.even @ basis.shapes
        heave = np.argmax(np.abs(uniform @ modes.shapes[:3]))
        expected = np.sqrt((1.4 * 101325 / 0.05 + 4 * rate / 4.0) / 300) / (2 * pi)
        assert modes.frequencies[heave] == pytest.approx(expected, rel=1e-6)
        if rate == 1.0:
            assert modes.frequencies[heave] == pytest.approx(15.5, abs=0.05)


def test_rubber_layer_carries_as_an_even_bed(basis: SlabBasis, model: SprungPlate) -> None:
    """On k″ N/m3 the slab's heave is √(k″/m″), whatever its modes on the springs were; all rigid motions alike.

    Exact for a slab of one thickness on an even bed; 1e-5, since 110 modes of the springs do not quite add up to rigid
    ones: the slab's dimples at the jacks are left.
    """
    rate = 312.5 * (2 * pi * 12.0) ** 2
    modes = real_modes(basis.on_layer(FloorBays.none(), Losses(0.2, 0.0), rate))
    np.testing.assert_allclose(modes.frequencies[:3], 12.0, rtol=1e-5)
    np.testing.assert_allclose(modes.ratios[:3], 0.1, rtol=1e-5)
    assert modes.frequencies[3] > 12.5


AIR = {
    "none": None,
    "sealed": [],
    "open": [Opening(np.array([[0, 0], [6, 0], [6, 4], [0, 4], [0, 0.0]]), np.inf)],
    "slot": [Opening(np.array([[0, 0], [6, 0.0]]), 4.0)],
}


@pytest.mark.parametrize("air", AIR)
@pytest.mark.parametrize("losses", [Losses(0.02, 0.04, 0.05), Losses(0.6, 0.1, 0.5)], ids=["light", "heavy"])
def test_modal_against_direct_response(model: SprungPlate, basis: SlabBasis, air: str, losses: Losses) -> None:
    """Motion under the force, of the bays and net force into the structure: modes against the full system, 1 %.

    With heavy losses as with light ones, since the modes are those of the complex stiffness. A bay far above its own
    frequency hardly moves and passes through zeros: there 1 % and a thousandth of its greatest motion.
    """
    openings, sampler = AIR[air], Sampler(model.space)
    cavity = None if openings is None else Cavity.of(sampler, 0.05, 1.3, losses.air, openings)
    floor = basis.on_springs(BAYS, losses, None if cavity is None else cavity.modes_below(250.0, 400))
    disc = sampler.discs(np.array([[1.7, 1.2]]), 0.2)
    row = disc.rows
    modes = complex_modes(floor)
    outputs = np.vstack([floor.into_structure, floor.at_slab(row), floor.at_bays(), floor.air_mass])
    *found, pushed = modes.transfer(outputs, floor.at_slab(row), FREQUENCIES)[:, :, 0].T
    found = np.column_stack(found)
    found[:, 0] -= (2 * pi * FREQUENCIES) ** 2 * pushed
    whole = model.factor(RATES).solve_once(row.toarray().T)
    local = whole - basis.shapes @ ((row @ basis.shapes).T / basis.squares[:, None])
    found[:, 0] += RATES @ (model.jacks.rows @ local)[:, 0]
    found[:, 1] += (row @ local)[0, 0]
    direct = direct_response(
        model,
        RATES,
        row.toarray().T,
        FREQUENCIES,
        spring_loss=losses.support,
        slab_loss=losses.slab,
        bays=BAYS,
        cavity=cavity,
        rows=row,
    )
    expected = np.column_stack([direct.force[:, 0], direct.slab[:, 0, 0], direct.bays[:, :, 0]])
    forgiven = 1e-3 * np.abs(expected).max(axis=0) * np.array([0, 0, 1, 1])
    np.testing.assert_array_less(np.abs(found - expected), 0.01 * np.abs(expected) + forgiven)


def test_reciprocity(model: SprungPlate, basis: SlabBasis) -> None:
    """A bay's motion for a force on the slab is the slab's for the same force on the bay (Maxwell, Rayleigh).

    Exact but for rounding of the eigenvectors: 1e-8.
    """
    sampler = Sampler(model.space)
    cavity = Cavity.of(sampler, 0.05, 1.3, 0.1, AIR["slot"] or [])
    floor = basis.on_springs(BAYS, Losses(0.1, 0.04, 0.1), cavity.modes(40))
    places = np.vstack([floor.at_slab(sampler.points(np.array([[1.0, 1.0], [4.4, 3.1]])).rows), floor.at_bays()])
    transfer = complex_modes(floor).transfer(places, places, FREQUENCIES)
    np.testing.assert_allclose(transfer, transfer.transpose(0, 2, 1), rtol=1e-8, atol=1e-8 * np.abs(transfer).max())


def test_force_into_a_rigid_floor_balances_at_rest(model: SprungPlate, basis: SlabBasis) -> None:
    """At a very low frequency all of a force goes into the structure: with bays as well, since these rest on it.

    0.05 Hz of 3 Hz leaves (0.05/3)² = 3e-4; loss factors of 1e-6.
    """
    floor = basis.on_springs(BAYS, Losses(1e-6, 1e-6))
    row = Sampler(model.space).points(np.array([[3.0, 2.0]])).rows
    net = complex_modes(floor).transfer(floor.into_structure[None], floor.at_slab(row), np.array([0.05]))
    assert net[0, 0, 0].real == pytest.approx(1.0, abs=2e-3)


def test_time_histories_hold_what_bands_hold(model: SprungPlate, basis: SlabBasis) -> None:
    """Energy of the net force after a unit impulse, in time and over frequencies (Parseval), with light losses.

    In time: real modes with damping by energy and the elastic part of the force. Over frequencies: complex stiffness.
    They part by η² and by what damping couples: 1 %.
    """
    floor = basis.on_springs(BAYS, Losses(0.04, 0.04))
    row = Sampler(model.space).discs(np.array([[1.7, 1.2]]), 0.2).rows
    real, steady = real_modes(floor), complex_modes(floor)
    places = real.at(floor.at_slab(row))[0]
    step = 1e-3
    time = step * (np.arange(20000) + 0.5)
    low = real.frequencies < 100.0
    low_modes = Oscillators(real.angular[low], real.ratios[low])
    q, _ = low_modes.free(np.zeros(low.sum()), places[low], time)
    force = q @ real.at(floor.support.net[None])[0][low]
    frequencies = np.arange(0.01, 200.0, 0.005)
    transfer = steady.transfer(floor.into_structure[None], floor.at_slab(row), frequencies)[:, 0, 0]
    in_time = np.sum(force**2) * step
    assert 2 * np.trapezoid(np.abs(transfer) ** 2, frequencies) == pytest.approx(in_time, rel=0.01)
