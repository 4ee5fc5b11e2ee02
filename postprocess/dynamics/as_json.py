"""The floor in motion for other programs, in the units of case files."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from postprocess.dynamics.bands import CENTRES, NOMINAL
from postprocess.dynamics.histories import jack_loads_name, kept_points
from postprocess.dynamics.steady_words import GRAVITY, velocity_of
from postprocess.dynamics.views import (
    AirView,
    BayView,
    CoupledModesView,
    DropMapView,
    DropView,
    DynamicsView,
    SidewaysView,
    SteadyView,
    SupportView,
    TransmissibilityView,
)

Floats = NDArray[np.float64]

POINTS: Final = 2000
"""Points of a history at most; its extremes stay."""
DIGITS: Final = 5
"""Significant digits of histories and curves."""
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
        "drops": [_drop(i, drop, ids, view.bay_names) for i, drop in enumerate(view.drops)],
        "drop_map": None if view.drop_map is None else _map(view.drop_map, ids),
        "transmissibility": _transmissibility(view.transmissibility),
        "groups": [_steady(each) for each in view.steady if each.kind == "group"],
        "machines": [_steady(each) for each in view.steady if each.kind != "group"],
        "sideways": _sideways(view.sideways),
        "modal_against_direct_percent": 100 * view.truncation,
        "sentences": list(view.sentences),
        "assumed": list(view.assumed),
    }


def _rounded(values: Floats, factor: float = 1.0) -> list[Any]:
    """Values times a factor, to `DIGITS` significant digits."""
    scaled = np.asarray(values, dtype=np.float64) * factor
    size = np.abs(scaled)
    power = 10.0 ** (DIGITS - 1 - np.floor(np.log10(np.where(size > 0, size, 1.0))))
    return list((np.round(scaled * power) / power).tolist())


def _place(place: Sequence[float] | Floats) -> list[float]:
    return [1e3 * float(each) for each in place]


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
        "corners_mm": [_place(bay.low), _place(bay.high)],
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
        "sentence": air.sentence,
    }


def _drop(number: int, drop: DropView, ids: Sequence[str], bays: Sequence[str]) -> dict[str, Any]:
    contact = kept_points(np.column_stack([drop.contact, drop.slab]), POINTS)
    worst = kept_points(drop.jack_loads[:, drop.worst_jack], POINTS)
    loads = drop.jack_loads / 1e3
    return {
        "name": drop.name,
        "place_mm": _place(drop.place),
        "mass_kg": drop.mass,
        "height_mm": drop.height * 1e3,
        "speed_mm_s": drop.speed * 1e3,
        "contact_stiffness_N_mm": drop.stiffness / 1e3,
        "restitution": drop.restitution,
        "contact_time_ms": drop.contact_time * 1e3,
        "impulse_N_s": drop.impulse,
        "touches_followed": drop.touches,
        "greatest_contact_force_kN": float(drop.contact.max()) / 1e3,
        "greatest_slab_motion_mm": float(np.abs(drop.slab).max()) * 1e3,
        "worst_jack": ids[drop.worst_jack],
        "reserve_mm": drop.reserve * 1e3,
        "least_jack_load_kN": drop.least_load / 1e3,
        "clearance_mm": None if drop.clearance is None else drop.clearance * 1e3,
        "reduction_db": _rounded(drop.reduction),
        "rubber_reduction_db": _rounded(drop.rubber_reduction),
        "drops_a_day": drop.drops,
        "day_dose_m_s175": None if drop.day_dose is None else dict(zip(bays, drop.day_dose.tolist(), strict=True)),
        "step_change_percent": 100 * drop.step_change,
        "supports": [_support(each, bays) for each in (drop.springs, drop.rubber, drop.bare)],
        "jack_load_kN": {
            "greatest": dict(zip(ids, loads.max(axis=0).tolist(), strict=True)),
            "least": dict(zip(ids, loads.min(axis=0).tolist(), strict=True)),
            "file": jack_loads_name(number),
        },
        "history": {
            "time_ms": _rounded(drop.time[contact], 1e3),
            "contact_force_kN": _rounded(drop.contact[contact], 1e-3),
            "slab_motion_mm": _rounded(drop.slab[contact], 1e3),
        },
        "worst_jack_history": {
            "time_ms": _rounded(drop.jack_time[worst], 1e3),
            "load_kN": _rounded(drop.jack_loads[worst, drop.worst_jack], 1e-3),
        },
        "assumed": list(drop.assumed),
    }


def _support(support: SupportView, bays: Sequence[str]) -> dict[str, Any]:
    force = kept_points(support.force, POINTS)
    moving = [kept_points(support.velocity[:, bay], POINTS) for bay in range(len(bays))]
    return {
        "support": support.name,
        "greatest_force_kN": support.peak_force / 1e3,
        "force_level_db": _rounded(support.force_levels),
        "history": {"time_ms": _rounded(support.time[force], 1e3), "force_kN": _rounded(support.force[force], 1e-3)},
        "bays": [
            {
                "bay": name,
                "greatest_velocity_mm_s": float(support.peak_velocity[bay]) * 1e3,
                "greatest_acceleration_m_s2": float(support.peak_acceleration[bay]),
                "dose_m_s175": float(support.dose[bay]),
                "velocity_level_db": _rounded(support.velocity_levels[:, bay]),
                "history": {
                    "time_ms": _rounded(support.time[kept], 1e3),
                    "velocity_mm_s": _rounded(support.velocity[kept, bay], 1e3),
                },
            }
            for bay, (name, kept) in enumerate(zip(bays, moving, strict=True))
        ],
    }


def _map(grid: DropMapView, ids: Sequence[str]) -> dict[str, Any]:
    return {
        "drop": grid.name,
        "spacing_mm": grid.spacing * 1e3,
        "places": [
            {
                "place_mm": _place(grid.xy[i]),
                "force_kN": float(grid.force[i]) / 1e3,
                "greatest_jack_load_kN": float(grid.jack_load[i]) / 1e3,
                "reserve_mm": float(grid.reserve[i]) * 1e3,
                "worst_jack": ids[int(grid.worst_jack[i])],
                "floor_velocity_mm_s": float(grid.velocity[i]) * 1e3,
            }
            for i in range(len(grid.xy))
        ],
    }


def _transmissibility(curves: TransmissibilityView) -> dict[str, Any]:
    return {
        "frequency_hz": _rounded(curves.frequencies),
        "points": [
            {"name": name, "springs": _rounded(springs), "rubber": _rounded(rubber)}
            for name, springs, rubber in zip(curves.names, curves.springs, curves.rubber, strict=True)
        ],
    }


def _steady(each: SteadyView) -> dict[str, Any]:
    return {
        "name": each.name,
        "rate_hz": _rounded(each.rates),
        "acceleration_m_s2": _rounded(each.acceleration),
        "force_kN": _rounded(each.force, 1e-3),
        "greatest_acceleration_m_s2": each.peak_acceleration,
        "greatest_acceleration_percent_g": 100 * each.peak_acceleration / GRAVITY,
        **({"peak_velocity_mm_s": 1e3 * velocity_of(each)} if each.kind == "machine" else {}),
        "greatest_force_kN": each.peak_force / 1e3,
        "place_mm": _place(each.where),
        "worst_rate_hz": each.worst_rate,
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
