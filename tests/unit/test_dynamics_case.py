"""What moves the floor arrives in SI, with its defaults, and what is assumed is said."""

from __future__ import annotations

from math import pi, sqrt
from pathlib import Path

import pytest

from preprocess.case import Case
from preprocess.dynamics import Damping, Limits, Machine, Point, Rubber
from preprocess.dynamics_si import contact_stiffness, contact_time
from preprocess.reader import read_case
from tests.unit.dynamics_case import add_dynamics


@pytest.fixture
def case(small_case: Path) -> Case:
    return read_case(add_dynamics(small_case))


def append(folder: Path, text: str) -> None:
    with (folder / "case.toml").open("a", encoding="utf-8") as file:
        file.write(text)


def test_a_case_without_any_of_it(small_case: Path) -> None:
    dynamics = read_case(small_case).dynamics
    assert not dynamics.given
    assert dynamics.air is None
    assert dynamics.bays == dynamics.impacts == dynamics.groups == dynamics.machines == dynamics.points == ()
    assert dynamics.damping == Damping(0.01, 0.02)
    assert dynamics.rubber == Rubber(12, 0.2, assumed=True)
    assert (dynamics.sideways.lateral_share, dynamics.sideways.equipment_height) == (1, 0.8)
    assert dynamics.sideways.strips == ()
    assert dynamics.limits == Limits(None, None)


@pytest.mark.parametrize("table", ["bays", "air", "impacts", "groups", "machines"])
def test_any_one_table_gives_something_to_compute(small_case: Path, table: str) -> None:
    keys = {
        "bays": "corners_mm = [[0, 0], [9000, 6000]]\nfrequency_hz = 8\nmass_kg_m2 = 600",
        "impacts": "mass_kg = 20\nheight_mm = 500\nplace_mm = [4000, 3000]",
        "groups": 'people = 5\nfrequency_hz = [2, 3]\nactivity = "jumping"',
        "machines": "place_mm = [4000, 3000]\nspeed_rpm = [900, 900]\nunbalance_kg_mm = 1",
    }
    body = f'[[{table}]]\nname = "N"\n{keys[table]}' if table in keys else '[air]\nedge = "open"\ngap_mm = 40'
    append(small_case, f"\n{body}\n")
    assert read_case(small_case).dynamics.given


def test_bays(case: Case) -> None:
    """Opposite corners in any order; a mass per area becomes modal by ∬ sin² sin² = a b/4, worked out by hand."""
    west, east = case.dynamics.bays
    assert (west.low, west.high) == ((0, -0.5), (4.5, 6.5))
    assert (west.frequency, west.mass, west.damping) == (9.5, 5000, 0.04)
    assert east.mass == pytest.approx(650 * 5.0 * 7.0 / 4, rel=1e-14)
    assert east.damping == 0.03


def test_air(case: Case) -> None:
    air = case.dynamics.air
    assert air is not None
    assert (air.edge, air.gap, air.exponent, air.loss) == ("vents", 0.045, 1.2, 0.05)
    slot, end = air.vents
    assert (slot.width, slot.depth) == (0.02, 0.1)
    assert slot.path.tolist() == [[0, 5], [0, 0], [3, 0]]
    assert end.width is None
    assert end.depth == case.slab.thickness
    with pytest.raises(ValueError, match="read-only"):
        slot.path[...] = 0


def test_impacts(case: Case) -> None:
    bar, ball, bell = case.dynamics.impacts
    assert (bar.mass, bar.height, bar.place, bar.footprint) == (140, 1.2, (2, 2), 0.45)
    assert (bar.covering.stiffness, bar.covering.restitution, bar.drops_a_day) == (800e3, 0.3, 40)
    assert bar.assumed == ()
    assert ball.covering.restitution == 0.8
    assert ball.assumed == ("footprint of 200 mm",)
    assert (bell.covering.stiffness, bell.covering.restitution) == (1.5e6, 0.2)
    assert bell.assumed == ("covering of 1500 N/mm and restitution 0.2", "footprint of 200 mm")
    assert bell.drops_a_day is None


def test_standard_soft_source_has_its_impulse_and_peak(case: Case) -> None:
    """Rubber ball of ISO 16283-2, table A.1, from memory: 2.5 kg from 1.0 m, e 0.8, 20 ms.

    With g 9.80665 its impulse is M √(2gH)(1 + e) = 19.93 N·s and the half-sine over 20 ms peaks at πI/(2τ) =
    1.57 kN, by plain arithmetic; the stiffness must give that peak as v √(k m). Four digits of 19.93.
    """
    ball = case.dynamics.impacts[1]
    speed = sqrt(2 * 9.80665 * ball.height)
    impulse = ball.mass * speed * (1 + ball.covering.restitution)
    assert impulse == pytest.approx(19.93, abs=0.005)
    peak = speed * sqrt(ball.covering.stiffness * ball.mass)
    assert peak == pytest.approx(1565, abs=1)
    assert peak == pytest.approx(pi * impulse / (2 * 0.020), rel=1e-12)


@pytest.mark.parametrize("restitution", [0.05, 0.4, 1.0])
def test_contact_stiffness_and_time_belong_together(restitution: float) -> None:
    """To rounding; without loss the touch is half a period of the mass on its spring, π √(m/k)."""
    stiffness = contact_stiffness(30, restitution, 0.012)
    assert contact_time(30, restitution, stiffness) == pytest.approx(0.012, rel=1e-14)
    if restitution == 1:
        assert pi * sqrt(30 / stiffness) == pytest.approx(0.012, rel=1e-14)


def test_restitution_that_is_not_given_is_said(small_case: Path) -> None:
    add_dynamics(small_case)
    path = small_case / "case.toml"
    text = path.read_text(encoding="utf-8").replace("contact_ms = 20\nrestitution = 0.8", "contact_ms = 20")
    path.write_text(text.replace('"Thick tiles"\ndrops', '"Mat"\ndrops'), encoding="utf-8")
    bar, ball, _ = read_case(small_case).dynamics.impacts
    assert bar.covering.stiffness == 120e3
    assert bar.assumed == ('restitution 0.2 of "Mat"',)
    assert ball.covering.restitution == 0.2
    assert ball.assumed[0] == "restitution 0.2"


def test_groups(case: Case) -> None:
    """Factors of 4 people by SCI P354, 1.61 p^-0.082 …, worked out by hand to three digits; Design Guide 11's as read.

    Both sources from memory.
    """
    class_, jumpers, own = case.dynamics.groups
    assert class_.area is not None
    assert class_.area.area == pytest.approx(5.6 * 2.8, rel=1e-14)
    assert (class_.people, class_.person, class_.band) == (10, 75, (2, 2.75))
    assert class_.factors == (1.5, 0.6, 0.1)
    assert "Design Guide 11" in class_.basis
    assert jumpers.area is None
    assert jumpers.person == 80
    assert jumpers.factors == pytest.approx((1.437, 0.674, 0.286), abs=0.0006)
    assert "4 people" in jumpers.basis
    assert "SCI P354" in jumpers.basis
    assert own.factors == (1.2, 0.4, 0)
    assert own.basis == "factors given in the case"


def test_machines(case: Case) -> None:
    """ISO 21940-11: permissible unbalance is grade × mass/ω at the top speed: 60 kg at G 6.3 and 1450 rpm, by hand.

    ω = 2π × 1450/60 = 151.84 rad/s; 6.3 × 60/151.84 = 2.4894 kg·mm.
    """
    fan, treadmill = case.dynamics.machines
    assert fan.band == pytest.approx((15, 1450 / 60), rel=1e-15)
    assert fan.unbalance == pytest.approx(2.4894e-3, abs=0.0001e-3)
    assert treadmill == Machine("Treadmill", (7, 5), (5, 10), 0.005)


def test_all_else(case: Case) -> None:
    dynamics = case.dynamics
    assert dynamics.points == (Point("Middle", (4.5, 3)),)
    assert dynamics.rubber == Rubber(14, 0.15, assumed=False)
    assert dynamics.damping == Damping(0.005, 0.015)
    assert (dynamics.sideways.lateral_share, dynamics.sideways.equipment_height) == (0.8, 0.6)
    [strip] = dynamics.sideways.strips
    assert (strip.rate, strip.shear_share) == (25_000, 0.4)
    assert dynamics.limits == Limits(0.5, 0.4)


def test_what_is_assumed_is_said_and_what_is_given_is_not(case: Case, small_case: Path) -> None:
    assert case.dynamics.assumed == (
        "damping of 3 % of critical in bays where none is given",
        "75 kg a person where none is given",
    )
    assert case.dynamics.sideways.assumed == ()
    path = small_case / "case.toml"
    text = path.read_text(encoding="utf-8")
    first = ("springs_percent = 0.5", "loss_factor = 0.15", "exponent = 1.2")
    for key in (*first, "lateral_share = 0.8", "equipment_height_mm = 600", "shear_share = 0.4"):
        assert key in text
        text = text.replace(f"{key}\n", "")
    path.write_text(text, encoding="utf-8")
    dynamics = read_case(small_case).dynamics
    assert dynamics.assumed == (
        "damping of 1 % of critical in the springs",
        "damping of 3 % of critical in bays where none is given",
        "air that keeps its heat, exponent 1.4",
        "75 kg a person where none is given",
        "a rubber layer with a loss factor of 0.2 to compare with",
    )
    assert dynamics.rubber.assumed
    assert dynamics.sideways.assumed == (
        "lateral rate of 1 times the vertical rate for springs without lateral rate or geometry",
        "centre of mass of the equipment 800 mm over the slab's top",
        "edge strips 0.3 as stiff in shear as pressed together",
    )


def test_lateral_rates_of_all_springs_leave_nothing_to_assume_of_them(small_case: Path) -> None:
    """A nested pair has the sum of both; where one is not known, neither is the pair's."""
    path = small_case / "springs.toml"
    text = path.read_text(encoding="utf-8")
    one = text.replace("rate_N_mm = 280", "rate_N_mm = 280\nlateral_rate_N_mm = 170")
    path.write_text(one, encoding="utf-8")
    case = read_case(small_case)
    assert case.catalogue["A7"].lateral_rate == 170e3
    assert case.catalogue["A7+B2"].lateral_rate is None
    assert any("lateral rate" in text for text in case.dynamics.sideways.assumed)
    path.write_text(one.replace("rate_N_mm = 80", "rate_N_mm = 80\nlateral_rate_N_mm = 30"), encoding="utf-8")
    case = read_case(small_case)
    assert case.catalogue["A7+B2"].lateral_rate == 200e3
    assert not any("lateral rate" in text for text in case.dynamics.sideways.assumed)
