"""The strength in results.json: units of the case files, complete, and nothing that JSON cannot hold."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from math import degrees, inf
from typing import Any

import numpy as np
import pytest

from postprocess.strength.as_json import strength_json
from postprocess.strength.assess import assess
from postprocess.strength.demand import Envelope
from postprocess.strength.effects import LiftDay, SpotForces
from postprocess.strength.factors import RECOMMENDED, NationalValues
from postprocess.strength.result import Strength
from tests.unit.strength_cases import ANGLE, CAUSES, a_design, a_stage, no_effects, young


@pytest.fixture(scope="module")
def strength() -> Strength:
    """A252 below, A193 above, γc 1.4, a jack with 40 kN, a corner that sags, a lift at 4 days."""
    effects = no_effects(ANGLE)
    m = len(effects.places.xy)
    day = LiftDay(young(4), (a_stage(effects.places, 2e3, (2e3,) * 4, (2e3,) * 3),))
    effects = replace(
        effects,
        design=Envelope(np.tile([6e3, 5e3, 4e3, 3e3], (m, 1)), np.ones((m, 4), dtype=np.int64)),
        spots=SpotForces(np.array([10e3, 40e3, 5e3, 1e3, 2e3]), np.zeros(5, dtype=np.int64)),
        across=dict.fromkeys(effects.across, np.array([2e3])),
        across_design=np.array([[3e3, -2e3]]),
        lift=day,
    )
    design = a_design(values=replace(RECOMMENDED, gamma_c=1.4))
    return assess(effects, [design], lambda age: LiftDay(young(age), day.stages))


@pytest.fixture(scope="module")
def found(strength: Strength) -> dict[str, Any]:
    """As it is read back from a file."""
    text = json.dumps(strength_json(strength), allow_nan=False)
    return dict(json.loads(text))


def test_head(found: dict[str, Any]) -> None:
    assert found["standard"] == "EN 1992-1-1:2004"
    assert found["strip_mm"] == pytest.approx(275)
    assert found["chosen_by_program"] is False
    assert found["combinations"] == list(CAUSES)


def test_layers(found: dict[str, Any], strength: Strength) -> None:
    """mm, mm²/m by hand; use as demand over resistance."""
    bottom, top = found["layers"]
    assert [layer["face"] for layer in (bottom, top)] == ["bottom", "top"]
    assert (bottom["fabric"], top["fabric"], bottom["cover_mm"]) == ("8 at 200", "7 at 200", pytest.approx(25))
    for layer, diameter, area, depths, demands in (
        (bottom, 8, 251.33, (96, 88), (6, 5)),
        (top, 7, 192.42, (96.5, 89.5), (4, 3)),
    ):
        for i, row in enumerate(layer["directions"]):
            assert row["along"] == "xy"[i]
            assert (row["diameter_mm"], row["pitch_mm"]) == (pytest.approx(diameter), pytest.approx(200))
            assert row["area_mm2_m"] == pytest.approx(area, abs=0.005)
            assert row["effective_depth_mm"] == pytest.approx(depths[i])
            side = i if layer is bottom else 2 + i
            assert row["resistance_kNm_m"] == pytest.approx(strength.resistance[side] / 1e3)
            assert row["use"] == pytest.approx(demands[i] / row["resistance_kNm_m"])
            assert row["where"]
            assert row["share_of_area_used_above_half"] == pytest.approx(float(row["use"] > 0.5)), "the same everywhere"
    assert "least steel, top" in top["fails_without"]
    assert "least steel, top" not in bottom["fails_without"]


def test_materials_and_factors(found: dict[str, Any]) -> None:
    """fcd = 32/1.4, fyd = 500/1.15 MPa; each value with what is recommended, its unit and source."""
    assert found["materials"] == pytest.approx(
        {"fck_mpa": 32, "fcd_mpa": 32 / 1.4, "fyk_mpa": 500, "fyd_mpa": 500 / 1.15}
    )
    factors = {row["name"]: row for row in found["factors"]}
    assert list(factors) == [field.name for field in fields(NationalValues)]
    assert (factors["gamma_c"]["value"], factors["gamma_c"]["recommended"]) == (1.4, 1.5)
    assert (factors["gamma_s"]["value"], factors["gamma_s"]["recommended"]) == (1.15, 1.15)
    assert factors["w_max"]["unit"] == "m"
    assert factors["w_max"]["value"] == pytest.approx(0.3e-3)
    assert all(row["source"] for row in factors.values())


def test_punching(found: dict[str, Any], strength: Strength) -> None:
    places = {row["place"]: row for row in found["punching"]}
    assert list(places) == ["jack J1", "jack J2", "jack J3", "Rack, foot 1", "Rack, foot 2"]
    row, place = places["jack J2"], strength.punching[1]
    assert (row["kind"], row["position"]) == ("jack", "interior")
    assert (row["x_mm"], row["y_mm"], row["force_kN"]) == (pytest.approx(4000), pytest.approx(1000), pytest.approx(40))
    assert row["perimeter_mm"] == pytest.approx(np.pi * (150 + 4 * 93), rel=3e-5)  # chords
    assert row["stress_mpa"] == pytest.approx(1.15 * 40e3 / (row["perimeter_mm"] * 93), rel=1e-9)
    assert row["stress_at_load_mpa"] == pytest.approx(1.15 * 40e3 / (np.pi * 150 * 93))
    assert row["strength_mpa"] == pytest.approx(place.strength / 1e6)
    assert row["strength_at_load_mpa"] == pytest.approx(0.5 * 0.6 * (1 - 32 / 250) * 32 / 1.4)
    assert row["use"] == pytest.approx(row["stress_mpa"] / row["strength_mpa"])
    assert places["Rack, foot 2"]["kind"] == "foot"


def test_corners(found: dict[str, Any], strength: Strength) -> None:
    (row,) = found["corners"]
    assert (row["x_mm"], row["y_mm"]) == (pytest.approx(2000), pytest.approx(2000))
    assert row["trimmers_along_deg"] == pytest.approx(degrees(strength.corners[0].across))
    assert row["trimmers_along_deg"] % 180 == pytest.approx(135)
    assert (row["strip_mm"], row["zone_mm"]) == (pytest.approx(275), pytest.approx(500))
    assert row["moment_across_kNm_m"] == pytest.approx({"bare": 2, "service": 2, "full": 2})
    assert row["cracking_use"]["full"] == pytest.approx(2e3 / (0.7 * 0.30 * 32 ** (2 / 3) * 1e6 * 0.125**2 / 6))
    assert row["design_moment_kNm_m"] == pytest.approx({"sagging": 3, "hogging": -2})
    assert row["trimmers"] == {
        "bottom": {"bars": 2, "diameter_mm": pytest.approx(12)},
        "top": {"bars": 2, "diameter_mm": pytest.approx(12)},
    }


def test_lift(found: dict[str, Any], strength: Strength) -> None:
    """Class N at 4 days: βcc 0.6627."""
    lift = found["lift"]
    assert lift["age_days"] == 4
    assert lift["fcm_mpa"] == pytest.approx(0.6627 * 40, abs=0.002)
    assert lift["fck_mpa"] == pytest.approx(0.6627 * 40 - 8, abs=0.002)
    assert lift["fctk_005_mpa"] == pytest.approx(0.7 * lift["fctm_mpa"])
    assert lift["modulus_gpa"] == pytest.approx(33.346 * 0.6627**0.3, abs=0.002)
    assert lift["moment_kNm_m"] == pytest.approx(2)
    assert lift["cracking_moment_kNm_m"] == pytest.approx(lift["fctk_005_mpa"] * 125**2 / 6 / 1e3)
    assert strength.lift
    assert lift["earliest_age_days"] == strength.lift.earliest_age


def test_nothing_to_say(strength: Strength) -> None:
    """No lift; a lift that never passes; no corners."""
    assert strength_json(replace(strength, lift=None))["lift"] is None
    assert strength.lift
    never = replace(strength, lift=replace(strength.lift, earliest_age=None), corners=())
    found = json.loads(json.dumps(strength_json(never), allow_nan=False))
    assert found["lift"]["earliest_age_days"] is None
    assert found["corners"] == []


def test_no_perimeter_left(strength: Strength) -> None:
    """JSON has no infinity: null stands for it."""
    place = replace(strength.punching[0], stress=inf)
    (row,) = strength_json(replace(strength, punching=(place,)))["punching"]
    assert row["stress_mpa"] is None
    assert row["use"] is None
    assert row["stress_at_load_mpa"] == pytest.approx(place.face_stress / 1e6)
    json.dumps(row, allow_nan=False)
