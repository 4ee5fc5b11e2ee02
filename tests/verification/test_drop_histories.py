"""Histories of a drop: against integration in time, against bands, and where drops bounce."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from fem.drop import Oscillators, Weights
from fem.drop_history import follow
from fem.synthesis import Record
from jackfield.dropping import RECORD, drop_view
from jackfield.moving import MovingFloor, moving_floor
from postprocess.dynamics.bands import CENTRES, EDGES
from postprocess.dynamics.views import DropView
from preprocess.reader import read_case
from tests.cases.booth import edit
from tests.unit.motion_cases import write_block
from tests.verification.in_time import states

BAY = """
[[bays]]
name = "Below"
corners_mm = [[-1500, -1000], [4200, 4500]]
frequency_hz = 9
modal_mass_kg = 25000
damping_percent = 3
"""
BALL = """
[[coverings]]
name = "Mat"
stiffness_N_mm = 800
restitution = {restitution}

[[impacts]]
name = "Ball"
mass_kg = 60
height_mm = {height}
place_mm = [1100, 1900]
covering = "Mat"
"""


def dropped(folder: Path, tables: str) -> tuple[MovingFloor, DropView]:
    floor = moving_floor(read_case(write_block(folder / "case", tables)))
    return floor, drop_view(floor, floor.case.dynamics.impacts[0])


def test_transform_and_back() -> None:
    """A single oscillator of 4 Hz and 1 % after two touches: closed form in time against transform and back.

    Hysteretic and viscous losses of one mode part by η in phase: 1 % of 2 %. What comes round is a thousandth.
    """
    angular, ratio = 2 * np.pi * 4.0, 0.01
    floor = Oscillators(np.array([angular]), np.array([ratio]))
    place = np.array([1 / np.sqrt(5000.0)])
    weight = Weights(np.array([50.0]), np.array([1e6]), np.array([0.6]), place[None], np.zeros(1))
    history = follow(floor, weight, 3.0, 1.0)
    assert len(history.contacts) > 1
    record = Record(5e-4, 2**14)
    transfer = place[0] / (angular**2 * (1 + 2j * ratio) - (2 * np.pi * record.frequencies) ** 2)
    found = record.back((transfer * record.force(history))[:, None])[:, 0]
    expected = states(history, record.time)[0][:, 0]
    np.testing.assert_allclose(found[:8000], expected[:8000], atol=0.02 * np.abs(expected).max())


def test_spectrum_between_its_frequencies() -> None:
    """Splines against the sum itself, which is exact for the linear pieces of the force: 1e-4 of the impulse."""
    floor = Oscillators(np.zeros(0), np.zeros(0))
    weight = Weights(np.array([20.0]), np.array([3e6]), np.array([0.5]), np.zeros((1, 0)), np.zeros(1))
    history = follow(floor, weight, 4.0, 2.0)
    frequencies = np.linspace(0.0, 900.0, 777)
    expected = np.zeros(len(frequencies), dtype=complex)
    for contact in history.contacts:
        time, force = contact.touch.time, contact.touch.force[:, 0]
        weights = time[1] * np.sinc(frequencies * time[1]) ** 2
        expected += weights * (np.exp(-2j * np.pi * np.outer(frequencies, contact.start + time)) @ force)
    np.testing.assert_allclose(history.spectrum(frequencies), expected, atol=1e-4 * abs(expected[0]))


@pytest.mark.parametrize(
    ("losses", "name"),
    [("loss_factor = 0.5", "heavy"), ("loss_factor = 0.01", "light")],
)
def test_bands_and_histories_are_of_one_drop(tmp_path: Path, losses: str, name: str) -> None:
    """Energy of the force and of the bay's velocity over the record is that of the bands together (Parseval).

    With lossy air, whose modes damping by energy would mix up. Below the first band the force is even, the impulse a
    hertz; with 6 % of damping little is left after 4 s: 2 %, the force rises by a fifth towards 0.9 Hz.
    """
    air = f'\n[air]\nedge = "open"\ngap_mm = 30\n{losses}\n'
    tables = BAY + air + BALL.format(restitution=0.3, height=600) + f"\n[rubber]\n{losses}\n"
    folder = write_block(tmp_path / "case", tables)
    edit(folder / "case.toml", "springs_percent = 2", "springs_percent = 6")
    floor = moving_floor(read_case(folder))
    view = drop_view(floor, floor.case.dynamics.impacts[0])
    for support in (view.springs, view.rubber):
        step = support.time[1]
        for history, found, below in (
            (support.force, support.force_levels, 2 * EDGES[0] * view.impulse**2),
            (support.velocity[:, 0] / 1e-9, support.velocity_levels[:, 0], 0.0),
        ):
            in_bands = np.sum(10 ** (found / 10)) + below
            assert np.sum(history**2) * step == pytest.approx(in_bands, rel=0.02), (name, support.name)


def test_light_losses_as_integrated_in_time(tmp_path: Path) -> None:
    """Peaks of force and of the bay's speed are those of modes integrated in time with damping by energy: 1 %."""
    floor, view = dropped(tmp_path, BAY + BALL.format(restitution=0.3, height=600))
    under = floor.springs
    disc = floor.floor.sampler.discs(np.array([[1.1, 1.9]]), 0.2)
    place = under.real.at(under.floor.at_slab(disc.rows))[0]
    local = float((disc.rows @ floor.local(disc)[0])[0])
    weight = Weights(np.array([60.0]), np.array([8e5]), np.array([0.3]), place[None], np.array([local]))
    history = follow(under.oscillators, weight, view.speed, 4.0)
    q, v = states(history, view.springs.time)
    force = q @ under.real.at(under.floor.support.net[None])[0]
    assert np.abs(view.springs.force).max() == pytest.approx(np.abs(force).max(), rel=0.01)
    velocity = v @ under.real.at(under.floor.at_bays()).T
    assert view.springs.peak_velocity[0] == pytest.approx(np.abs(velocity).max(), rel=0.01)
    loads = q @ under.real.at(under.floor.support.forces).T
    np.testing.assert_allclose(view.jack_loads.max(axis=0) - floor.service, loads.max(axis=0), rtol=0.01)


def test_bands_of_a_ball_that_bounces(tmp_path: Path) -> None:
    """Bands of the bare rigid floor, whose force is that of contact, against a grid of 0.005 Hz: 0.1 dB.

    Bounces leave ripples of one over the time between them, which a grid for the floor's modes would miss by decibels.
    """
    floor, view = dropped(tmp_path, BALL.format(restitution=0.85, height=900))
    assert view.touches > 5
    impact = floor.case.dynamics.impacts[0]
    weight = Weights(np.array([impact.mass]), np.array([8e5]), np.array([0.85]), np.zeros((1, 0)), np.zeros(1))
    history = follow(Oscillators(np.zeros(0), np.zeros(0)), weight, view.speed, 4.0)
    fine = np.arange(EDGES[0], EDGES[-1], 0.005)
    energy = 2 * np.abs(history.spectrum(fine)) ** 2 * 0.005
    band = np.searchsorted(EDGES, fine, side="right") - 1
    expected = 10 * np.log10(np.bincount(band, energy, len(CENTRES)))
    np.testing.assert_allclose(view.bare.force_levels, expected, atol=0.1)


def test_gap_of_the_lift_is_that_of_the_bare_slab(tmp_path: Path) -> None:
    """The slab sinks by the weight of what is put on it over the springs' rates (a stiff block): 800 kg on 8 kN/mm."""
    tables = '\n[lift]\nair_gap_mm = 30\n\n[[equipment]]\nname = "Load"\nmass_kg = 800\n' + (
        "outline_mm = [[0, 0], [3000, 0], [3000, 3000], [0, 3000]]\n"
    )
    floor = moving_floor(read_case(write_block(tmp_path / "case", tables + BALL.format(restitution=0.3, height=600))))
    assert floor.service_gap == pytest.approx(0.030 - 800 * 9.80665 / 8e6, abs=2e-6)


def test_full_load_takes_its_share_of_the_travel(tmp_path: Path) -> None:
    """With all imposed load on, reserve is less by its weight over the rates: 2 kPa on 9 m2."""
    tables = "\n[imposed]\npressure_kpa = 2\nservice_fraction = 0\n" + BALL.format(restitution=0.3, height=600)
    _, view = dropped(tmp_path, tables)
    assert view.reserve - view.full_reserve == pytest.approx(2000 * 9 / 8e6, rel=1e-3)
    assert len(view.jack_time) == np.sum(RECORD.time < 4.0)
