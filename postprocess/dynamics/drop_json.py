"""Drops and their map for other programs, in the units of case files."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from postprocess.dynamics.histories import jack_loads_name, kept_points
from postprocess.dynamics.views import DropMapView, DropView, SupportView

Floats = NDArray[np.float64]

POINTS: Final = 2000
"""Points of a history at most; its extremes stay."""
DIGITS: Final = 5
"""Significant digits of histories and curves."""


def rounded(values: Floats, factor: float = 1.0) -> list[Any]:
    """Values times a factor, to `DIGITS` significant digits."""
    scaled = np.asarray(values, dtype=np.float64) * factor
    size = np.abs(scaled)
    power = 10.0 ** (DIGITS - 1 - np.floor(np.log10(np.where(size > 0, size, 1.0))))
    return list((np.round(scaled * power) / power).tolist())


def place_mm(place: Sequence[float] | Floats) -> list[float]:
    """A place in m, in mm."""
    return [1e3 * float(each) for each in place]


def drop_json(number: int, drop: DropView, ids: Sequence[str], bays: Sequence[str]) -> dict[str, Any]:
    """A drop of index `number`, its supports and its histories. ids: of the jacks. bays: names."""
    supports = [drop.springs, drop.rubber, drop.bare, *([] if drop.airless is None else [drop.airless])]
    contact = kept_points(np.column_stack([drop.contact, drop.slab]), POINTS)
    worst = kept_points(drop.jack_loads[:, drop.worst_jack], POINTS)
    loads = drop.jack_loads / 1e3
    return {
        "name": drop.name,
        "place_mm": place_mm(drop.place),
        "mass_kg": drop.mass,
        "height_mm": drop.height * 1e3,
        "speed_mm_s": drop.speed * 1e3,
        "contact_stiffness_N_mm": drop.stiffness / 1e3,
        "restitution": drop.restitution,
        "covering_pressed_mm": drop.depth * 1e3,
        "contact_time_ms": drop.contact_time * 1e3,
        "impulse_N_s": drop.impulse,
        "touches_followed": drop.touches,
        "greatest_contact_force_kN": float(drop.contact.max()) / 1e3,
        "greatest_slab_motion_mm": float(np.abs(drop.slab).max()) * 1e3,
        "worst_jack": ids[drop.worst_jack],
        "reserve_mm": drop.reserve * 1e3,
        "reserve_with_full_imposed_load_mm": drop.full_reserve * 1e3,
        "least_jack_load_kN": drop.least_load / 1e3,
        "clearance_mm": None if drop.clearance is None else drop.clearance * 1e3,
        "reduction_db": rounded(drop.reduction),
        "rubber_reduction_db": rounded(drop.rubber_reduction),
        "velocity_reduction_db": _less(bays, drop.bare, drop.springs),
        "rubber_velocity_reduction_db": _less(bays, drop.bare, drop.rubber),
        "drops_a_day": drop.drops,
        "day_dose_m_s175": None if drop.day_dose is None else dict(zip(bays, drop.day_dose.tolist(), strict=True)),
        "step_change_percent": 100 * drop.step_change,
        "supports": [_support(each, bays) for each in supports],
        "jack_load_kN": {
            "greatest": dict(zip(ids, loads.max(axis=0).tolist(), strict=True)),
            "least": dict(zip(ids, loads.min(axis=0).tolist(), strict=True)),
            "file": jack_loads_name(number),
        },
        "history": {
            "time_ms": rounded(drop.time[contact], 1e3),
            "contact_force_kN": rounded(drop.contact[contact], 1e-3),
            "slab_motion_mm": rounded(drop.slab[contact], 1e3),
        },
        "worst_jack_history": {
            "time_ms": rounded(drop.jack_time[worst], 1e3),
            "load_kN": rounded(drop.jack_loads[worst, drop.worst_jack], 1e-3),
        },
        "assumed": list(drop.assumed),
    }


def _less(bays: Sequence[str], bare: SupportView, other: SupportView) -> dict[str, list[float]]:
    """By how much the velocity of each bay is below that on the bare floor, dB in each band, with its sign."""
    return {name: rounded(bare.velocity_levels[:, i] - other.velocity_levels[:, i]) for i, name in enumerate(bays)}


def _support(support: SupportView, bays: Sequence[str]) -> dict[str, Any]:
    force = kept_points(support.force, POINTS)
    moving = [kept_points(support.velocity[:, bay], POINTS) for bay in range(len(bays))]
    shaken = [kept_points(support.acceleration[:, bay], POINTS) for bay in range(len(bays))]
    return {
        "support": support.name,
        "greatest_force_kN": support.peak_force / 1e3,
        "force_level_db": rounded(support.force_levels),
        "history": {"time_ms": rounded(support.time[force], 1e3), "force_kN": rounded(support.force[force], 1e-3)},
        "bays": [
            {
                "bay": name,
                "greatest_velocity_mm_s": float(support.peak_velocity[bay]) * 1e3,
                "greatest_acceleration_m_s2": float(support.peak_acceleration[bay]),
                "dose_m_s175": float(support.dose[bay]),
                "velocity_level_db": rounded(support.velocity_levels[:, bay]),
                "history": {
                    "time_ms": rounded(support.time[kept], 1e3),
                    "velocity_mm_s": rounded(support.velocity[kept, bay], 1e3),
                },
                "acceleration_history": {
                    "time_ms": rounded(support.time[shown], 1e3),
                    "acceleration_m_s2": rounded(support.acceleration[shown, bay]),
                },
            }
            for bay, (name, kept, shown) in enumerate(zip(bays, moving, shaken, strict=True))
        ],
    }


def map_json(grid: DropMapView, ids: Sequence[str]) -> dict[str, Any]:
    """The heaviest drop at every place. ids: of the jacks."""
    return {
        "drop": grid.name,
        "spacing_mm": grid.spacing * 1e3,
        "places": [
            {
                "place_mm": place_mm(grid.xy[i]),
                "cell_middle_mm": place_mm(grid.cells[i]),
                "force_kN": float(grid.force[i]) / 1e3,
                "greatest_jack_load_kN": float(grid.jack_load[i]) / 1e3,
                "least_jack_load_kN": float(grid.least_load[i]) / 1e3,
                "reserve_mm": float(grid.reserve[i]) * 1e3,
                "worst_jack": ids[int(grid.worst_jack[i])],
                "floor_velocity_mm_s": float(grid.velocity[i]) * 1e3,
            }
            for i in range(len(grid.xy))
        ],
    }
