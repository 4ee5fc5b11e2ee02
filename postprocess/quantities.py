"""What to order and to lay, each amount with how it is counted."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, pi
from typing import Any

from shapely import Polygon

from postprocess.checks import PRACTICE
from postprocess.fabric.views import FabricLayer
from postprocess.jobs.views import BuyingRow
from postprocess.list_table import Column, ListTable
from postprocess.strength.fabric import STEEL_DENSITY
from postprocess.strength.layers import Face

TRIMMER_STEP = 0.050
"""Trimmer bars are cut to multiples of this, m."""


@dataclass(frozen=True)
class Quantity:
    """An amount in `unit`, which is one of papers: m2, m3, m, mm, kg, pieces. basis: how it is counted."""

    name: str
    amount: float
    unit: str
    basis: str


@dataclass(frozen=True)
class Quantities:
    """In the order of the work."""

    items: tuple[Quantity, ...]

    def amount(self, name: str) -> float:
        """The amount of an item; KeyError where there is none of that name."""
        return {item.name: item.amount for item in self.items}[name]


@dataclass(frozen=True)
class SlabRules:
    """The slab and how its materials are counted. thickness, turn_up: m. waste, lap: shares."""

    plan: Polygon
    thickness: float
    density: float
    waste: float
    turn_up: float
    lap: float


@dataclass(frozen=True)
class Trimmers:
    """Diagonal bars at re-entrant corners. bars: face -> number. diameter: m. fyd: Pa. bond: face -> fbd, Pa."""

    corners: int
    bars: dict[Face, int]
    diameter: float
    fyd: float
    bond: dict[Face, float]


def trimmer_anchorage(diameter: float, fyd: float, fbd: float) -> float:
    """lb,rqd, m, of a fully stressed bar of `diameter`, m: φ/4 fyd/fbd (EN 1992-1-1, Eq. 8.3). fyd, fbd: Pa."""
    return diameter / 4 * fyd / fbd


def trimmer_length(diameter: float, fyd: float, fbd: float) -> float:
    """Length of a trimmer, m: its anchorage either side of the corner's bisector, rounded up to `TRIMMER_STEP`."""
    return ceil(2 * trimmer_anchorage(diameter, fyd, fbd) / TRIMMER_STEP - 1e-9) * TRIMMER_STEP


def slab_quantities(slab: SlabRules) -> Iterator[Quantity]:
    """Sheet, perimeter strip and concrete."""
    plan = slab.plan
    edges = float(plan.exterior.length + sum(ring.length for ring in plan.interiors))
    yield Quantity("plan area", float(plan.area), "m2", "outline less openings")
    sheet = (float(plan.area) + slab.turn_up * edges) * (1 + slab.lap)
    yield Quantity(
        "sheet below the slab",
        sheet,
        "m2",
        f"plan area, turned up by {slab.turn_up * 1e3:g} mm along all edges and openings, and {slab.lap * 100:g} % for "
        f"laps; [ordering] of the case, by default {PRACTICE}",
    )
    yield Quantity("perimeter strip, outline", float(plan.exterior.length), "m", "length of the outline")
    for number, ring in enumerate(plan.interiors, 1):
        yield Quantity(f"perimeter strip, opening {number}", float(ring.length), "m", "length of the opening's edge")
    yield Quantity("perimeter strip, all", edges, "m", "outline and openings")
    net = float(plan.area) * slab.thickness
    yield Quantity(
        "concrete, net", net, "m3", f"plan area × {slab.thickness * 1e3:g} mm; housings and steel not deducted"
    )
    words = f"net and {slab.waste * 100:g} % of waste; [ordering] of the case, by default {PRACTICE}"
    yield Quantity("concrete, to order", net * (1 + slab.waste), "m3", words)
    yield Quantity("mass of the slab", net * slab.density, "kg", f"net volume × {slab.density:g} kg/m3, steel included")


def fabric_quantities(layers: Sequence[FabricLayer]) -> Iterator[Quantity]:
    """Sheets and steel of each layer."""
    for layer in layers:
        sheet = f"{layer.sheet[0] * 1e3:g} × {layer.sheet[1] * 1e3:g} mm"
        made = "sheets as if made up from bars" if layer.made_up else "sheets"
        words = f"{made} of {sheet}; pieces cut straight through, offcuts used again"
        yield Quantity(f"{layer.mat}, {layer.face}: sheets", layer.bought, "pieces", words)
        yield Quantity(
            f"{layer.mat}, {layer.face}: steel",
            layer.bought * layer.sheet_mass,
            "kg",
            f"of the sheets to buy, laps and offcuts included, {STEEL_DENSITY:g} kg/m3 (EN 1992-1-1, 3.2.7(3))",
        )


def trimmer_quantities(trimmers: Trimmers) -> Iterator[Quantity]:
    """Bars and steel near each face."""
    for face, bars in trimmers.bars.items():
        steel = trimmers.diameter, trimmers.fyd, trimmers.bond[face]
        anchorage, length = trimmer_anchorage(*steel), trimmer_length(*steel)
        name = f"trimmers Ø{trimmers.diameter * 1e3:g}, {face}"
        words = (
            f"diagonal bars at {trimmers.corners} re-entrant corners, {length * 1e3:g} mm long: an anchorage of "
            f"{anchorage * 1e3:.0f} mm (EN 1992-1-1, 8.4.3, fully stressed) either side of the corner's bisector"
        )
        yield Quantity(name, bars, "pieces", words)
        mass = bars * length * pi / 4 * trimmers.diameter**2 * STEEL_DENSITY
        yield Quantity(f"{name}: steel", mass, "kg", f"{STEEL_DENSITY:g} kg/m3 (EN 1992-1-1, 3.2.7(3))")


def jack_quantities(jacks: int, footprint: float, springs: Sequence[BuyingRow]) -> Iterator[Quantity]:
    """Jacks, housings and coils."""
    yield Quantity("jacks", jacks, "pieces", "one each place of the jack list")
    yield Quantity("housings", jacks, "pieces", f"one a jack, Ø{footprint * 1e3:g} mm, cast in")
    for row in springs:
        words = f"{row.under_jacks} under jacks and {row.spares} spare; coils of nested pairs are counted one by one"
        yield Quantity(f"coil {row.coil}", row.total, "pieces", words)


def quantities_json(quantities: Quantities) -> list[dict[str, Any]]:
    """As results.json has them."""
    return [
        {"name": item.name, "amount": item.amount, "unit": item.unit, "basis": item.basis} for item in quantities.items
    ]


def quantity_table(quantities: Quantities) -> ListTable:
    """A row for each item."""
    columns = (
        Column("item", "Item"),
        Column("amount", "Amount", 3),
        Column("unit", "Unit"),
        Column("basis", "How it is counted"),
    )
    rows = tuple((item.name, item.amount, item.unit, item.basis) for item in quantities.items)
    return ListTable("Quantities", "quantities.csv", columns, rows, ())
