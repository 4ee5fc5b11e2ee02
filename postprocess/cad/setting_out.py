"""The drawing from which jack housings are set out."""

from __future__ import annotations

import numpy as np

from postprocess.cad.compose import Content, Page, coordinates
from postprocess.cad.details import Details
from postprocess.cad.dimensions import Marks, figures
from postprocess.cad.notes import Draw, Notes, Row
from postprocess.cad.pen import Pen
from postprocess.view import PlanView


def setting_out() -> Content:
    """Housings to scale with their ids and running dimensions."""
    return Content("Setting-out of jacks", _words, _draw, places=True)


def _draw(page: Page) -> None:
    """Nothing beyond what every drawing shows."""


def _words(view: PlanView, details: Details, found: Marks, notes: Notes) -> list[Row]:
    rows = notes.heading("Legend")
    rows += jack_key(view, notes)
    rows += edge_keys(view, notes)
    if found.lines.rows or found.lines.columns:
        rows += notes.key(bubble("A", notes.unit), "line of jacks: letter along x, number along y", height=7.0)
    rows += notes.heading("Setting out")
    rows += notes.words(
        f"{len(view.schedule)} jacks, slab {view.plan.area:.3f} m², {1e3 * view.thickness:.0f} mm thick."
    )
    rows += notes.words("Positions are those of the centres of the housings. Check both diagonals before casting.")
    rows += _diagonals(view, notes)
    if np.any(view.schedule.advance):
        rows += notes.words("Attributes of the jacks hold their springs and the advance of their screws.")
    return rows + coordinates(view, found, notes)


def jack_key(view: PlanView, notes: Notes) -> list[Row]:
    """The symbol of a jack."""

    def draw(pen: Pen, x: float, y: float) -> None:
        radius = 1.5 * notes.unit
        pen.circle((x, y), radius, "JACKS")
        for dx, dy in ((1, 0), (0, 1)):
            reach = 1.24 * radius
            pen.line((x - dx * reach, y - dy * reach), (x + dx * reach, y + dy * reach), "DIMENSIONS")

    words = f"jack housing, diameter {figures(1e3 * view.footprint)}, with the jack's id"
    return notes.key(draw, words, height=4.5)


def edge_keys(view: PlanView, notes: Notes) -> list[Row]:
    """Edge of the slab and, where there are any, openings."""
    u = notes.unit
    rows = notes.key(lambda pen, x, y: pen.line((x - 4 * u, y), (x + 4 * u, y), "OUTLINE"), "edge of the slab")
    if view.plan.interiors:

        def opening(pen: Pen, x: float, y: float) -> None:
            pen.box(x - 3 * u, y - 1.6 * u, 6 * u, 3.2 * u, "OPENINGS")
            for way in (1, -1):
                pen.line((x - 3 * u, y - way * 1.6 * u), (x + 3 * u, y + way * 1.6 * u), "OPENING-MARKS")

        rows += notes.key(opening, "opening in the slab", height=5.0)
    return rows


def bubble(name: str, unit: float) -> Draw:
    """The symbol of a line of jacks."""

    def draw(pen: Pen, x: float, y: float) -> None:
        pen.circle((x, y), 2.6 * unit, "BUBBLES")
        pen.text(name, (x, y), 1.9 * unit, "BUBBLES", align="middle")

    return draw


def _diagonals(view: PlanView, notes: Notes) -> list[Row]:
    """Distances between the jacks nearest to opposite corners of the plan's extent, to check the marks with a tape."""
    xy, ids = view.schedule.xy, view.schedule.ids
    x0, y0, x1, y1 = view.plan.bounds
    nearest = [int(np.argmin(np.hypot(*(xy - corner).T))) for corner in ((x0, y0), (x1, y1), (x0, y1), (x1, y0))]
    lines = []
    for first, last in (nearest[:2], nearest[2:]):
        if first != last:
            length = 1e3 * float(np.hypot(*(xy[last] - xy[first])))
            lines.append((f"{ids[first]} – {ids[last]}", figures(length)))
    return notes.table(("check distance", "mm"), lines) if lines else []
