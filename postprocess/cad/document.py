"""A new DXF document with our layers, text style and dimension style, its sheet, and how both are written."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import ezdxf
from ezdxf.document import Drawing
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Paperspace

from postprocess.cad.dimensions import add_dimension_style
from postprocess.cad.layers import add_layers
from postprocess.cad.pen import STYLE, Pen
from postprocess.cad.sheet import Sheet
from postprocess.cad.svg_page import svg_page
from postprocess.page import Page
from postprocess.svg import drawable

FONT = "arial.ttf"
"""Known to CAD programs on any machine. Words take up no more room in it than in the font that they are measured in."""
VERSION = "R2010"
MILLIMETRES = 4


@dataclass(frozen=True)
class Draft:
    """A document that is being drawn. model, paper: pens with sizes in mm of paper."""

    document: Drawing
    layout: Paperspace
    sheet: Sheet
    model: Pen
    paper: Pen


def new_draft(sheet: Sheet) -> Draft:
    """An empty document with one sheet, whose viewport shows the plan exactly to scale."""
    with _without_dates():
        document = new(VERSION, units=MILLIMETRES)
    document.header["$INSUNITS"] = MILLIMETRES
    document.header["$MEASUREMENT"] = 1
    document.header["$LUNITS"], document.header["$LUPREC"] = 2, 1
    document.styles.add(STYLE, font=FONT)
    add_layers(document)
    add_dimension_style(document, sheet)
    document.layouts.rename("Layout1", sheet.paper.name)
    layout = document.paperspace(sheet.paper.name)
    layout.page_setup(size=(sheet.paper.width, sheet.paper.height), margins=(0, 0, 0, 0), units="mm", scale=(1, 1))
    return Draft(document, layout, sheet, Pen(document.modelspace(), float(sheet.denominator)), Pen(layout))


def add_viewport(draft: Draft, frozen: tuple[str, ...]) -> None:
    """The window to model space; frozen: layers that are not seen in it."""
    sheet, box = draft.sheet, draft.sheet.view
    viewport = draft.layout.add_viewport(
        center=(box.left + box.width / 2, box.bottom + box.height / 2),
        size=(box.width, box.height),
        view_center_point=sheet.centre,
        view_height=box.height * sheet.denominator,
    )
    viewport.frozen_layers = list(frozen)
    half = box.width * sheet.denominator / 2, box.height * sheet.denominator / 2
    model = draft.document.modelspace()
    model.reset_extents(
        (sheet.centre[0] - half[0], sheet.centre[1] - half[1], 0),
        (sheet.centre[0] + half[0], sheet.centre[1] + half[1], 0),
    )
    draft.document.set_modelspace_vport(height=2 * half[1], center=sheet.centre)


def write_draft(draft: Draft, title: str, path: Path) -> None:
    """Write `path`.dxf and `path`.pdf."""
    size = draft.sheet.paper.width, draft.sheet.paper.height
    with _without_dates():
        draft.document.saveas(path.with_suffix(".dxf"))
    page = Page(drawable(svg_page(draft.document, draft.layout, size)), *size, title)
    path.with_suffix(".pdf").write_bytes(page.pdf())


@contextmanager
def _without_dates() -> Iterator[None]:
    """No time of writing and no random numbers in the file: the same drawing is the same file."""
    options = ezdxf.options  # type: ignore[attr-defined]  # documented, but not marked as exported
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before
