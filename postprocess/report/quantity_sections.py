"""Quantities and fabric: what is to be ordered, in short; lists and drawings have the pieces."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from postprocess.fabric.views import FabricLayer
from postprocess.quantities import Quantities
from postprocess.report.model import Block, Bullets, Column, Section, Table

WHOLE = ("pieces",)
"""Units of which there are no parts."""


def quantity_section(
    quantities: Quantities | None, fabric: Sequence[FabricLayer], remarks: Sequence[str] = ()
) -> Section:
    """fabric: bottom and top layer, none without reinforcement. remarks: on the fabric, in sentences."""
    said = (Bullets(tuple(remarks)),) if remarks else ()
    return Section("Quantities and fabric", (*_amounts(quantities), *_fabric(fabric), *said))


def _amounts(quantities: Quantities | None) -> Iterator[Block]:
    if quantities is None:
        return
    rows = tuple(
        (
            item.name,
            f"{item.amount:.0f}" if item.unit in WHOLE else f"{item.amount:.3f}",
            item.unit.replace("m2", "m²").replace("m3", "m³"),
            item.basis,
        )
        for item in quantities.items
    )
    columns = Column("Item"), Column("Amount", "right"), Column("Unit"), Column("How it is counted")
    yield Table("Quantities", columns, rows)


def _fabric(fabric: Sequence[FabricLayer]) -> Iterator[Block]:
    if not fabric:
        return
    columns = (
        *(Column("Layer"), Column("Steel"), Column("Sheet, m"), Column("Pieces", "right"), Column("Sheets", "right")),
        *(Column("Covered, m²", "right"), Column("Bought, m²", "right"), Column("Mass, kg", "right")),
    )
    yield Table("Layers of fabric", columns, tuple(_row(layer) for layer in fabric))
    yield Bullets(tuple(_laps(layer) for layer in fabric))


def _laps(layer: FabricLayer) -> str:
    x, y = (lap * 1e3 for lap in layer.laps)
    return f"{layer.face}: laps of {x:.0f} mm along x and {y:.0f} mm along y; {layer.lap_basis}"


def _row(layer: FabricLayer) -> tuple[str, ...]:
    made = " (bars, shown as sheets)" if layer.made_up else ""
    mass = layer.bought * layer.sheet_mass
    return (
        *(layer.face, layer.mat + made, f"{layer.sheet[0]:g} × {layer.sheet[1]:g}", str(len(layer.pieces))),
        *(str(layer.bought), f"{layer.net_area:.1f}", f"{layer.bought_area:.1f}", f"{mass:.0f}"),
    )
