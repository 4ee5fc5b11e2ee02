"""Pieces and totals of fabric as tables and for results.json."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from postprocess.fabric.views import FabricLayer
from postprocess.list_table import Cell, Column, ListTable

SUMMED: Final = (
    *("pieces", "whole_pieces", "sheets_to_buy", "mass_to_buy_kg"),
    *("net_area_m2", "laid_area_m2", "bought_area_m2", "lap_area_m2", "offcut_area_m2"),
)
"""What both layers add up to."""


def piece_table(layers: Sequence[FabricLayer]) -> ListTable:
    """A row for each piece, in the order of laying."""
    columns = (
        Column("mark", "Mark"),
        Column("layer", "Layer"),
        Column("mat", "Fabric"),
        Column("kind", "Kind"),
        Column("size_x_mm", "Along x, mm", 0),
        Column("size_y_mm", "Along y, mm", 0),
        Column("from_x_mm", "From x, mm", 0),
        Column("from_y_mm", "From y, mm", 0),
        Column("area_m2", "Area as laid, m²", 3),
        Column("mass_kg", "Mass as laid, kg", 2),
    )
    rows = [row for layer in layers for row in _pieces(layer)]
    return ListTable("Fabric pieces", "fabric-sheets.csv", columns, tuple(rows), ())


def total_table(layers: Sequence[FabricLayer]) -> ListTable:
    """A row for each layer; both together as totals."""
    columns = (
        Column("layer", "Layer"),
        Column("mat", "Fabric"),
        Column("made_up", "Made up from bars"),
        Column("sheet_x_mm", "Sheet along x, mm", 0),
        Column("sheet_y_mm", "Sheet along y, mm", 0),
        Column("lap_x_mm", "Lap along x, mm", 0),
        Column("lap_y_mm", "Lap along y, mm", 0),
        Column("pieces", "Pieces", 0),
        Column("whole_pieces", "of which whole", 0),
        Column("sheets_to_buy", "Sheets to buy", 0),
        Column("net_area_m2", "Net area, m²", 3),
        Column("laid_area_m2", "Area laid, m²", 3),
        Column("bought_area_m2", "Area bought, m²", 3),
        Column("lap_area_m2", "Laps, m²", 3),
        Column("lap_percent", "Laps, % of net", 1),
        Column("offcut_area_m2", "Offcuts, m²", 3),
        Column("offcut_percent", "Offcuts, % of net", 1),
        Column("mass_kg_m2", "Mass, kg/m²", 3),
        Column("mass_to_buy_kg", "Mass to buy, kg", 1),
        Column("words", "Laps from"),
    )
    totals = [layer_json(layer) for layer in layers]
    keys = [column.key for column in columns]
    rows = [tuple(_cell(total, key) for key in keys) for total in totals]
    sums: list[Cell] = [sum(total[key] for total in totals) if key in SUMMED else None for key in keys]
    below = (("both layers", *sums[1:]),) if layers else ()
    return ListTable("Fabric totals", "fabric-totals.csv", columns, tuple(rows), below)


def layer_json(layer: FabricLayer) -> dict[str, Any]:
    """The totals of a layer. lap: what is laid beyond the net area; offcut: what is bought beyond that; waste: both."""
    laps, offcuts = layer.laid_area - layer.net_area, layer.bought_area - layer.laid_area
    area, share = layer.sheet[0] * layer.sheet[1], 100 / layer.net_area
    return {
        "layer": layer.face,
        "mat": layer.mat,
        "made_up": layer.made_up,
        "sheet_x_mm": layer.sheet[0] * 1e3,
        "sheet_y_mm": layer.sheet[1] * 1e3,
        "lap_x_mm": layer.laps[0] * 1e3,
        "lap_y_mm": layer.laps[1] * 1e3,
        "lap_basis": layer.lap_basis,
        "pieces": len(layer.pieces),
        "whole_pieces": sum(piece.whole for piece in layer.pieces),
        "sheets_to_buy": layer.bought,
        "net_area_m2": layer.net_area,
        "laid_area_m2": layer.laid_area,
        "bought_area_m2": layer.bought_area,
        "lap_area_m2": laps,
        "lap_percent": laps * share,
        "offcut_area_m2": offcuts,
        "offcut_percent": offcuts * share,
        "waste_area_m2": layer.bought_area - layer.net_area,
        "waste_percent": (layer.bought_area - layer.net_area) * share,
        "mass_kg_m2": layer.sheet_mass / area,
        "mass_to_buy_kg": layer.bought * layer.sheet_mass,
    }


def fabric_json(layers: Sequence[FabricLayer]) -> list[dict[str, Any]]:
    """The totals of each layer, as results.json has them; empty without reinforcement."""
    return [layer_json(layer) for layer in layers]


def _cell(total: dict[str, Any], key: str) -> Cell:
    if key == "made_up":
        return "yes" if total[key] else "no"
    found: Cell = total["lap_basis" if key == "words" else key]
    return found


def _pieces(layer: FabricLayer) -> list[tuple[Cell, ...]]:
    mass = layer.sheet_mass / (layer.sheet[0] * layer.sheet[1])
    rows: list[tuple[Cell, ...]] = []
    for piece in layer.pieces:
        left, low, *_ = piece.outline.bounds
        rectangle = abs(piece.outline.area - piece.size[0] * piece.size[1]) < 1e-6
        kind = "whole sheet" if piece.whole else "cut" if rectangle else "cut to the shape of the plan"
        sizes = (*(side * 1e3 for side in piece.size), left * 1e3, low * 1e3)
        area = float(piece.outline.area)
        rows.append((piece.mark, layer.face, layer.mat, kind, *sizes, area, area * mass))
    return rows
