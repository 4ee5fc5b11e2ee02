"""The sideways view of a case: masses, heights, lateral rates, notes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fem.helical_spring import Coil, lateral_rate
from fem.lateral_rate import loaded_lateral_rate
from jackfield.sideways import lateral_rates, service_deflections, sideways_view, slab_masses, slab_springs
from postprocess.dynamics.views import SidewaysView
from preprocess.case import Spring
from preprocess.dynamics import Strip
from preprocess.floor import Floor, build_floor
from preprocess.reader import read_case

WIDE = Coil(0.016, 0.10, 6.0, 8.0, 0.24, 79.5e9, 206e9, "sliding", None)
SLENDER = Coil(0.010, 0.05, 8.0, 10.0, 0.25, 79.5e9, 206e9, "sliding", None)


@pytest.fixture
def floor(small_case: Path) -> Floor:
    """9 × 6 m on 35 jacks."""
    return build_floor(read_case(small_case))


def sprung(floor: Floor, spring: Spring) -> Floor:
    """The floor with one kind of spring under all jacks."""
    case = floor.case
    jacks = replace(case.jacks, springs=(spring,) * len(case.jacks))
    return replace(floor, case=replace(case, jacks=jacks, catalogue={**case.catalogue, spring.code: spring}))


def coil_spring(coil: Coil, code: str = "C1") -> Spring:
    """A catalogue entry by geometry."""
    return Spring(code, coil.rate, 7e3, coil.solid_deflection, (code,), coil, coil.lateral_rate)


def with_strips(floor: Floor, rate: float) -> Floor:
    """The floor with a strip of `rate` N/m per m all round."""
    ring = np.array([[0.0, 0], [9, 0], [9, 6], [0, 6], [0, 0]])
    case, dynamics = floor.case, floor.case.dynamics
    sideways = replace(dynamics.sideways, strips=(Strip("Edge", ring, rate, 0.3),))
    return replace(floor, case=replace(case, dynamics=replace(dynamics, sideways=sideways)))


def notes(view: SidewaysView) -> str:
    """All of them."""
    return " ".join(view.notes)


def test_rates_that_are_not_known_are_assumed(floor: Floor) -> None:
    """The share of the vertical rate, and a note that says so with the codes."""
    view = sideways_view(floor)
    share = floor.case.dynamics.sideways.lateral_share
    np.testing.assert_allclose(view.sway_rates, share * floor.case.jacks.rates.sum(), rtol=1e-12)
    assert f"not known at 35 jacks (A7, A7+B2): {float(share)} times the vertical rate is assumed" in notes(view)
    assert len(view.kinds) == len(view.frequencies) == 6
    np.testing.assert_allclose(view.shares.sum(axis=1), 1, rtol=1e-12)


def test_heave_is_that_of_mass_on_rates(floor: Floor) -> None:
    """√(Σk/m) by hand, with the case's own masses: 54 m² of 125 mm at 2500 kg/m³, 0.30 kPa, 4 m² of 0.50 kPa, 840 and
    600 kg, 4.2 m of 0.8 kN/m. The springs are not quite centred below the mass: 1 % of the heave frequency at most."""
    mass = 54 * 312.5 + (54 * 300 + 4 * 500 + 4.2 * 800) / 9.80665 + 840 + 600
    view = sideways_view(floor)
    heave = view.frequencies[view.shares[:, 2].argmax()]
    assert heave == pytest.approx(np.sqrt(floor.case.jacks.rates.sum() / mass) / (2 * np.pi), rel=0.01)


def test_heights(floor: Floor) -> None:
    """Centre of mass by hand, from the masses above: slab at −t/2, finishes at 0, equipment and partition at 0.8 m.
    Springs at the underside, strips at mid-thickness, loads of the springs in equilibrium; rounding only."""
    middle, floor = np.array([4.5, 3.0]), with_strips(floor, 1e5)
    sideways = floor.case.dynamics.sideways
    masses = slab_masses(floor, sideways, middle)
    finishes, high = (54 * 300 + 4 * 500) / 9.80665, 4.2 * 800 / 9.80665 + 840 + 600
    total = 54 * 312.5 + finishes + high
    assert masses.kilograms.sum() == pytest.approx(total, rel=1e-12)
    height = masses.kilograms @ masses.xyz[:, 2] / total
    assert height == pytest.approx((54 * 312.5 * -0.0625 + high * sideways.equipment_height) / total, rel=1e-10)
    springs = slab_springs(floor.case, sideways, floor.case.jacks.rates, masses, middle)
    jacks = len(floor.case.jacks)
    np.testing.assert_allclose(springs.xyz[:jacks, 2], -0.125)
    np.testing.assert_allclose(springs.xyz[jacks:, 2], -0.0625)
    assert springs.loads.sum() == pytest.approx(total * 9.80665, rel=1e-12)
    moments = springs.loads @ springs.xyz[:, :2]
    np.testing.assert_allclose(moments, 9.80665 * masses.kilograms @ masses.xyz[:, :2], rtol=1e-9)


def test_springs_carry_the_service_load(floor: Floor) -> None:
    """Rates times deflections add up to the load in service, and to its moment; rounding only."""
    case = floor.case
    loads = case.jacks.rates * service_deflections(floor, np.array([4.5, 3.0]))
    service = floor.resultants @ floor.state_matrix()[:, 1]
    expected = [loads.sum(), *(loads @ case.jacks.xy)]
    np.testing.assert_allclose(expected, service, rtol=1e-12)


def test_higher_equipment_sways_lower(floor: Floor) -> None:
    """A higher centre of mass softens the lowest sway and stiffens none of the others but by name."""
    case = floor.case
    high = replace(case.dynamics.sideways, equipment_height=4.0)
    raised = replace(floor, case=replace(case, dynamics=replace(case.dynamics, sideways=high)))
    assert sideways_view(raised).frequencies[0] < 0.995 * sideways_view(floor).frequencies[0]


def test_strips_stiffen(floor: Floor) -> None:
    """Sway along x: two edges of 6 m pressed, two of 9 m sheared at 0.3 of it; along y the other way round."""
    stiff = sideways_view(with_strips(floor, 2e5))
    rates = floor.case.jacks.rates.sum() + 2e5 * 2 * np.array([6 + 0.3 * 9, 9 + 0.3 * 6])
    np.testing.assert_allclose(stiff.sway_rates, rates, rtol=1e-12)
    assert (stiff.frequencies >= sideways_view(floor).frequencies).all()
    assert "act both ways" in notes(stiff)


def test_catalogue_rate_stands_and_geometry_is_loaded(floor: Floor) -> None:
    """A key of the catalogue is used as it is, also in a nested pair; a coil's geometry at its deflection."""
    case, deflection = floor.case, np.full(1, 0.02)
    wide, keyed = coil_spring(WIDE), Spring("K", 2e5, 5e3, 0.05, ("K",), None, 1.5e5)
    pair = Spring("C1+K", wide.rate + 2e5, 9e3, 0.05, ("C1", "K"), None, WIDE.lateral_rate + 1.5e5)
    catalogue = {"C1": wide, "K": keyed, "C1+K": pair}

    def rate(spring: Spring) -> float:
        jacks = replace(case.jacks, ids=("J1",), xy=case.jacks.xy[:1], springs=(spring,), advance=np.zeros(1))
        return float(lateral_rates(replace(case, jacks=jacks, catalogue=catalogue), deflection, 1.0)[0])

    loaded = float(loaded_lateral_rate(WIDE.rate, 0.24, 0.10, 79.5 / 206, 0.02))
    assert loaded < 0.95 * lateral_rate(WIDE.rate, 0.24, 0.10, 79.5 / 206)
    assert rate(keyed) == 1.5e5
    assert rate(wide) == pytest.approx(loaded, rel=1e-12)
    assert rate(pair) == pytest.approx(loaded + 1.5e5, rel=1e-12)


def test_slender_springs_are_not_stable(floor: Floor) -> None:
    """Coils five times as high as wide, at a sixth of their length: warned, with what to do. Strips cure it."""
    loose = sprung(floor, coil_spring(SLENDER))
    view = sideways_view(loose)
    assert view.frequencies[0] == 0
    assert view.kinds[0].endswith("not stable")
    assert "not stable sideways" in notes(view)
    assert "put resilient strips round its perimeter" in notes(view)
    assert "no stiffness left sideways under their load at 35 jacks (C1)" in notes(view)
    held = sideways_view(with_strips(loose, 5e6))
    assert held.frequencies[0] > 0
    assert "not stable sideways" not in notes(held)


def test_sway_near_heave_is_said(floor: Floor) -> None:
    """Half the vertical rate puts sway at 0.71 of heave: apart; 0.8 puts it at 0.89, within 20 %."""

    def said(share: float) -> str:
        case = floor.case
        sideways = replace(case.dynamics.sideways, lateral_share=share)
        return notes(
            sideways_view(replace(floor, case=replace(case, dynamics=replace(case.dynamics, sideways=sideways))))
        )

    assert "lies within 20 %" not in said(0.5)
    assert "lies within 20 %" in said(0.8)


