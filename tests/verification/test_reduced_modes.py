"""Heave frequencies on a reduced basis against the full model, and against closed forms for a rigid slab."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from fem.mesh import Mesh
from fem.modes import solve_modes
from fem.plate import Plate
from fem.reduced_modes import ReducedModes
from fem.sampling import Sampler
from fem.sprung_plate import SprungPlate

Floats = NDArray[np.float64]


@pytest.fixture
def model(
    rectangle_mesh: Callable[..., Mesh], sprung_plate: Callable[..., SprungPlate], concrete_plate: Plate
) -> SprungPlate:
    """9.0 × 5.2 m of 125 mm concrete on 7 × 4 jacks, nothing symmetric, so that heave and rocking lie apart."""
    x, y = np.meshgrid(0.3 + 1.3 * np.arange(7), 0.4 + 1.2 * np.arange(4), indexing="ij")
    return sprung_plate(rectangle_mesh(9.0, 5.2, 10, 6), concrete_plate, np.column_stack([x.ravel(), y.ravel()]))


@pytest.fixture
def even(model: SprungPlate) -> Floats:
    return np.full(len(model.jack_xy), 3e5)


def full(model: SprungPlate, rates: Floats) -> float:
    modes = solve_modes(model, rates, 8)
    return float(modes.frequencies[modes.heave_mode])


def test_exact_on_the_reference_springs(model: SprungPlate, even: Floats) -> None:
    """The modes of the basis themselves; both come from the same eigenvalues, so only rounding is left."""
    reduced = ReducedModes.from_model(model, even)
    assert float(reduced.heave_frequency(even)) == pytest.approx(full(model, even), rel=1e-9)


def test_other_springs_within_a_thousandth_and_never_below(model: SprungPlate, even: Floats) -> None:
    """Rayleigh and Ritz: an upper bound. One in a thousand is what `BASIS` promises for rates within ±30 %."""
    reduced = ReducedModes.from_model(model, even)
    random = np.random.default_rng(5)
    sets = even * random.uniform(0.7, 1.3, (8, len(even)))
    found = reduced.heave_frequency(sets)
    exact = np.array([full(model, rates) for rates in sets])
    np.testing.assert_allclose(found, exact, rtol=1e-3)
    assert np.all(found > exact * (1 - 1e-9))


def test_stiff_slab_is_a_mass_on_springs(model: SprungPlate) -> None:
    """f = √(Σk/M)/2π for springs whose centre lies below the centre of mass; a plate 10⁵ times stiffer is rigid to
    10⁻⁴."""
    stiff = replace(
        model, plate=replace(model.plate, modulus=1e5 * model.plate.modulus), stiffness=1e5 * model.stiffness
    )
    x, y = np.meshgrid([0.9, 3.3, 5.7, 8.1], [0.6, 2.6, 4.6], indexing="ij")  # even about the middle (4.5, 2.6)
    xy = np.column_stack([x.ravel(), y.ravel()])
    stiff = replace(stiff, jack_xy=xy, jacks=Sampler(model.space).discs(xy, 0.15))
    rates = np.full(len(xy), 4e5)
    mass = 9.0 * 5.2 * model.plate.surface_density
    reduced = ReducedModes.from_model(stiff, rates)
    for factor in (1.0, 0.8, 1.4):
        found = float(reduced.heave_frequency(factor * rates))
        assert found == pytest.approx(np.sqrt(factor * rates.sum() / mass) / (2 * np.pi), rel=1e-4)


def test_more_mass_everywhere(model: SprungPlate, even: Floats) -> None:
    """A mass that grows by a fifth in proportion leaves the shapes as they are: f/√1.2, exactly."""
    reduced = ReducedModes.from_model(model, even)
    change = 0.2 * reduced.shapes.T @ (model.mass @ reduced.shapes)
    found = float(reduced.heave_frequency(even, mass_change=change))
    assert found == pytest.approx(full(model, even) / np.sqrt(1.2), rel=1e-9)


def test_mass_at_one_place_against_the_full_model(model: SprungPlate, even: Floats) -> None:
    """1.5 t on a pad of 1.2 m, a tenth of the slab; the basis promises a thousandth."""
    reduced = ReducedModes.from_model(model, even)
    pad = Sampler(model.space).pads(np.array([[6.0, 3.0]]), 1.2)
    added = pad.mass(np.array([1500.0]))
    heavier = replace(model, mass=model.mass + added)
    heave = model.space.rigid_motions()[:, 0]
    change = reduced.shapes.T @ (added @ reduced.shapes), reduced.shapes.T @ (added @ heave)
    found = float(reduced.heave_frequency(even, mass_change=change[0], momentum_change=change[1]))
    assert found == pytest.approx(full(heavier, even), rel=1e-3)
    assert found < 0.99 * float(reduced.heave_frequency(even))
