"""The drawing of what stands on the slab, over the jacks."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np
import shapely
from shapely import LineString, Polygon

from postprocess.cad.compose import Content, Page
from postprocess.cad.details import Details, Piece
from postprocess.cad.dimensions import Marks, figures
from postprocess.cad.notes import Draw, Notes, Row
from postprocess.cad.pen import LINE_STEP, Pen, two_lines, width_of
from postprocess.cad.setting_out import edge_keys, jack_key
from postprocess.drawing import datum_corner
from postprocess.view import PlanItem, PlanView

BELOW = 0.3
"""What letters have below their line, over the height of capitals."""
NAME_CAP, NOTE_CAP = 1.9, 1.8
"""Heights of names and of what things weigh, mm on A3."""
LONGEST = 26
"""Letters of a name on the plan; the table has it in full."""


def equipment() -> Content:
    """Feet and outlines with names and masses, line loads and finishes with what they weigh."""
    return Content("Equipment over jacks", _words, _draw, under=_draw_loads, frozen=())


def _draw_loads(page: Page) -> None:
    """Line loads, and finishes on a part of the slab; ids of jacks keep clear of these and of equipment."""
    for piece in page.details.pieces:
        page.free.take(*_foot_boxes(piece))
        page.free.take(shapely.box(*_extent(piece)).exterior)
        if piece.area is not None:
            page.free.take(LineString(1e3 * np.asarray(piece.area.exterior.coords)))
    for item in page.view.items:
        if item.kind == "line load":
            page.pen.path(1e3 * shapely.get_coordinates(item.shape), "LINE-LOADS")
            page.free.take(LineString(1e3 * shapely.get_coordinates(item.shape)))
        elif item.kind == "finish" and not _everywhere(item, page.view):
            for part in shapely.get_parts(item.shape):
                for ring in (part.exterior, *part.interiors):
                    page.pen.ring(1e3 * np.asarray(ring.coords)[:-1], "FINISHES")


def _everywhere(item: PlanItem, view: PlanView) -> bool:
    return bool(item.shape.area > (1 - 1e-6) * view.plan.area)


def _draw(page: Page) -> None:
    for piece in page.details.pieces:
        extent = _extent(piece)
        _label(
            page, _short(piece.name), f"{piece.mass:.6g} kg", _spots(*extent), upright=_narrow(page, piece.name, extent)
        )
    page.free.take(*(shapely.box(*_extent(piece)) for piece in page.details.pieces))
    for item in page.view.items:
        if item.kind == "line load":
            _label(page, _short(item.name), item.note, list(_along(item, page)))
        elif item.kind == "finish" and not _everywhere(item, page.view):
            _label(page, _short(item.name), item.note, _spots(*(1e3 * np.asarray(item.shape.bounds))))


def _narrow(page: Page, name: str, extent: tuple[float, float, float, float]) -> bool:
    """Whether a name has room only when it is turned."""
    width = width_of(_short(name), NAME_CAP * page.unit) * page.pen.size
    x0, y0, x1, y1 = extent
    return x1 - x0 < 1.1 * width < y1 - y0


def _label(page: Page, name: str, note: str, spots: list[tuple[float, float]], *, upright: bool = False) -> None:
    """Name and weight on two lines at the first free spot; upright: to be read from the right."""
    pen, u = page.pen, page.unit
    width = max(width_of(name, NAME_CAP * u), width_of(note, NOTE_CAP * u))
    height = (NAME_CAP + (LINE_STEP + 2 * BELOW) * NOTE_CAP) * u
    inside = shapely.transform(Polygon(page.view.plan.exterior), lambda points: 1e3 * points)
    box = (height, width) if upright else (width, height)
    two_lines(
        pen, page.free.best(spots, *box, inside=inside), (name, NAME_CAP * u), (note, NOTE_CAP * u), upright=upright
    )


def _short(name: str) -> str:
    return name if len(name) <= LONGEST else name[: LONGEST - 1] + "…"


def _foot_boxes(piece: Piece) -> Iterator[Polygon]:
    if piece.feet is not None:
        half = 500 * piece.foot
        for x, y in 1e3 * piece.feet:
            yield shapely.box(x - half, y - half, x + half, y + half)


def _extent(piece: Piece) -> tuple[float, float, float, float]:
    if piece.area is not None:
        x0, y0, x1, y1 = 1e3 * np.asarray(piece.area.bounds)
    else:
        x0, y0, x1, y1 = shapely.total_bounds([*_foot_boxes(piece)])
    return float(x0), float(y0), float(x1), float(y1)


def _spots(x0: float, y0: float, x1: float, y1: float) -> list[tuple[float, float]]:
    """Within an extent, nearest to its middle first, then around it."""
    shares = np.linspace(0.0, 1.0, 11)
    spots = [(x0 + a * (x1 - x0), y0 + b * (y1 - y0)) for a in shares for b in shares]
    middle = (x0 + x1) / 2, (y0 + y1) / 2
    return sorted(spots, key=lambda spot: (spot[0] - middle[0]) ** 2 + (spot[1] - middle[1]) ** 2)


def _along(item: PlanItem, page: Page) -> Iterator[tuple[float, float]]:
    """Beside the longest parts of a line, on either side."""
    points = 1e3 * shapely.get_coordinates(item.shape)
    parts = sorted(itertools.pairwise(points), key=lambda part: -float(np.hypot(*(part[1] - part[0]))))
    for start, end in parts:
        along = (end - start) / np.hypot(*(end - start))
        across = np.array([-along[1], along[0]])
        for share in (0.5, 0.3, 0.7, 0.4, 0.6, 0.2, 0.8, 0.15, 0.85):
            for reach in (4.0, -4.0, 7.0, -7.0, 11.0, -11.0):
                x, y = start + share * (end - start) + across * reach * page.unit * page.pen.size
                yield float(x), float(y)


def _words(view: PlanView, details: Details, found: Marks, notes: Notes) -> list[Row]:
    u = notes.unit
    rows = notes.heading("Legend")
    if details.pieces:
        rows += notes.key(_box_key("FEET", 1.2 * u, 1.2 * u), "foot, to scale", height=4.0)
        rows += notes.key(_box_key("EQUIPMENT", 4 * u, 1.4 * u), "outline over which a mass is spread", height=4.0)
        rows += notes.key(_stroke("EQUIPMENT-EXTENT", u), "extent of the feet of one piece")
    if any(item.kind == "line load" for item in view.items):
        rows += notes.key(_stroke("LINE-LOADS", u), "line load")
    if any(item.kind == "finish" and not _everywhere(item, view) for item in view.items):
        rows += notes.key(_stroke("FINISHES", u), "edge of a finish")
    rows += jack_key(view, notes) + edge_keys(view, notes)
    if details.pieces:
        rows += notes.heading("Equipment")
        rows += notes.table(
            ("name", "mass, kg", "stands on"), [_piece_line(p) for p in details.pieces], left=(0, 2), folds=0
        )
        rows += _feet(view, details, notes)
    others = [item for item in view.items if item.kind in {"line load", "finish"}]
    if others:
        rows += notes.heading("Line loads and finishes")
        lines = [(item.name, _kind(item, view), item.note) for item in others]
        rows += notes.table(("name", "kind", "load"), lines, left=(0, 1), folds=0)
    return rows


def _kind(item: PlanItem, view: PlanView) -> str:
    if item.kind == "line load":
        return f"line of {item.shape.length:.2f} m"
    return "whole slab" if _everywhere(item, view) else f"{item.shape.area:.2f} m²"


def _piece_line(piece: Piece) -> tuple[str, str, str]:
    if piece.feet is not None:
        return piece.name, f"{piece.mass:.6g}", f"{len(piece.feet)} feet of {figures(1e3 * piece.foot)}"
    assert piece.area is not None  # a piece has feet or an area
    return piece.name, f"{piece.mass:.6g}", f"{piece.area.area:.2f} m²"


def _feet(view: PlanView, details: Details, notes: Notes) -> list[Row]:
    """Centres of feet, or corners of outlines, from the datum."""
    datum = datum_corner(view.plan)
    rows = notes.heading("Places")
    rows += notes.words("Centres of feet, or corners of outlines, mm from the datum: x and y.")
    lines = []
    for piece in details.pieces:
        places = piece.feet if piece.feet is not None else np.asarray(piece.area.exterior.coords)[:-1]  # type: ignore[union-attr]
        words = [", ".join(figures(1e3 * float(c)) for c in place - datum) for place in places]
        for i in range(0, len(words), 2):
            lines.append((piece.name if i == 0 else "", words[i], words[i + 1] if i + 1 < len(words) else ""))
    return rows + notes.table(("name", "x, y", "x, y"), lines, folds=0)


def _box_key(layer: str, half: float, up: float) -> Draw:
    def draw(pen: Pen, x: float, y: float) -> None:
        pen.box(x - half, y - up, 2 * half, 2 * up, layer)

    return draw


def _stroke(layer: str, unit: float) -> Draw:
    def draw(pen: Pen, x: float, y: float) -> None:
        pen.line((x - 4 * unit, y), (x + 4 * unit, y), layer)

    return draw
