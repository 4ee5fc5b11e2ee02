"""The floor in model space, 1:1 in mm: outline, openings, jacks and equipment on the layers that can be read back."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from ezdxf.document import Drawing
from numpy.typing import NDArray
from shapely import LinearRing, LineString, Polygon, get_parts

from postprocess.cad.details import Piece
from postprocess.cad.labels import FreePlaces, around
from postprocess.cad.pen import ALIGNMENTS, STYLE, Pen, width_of
from postprocess.cad.plain_text import block_name, escaped
from postprocess.drawing import datum_corner
from postprocess.view import PlanView

Floats = NDArray[np.float64]

JACK = "JACK"
ID_CAP = 1.8
"""Height of the ids of jacks, mm on A3."""


def corners_mm(ring: LinearRing) -> Floats:
    """Corners of a closed ring, each once, mm."""
    return 1e3 * np.asarray(ring.coords)[:-1]


def draw_slab(pen: Pen, plan: Polygon) -> None:
    """Outline and openings; openings are crossed out."""
    pen.ring(corners_mm(plan.exterior), "OUTLINE")
    for opening in plan.interiors:
        pen.ring(corners_mm(opening), "OPENINGS")
        shape = Polygon(opening)
        x0, y0, x1, y1 = shape.bounds
        for start, end in (((x0, y0), (x1, y1)), ((x0, y1), (x1, y0))):
            for part in crossing(shape, start, end):
                pen.line(part[0], part[1], "OPENING-MARKS")


def crossing(shape: Polygon, start: tuple[float, float], end: tuple[float, float]) -> list[list[tuple[float, float]]]:
    """The parts of a straight line within a shape in m, as ends in mm."""
    parts = get_parts(LineString([start, end]).intersection(shape))
    return [[(1e3 * x, 1e3 * y) for x, y in part.coords] for part in parts if part.length > 1e-6]


def add_jack_block(document: Drawing, diameter: float) -> None:
    """Block JACK: the housing of `diameter` mm and a cross."""
    block = document.blocks.new(JACK)
    pen = Pen(block)
    pen.circle((0, 0), diameter / 2, "0")
    reach = 0.62 * diameter
    pen.line((-reach, 0), (reach, 0), "0", lineweight=13)
    pen.line((0, -reach), (0, reach), "0", lineweight=13)


def draw_jacks(pen: Pen, view: PlanView, free: FreePlaces, unit: float, *, ids: bool) -> None:
    """Every jack with its attributes; ids: whether these are seen, at a free place beside the jack."""
    schedule, radius = view.schedule, 1e3 * view.footprint / 2
    height = ID_CAP * unit
    for i, name in enumerate(schedule.ids):
        x, y = (1e3 * float(c) for c in schedule.xy[i])
        insert = pen.layout.add_blockref(JACK, (x, y), dxfattribs={"layer": "JACKS"})
        place = (x, y)
        if ids:
            half = width_of(name, height) * pen.size / 2, height * pen.size / 2
            options = around(x, y, radius + 0.7 * unit * pen.size, half)
            place = free.best(options, width_of(name, height), height)
        values = {
            "ID": name,
            "SPRING": schedule.springs[i],
            "ADVANCE_MM": f"{1e3 * float(schedule.advance[i]):.9g}",
        }
        for tag, value in values.items():
            attribute = insert.add_attrib(
                tag,
                escaped(value),
                place,
                dxfattribs={"layer": "JACK-LABELS", "style": STYLE, "height": height * pen.size},
            )
            attribute.set_placement(place, align=ALIGNMENTS["middle"])
            attribute.is_invisible = tag != "ID" or not ids


def draw_equipment(pen: Pen, document: Drawing, pieces: Sequence[Piece]) -> None:
    """Each piece as a block of its own with its name and mass as attributes, which are not seen."""
    for piece in pieces:
        name = block_name(piece.name, [block.name for block in document.blocks])
        block = document.blocks.new(name)
        middle = _middle_of(piece)
        if piece.feet is not None:
            _feet(Pen(block), piece, middle)
        if piece.area is not None:
            Pen(block).ring(corners_mm(piece.area.exterior) - middle, "EQUIPMENT")
        insert = pen.layout.add_blockref(name, middle, dxfattribs={"layer": "EQUIPMENT"})
        for tag, value in (("NAME", piece.name), ("MASS_KG", f"{piece.mass:.9g}")):
            attributes = {"layer": "LABELS", "style": STYLE, "height": ID_CAP * pen.size}
            insert.add_attrib(tag, escaped(value), middle, dxfattribs=attributes).is_invisible = True


def _middle_of(piece: Piece) -> Floats:
    """Where the block is inserted, mm: whole millimetres in the middle of the piece."""
    if piece.feet is not None:
        low, high = piece.feet.min(axis=0), piece.feet.max(axis=0)
    else:
        assert piece.area is not None  # a piece has feet or an area
        low, high = np.reshape(piece.area.bounds, (2, 2))
    return np.asarray(np.round(1e3 * (low + high) / 2))


def _feet(pen: Pen, piece: Piece, middle: Floats) -> None:
    """Square feet, and the rectangle around them as single lines, which nobody reads as an area."""
    assert piece.feet is not None
    half = 1e3 * piece.foot / 2
    places = 1e3 * piece.feet - middle
    for x, y in places:
        pen.ring([(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)], "FEET")
    (x0, y0), (x1, y1) = places.min(axis=0) - half, places.max(axis=0) + half
    ring = [(x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)]
    for start, end in itertools.pairwise(ring):
        pen.line(start, end, "EQUIPMENT-EXTENT")


def draw_datum(pen: Pen, plan: Polygon, unit: float) -> None:
    """The datum's symbol at its corner."""
    x, y = (1e3 * float(c) for c in datum_corner(plan))
    datum_symbol(pen, (x, y), 1.9 * unit * pen.size)


def datum_symbol(pen: Pen, at: tuple[float, float], radius: float) -> None:
    """A circle with a cross through it, two quarters of it filled."""
    x, y = at
    pen.circle(at, radius, "DATUM")
    for dx, dy in ((1.6, 0), (0, 1.6)):
        pen.line((x - dx * radius, y - dy * radius), (x + dx * radius, y + dy * radius), "DATUM")
    angles = np.radians(np.linspace(0, 90, 10))
    for way in (1, -1):
        arc = [(x + way * radius * np.cos(a), y + way * radius * np.sin(a)) for a in angles]
        pen.area([[(x, y), *arc]], "DATUM")
