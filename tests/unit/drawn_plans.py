"""Drawings made for the tests of reading them."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from typing import Any

import ezdxf
from ezdxf.document import Drawing

from preprocess.cad.drawing_in import drawn_in
from preprocess.cad.drawn import DrawnPlan
from preprocess.cad.rules import DrawingRules
from preprocess.errors import InputError

NAME = "plan.dxf"
OUTLINE, OPENINGS, JACKS, EQUIPMENT = ({"layer": layer} for layer in ("OUTLINE", "OPENINGS", "JACKS", "EQUIPMENT"))
ROOM = ((0.0, 0.0), (6000.0, 0.0), (6000.0, 4000.0), (0.0, 4000.0))
OUTLINE_ONLY = DrawingRules(layers={"outline": "OUTLINE"})

MILLIMETRES, METRES, INCHES, UNITLESS = 4, 6, 1, 0
"""$INSUNITS of the DXF reference."""


def empty(units: int = MILLIMETRES) -> Drawing:
    """A drawing without anything in it."""
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = units
    return document


def room(corners: Iterable[Sequence[float]] = ROOM) -> Drawing:
    """A drawing with an outline only."""
    document = empty()
    document.modelspace().add_lwpolyline(list(corners), close=True, dxfattribs=OUTLINE)
    return document


def square(block: Any, x: float, y: float, side: float, layer: str) -> Any:
    """A closed square about x, y."""
    half = side / 2
    corners = [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]
    return block.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})


def content(document: Drawing) -> bytes:
    """The bytes of its file."""
    stream = io.StringIO()
    document.write(stream)
    return stream.getvalue().encode("utf-8")


def read(document: Drawing, rules: DrawingRules = OUTLINE_ONLY) -> tuple[DrawnPlan, str]:
    """What is read, and all remarks in one text."""
    plan, remarks = drawn_in(content(document), NAME, rules)
    return plan, "\n".join(remarks)


def refused(document: Drawing | bytes, rules: DrawingRules = OUTLINE_ONLY) -> str:
    """All problems in one text; fails where there are none."""
    data = document if isinstance(document, bytes) else content(document)
    try:
        drawn_in(data, NAME, rules)
    except InputError as error:
        return "\n".join(str(problem) for problem in error.problems)
    raise AssertionError("read without a problem")
