"""A stiff block on springs through the whole job: steady forces, people, machines, air and drops by closed forms.

The block bends from some 300 Hz on, which takes off (f/300)² at most of what is reckoned for a rigid one: 1 % at 30 Hz.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fem.gravity import GRAVITY
from jackfield.air import air_view
from jackfield.coupled_modes import bay_views, coupled_modes, springs_alone
from jackfield.drop_map import drop_map
from jackfield.dropping import drop_view
from jackfield.moving import MovingFloor, moving_floor
from jackfield.steady import steady_views, transmissibility
from preprocess.reader import read_case
from tests.unit.motion_cases import MASS, RATE, SIDE, write_block

OMEGA = np.sqrt(4 * RATE / MASS)
"""Of heave, rad/s: 3.16 Hz."""
RIGID = 0.01
MIDDLE = '[[response_points]]\nname = "Middle"\nplace_mm = [1500, 1500]\n'


def moving(folder: Path, tables: str) -> MovingFloor:
    return moving_floor(read_case(write_block(folder / "case", tables)))


def test_transmissibility(tmp_path: Path) -> None:
    """|(1 + iη)/(1 + iη − r²)| of a mass on a spring with loss factor η (Harris and Crede, ch. 2; from memory)."""
    view = transmissibility(moving(tmp_path, MIDDLE + "[rubber]\nfrequency_hz = 11\nloss_factor = 0.3\n"))
    low = view.frequencies < 30
    for found, natural, loss in ((view.springs, OMEGA / (2 * np.pi), 0.04), (view.rubber, 11.0, 0.3)):
        square = (view.frequencies[low] / natural) ** 2
        np.testing.assert_allclose(found[0, low], np.abs((1 + 1j * loss) / (1 + 1j * loss - square)), rtol=2 * RIGID)
    assert view.frequencies[0] == pytest.approx(0.5)
    assert view.frequencies[-1] == pytest.approx(100.0)
    assert view.springs[0].max() == pytest.approx(1 / 0.04, rel=RIGID), "the peak itself is among the frequencies"


def test_machine(tmp_path: Path) -> None:
    """m e ω² on a mass on springs: acceleration m e ω⁴/(M |ω0²(1 + iη) − ω²|) under the machine in the middle."""
    tables = '[[machines]]\nname = "Fan"\nplace_mm = [1500, 1500]\nspeed_rpm = [900, 1200]\nunbalance_kg_mm = 50\n'
    (view,) = steady_views(moving(tmp_path, tables))
    omega = 2 * np.pi * view.rates
    force = 0.05 * omega**2
    receptance = 1 / (MASS * np.abs(OMEGA**2 * (1 + 0.04j) - omega**2))
    np.testing.assert_allclose(view.acceleration, force * omega**2 * receptance, rtol=2 * RIGID)
    stiffness = 4 * RATE * abs(1 + 0.04j)
    np.testing.assert_allclose(view.force, force * receptance * stiffness, rtol=2 * RIGID)
    assert not view.meets
    assert view.worst_rate == pytest.approx(20.0)


def test_machine_that_meets_heave_is_stopped(tmp_path: Path) -> None:
    """Its peak is 1/η of the force, and is found although the rates are swept in steps."""
    tables = '[[machines]]\nname = "Pump"\nplace_mm = [1500, 1500]\nspeed_rpm = [150, 600]\nunbalance_kg_mm = 50\n'
    (view,) = steady_views(moving(tmp_path, tables))
    assert len(view.meets) == 1
    assert "3.1" in view.meets[0]
    at_heave = np.argmin(np.abs(view.rates - OMEGA / (2 * np.pi)))
    assert view.force[at_heave] == pytest.approx(0.05 * OMEGA**2 / 0.04, rel=RIGID)


def test_group(tmp_path: Path) -> None:
    """Three harmonics of the weight of six people on the whole slab, their peaks added.

    AISC Design Guide 11 for the factors 1.5, 0.6, 0.1 (from memory); each a mass on springs.
    """
    tables = '[[groups]]\nname = "Class"\npeople = 6\nfrequency_hz = [2.0, 2.4]\nactivity = "rhythmic"\n'
    (view,) = steady_views(moving(tmp_path, tables))
    weight, total = 6 * 75 * GRAVITY, 0.0
    for number, factor in enumerate((1.5, 0.6, 0.1), start=1):
        omega = 2 * np.pi * number * view.rates
        total = total + factor * weight * omega**2 / (MASS * np.abs(OMEGA**2 * (1 + 0.04j) - omega**2))
    np.testing.assert_allclose(view.acceleration, total, rtol=2 * RIGID)
    assert view.worst_rate == pytest.approx(view.rates[np.argmax(total)])


def test_group_spread_over_a_corner_rocks_the_block(tmp_path: Path) -> None:
    """Off the middle the same people shake the far corner less and their own corner more."""
    tables = (
        '[[groups]]\nname = "Corner"\npeople = 6\nfrequency_hz = [2.0, 2.4]\nactivity = "rhythmic"\n'
        "outline_mm = [[0, 0], [1000, 0], [1000, 1000], [0, 1000]]\n"
        '[[groups]]\nname = "All"\npeople = 6\nfrequency_hz = [2.0, 2.4]\nactivity = "rhythmic"\n'
    )
    corner, everywhere = steady_views(moving(tmp_path, tables))
    assert corner.peak_acceleration > 1.2 * everywhere.peak_acceleration
    assert max(corner.where) < SIDE / 2
    np.testing.assert_allclose(corner.force, everywhere.force, rtol=2 * RIGID)


def test_bay_under_the_block(tmp_path: Path) -> None:
    """Static deflection Σ S F/(m ω²) of a bay, and the warnings of both rules (common practice, no source)."""
    tables = (
        '[[bays]]\nname = "Soft"\ncorners_mm = [[-1000, -1000], [4000, 4000]]\n'
        "frequency_hz = 4\nmodal_mass_kg = 30000\n" + MIDDLE
    )
    (view,) = bay_views(moving(tmp_path, tables))
    share = (
        np.sin(np.pi * 1.4 / 5) ** 2,
        np.sin(np.pi * 1.4 / 5) * np.sin(np.pi * 3.6 / 5),
        np.sin(np.pi * 3.6 / 5) ** 2,
    )
    expected = MASS * GRAVITY / 4 * (share[0] + 2 * share[1] + share[2]) / (30000 * (2 * np.pi * 4) ** 2)
    assert view.floor_deflection == pytest.approx(expected, rel=1e-6)
    assert view.spring_deflection == pytest.approx(MASS * GRAVITY / 4 / RATE, rel=1e-6)
    assert view.jacks == 4
    assert len(view.notes) == 2


def test_coupled_modes_share_their_energy(tmp_path: Path) -> None:
    """Kinetic energy of slab, structural floor and air is all there is; heave keeps its name over a stiff bay."""
    tables = (
        '[[bays]]\nname = "Stiff"\ncorners_mm = [[-1000, -1000], [4000, 4000]]\n'
        "frequency_hz = 12\nmodal_mass_kg = 30000\n"
        '[air]\nedge = "open"\ngap_mm = 60\n'
    )
    floor = moving(tmp_path, tables)
    view = coupled_modes(floor)
    np.testing.assert_allclose(view.slab + view.floor + view.air, 1.0, atol=1e-9)
    assert view.kinds[0] == "heave"
    assert "structural floor, Stiff" in view.kinds
    assert springs_alone(floor)[0] == pytest.approx(OMEGA / (2 * np.pi), rel=1e-3)


@pytest.mark.parametrize("edge", ["sealed", "open"])
def test_air_under_the_block(tmp_path: Path, edge: str) -> None:
    """Sealed: γp0/h on the whole area beside the springs. Open: the springs' heave with the added mass of the air.

    A square plate of air with p = 0 all round adds ρ a⁴/h · 0.0351 (the torsion constant of a square over four,
    Timoshenko and Goodier, Theory of Elasticity, J = 0.1406 a⁴; from memory). 1 %: its figure has four digits, and air
    is a little compressible.
    """
    view = air_view(moving(tmp_path, f'[air]\nedge = "{edge}"\ngap_mm = 50\nexponent = 1.4\n'))
    assert view is not None
    sealed = np.sqrt((4 * RATE + 1.4 * 101325 / 0.05 * SIDE**2) / MASS) / (2 * np.pi)
    added = 1.204 * 0.1406 / 4 * SIDE**4 / 0.05
    opened = np.sqrt(4 * RATE / (MASS + added)) / (2 * np.pi)
    assert view.sealed == pytest.approx(sealed, rel=2e-3)
    assert view.opened == pytest.approx(opened, rel=1e-3)
    assert view.heave_with == (view.sealed if edge == "sealed" else view.opened)
    assert 1 - view.opened / view.heave == pytest.approx(added / MASS / 2, rel=0.02)
    assert view.open_length is not None
    assert 0 < view.open_length < 4 * SIDE


def test_drop_in_the_middle(tmp_path: Path) -> None:
    """Impulse on a rigid slab: peak I ω0 into the structure, and each jack a quarter of it beside its static load.

    The blow of 10 ms is short beside 316 ms: (ω0 τ)²/24 = 0.2 %, damping of 2 % takes off 3 % in a quarter period.
    """
    tables = (
        '[[coverings]]\nname = "Mat"\nstiffness_N_mm = 2000\nrestitution = 0.2\n'
        '[[impacts]]\nname = "Bar"\nmass_kg = 100\nheight_mm = 1500\nplace_mm = [1500, 1500]\ncovering = "Mat"\n'
    )
    floor = moving(tmp_path, tables)
    view = drop_view(floor, floor.case.dynamics.impacts[0])
    impulse = view.impulse
    assert view.springs.peak_force == pytest.approx(impulse * OMEGA * np.exp(-0.02 * np.pi / 2), rel=0.02)
    static = MASS * GRAVITY / 4
    peak = static + view.springs.peak_force / 4
    assert view.jack_loads.max() == pytest.approx(peak, rel=5e-3)
    assert view.reserve == pytest.approx(0.060 - peak / RATE, abs=1e-4)
    assert view.reduction.argmin() == 5, "springs amplify most in the band of 3.15 Hz, their own"
    assert len(view.bare.peak_velocity) == 0, "a rigid structural floor does not move"


def test_map_holds_what_single_drops_hold(tmp_path: Path) -> None:
    """The map's force and reserve at a place are those of the whole history of a drop there: 1 % of the force.

    The map looks every 2.5 ms at a block that moves at 3 Hz and follows one touch.
    """
    tables = '[[impacts]]\nname = "Bar"\nmass_kg = 100\nheight_mm = 1500\nplace_mm = [1000, 2000]\ndrops_a_day = 4\n'
    floor = moving(tmp_path, tables)
    impact = floor.case.dynamics.impacts[0]
    grid = drop_map(floor, impact)
    assert len(grid.xy) > 60
    nearest = int(np.argmin(np.linalg.norm(grid.xy - np.array([1.0, 2.0]), axis=1)))
    single = drop_view(floor, replace(impact, place=(float(grid.xy[nearest, 0]), float(grid.xy[nearest, 1]))))
    assert grid.force[nearest] == pytest.approx(single.springs.peak_force, rel=0.01)
    assert grid.reserve[nearest] == pytest.approx(single.reserve, abs=2e-4)
    assert grid.worst_jack[nearest] == single.worst_jack


STRIP = """
[project]
title = "Strip"

[slab]
outline_mm = [[0, 0], [14000, 0], [14000, 2000], [0, 2000]]
thickness_mm = 120

[jacks]
positions = "jacks.csv"

[springs]
catalogue = "springs.toml"

[[machines]]
name = "Fan"
place_mm = [400, 1000]
speed_rpm = [{rpm}, {rpm}]
unbalance_kg_mm = 20
"""


def strip(folder: Path, rpm: float) -> MovingFloor:
    """A long slab whose bending modes pass nothing on as a whole."""
    folder.mkdir(parents=True)
    (folder / "case.toml").write_text(STRIP.format(rpm=rpm), encoding="utf-8")
    rows = [f"J{i}{j},{500 + 1300 * i},{400 + 1200 * j},S" for i in range(11) for j in range(2)]
    (folder / "jacks.csv").write_text("id,x_mm,y_mm,spring\n" + "\n".join(rows) + "\n", encoding="utf-8")
    (folder / "springs.toml").write_text(
        '[[spring]]\ncode = "S"\nrate_N_mm = 180\nrated_load_kN = 4\nsolid_deflection_mm = 60\n', encoding="utf-8"
    )
    return moving_floor(read_case(folder))


def test_bending_mode_that_passes_nothing_on_is_a_stop_sign_all_the_same(tmp_path: Path) -> None:
    """On a mode with two nodes or more the slab shakes far more than as a free mass; between two modes it does not.

    The mode is taken from the floor itself; an odd one about the middle has no net force by symmetry.
    """
    modes = strip(tmp_path / "still", 600).slab
    odd = next(i for i, f in enumerate(modes.frequencies) if f > 6 and modes.heave[i] < 1e-6)
    (on,) = steady_views(strip(tmp_path / "on", 60 * float(modes.frequencies[odd])))
    assert len(on.meets) == 1
    assert "shakes" in on.meets[0]
    assert on.force.max() < 0.02 * (2 * np.pi * modes.frequencies[odd]) ** 2
    between = 60 * float(np.sqrt(modes.frequencies[odd] * modes.frequencies[odd + 1]))
    (off,) = steady_views(strip(tmp_path / "off", between))
    assert not off.meets
    assert on.peak_acceleration / on.rates[0] ** 2 > 3 * off.peak_acceleration / off.rates[0] ** 2


def test_people_wind_springs_up_and_let_them_go(tmp_path: Path) -> None:
    """Least and greatest load of a jack under a class: static and a quarter of the force passed on, to either side."""
    tables = '[[groups]]\nname = "Class"\npeople = 6\nfrequency_hz = [2.0, 2.4]\nactivity = "rhythmic"\n'
    (view,) = steady_views(moving(tmp_path, tables + '[air]\nedge = "open"\ngap_mm = 900\n'))
    static = MASS * GRAVITY / 4
    swing = view.peak_force / 4
    assert view.least_load == pytest.approx(static - swing, rel=0.01)
    assert view.reserve == pytest.approx(0.060 - (static + swing) / RATE, abs=2e-4)
    assert view.clearance == pytest.approx(0.9 - swing / RATE, abs=2e-4)
