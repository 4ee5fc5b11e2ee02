"""One layer of fabric from plan, mat and laps: of many layouts the one with the fewest sheets."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final, Literal

import shapely
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from postprocess.fabric.cutting import EXACT, Size, sheets_needed
from postprocess.fabric.lap import Laps
from postprocess.fabric.layout import Layout, layouts
from postprocess.fabric.views import FabricLayer, FabricPiece
from postprocess.strength.fabric import Fabric

GREATEST_LAP: Final = 1 / 3
"""Of the shorter side of a sheet; with a longer lap a sheet is little more than laps."""
SHARED: Final = 3.0
"""Sheets that it may cost to keep laps of a sheet's area from lying over those of the other layer."""
SLIVER: Final = 0.5
"""Sheets that it may cost to have one piece less that is narrower than two laps."""
MITRE: Final = 50.0
"""Corners of the plan keep their shape when it is shrunk by the cover."""


def covered_region(plan: Polygon, cover: float) -> BaseGeometry:
    """Where fabric lies: the plan less the cover at its edges and openings; may be empty or in several parts."""
    return plan.buffer(-cover, join_style="mitre", mitre_limit=MITRE)


def can_be_laid(sheet: tuple[float, float], laps: tuple[float, float]) -> bool:
    """Whether laps leave enough of a sheet."""
    return max(laps) <= GREATEST_LAP * min(sheet) + EXACT


def fabric_layer(
    face: Literal["bottom", "top"],
    plan: Polygon,
    mat: Fabric,
    laps: Laps,
    *,
    cover: float,
    sheet: tuple[float, float],
    made_up: bool,
    below: FabricLayer | None = None,
) -> FabricLayer:
    """The sheets of a layer. cover: of plan edges, m. sheet: its sides, m, laid either way round.

    made_up: whether the mat is of bars, so that the sheets stand for them. below: the other layer, whose laps are
    avoided as far as positions allow. Raises ValueError where the cover leaves nothing of the plan.
    """
    region = covered_region(plan, cover)
    if region.area <= 0:
        raise ValueError(f"cover of {cover} m: nothing is left of the plan")
    turnable = mat.diameter_x == mat.diameter_y and mat.pitch_x == mat.pitch_y
    others = None if below is None else lapped_areas(below.pieces)
    found = list(layouts(region, sheet, laps.lengths, 0 if below is None else 1))
    counts = [sheets_needed([_size(piece) for piece in each.pieces], each.sheet, turnable=turnable) for each in found]
    shared = [0.0 if others is None else _over(each, others) / (sheet[0] * sheet[1]) for each in found]
    costs = [
        count + SLIVER * _slivers(each, laps.lengths) + SHARED * over
        for each, count, over in zip(found, counts, shared, strict=True)
    ]
    best = min(range(len(found)), key=lambda i: (costs[i], len(found[i].pieces)))
    return _layer(face, mat, laps, region=region, layout=found[best], bought=counts[best], made_up=made_up)


def lapped_areas(pieces: Sequence[FabricPiece]) -> tuple[BaseGeometry, BaseGeometry]:
    """Where wires along x, and where wires along y lap: overlaps of pieces, told by the way in which the two lie."""
    shapes = [piece.outline for piece in pieces]
    tree = shapely.STRtree(shapes)
    along: tuple[list[BaseGeometry], list[BaseGeometry]] = ([], [])
    for i, j in zip(*tree.query(shapes, predicate="intersects"), strict=True):
        if i < j:
            a, b = shapes[i].bounds, shapes[j].bounds
            x, y = (min(a[k + 2], b[k + 2]) - max(a[k], b[k]) for k in (0, 1))
            along[0 if x < y else 1].append(shapes[i].intersection(shapes[j]))
    return shapely.union_all(along[0]), shapely.union_all(along[1])


def _over(layout: Layout, others: tuple[BaseGeometry, BaseGeometry]) -> float:
    """Area, m², in which wires of both layers lap in the same direction."""
    pairs = zip(layout.lapped, others, strict=True)
    return float(sum(shapely.area(shapely.intersection(list(mine), other)).sum() for mine, other in pairs if mine))


def _slivers(layout: Layout, laps: tuple[float, float]) -> int:
    """Number of pieces narrower than two laps either way."""
    sizes = (_size(piece) for piece in layout.pieces)
    return sum(x < 2 * laps[0] - EXACT or y < 2 * laps[1] - EXACT for x, y in sizes)


def _size(piece: Polygon) -> Size:
    left, low, right, high = piece.bounds
    return right - left, high - low


def _layer(
    face: Literal["bottom", "top"],
    mat: Fabric,
    laps: Laps,
    *,
    region: BaseGeometry,
    layout: Layout,
    bought: int,
    made_up: bool,
) -> FabricLayer:
    area = layout.sheet[0] * layout.sheet[1]
    pieces = tuple(
        FabricPiece(f"{face[0].upper()}{number}", piece, _size(piece), abs(piece.area - area) < EXACT)
        for number, piece in enumerate(layout.pieces, 1)
    )
    return FabricLayer(
        face=face,
        mat=mat.name,
        sheet=layout.sheet,
        laps=laps.lengths,
        lap_basis=laps.basis,
        pieces=pieces,
        bought=bought,
        net_area=float(region.area),
        laid_area=float(sum(piece.area for piece in layout.pieces)),
        bought_area=bought * area,
        sheet_mass=mat.mass * area,
        made_up=made_up,
    )
