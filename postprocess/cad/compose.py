"""One drawing: the first sheet on which plan and notes find room, with all that every drawing shows."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import shapely
from shapely import LineString, Point, box

from postprocess.cad.details import Details
from postprocess.cad.dimensions import Marks, draw_dimensions, figures, marks
from postprocess.cad.document import Draft, add_viewport, new_draft, write_draft
from postprocess.cad.jack_lines import jack_lines
from postprocess.cad.labels import FreePlaces
from postprocess.cad.notes import Notes, Row, flow
from postprocess.cad.pen import Pen
from postprocess.cad.plan import add_jack_block, datum_symbol, draw_datum, draw_equipment, draw_jacks, draw_slab
from postprocess.cad.sheet import GAP, Sheet, sheets
from postprocess.cad.title_block import draw_title_block
from postprocess.drawing import datum_corner
from postprocess.view import PlanView

EQUIPMENT_LAYERS = ("EQUIPMENT", "FEET", "EQUIPMENT-EXTENT")


@dataclass(frozen=True, eq=False)
class Page:
    """A drawing on its sheet while it is drawn. free: where words may stand on the plan."""

    view: PlanView
    details: Details
    sheet: Sheet
    marks: Marks
    draft: Draft
    free: FreePlaces

    @property
    def pen(self) -> Pen:
        """In model space."""
        return self.draft.model

    @property
    def unit(self) -> float:
        """Size of figures over that on A3."""
        return self.sheet.paper.unit


@dataclass(frozen=True, eq=False)
class Content:
    """What one drawing shows. name: of the drawing in words. words: its notes; draw: what is on its plan.

    under: drawn below all that, such as filled areas. ids: whether the jacks' ids are seen. frozen: layers that are
    not seen. places: whether coordinates of jacks without dimensions stand in its notes.
    """

    name: str
    words: Callable[[PlanView, Details, Marks, Notes], list[Row]]
    draw: Callable[[Page], None]
    under: Callable[[Page], None] = lambda page: None
    ids: bool = True
    places: bool = False
    frozen: tuple[str, ...] = EQUIPMENT_LAYERS


def write_drawing(view: PlanView, details: Details, content: Content, path: Path) -> None:
    """Write one drawing as `path`.dxf and `path`.pdf."""
    sheet, found, placed = _fitting(view, details, content)
    draft = new_draft(sheet)
    page = Page(view, details, sheet, found, draft, FreePlaces(draft.model.size))
    _block_out(page)
    _draw_plan(page, content)
    names = {
        "title": view.title,
        "drawing": content.name,
        "reference": view.reference,
        "revision": view.revision,
        "date": details.date,
    }
    draw_title_block(draft.paper, sheet, names)
    for column in sheet.notes:
        left = column.left - GAP
        draft.paper.line((left, column.bottom - GAP), (left, sheet.frame.bottom + sheet.frame.height), "FRAME")
    for row, left, top in placed:
        row.draw(draft.paper, left, top)
    add_viewport(draft, content.frozen)
    write_draft(draft, f"{view.title}: {content.name}", path)


def _fitting(
    view: PlanView, details: Details, content: Content
) -> tuple[Sheet, Marks, Sequence[tuple[Row, float, float]]]:
    """The first sheet with room for all notes; on the largest, notes are cut short where they must be."""
    lines = jack_lines(view.schedule.ids, view.schedule.xy)
    for sheet in sheets(view.plan):
        found = marks(view.plan, lines, sheet)
        notes = Notes(sheet.notes[0].width, sheet.paper.unit)
        rows = [*content.words(view, details, found, notes), *_common(view, found, notes, content)]
        placed = flow(rows, sheet.notes)
        if placed is not None:
            return sheet, found, placed
    rows = _cut_short(rows, sheet, notes)
    return sheet, found, flow(rows, sheet.notes) or ()


def _cut_short(rows: list[Row], sheet: Sheet, notes: Notes) -> list[Row]:
    more = notes.words("… continued in the lists of this case: no room here")
    low, high = 0, len(rows)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if flow([*rows[:middle], *more], sheet.notes) else (low, middle)
    return [*rows[:low], *more]


def _common(view: PlanView, found: Marks, notes: Notes, content: Content) -> list[Row]:
    """Notes of every drawing: reference mark, jacks and corners that are not dimensioned."""
    datum = 1e3 * datum_corner(view.plan)
    place = f"x {figures(datum[0])}, y {figures(datum[1])}"
    rows = notes.heading("Reference")
    words = f"Plan x to the right, y up. Datum: the marked corner of the slab, at {place} of the case; "
    words += "running dimensions from there, "
    if found.lines.rows and found.lines.columns:
        words += "at the left and below to lines of jacks, at the right and above to edges."
    else:
        where = "in the table above" if content.places else "on the drawing of their setting-out"
        words += f"to corners; jacks have coordinates {where}."
    rows += notes.key(_reference_mark(notes.unit), words, height=12.0)
    return rows


def coordinates(view: PlanView, found: Marks, notes: Notes) -> list[Row]:
    """Tables of jacks and corners that have no running dimensions, measured from the datum."""
    rows: list[Row] = []
    schedule, datum = view.schedule, datum_corner(view.plan)
    off = found.lines.off(schedule.xy)
    heads = ("x", "y", "jack", "x", "y")
    if off:
        rows += notes.heading("Jacks by coordinates" if len(off) == len(schedule) else "Jacks off the lines")
        rows += notes.words("Centres, mm from the datum.")
        cells = [(schedule.ids[j], *(figures(1e3 * float(c)) for c in schedule.xy[j] - datum)) for j in off]
        rows += _in_pairs(notes, ("jack", *heads[:2]), cells)
    if len(found.corners):
        rows += notes.heading("Corners without dimensions")
        cells = [
            (str(n), *(figures(float(c)) for c in at - 1e3 * datum)) for n, at in enumerate(found.corners, start=1)
        ]
        rows += _in_pairs(notes, ("corner", *heads[:2]), cells)
    return rows


def _in_pairs(notes: Notes, heads: tuple[str, ...], cells: Sequence[tuple[str, ...]]) -> list[Row]:
    """Two items a line."""
    half = (len(cells) + 1) // 2
    empty = ("",) * len(heads)
    lines = [(*cells[i], *(cells[half + i] if half + i < len(cells) else empty)) for i in range(half)]
    return notes.table((*heads, *heads), lines, left=(0, len(heads)))


def _reference_mark(unit: float) -> Callable[[Pen, float, float], None]:
    """Two arrows, x and y, from the datum's symbol."""

    def draw(pen: Pen, x: float, y: float) -> None:
        x, y = x - 3.0 * unit, y - 3.2 * unit
        datum_symbol(pen, (x, y), 0.9 * unit)
        for dx, dy, name in ((1, 0, "x"), (0, 1, "y")):
            tip = (x + 5.5 * unit * dx, y + 5.5 * unit * dy)
            pen.line((x, y), tip, "DATUM")
            wings = [
                (tip[0] - 1.4 * unit * dx + s * 0.5 * unit * dy, tip[1] - 1.4 * unit * dy + s * 0.5 * unit * dx)
                for s in (1, -1)
            ]
            pen.area([[tip, *wings]], "DATUM")
            pen.text(name, (tip[0] + 1.5 * unit * dx, tip[1] + 1.6 * unit * dy), 1.5 * unit, "DATUM", align="middle")

    return draw


def _block_out(page: Page) -> None:
    """Words on the plan keep clear of jacks, edges and lines of jacks."""
    view, free = page.view, page.free
    edges = [view.plan.exterior, *view.plan.interiors]
    for ring in edges:
        points = 1e3 * shapely.get_coordinates(ring)
        free.take(*(LineString([a, b]) for a, b in itertools.pairwise(points)))
    radius = 1e3 * view.footprint / 2
    free.take(*(Point(1e3 * xy).buffer(radius, quad_segs=4) for xy in view.schedule.xy))
    x0, y0, *_ = page.sheet.bounds
    for mark in page.marks.below:
        free.take(LineString([(mark.at, y0), (mark.at, mark.start)]))
    for mark in page.marks.left:
        free.take(LineString([(x0, mark.at), (mark.start, mark.at)]))
    for mark in page.marks.above:
        free.take(LineString([(mark.at, page.sheet.bounds[3]), (mark.at, mark.start)]))
    for mark in page.marks.right:
        free.take(LineString([(page.sheet.bounds[2], mark.at), (mark.start, mark.at)]))
    x, y = (1e3 * float(c) for c in datum_corner(view.plan))
    reach = 2.5 * page.unit * page.pen.size
    free.take(box(x - reach, y - reach, x + reach, y + reach))


def _draw_plan(page: Page, content: Content) -> None:
    view, pen, draft = page.view, page.pen, page.draft
    add_jack_block(draft.document, 1e3 * view.footprint)
    content.under(page)
    draw_slab(pen, view.plan)
    draw_jacks(pen, view, page.free, page.unit, ids=content.ids)
    draw_equipment(pen, draft.document, page.details.pieces)
    draw_dimensions(pen, view.plan, page.marks, page.sheet)
    draw_datum(pen, view.plan, page.unit)
    content.draw(page)
