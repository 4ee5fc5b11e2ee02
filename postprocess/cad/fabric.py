"""The drawings of the two layers of steel: pieces, laps, marks and their schedule."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon, STRtree, get_parts

from postprocess.cad.compose import Content, Page
from postprocess.cad.details import Details
from postprocess.cad.dimensions import figures
from postprocess.cad.labels import FreePlaces
from postprocess.cad.notes import Notes, Row
from postprocess.cad.pen import LINE_STEP, Pen, two_lines, width_of
from postprocess.cad.plan import crossing
from postprocess.cad.trimmers import draw_trimmers, trimmer_key, trimmer_schedule
from postprocess.drawing import datum_corner
from postprocess.fabric.views import FabricLayer, FabricPiece
from postprocess.view import PlanView

Floats = NDArray[np.float64]

MARK_CAP, SIZE_CAP = 2.2, 1.8
"""Heights of marks and of sizes on a piece, mm on A3."""
SPOTS = 15
"""Places looked at along each side of a piece for its mark."""


def fabric(layer: FabricLayer) -> Content:
    """Pieces with their diagonals and marks; laps are shaded."""
    name = f"Reinforcement, {layer.face} layer"
    return Content(
        name,
        lambda view, details, found, notes: _words(layer, view, details, notes),
        lambda page: _draw(page, layer),
        under=lambda page: _laps(page, layer),
        ids=False,
    )


def _laps(page: Page, layer: FabricLayer) -> None:
    """Where pieces lie on each other."""
    outlines = [piece.outline for piece in layer.pieces]
    tree = STRtree(outlines)
    common = []
    for i, outline in enumerate(outlines):
        common += [outline.intersection(outlines[j]) for j in tree.query(outline, predicate="intersects") if j > i]
    for part in get_parts(shapely.union_all(common)):
        if isinstance(part, Polygon) and part.area > 1e-6:
            rings = [1e3 * np.asarray(ring.coords)[:-1] for ring in (part.exterior, *part.interiors)]
            page.pen.area(rings, "FABRIC-LAPS")


def _draw(page: Page, layer: FabricLayer) -> None:
    pen = page.pen
    draw_trimmers(page, layer.face)
    for piece in layer.pieces:
        for ring in (piece.outline.exterior, *piece.outline.interiors):
            pen.ring(1e3 * np.asarray(ring.coords)[:-1], "FABRIC-PIECES")
    diagonals = [_diagonal(piece) for piece in layer.pieces]
    for parts in diagonals:
        for start, end in parts:
            pen.line(start, end, "FABRIC-DIAGONALS")
    free = page.free
    free.take(*(LineString(part) for parts in diagonals for part in parts))
    free.take(*(LineString(1e3 * shapely.get_coordinates(piece.outline.exterior)) for piece in layer.pieces))
    for piece in sorted(layer.pieces, key=lambda piece: piece.outline.area):
        _mark(page, piece, free)


def _diagonal(piece: FabricPiece) -> list[list[tuple[float, float]]]:
    """From corner to corner of the piece's extent, within the piece, mm."""
    x0, y0, x1, y1 = piece.outline.bounds
    return crossing(piece.outline, (x0, y0), (x1, y1))


def _mark(page: Page, piece: FabricPiece, free: FreePlaces) -> None:
    """The mark, with the size below it where there is room, nearest to the middle of the piece."""
    pen, u = page.pen, page.unit
    outline = shapely.transform(piece.outline, lambda points: 1e3 * points)
    x0, y0, x1, y1 = outline.bounds
    size = " × ".join(f"{1e3 * side:.0f}" for side in piece.size)
    upright = y1 - y0 > x1 - x0 and x1 - x0 < 1.15 * width_of(size, SIZE_CAP * u) * pen.size
    spots = list(_spots(outline))
    width, height = (
        max(width_of(piece.mark, MARK_CAP * u), width_of(size, SIZE_CAP * u)),
        (MARK_CAP + LINE_STEP * SIZE_CAP) * u,
    )
    box = (height, width) if upright else (width, height)
    if free.find(spots, *box, inside=outline)[1] == 0.0:
        two_lines(
            pen,
            free.best(spots, *box, inside=outline),
            (piece.mark, MARK_CAP * u),
            (size, SIZE_CAP * u),
            upright=upright,
        )
        return
    place = free.best(spots, width_of(piece.mark, MARK_CAP * u), MARK_CAP * u, inside=outline)
    pen.text(piece.mark, place, MARK_CAP * u, "LABELS", align="middle")


def _spots(outline: Polygon) -> Iterator[tuple[float, float]]:
    """Places over the piece, those nearest to its middle first."""
    x0, y0, x1, y1 = outline.bounds
    shares = np.arange(1, SPOTS + 1) / (SPOTS + 1)
    spots = [(x0 + a * (x1 - x0), y0 + b * (y1 - y0)) for a in shares for b in shares]
    middle = outline.centroid
    return iter(sorted(spots, key=lambda spot: (spot[0] - middle.x) ** 2 + (spot[1] - middle.y) ** 2))


def _words(layer: FabricLayer, view: PlanView, details: Details, notes: Notes) -> list[Row]:
    u = notes.unit
    rows = notes.heading("Legend")
    rows += notes.key(
        lambda pen, x, y: _piece_key(pen, x, y, u),
        "piece with its diagonal, mark and, where there is room, size",
        height=6.5,
    )
    rows += notes.key(
        lambda pen, x, y: pen.area([_ring(x, y, 4.0 * u, 1.4 * u)], "FABRIC-LAPS"), "lap of pieces", height=4.0
    )
    rows += notes.key(
        lambda pen, x, y: pen.circle((x, y), 1.4 * u, "JACKS"), "jack housing: cut wires round it", height=4.0
    )
    rows += trimmer_key(layer.face, details, notes)
    rows += notes.heading(f"{layer.face.capitalize()} layer: {layer.mat}")
    if cover := details.covers.get(layer.face):
        rows += notes.words(cover)
    rows += notes.words(
        f"Laps of wires along x {figures(1e3 * layer.laps[0])}, along y {figures(1e3 * layer.laps[1])}."
    )
    rows += notes.words(layer.lap_basis)
    sheet = " × ".join(figures(1e3 * side) for side in layer.sheet)
    if layer.made_up:
        rows += notes.words(f"Bars, shown as if made up into sheets of {sheet} (along x × along y).")
    else:
        rows += notes.words(f"Sheets of {sheet} as laid (along x × along y), {layer.sheet_mass:.1f} kg each.")
    kind = "made up" if layer.made_up else "to buy, without spares"
    rows += notes.words(f"{layer.bought} sheets {kind}: {layer.bought_area:.1f} m², laid {layer.laid_area:.1f} m².")
    rows += notes.heading("Schedule of pieces")
    rows += notes.words("x, y: lower left corner of the piece from the datum. Edges of the slab have the same cover.")
    heads = ("mark", "x", "y", "along x", "along y", "")
    rows += notes.table(heads, list(_schedule(layer, datum_corner(view.plan))), left=(0, 5))
    return rows + trimmer_schedule(layer.face, details, view, notes)


def _schedule(layer: FabricLayer, datum: Floats) -> Iterator[tuple[str, ...]]:
    """Each piece with its place and its size, in whole mm: nobody cuts or lays steel to less."""
    for piece in layer.pieces:
        place = np.array(piece.outline.bounds[:2]) - datum
        words = "whole" if piece.whole else "cut" if piece.outline.equals(piece.outline.envelope) else "cut to shape"
        yield piece.mark, *(_whole(1e3 * float(each)) for each in (*place, *piece.size)), words


def _whole(length: float) -> str:
    return figures(float(round(length)))


def _ring(x: float, y: float, half: float, up: float) -> list[tuple[float, float]]:
    return [(x - half, y - up), (x + half, y - up), (x + half, y + up), (x - half, y + up)]


def _piece_key(pen: Pen, x: float, y: float, u: float) -> None:
    pen.ring(_ring(x, y, 4.0 * u, 2.4 * u), "FABRIC-PIECES")
    pen.line((x - 4.0 * u, y - 2.4 * u), (x + 4.0 * u, y + 2.4 * u), "FABRIC-DIAGONALS")
