"""Writes jack-doubt.csv: scatter of each jack's load, and what the loss of its spring comes to."""

from __future__ import annotations

from pathlib import Path

from postprocess.doubt.result import FloorDoubt
from postprocess.tables import fixed, write_table


def doubt_columns(doubt: FloorDoubt) -> dict[str, list[str]]:
    """Name of the column, with its unit, -> (n,) entries as text.

    Columns of the loss of a spring are empty for springs that were not taken out, and where the others would not hold
    the slab: `without_it_held` is then "no".
    """
    scatter, rated = doubt.jacks, doubt.rated_loads
    columns = {
        "id": list(doubt.ids),
        "x_mm": fixed(1e3 * doubt.xy[:, 0], 1),
        "y_mm": fixed(1e3 * doubt.xy[:, 1], 1),
        "spring": list(doubt.springs),
        "rated_load_kN": fixed(rated / 1e3, 3),
        "load_service_kN": fixed(doubt.loads / 1e3, 3),
        "load_mean_kN": fixed(scatter.mean / 1e3, 3),
        "load_percentile_5_kN": fixed(scatter.low / 1e3, 3),
        "load_percentile_95_kN": fixed(scatter.high / 1e3, 3),
        "load_ratio_percentile_5": fixed(scatter.low / rated, 3),
        "load_ratio_percentile_95": fixed(scatter.high / rated, 3),
        "probability_under": fixed(scatter.under / scatter.samples, 4),
        "probability_over": fixed(scatter.over / scatter.samples, 4),
        "probability_leaves_low": [f"{scatter.leaves(j).bounds[0]:.4f}" for j in range(len(rated))],
        "probability_leaves_high": [f"{scatter.leaves(j).bounds[1]:.4f}" for j in range(len(rated))],
    }
    return columns | _loss_columns(doubt)


def write_jack_doubt(doubt: FloorDoubt, path: Path) -> None:
    """Write one row a jack, in the order of the jack list. Loads positive in compression, settlement downward."""
    columns = doubt_columns(doubt)
    write_table(columns, zip(*columns.values(), strict=True), path)


def _loss_columns(doubt: FloorDoubt) -> dict[str, list[str]]:
    failures, ids = doubt.failures, doubt.ids
    held = [""] * len(ids)
    for jack, holds in zip(failures.jacks, failures.held, strict=True):
        held[jack] = "yes" if holds else "no"
    columns = {"without_it_held": held}
    for name, state in failures.states.items():
        cells = {
            "settlement_mm": fixed(1e3 * state.settlement, 2),
            "greatest_increase_at": [ids[j] for j in state.neighbour],
            "greatest_increase_kN": fixed(state.increase / 1e3, 3),
            "most_loaded": [ids[j] for j in state.loaded],
            "load_ratio_most_loaded": fixed(state.ratio, 3),
            "solid_springs": [str(count) for count in state.solid],
            "pulling_springs": [str(count) for count in state.pulling],
            "moment_kNm_m": fixed(state.moment / 1e3, 3),
            "moment_at": [failures.places.name(int(place), ids) for place in state.place],
        }
        for key, entries in cells.items():
            column = [""] * len(ids)
            for jack, holds, entry in zip(failures.jacks, failures.held, entries, strict=True):
                column[jack] = entry if holds else ""
            columns[f"without_it_{name}_{key}"] = column
    return columns
