"""The drawing of a new revision: what moved on the slab and which springs are swapped, and nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from numpy.typing import NDArray
from shapely import LineString, get_coordinates
from shapely.geometry.base import BaseGeometry

from postprocess.colours import INK, PENCIL
from postprocess.drawing import DRAWING, Box, new_sheet, paper_scale, plan_axes, shape_path
from postprocess.jack_labels import LABELLED
from postprocess.jobs.marks import (
    CLEAR,
    DOT,
    draw_dots,
    draw_status,
    label_some,
    ratio_words,
    sized,
    symbol_share,
    view_of,
)
from postprocess.jobs.swap_lists import kilonewtons
from postprocess.jobs.table import PITCH, Column, note_table, write_lines
from postprocess.jobs.views import ItemChange, RevisionView, Swap
from postprocess.plan_figure import SYMBOLS
from postprocess.plan_items import marks, tag_items
from postprocess.side_notes import SideNotes
from postprocess.view import PlanItem, PlanView

Floats = NDArray[np.float64]

LIST = 114.0
"""Width of the list beside the plan, mm."""
PLACE = Box(DRAWING.left, DRAWING.bottom, DRAWING.width - LIST - 4.0, DRAWING.height)
NOTES = Box(DRAWING.left + DRAWING.width - LIST, DRAWING.bottom, LIST, DRAWING.height)
FIRST, NEXT = 28, 58
"""Swaps listed on the first sheet, which has the key as well, and on each of the next."""
BELOW = 40.0
"""Kept free for headings, remarks and what remains below the list of changes, mm."""
COLUMNS = (
    *(Column("Jack", 18.0), Column("take out", 20.0), Column("put in", 20.0), Column("kN before", 18.0, True)),
    *(Column("kN after", 18.0, True), Column("ratio after", 18.0, True)),
)
SWAP: dict[str, Any] = {"marker": "o", "mfc": "white", "mec": INK, "mew": 2.2, "ms": 8.0}
LARGE = 0.3
"""Share of the slab from which a changed area is not filled: it would hide the rest."""
OLD: dict[str, Any] = {"fc": "none", "ec": PENCIL, "lw": 1.0, "ls": (0, (4, 2)), "zorder": 2.4}
NEW: dict[str, Any] = {"fc": "#c5c9cc", "ec": INK, "lw": 1.1, "alpha": 0.8, "zorder": 2.5}
ARROW: dict[str, Any] = {"arrowstyle": "-|>", "color": INK, "lw": 1.0, "shrinkA": 0, "shrinkB": 0, "mutation_scale": 9}


def swap_sheets(changes: RevisionView) -> int:
    """Number of sheets that the list of swaps takes."""
    return 1 + max(0, -(-(len(changes.swaps) - FIRST) // NEXT))


def swap_figure(view: PlanView, changes: RevisionView, sheet: int = 0) -> Figure:
    """One sheet; the plan has all swaps, the list beside it those of this sheet. view: the new revision, swapped."""
    sheets = swap_sheets(changes)
    part = f", sheet {sheet + 1} of {sheets}" if sheets > 1 else ""
    name = f"Springs to swap, revision {changes.old_revision} to {changes.new_revision}{part}"
    figure = new_sheet(view, name, "plan m; loads kN, service")
    ax = plan_axes(figure, PLACE, view, fill=True)
    items = _changed_items(changes.items)
    for change in changes.items:
        _draw_change(ax, view, change)
    boxes, contents = _draw_jacks(ax, view, changes, items)
    tag_items(ax, replace(view, items=items), np.vstack([boxes, _arrow_boxes(changes.items, CLEAR / paper_scale(ax))]))
    notes = SideNotes(figure, NOTES)
    if sheet == 0:
        _key(notes, view, changes, contents)
        _list_items(notes, view, changes, items)
    _list_swaps(notes, view, changes, sheet)
    if sheet == sheets - 1 and changes.problems:
        notes.heading("What remains NOT MET")
        write_lines(notes, changes.problems, "in the results file")
    return figure


def swap_words(swap: Swap) -> str:
    """Old and new spring of one jack, on two lines."""
    return f"{swap.out or 'nothing'} →\n{swap.into}"


def _changed_items(changes: Sequence[ItemChange]) -> tuple[PlanItem, ...]:
    """Where the mark of each change stands: the new place, or the old one of what was removed."""
    shapes = [change.new if change.new is not None else change.old for change in changes]
    return tuple(
        PlanItem(change.name, "equipment" if shape.area else "line load", change.words, _ground(shape))
        for change, shape in zip(changes, shapes, strict=True)
        if shape is not None
    )


def _draw_change(ax: Axes, view: PlanView, change: ItemChange) -> None:
    """Old place dashed, new place filled, an arrow from one to the other; what goes for good is crossed out."""
    if change.old is not None and change.kind != "changed":
        ax.add_patch(PathPatch(shape_path(_ground(change.old)), gid="old", **OLD))
    if change.new is not None:
        large = change.new.area > LARGE * view.plan.area
        style = NEW | ({"fc": "none"} if large or not change.new.area else {})
        ax.add_patch(PathPatch(shape_path(_ground(change.new)), gid="new", **style))
    if change.old is not None and change.new is None:
        x0, y0, x1, y1 = change.old.bounds
        for ends in ([(x0, y0), (x1, y1)], [(x0, y1), (x1, y0)]):
            line = LineString(ends) & _ground(change.old)
            ax.plot(*get_coordinates(line).T, color=PENCIL, lw=0.8, zorder=2.4, gid="crossed out")
    arrow = _arrow(change)
    if arrow is not None:
        ax.annotate("", xy=tuple(arrow[1]), xytext=tuple(arrow[0]), arrowprops=ARROW, zorder=2.7, gid="arrow")


def _arrow(change: ItemChange) -> Floats | None:
    """Ends (2, 2) of the arrow from the old place to the new one, m; None for what did not move."""
    if change.kind != "moved" or change.old is None or change.new is None:
        return None
    return np.array([(shape.centroid.x, shape.centroid.y) for shape in (change.old, change.new)])


def _arrow_boxes(changes: Sequence[ItemChange], margin: float) -> Floats:
    """(k, 4) boxes along all arrows, m, of which marks keep clear by a margin, m."""
    arrows = [arrow for change in changes if (arrow := _arrow(change)) is not None]
    places = [np.linspace(arrow[0], arrow[1], 25) for arrow in arrows]
    spots = np.concatenate([np.zeros((0, 2)), *places])
    return np.hstack([spots - margin, spots + margin])


def _ground(shape: BaseGeometry) -> BaseGeometry:
    """What it stands over: the hull of its feet, or its own shape."""
    return shape.convex_hull if shape.geom_type == "MultiPolygon" else shape


def _draw_jacks(ax: Axes, view: PlanView, changes: RevisionView, items: tuple[PlanItem, ...]) -> tuple[Floats, str]:
    """Jacks to swap, large and labelled; jacks out of band by their status; all others as dots. Boxes of labels."""
    schedule = view.schedule
    swapped = np.array([swap.jack for swap in changes.swaps], dtype=np.int64)
    status = np.array(schedule.status)
    outside = status != "ok"
    outside[swapped] = False
    plain = ~outside
    plain[swapped] = False
    draw_dots(ax, schedule.xy[plain], len(schedule))
    draw_status(ax, schedule.xy[outside], status[outside].tolist(), 0.7)
    if not len(swapped):
        return np.zeros((0, 4)), ""
    labels = [f"{schedule.ids[swap.jack]}\n{swap_words(swap)}" for swap in changes.swaps]
    words = "At each jack to swap its id, its old spring and its new spring."
    ids = [schedule.ids[swap.jack] for swap in changes.swaps]
    options = [(labels, words), (ids, "At each jack to swap its id; its springs are in the list.")]
    options = options if len(schedule) <= LABELLED else options[1:]
    boxes, size, said = label_some(ax, view_of(view, swapped, ax, items), options, "Ids and springs are in the list.")
    share = max(0.6, symbol_share(size))
    ax.plot(*schedule.xy[swapped].T, ls="none", zorder=4.2, gid="swaps", **sized(SWAP, share))
    still = status[swapped] != "ok"
    draw_status(ax, schedule.xy[swapped][still], status[swapped][still].tolist(), 0.55 * share)
    return boxes, said


def _key(notes: SideNotes, view: PlanView, changes: RevisionView, contents: str) -> None:
    schedule = view.schedule
    notes.heading(f"Springs to swap: {len(changes.swaps)} of {len(schedule)}")
    if changes.swaps and changes.problems:
        notes.line("NOT MET after these swaps: what remains is listed below.")
    elif changes.swaps:
        notes.line(
            "Proven: fewer swaps do not bring every jack into its band."
            if changes.least
            else f"It is NOT proven that fewer would not do; at least {changes.at_least} are needed."
        )
        notes.marker("spring to swap", **SWAP | {"ms": 7.5})
    notes.marker("another jack: leave it as it is", **DOT)
    for name in ("under", "over"):
        count = schedule.status.count(name)
        if count:
            notes.marker(f"still {name} after the swaps: {count}", **SYMBOLS[name] | {"ms": 6})
    if contents:
        notes.remark(contents)


def _list_items(notes: SideNotes, view: PlanView, changes: RevisionView, items: tuple[PlanItem, ...]) -> None:
    notes.heading("Changes" if changes.items or changes.other else "Nothing on the slab has changed")
    kinds = {change.kind for change in changes.items}
    if kinds & {"moved", "removed"}:
        notes.swatch("old place" + ("; crossed out where it is gone" if "removed" in kinds else ""), **OLD)
    if kinds - {"removed"}:
        notes.swatch("place now: moved there, new, or changed where it stands", **NEW)
    names = marks(replace(view, items=items))
    lines = [f"{mark}  {change.name}: {change.words}" for mark, change in zip(names, changes.items, strict=True)]
    table = (min(len(changes.swaps), FIRST) + 1) * PITCH
    write_lines(notes, [*lines, *changes.other], "in the results file", keep=table + BELOW)


def _list_swaps(notes: SideNotes, view: PlanView, changes: RevisionView, sheet: int) -> None:
    first = 0 if sheet == 0 else FIRST + (sheet - 1) * NEXT
    chosen = changes.swaps[first : first + (FIRST if sheet == 0 else NEXT)]
    if not chosen:
        return
    notes.heading("Swaps" if sheet == 0 else "Swaps, continued")
    rows = [
        (
            *(view.schedule.ids[swap.jack], swap.out or "nothing", swap.into),
            *(kilonewtons(swap.load_before, 2, "–"), kilonewtons(swap.load_after, 2)),
            ratio_words(swap.ratio_after, view.schedule.band),
        )
        for swap in chosen
    ]
    note_table(notes, COLUMNS, rows)
    if sheet == 0:
        notes.remark("Before: old layout on the old springs. After: new layout when all swaps are done.")
    if first + len(chosen) < len(changes.swaps):
        notes.line(f"{len(changes.swaps) - first - len(chosen)} more on the next sheet")
