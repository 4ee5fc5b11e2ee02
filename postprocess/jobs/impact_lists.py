"""Lists of drops: levels and reductions band by band, one row a drop, and every jack's load over time."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Final

import numpy as np

from postprocess.dynamics.bands import NOMINAL
from postprocess.dynamics.histories import jack_loads_name, listed_rows
from postprocess.dynamics.views import DropView, DynamicsView
from postprocess.jobs.setout_lists import millimetres
from postprocess.jobs.swap_lists import kilonewtons
from postprocess.tables import fixed, write_table

BANDS: Final = (
    *("drop", "band_hz", "force_springs_dB", "force_rubber_dB", "force_bare_dB"),
    "force_springs_without_air_dB",
    *("reduction_springs_dB", "reduction_rubber_dB", "bay"),
    *("velocity_springs_dB", "velocity_rubber_dB", "velocity_bare_dB"),
)
DROPS: Final = (
    *("drop", "x_mm", "y_mm", "mass_kg", "height_mm", "speed_mm_s", "contact_ms", "impulse_N_s", "contact_kN"),
    *("covering_pressed_mm", "springs_kN", "rubber_kN", "bare_kN", "springs_without_air_kN", "slab_mm", "worst_jack"),
    *("reserve_mm", "reserve_with_full_imposed_load_mm", "least_jack_load_kN"),
    *("clearance_mm", "floor_velocity_mm_s", "floor_acceleration_m_s2", "dose_m_s175", "drops_a_day"),
    *("day_dose_m_s175", "assumed"),
)


def write_bands(view: DynamicsView, path: Path) -> None:
    """Write one row a drop, band and bay: levels on the three supports, reductions with their sign.

    Without bays, one row a drop and band, the columns of velocity empty.
    """
    rows = [row for drop in view.drops for bay in range(max(1, len(view.bay_names))) for row in _rows(view, drop, bay)]
    write_table(BANDS, rows, path)


def _rows(view: DynamicsView, drop: DropView, bay: int) -> list[tuple[str, ...]]:
    supports = drop.springs, drop.rubber, drop.bare
    forces = [each.force_levels for each in supports]
    moving = [each.velocity_levels[:, bay] for each in supports] if view.bay_names else []
    name = view.bay_names[bay] if view.bay_names else ""
    return [
        (
            *(drop.name, str(band)),
            *(_decibels(float(values[i])) for values in forces),
            "" if drop.airless is None else _decibels(float(drop.airless.force_levels[i])),
            *(_decibels(float(values[i])) for values in (drop.reduction, drop.rubber_reduction)),
            name,
            *([_decibels(float(values[i])) for values in moving] or ["", "", ""]),
        )
        for i, band in enumerate(NOMINAL)
    ]


def write_drops(view: DynamicsView, ids: Sequence[str], path: Path) -> None:
    """Write one row a drop; floor: the greatest of any bay with the slab on springs. ids: of the jacks."""
    write_table(DROPS, [_drop(drop, ids) for drop in view.drops], path)


def _drop(drop: DropView, ids: Sequence[str]) -> tuple[str, ...]:
    x, y = drop.place
    springs = drop.springs
    forces = springs.peak_force, drop.rubber.peak_force, drop.bare.peak_force
    bays = len(springs.peak_velocity) > 0
    greatest = [float(each.max(initial=0.0)) for each in (1e3 * springs.peak_velocity, springs.peak_acceleration)]
    return (
        *(drop.name, millimetres(x), millimetres(y), f"{drop.mass:g}", millimetres(drop.height)),
        *(f"{1e3 * drop.speed:.1f}", f"{1e3 * drop.contact_time:.3f}", f"{drop.impulse:.2f}"),
        *(kilonewtons(float(drop.contact.max())), f"{1e3 * drop.depth:.2f}"),
        *(kilonewtons(force) for force in forces),
        "" if drop.airless is None else kilonewtons(drop.airless.peak_force),
        *(f"{1e3 * abs(drop.slab).max():.3f}", ids[drop.worst_jack]),
        *(f"{1e3 * reserve:z.2f}" for reserve in (drop.reserve, drop.full_reserve)),
        kilonewtons(drop.least_load),
        "" if drop.clearance is None else f"{1e3 * drop.clearance:z.2f}",
        *(f"{value:.4g}" if bays else "" for value in (*greatest, float(springs.dose.max(initial=0.0)))),
        "" if drop.drops is None else str(drop.drops),
        f"{drop.day_dose.max():.4g}" if bays and drop.day_dose is not None else "",
        "; ".join(drop.assumed),
    )


def write_jack_loads(view: DynamicsView, ids: Sequence[str], folder: Path) -> tuple[Path, ...]:
    """Write drop-N-jack-loads.csv of every drop: time_ms, and the load of each jack in kN, static load included.

    ids: of the jacks. Rows as `listed_rows` takes them. Returns the files, in the order of the drops.
    """
    files = []
    for number, drop in enumerate(view.drops):
        rows = listed_rows(drop.jack_time, drop.jack_loads)
        values = np.column_stack([1e3 * drop.jack_time[rows], drop.jack_loads[rows] / 1e3])
        files.append(folder / jack_loads_name(number))
        write_table(("time_ms", *ids), (fixed(row, 3) for row in values), files[-1])
    return tuple(files)


def _decibels(level: float) -> str:
    return f"{level:z.2f}"
