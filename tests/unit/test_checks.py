"""Verdicts and the jack schedule that they come from."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from fem.modes import ModalResult
from postprocess.checks import (
    Check,
    equilibrium_check,
    frequency_check,
    jack_checks,
    mesh_checks,
    slenderness_check,
)
from postprocess.key_moments import KeyMoments
from postprocess.results import MeshSummary, Results, StateSummary, write_results
from postprocess.schedule import JackSchedule

XY = np.array([[0.0, 0], [1.25, 0], [0, 1.25]])


@pytest.fixture
def schedule() -> JackSchedule:
    """One jack under, one within and one over the band; the last one would be solid in the full state."""
    loads = {"bare": [1e3, 2e3, -50.0], "service": [3.5e3, 5e3, 5.5e3], "full": [6e3, 8e3, 9e3]}
    deflections = {"bare": [0.005, 0.01, 0.0], "service": [0.017, 0.025, 0.027], "full": [0.03, 0.036, 0.039]}
    return JackSchedule(
        ids=("P1", "P2", "P3"),
        xy=XY,
        springs=("A", "A", "A"),
        rates=np.full(3, 2e5),
        rated_loads=np.full(3, 5e3),
        solid_deflections=np.full(3, 0.04),
        advance=np.array([0.0, 0.0, 0.002]),
        loads={name: np.array(value) for name, value in loads.items()},
        deflections={name: np.array(value) for name, value in deflections.items()},
        tributary_loads=np.array([4e3, 4e3, 4e3]),
        band=(0.75, 1.05),
    )


def test_status_by_service_load_ratio(schedule: JackSchedule) -> None:
    assert schedule.status == ("under", "ok", "over")
    np.testing.assert_allclose(schedule.tributary_ratio, [0.875, 1.25, 1.375])
    assert "under 1  ok 1  over 1" in repr(schedule)


def test_solid_reserve_counts_the_screw_advance(schedule: JackSchedule) -> None:
    np.testing.assert_allclose(schedule.solid_reserve("full"), [0.010, 0.004, -0.001], atol=1e-12)


def test_jack_checks_name_the_governing_jack(schedule: JackSchedule) -> None:
    found = {check.name: check for check in jack_checks(schedule)}
    over, under = found["largest load ratio, service"], found["least load ratio, service"]
    assert (over.value, over.ok, over.where) == (pytest.approx(1.1), False, "jack P3")
    assert (under.value, under.ok, under.where) == (pytest.approx(0.7), False, "jack P1")
    pull = found["least jack load, any state"]
    assert (pull.value, pull.ok, pull.where) == (pytest.approx(-0.05), False, "jack P3, bare")
    travel = found["least travel left to solid, full"]
    assert (travel.value, travel.ok, travel.where) == (pytest.approx(-1.0), False, "jack P3")


@pytest.mark.parametrize(("value", "ok"), [(3.6, True), (3.61, False)])
def test_a_limit_that_is_just_met_is_met(value: float, ok: bool) -> None:
    assert frequency_check(value, 3.6).ok is ok


def test_slenderness_and_equilibrium_and_mesh() -> None:
    assert slenderness_check(0.125, XY).value == pytest.approx(0.1)
    assert not slenderness_check(0.3, XY).ok
    worst = equilibrium_check({"bare": 1e-12, "service": 3e-9, "full": 0.0})
    assert (worst.where, worst.ok) == ("service", False)
    changes = {"jack_load": -0.2, "moment": 1.0, "moment_anywhere": 3.1, "frequency": 0.001}
    found = {check.name: check.ok for check in mesh_checks(changes)}
    assert found == {
        "mesh: largest jack load": False,
        "mesh: largest moment": True,
        "mesh: moment at any place": False,
        "mesh: heave frequency": True,
    }


def test_results_in_units_of_the_case(schedule: JackSchedule, tmp_path: Path) -> None:
    shares = [np.array([share]) for share in (0.9, 0.03, 0.05, 0.08)]
    modes = ModalResult(np.array([3.4]), np.zeros((1, 1)), *shares)
    key = KeyMoments(0.275, np.array([[1e3, 2e3], [-3e3, 4e3], [5e3, 6e3]]), np.array([[0.6, 0.1]]), np.ones((1, 3)))
    key.in_spans[0] = [7e3, 8e3, 9e3]
    results = Results(
        case={"title": "T", "reference": "", "revision": "A"},
        slab={"area_m2": 2.0, "mass_kg": 600.0, "thickness_mm": 125.0, "modulus_gpa": 33.0},
        states={"bare": StateSummary(5.9e3, 5.9e3, 1e-13)},
        schedule=schedule,
        modes=modes,
        moments={"bare": key},
        checks=[Check("c", 1.0, 2.0, "mm", "at most", "common practice, no source")],
        mesh=MeshSummary(10, 100, "finer", {"jack_load": 0.0, "moment": 0.1, "frequency": 0.0}),
        strength=None,
        doubt=None,
        coils=[{"code": "C1", "rate_N_mm": 120.0}],
        lists={"fabric": []},
        remarks=[],
        left_out=[],
        cautions=["careful"],
    )
    write_results(results, ["results.json"], tmp_path / "results.json")
    found = json.loads((tmp_path / "results.json").read_text(encoding="utf-8"))
    jack = found["jacks"][2]
    assert found["format"] == "jackfield-results/1"
    assert (jack["id"], jack["x_mm"], jack["y_mm"], jack["rate_N_mm"]) == ("P3", 0.0, 1250.0, 200.0)
    assert jack["load_kN"] == {"bare": -0.05, "service": 5.5, "full": 9.0}
    assert jack["deflection_mm"]["full"] == pytest.approx(39.0)
    assert jack["status"] == "over"
    assert jack["tributary_load_kN"] == {"service": 4.0}
    assert jack["strip_moment_kNm_m"] == {"bare": {"Mx": 5.0, "My": 6.0}}
    (mode,) = found["modes"]
    assert (mode["heave_share"], mode["rock_x_share"], mode["rock_y_share"]) == (0.9, 0.03, 0.05)
    assert mode["kind"] == "heave"
    moments = found["moments"]["bare"]
    span = {"x_mm": 600.0, "y_mm": 100.0, "Mx_kNm_m": 7.0, "My_kNm_m": 8.0, "Mxy_kNm_m": 9.0}
    assert moments["spans"] == [pytest.approx(span)]
    assert moments["at_jacks_kNm_m"] == {"most_sagging": 6.0, "most_hogging": -3.0}
    assert (moments["strip_mm"], found["cautions"]) == (pytest.approx(275), ["careful"])
    assert found["checks"][0]["ok"] is True
    assert found["states"]["bare"]["load_kN"] == 5.9
