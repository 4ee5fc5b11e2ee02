"""The floor in motion for other programs, in the units of case files."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from fem.gravity import GRAVITY
from postprocess.dynamics.bands import CENTRES, NOMINAL
from postprocess.dynamics.drop_json import drop_json, map_json, place_mm, rounded
from postprocess.dynamics.steady_words import velocity_of
from postprocess.dynamics.views import (
    AirView,
    BayView,
    CoupledModesView,
    DynamicsView,
    SidewaysView,
    SteadyView,
    TransmissibilityView,
)

AXES: Final = ("x", "y", "heave", "rock_x", "rock_y", "twist")


def dynamics_json(view: DynamicsView, ids: Sequence[str]) -> dict[str, Any]:
    """Everything in `view`, finite numbers only. ids: of the jacks."""
    heave, low, high = view.springs_alone
    return {
        "springs_alone": {"heave_hz": heave, "lower_rocking_hz": low, "upper_rocking_hz": high},
        "modes": _modes(view.modes),
        "bays": [_bay(bay) for bay in view.bays],
        "air": None if view.air is None else _air(view.air),
        "bands": {"nominal_hz": [str(name) for name in NOMINAL], "middle_hz": CENTRES.tolist()},
        "drops": [drop_json(i, drop, ids, view.bay_names) for i, drop in enumerate(view.drops)],
        "drop_map": None if view.drop_map is None else map_json(view.drop_map, ids),
        "transmissibility": _transmissibility(view.transmissibility),
        "groups": [_steady(each, ids) for each in view.steady if each.kind == "group"],
        "machines": [_steady(each, ids) for each in view.steady if each.kind != "group"],
        "sideways": _sideways(view.sideways),
        "modal_against_direct_percent": 100 * view.truncation,
        "sentences": list(view.sentences),
        "assumed": list(view.assumed),
    }


def _modes(modes: CoupledModesView) -> list[dict[str, Any]]:
    return [
        {
            "number": i + 1,
            "frequency_hz": float(modes.frequencies[i]),
            "damping_percent": 100 * float(modes.damping[i]),
            "heave_share": float(modes.heave[i]),
            "rock_x_share": float(modes.rock_x[i]),
            "rock_y_share": float(modes.rock_y[i]),
            "energy_share": {
                "slab": float(modes.slab[i]),
                "structural_floor": float(modes.floor[i]),
                "air": float(modes.air[i]),
            },
            "kind": kind,
        }
        for i, kind in enumerate(modes.kinds)
    ]


def _bay(bay: BayView) -> dict[str, Any]:
    return {
        "name": bay.name,
        "corners_mm": [place_mm(bay.low), place_mm(bay.high)],
        "frequency_hz": bay.frequency,
        "modal_mass_kg": bay.mass,
        "jacks": bay.jacks,
        "spring_deflection_mm": bay.spring_deflection * 1e3,
        "floor_deflection_mm": bay.floor_deflection * 1e3,
        "nearest_mode_hz": bay.nearest,
        "notes": list(bay.notes),
    }


def _air(air: AirView) -> dict[str, Any]:
    return {
        "edge": air.edge,
        "gap_mm": air.gap * 1e3,
        "heave_without_air_hz": air.heave,
        "heave_hz": air.heave_with,
        "rocking_without_air_hz": air.rock,
        "rocking_hz": air.rock_with,
        "heave_all_sealed_hz": air.sealed,
        "heave_all_open_hz": air.opened,
        "perimeter_mm": air.perimeter * 1e3,
        "open_length_needed_mm": None if air.open_length is None else air.open_length * 1e3,
        "also_heaves": None if air.also is None else {"frequency_hz": air.also[0], "mass_share": air.also[1]},
        "gap_needed_open_all_round_mm": air.gap_needed * 1e3,
        "sentence": air.sentence,
    }


def _transmissibility(curves: TransmissibilityView) -> dict[str, Any]:
    named = {"springs": curves.springs, "rubber": curves.rubber}
    if curves.airless is not None:
        named["springs_without_air"] = curves.airless
    return {
        "frequency_hz": rounded(curves.frequencies),
        "points": [
            {"name": name, **{support: rounded(values[point]) for support, values in named.items()}}
            for point, name in enumerate(curves.names)
        ],
    }


def _steady(each: SteadyView, ids: Sequence[str]) -> dict[str, Any]:
    return {
        "name": each.name,
        "rate_hz": rounded(each.rates),
        "acceleration_m_s2": rounded(each.acceleration),
        "force_kN": rounded(each.force, 1e-3),
        "greatest_acceleration_m_s2": each.peak_acceleration,
        "greatest_acceleration_percent_g": 100 * each.peak_acceleration / GRAVITY,
        **({"peak_velocity_mm_s": 1e3 * velocity_of(each)} if each.kind == "machine" else {}),
        "greatest_force_kN": each.peak_force / 1e3,
        "place_mm": place_mm(each.where),
        "worst_rate_hz": each.worst_rate,
        "worst_jack": ids[each.worst_jack],
        "reserve_mm": each.reserve * 1e3,
        "least_jack_load_kN": each.least_load / 1e3,
        "clearance_mm": None if each.clearance is None else each.clearance * 1e3,
        "stop": list(each.meets),
        "basis": each.basis,
    }


def _sideways(sideways: SidewaysView) -> dict[str, Any]:
    return {
        "modes": [
            {"frequency_hz": float(frequency), "kind": kind, "share": dict(zip(AXES, share.tolist(), strict=True))}
            for frequency, kind, share in zip(sideways.frequencies, sideways.kinds, sideways.shares, strict=True)
        ],
        "sway_rate_N_mm": dict(zip(("x", "y"), (sideways.sway_rates / 1e3).tolist(), strict=True)),
        "notes": list(sideways.notes),
    }
