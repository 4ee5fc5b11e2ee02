"""The drawing for marking out jacks: rows to snap with a line, running dimensions, areas without jacks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.collections import PatchCollection
from matplotlib.figure import Figure
from matplotlib.patches import Circle, PathPatch
from numpy.typing import NDArray
from shapely import LineString, MultiLineString, MultiPolygon, Point

from postprocess.colours import HIGH, INK, PENCIL
from postprocess.drawing import (
    MM_PER_POINT,
    NOTES,
    PLAN,
    Box,
    datum_corner,
    new_sheet,
    paper_scale,
    plan_axes,
    shape_path,
)
from postprocess.jack_labels import label_jacks
from postprocess.jobs.marks import most_that_fits, sized, symbol_share
from postprocess.jobs.running_dimensions import LINE, MARKED, RowLine, draw_row_lines, readable, row_lines, signed
from postprocess.jobs.setout_lists import row_names
from postprocess.jobs.table import write_lines
from postprocess.jobs.views import SetOutView
from postprocess.plan_items import marks, tag_items
from postprocess.side_notes import SideNotes
from postprocess.view import PlanItem, PlanView

Floats = NDArray[np.float64]

FIGURES_ROOM = 9.0
"""Paper for running dimensions at the left and below, besides that for the figures of the grid, mm."""
PLACE = Box(PLAN.left + FIGURES_ROOM, PLAN.bottom + FIGURES_ROOM, PLAN.width - FIGURES_ROOM, PLAN.height - FIGURES_ROOM)
ADDED: dict[str, Any] = {"marker": "s", "mfc": "none", "mec": HIGH, "mew": 1.3, "ms": 11}
AROUND = 1.4
"""Side of the square around an added jack over the diameter of its housing."""
CENTRE: dict[str, Any] = {"marker": "+", "mec": INK, "mew": 0.5, "ms": 5}
HOUSING: dict[str, Any] = {"marker": "o", "mfc": "white", "mec": INK, "mew": 0.8, "ms": 6}
ZONE: dict[str, Any] = {"fc": "none", "ec": PENCIL, "lw": 0.8, "ls": (0, (6, 2)), "hatch": "///", "zorder": 1.2}
JACK_LINE: dict[str, Any] = {"color": INK, "lw": 1.8, "ls": (0, (7, 1.5, 1.5, 1.5)), "zorder": 2.3}


def setout_figure(view: PlanView, setout: SetOutView) -> Figure:
    """Sheet with jack housings to scale, rows with running dimensions from the datum corner, and what governs."""
    figure = new_sheet(view, "Setting out of jacks", "mm from the datum corner")
    ax = plan_axes(figure, PLACE, view, fill=True)
    _without_grid(ax)
    rows = row_lines(view.schedule.xy, setout.rows, row_names(view.schedule.ids, setout.rows))
    lines = readable(ax, rows)
    draw_row_lines(ax, view.plan, lines)
    marked = replace(view, items=_marked_items(view, setout))
    _draw_marked(ax, marked)
    labels, size, contents = _labels(view, setout, lines, ax)
    side = _draw_jacks(ax, view, setout, symbol_share(size))
    crowded = replace(view, items=(*marked.items, *_in_the_way(view, setout, lines, side)))
    tag_items(ax, marked, label_jacks(ax, crowded, labels, size) if size else np.zeros((0, 4)))
    notes = SideNotes(figure, NOTES)
    _key(notes, view, setout, lines)
    if len(lines) < len(rows):
        notes.line(f"{len(rows) - len(lines)} short rows have no room here: see the list of running dimensions.")
    notes.remark(contents)
    _list_marked(notes, marked)
    if setout.notes:
        notes.heading("Rules and what governs")
        write_lines(notes, setout.notes, "in the results file")
    return figure


def _without_grid(ax: Axes) -> None:
    """Dimensions take the place of the grid in metres."""
    ax.grid(visible=False)
    ax.set(xticks=[], yticks=[], xlabel="", ylabel="")
    words = ax.get_title(loc="right").partition(",")[0]
    words += "; dimensions in mm, running from the datum corner"
    ax.set_title(words, loc="right", fontsize=7, color=PENCIL, pad=3)
    for spine in ax.spines.values():
        spine.set_visible(False)


def _marked_items(view: PlanView, setout: SetOutView) -> tuple[PlanItem, ...]:
    """Zones and lines in the form in which marks are written on plans, as far as they lie on the slab's sheet."""
    x0, y0, x1, y1 = view.plan.bounds
    sheet = shapely.box(x0, y0, x1, y1)
    zones = [PlanItem(name, "finish", "no jacks", area & sheet) for name, area in setout.zones]
    lines = [PlanItem(name, "line load", "jack line", LineString(path)) for name, path in setout.lines]
    return tuple(item for item in (*zones, *lines) if not item.shape.is_empty)


def _draw_marked(ax: Axes, view: PlanView) -> None:
    for item in view.items:
        if item.kind == "finish":
            style = ZONE | {"hatchcolor": "#aab0b5", "hatch_linewidth": 0.4}
            ax.add_patch(PathPatch(shape_path(item.shape), gid="zone", **style))
        else:
            ax.plot(*shapely.get_coordinates(item.shape).T, gid="jack line", **JACK_LINE)


def _in_the_way(view: PlanView, setout: SetOutView, lines: Sequence[RowLine], side: float) -> tuple[PlanItem, ...]:
    """Rows, housings and the squares (of this side, m) around added jacks, of which labels keep clear."""
    discs = [Point(place).buffer(view.footprint / 2) for place in view.schedule.xy]
    around = [shapely.box(*(place - side / 2), *(place + side / 2)) for place in view.schedule.xy[list(setout.added)]]
    found = [PlanItem("housings", "line load", "", MultiPolygon([*discs, *around]))]
    if lines:
        found.append(PlanItem("rows", "equipment", "", MultiLineString([line.ends for line in lines])))
    return tuple(found)


def _labels(view: PlanView, setout: SetOutView, lines: Sequence[RowLine], ax: Axes) -> tuple[list[str], float, str]:
    """Ids, and what no row along x or y says of a jack's place."""
    ids = view.schedule.ids
    missing = missing_dimensions(view, lines)
    added = ["\ncloser" if jack in setout.added else "" for jack in range(len(ids))]
    full = [f"{name}{where}{more}" for name, where, more in zip(ids, missing, added, strict=True)]
    plain = [f"{name}{more}" for name, more in zip(ids, added, strict=True)]
    both = "At each jack its id; x and y in mm from the datum corner where no row along x or y gives them."
    return most_that_fits(
        view,
        ax,
        [(full, both), (plain, "At each jack its id; all x and y are in the list of running dimensions.")],
        "Ids, x and y of all jacks are in the list of running dimensions.",
    )


def missing_dimensions(view: PlanView, lines: Sequence[RowLine]) -> tuple[str, ...]:
    """(n,) lines such as "x 1650" and "y 300", each after a line break, where no row along x or y gives them."""
    xy = view.schedule.xy
    places = xy - datum_corner(view.plan)
    given = np.zeros((len(xy), 2), dtype=bool)
    for line in lines:
        if line.kind != "slanted":
            axis, jacks = 1 if line.kind == "x" else 0, list(line.jacks)
            given[jacks, axis] |= np.abs(xy[jacks, axis] - line.at) <= MARKED
    return tuple(
        "".join(f"\n{axis} {signed(at)}" for axis, at, known in zip("xy", place, row, strict=True) if not known)
        for place, row in zip(places, given, strict=True)
    )


def _draw_jacks(ax: Axes, view: PlanView, setout: SetOutView, share: float) -> float:
    """Housings to scale with their centres; a square around those that were added. Returns its side, m."""
    xy = view.schedule.xy
    housings = [Circle(tuple(place), view.footprint / 2) for place in xy]
    ax.add_collection(PatchCollection(housings, fc="white", ec=INK, lw=0.8 * share, zorder=3.5, gid="housings"))
    ax.plot(*xy.T, ls="none", zorder=3.6, **sized(CENTRE, share))
    scale = paper_scale(ax)
    size = max(ADDED["ms"] * share, AROUND * view.footprint * scale / MM_PER_POINT)
    ax.plot(*xy[list(setout.added)].T, ls="none", zorder=3.65, gid="added", **sized(ADDED, share) | {"ms": size})
    return float(size * MM_PER_POINT / scale)


def _key(notes: SideNotes, view: PlanView, setout: SetOutView, lines: Sequence[RowLine]) -> None:
    notes.heading(f"Jacks to set out: {len(view.schedule)}")
    notes.marker(f"jack housing to scale, {view.footprint * 1e3:.0f} mm in diameter, centre crossed", **HOUSING)
    if setout.added:
        words = f"closer: {len(setout.added)} moved or added, as loads would have exceeded the strongest spring"
        notes.marker(words, **ADDED | {"ms": 8})
    kinds = [line.kind for line in lines]
    if lines:
        notes.stroke("row to snap with a chalk line, letter at its end", **LINE)
    straight = len(kinds) - kinds.count("slanted")
    if straight:
        notes.line(f"Rows along x or y: {straight}. Figures at the left are y, figures below are x.")
    if "slanted" in kinds:
        notes.line(f"Slanted rows: {kinds.count('slanted')}. Mark both end jacks, snap, then measure along the row.")
    notes.line("Figures without a letter: the datum and edges of the slab.", colour=PENCIL)
    notes.line("Measure every jack from the datum corner or along its row, never from the jack before.")


def _list_marked(notes: SideNotes, view: PlanView) -> None:
    if not view.items:
        return
    notes.heading("Areas and lines")
    kinds = {item.kind for item in view.items}
    if "finish" in kinds:
        notes.swatch("no jacks in this area", **ZONE | {"zorder": 2})
    if "line load" in kinds:
        notes.stroke("jacks along this line", **JACK_LINE)
    named = zip(view.items, marks(view), strict=True)
    write_lines(notes, [f"{mark}  {item.name}: {item.note}" for item, mark in named], "in the case file", keep=60.0)
