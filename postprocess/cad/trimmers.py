"""Trimmer bars on the drawings of steel: true in number, place and length, with marks and their schedule."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from shapely import LineString, Point

from postprocess.cad.compose import Page
from postprocess.cad.details import Details
from postprocess.cad.dimensions import figures
from postprocess.cad.labels import around
from postprocess.cad.notes import Notes, Row
from postprocess.cad.pen import Pen, width_of
from postprocess.fabric.trimmers import CornerBars
from postprocess.strength.layers import Face
from postprocess.view import PlanView

CAP = 1.8
"""Height of marks, mm on A3."""

Kind = tuple[int, float, float, float, float]
"""Number, diameter, length, spacing and distance of the first from the corner, all lengths in mm."""


def draw_trimmers(page: Page, face: Face) -> None:
    """The bars near one face, and a mark beside those of each corner."""
    found = page.details.trimmers.get(face, ())
    names = _names(found, face)
    for corner in found:
        for line in corner.lines:
            if not line.is_empty:
                start, end = ((1e3 * x, 1e3 * y) for x, y in line.coords)
                page.pen.line(start, end, "TRIMMERS")
        page.free.take(*(_mm(line.coords) for line in corner.lines if not line.is_empty))
    for corner in found:
        _mark(page, corner, names[_kind(corner)])


def trimmer_key(face: Face, details: Details, notes: Notes) -> list[Row]:
    """The symbol of the bars, or why there are none."""
    if details.no_trimmers:
        return notes.words(details.no_trimmers)
    if not details.trimmers.get(face):
        return []
    u = notes.unit

    def draw(pen: Pen, x: float, y: float) -> None:
        for up in (-0.7 * u, 0.7 * u):
            pen.line((x - 3 * u, y + up - u), (x + 3 * u, y + up + u), "TRIMMERS")

    return notes.key(draw, "trimmer bars across a re-entrant corner, inside the wires of this layer", height=5.0)


def trimmer_schedule(face: Face, details: Details, view: PlanView, notes: Notes) -> list[Row]:
    """A line for each kind: at how many corners, how many bars at each, their size and where they lie."""
    found = details.trimmers.get(face, ())
    if not found:
        return []
    rows = notes.heading("Schedule of trimmer bars")
    heads = ("mark", "corners", "bars each", "diameter", "length", "spacing", "first")
    lines = []
    for kind, name in _names(found, face).items():
        number, *sizes, spacing, first = kind
        corners = sum(_kind(corner) == kind for corner in found)
        apart = figures(spacing) if number > 1 else "–"
        lines.append((name, str(corners), str(number), *(figures(size) for size in sizes), apart, figures(first)))
    rows += notes.table(heads, lines)
    total = sum(corner.number for corner in found)
    rows += notes.words(
        f"{total} bars in this layer. Spacing, and from the corner to the first bar: between axes, along the line that "
        "halves the corner. The middle of each bar lies on that line."
    )
    if shortened := sum(corner.shortened for corner in found):
        rows += notes.words(
            f"{shortened} of them meet an edge and are drawn as far as there is room: whoever designs the slab says "
            "how these are anchored."
        )
    if met := _on_housings(found, view):
        rows += notes.words(
            f"{met} of them meet a jack housing as they are spread here: lay them beside it, as many as there are; "
            "whoever designs the slab says where."
        )
    return rows


def _on_housings(found: Sequence[CornerBars], view: PlanView) -> int:
    """Bars that touch a housing."""
    jacks = shapely.multipoints(view.schedule.xy)
    reach = view.footprint / 2
    return sum(
        bool(line.distance(jacks) < reach + corner.bar.diameter / 2)
        for corner in found
        for line in corner.lines
        if not line.is_empty
    )


def _kind(corner: CornerBars) -> Kind:
    lengths = (corner.bar.diameter, corner.bar.length, corner.spacing, corner.first)
    diameter, length, spacing, first = (round(1e3 * each, 1) for each in lengths)
    return corner.number, diameter, length, float(round(spacing)), float(round(first))


def _names(found: Sequence[CornerBars], face: Face) -> Mapping[Kind, str]:
    """A mark for each kind, none of which is a mark of a piece: BD1 for diagonal bars of the bottom layer."""
    kinds = dict.fromkeys(_kind(corner) for corner in found)
    return {kind: f"{face[0].upper()}D{number}" for number, kind in enumerate(kinds, start=1)}


def _mm(coords: object) -> LineString:
    return LineString(1e3 * np.asarray(coords))


def _mark(page: Page, corner: CornerBars, name: str) -> None:
    """The mark with the number of bars before it, at a free place beside their ends or their middle."""
    pen, u = page.pen, page.unit
    words = f"{corner.number} {name}"
    size = width_of(words, CAP * u), CAP * u
    half = size[0] * pen.size / 2, size[1] * pen.size / 2
    last = 1e3 * np.asarray((corner.lines[-1] if not corner.lines[-1].is_empty else Point(corner.xy)).coords)
    spots = [spot for x, y in (last.mean(axis=0), *last) for spot in around(x, y, 1.0 * u * pen.size, half)]
    place = page.free.best(spots, *size)
    pen.text(words, place, CAP * u, "LABELS", align="middle")
