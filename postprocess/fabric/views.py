"""The sheets of both layers of steel as drawings, lists and records show them. SI units."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from shapely import Polygon


@dataclass(frozen=True, eq=False)
class FabricPiece:
    """One piece as it lies. mark: such as "B3" or "T12". outline: within the slab's edges less the cover, m.

    size: (along x, along y) of the rectangle it is cut from, m. whole: whether that is an uncut sheet, laid as it is.
    """

    mark: str
    outline: Polygon
    size: tuple[float, float]
    whole: bool


@dataclass(frozen=True, eq=False)
class FabricLayer:
    """One layer. mat: its name. sheet: (along x, along y) as laid, m. laps: of wires along x and along y, m.

    lap_basis: clause and figures from which the laps follow. pieces: in the order of laying. bought: sheets to buy.
    net_area: of the slab that is covered, counted once; laid_area: of all pieces; bought_area: of all sheets, m2.
    sheet_mass: of one sheet, kg. made_up: whether the case gives bars, which are shown as if made up into sheets.
    """

    face: Literal["bottom", "top"]
    mat: str
    sheet: tuple[float, float]
    laps: tuple[float, float]
    lap_basis: str
    pieces: tuple[FabricPiece, ...]
    bought: int
    net_area: float
    laid_area: float
    bought_area: float
    sheet_mass: float
    made_up: bool
