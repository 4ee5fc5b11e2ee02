"""What stands on the slab, as the plan draws it: equipment, line loads and finishes, each with a short mark."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from numpy.typing import NDArray
from shapely import MultiPoint, Polygon, contains_xy, get_coordinates

from postprocess.colours import INK, PENCIL
from postprocess.drawing import paper_scale, shape_path
from postprocess.side_notes import SideNotes
from postprocess.view import FloorView, PlanItem

Floats = NDArray[np.float64]

LETTERS = {"equipment": "E", "line load": "L", "finish": "F"}
STYLES: dict[str, dict[str, Any]] = {
    "equipment": {"fc": "#8a8f94", "ec": INK, "lw": 0.7, "alpha": 0.75, "zorder": 2.5},
    "line load": {"fc": "none", "ec": INK, "lw": 2.2, "ls": (0, (4, 1.2)), "zorder": 2.6},
    "finish": {"fc": "none", "ec": PENCIL, "lw": 0.8, "ls": (0, (6, 2)), "hatch": "..", "zorder": 0.6},
}
WORDS = {
    "equipment": "feet or area of equipment",
    "line load": "line load",
    "finish": "finish, limit of its area",
}
LISTED = 36
"""Items named beside the plan; more would run over the sheet."""


def marks(items: tuple[PlanItem, ...]) -> tuple[str, ...]:
    """E1, E2, … for equipment, L1, … for line loads, F1, … for finishes."""
    count = dict.fromkeys(LETTERS, 0)
    result = []
    for item in items:
        count[item.kind] += 1
        result.append(f"{LETTERS[item.kind]}{count[item.kind]}")
    return tuple(result)


def draw_items(ax: Axes, view: FloorView) -> list[Floats]:
    """Shapes of all items and their marks, clear of the jacks and of each other; returns where the marks stand."""
    spots: list[Floats] = []
    for item, mark in zip(view.items, marks(view.items), strict=True):
        style = dict(STYLES[item.kind])
        if style.get("hatch"):
            style |= {"hatchcolor": "#c9cdd0", "hatch_linewidth": 0.3}
        ax.add_patch(PathPatch(shape_path(item.shape), **style))
        spot = _free_spot(item, view.plan, np.vstack([view.schedule.xy, *spots]), 4.0 / paper_scale(ax))
        spots.append(spot)
        box = {"boxstyle": "round,pad=0.25", "fc": "white", "ec": INK, "lw": 0.6}
        ax.text(spot[0], spot[1], mark, fontsize=7.5, ha="center", va="center", zorder=5, bbox=box)
    return spots


def _free_spot(item: PlanItem, plan: Polygon, taken: Floats, reach: float) -> Floats:
    """The point over or close to the item, on the slab, that is farthest from the points (n, 2) in `taken`."""
    hull: Polygon = MultiPoint(get_coordinates(item.shape)).convex_hull.buffer(reach)
    x0, y0, x1, y1 = hull.bounds
    x, y = (part.ravel() for part in np.meshgrid(np.linspace(x0, x1, 40), np.linspace(y0, y1, 40)))
    inside = contains_xy(hull, x, y) & contains_xy(plan.buffer(-reach / 2), x, y)
    if not inside.any():
        return np.asarray(item.shape.centroid.coords[0])
    spots = np.column_stack([x, y])[inside]
    clear = np.hypot(*(spots[:, None] - taken[None]).transpose(2, 0, 1)).min(axis=1)
    return np.asarray(spots[np.argmax(clear)])


def list_items(notes: SideNotes, view: FloorView) -> None:
    """The key to the items: symbols of the kinds present, then each mark with name and note."""
    if not view.items:
        return
    notes.heading("On the slab")
    for kind in dict.fromkeys(item.kind for item in view.items):
        style = dict(STYLES[kind])
        if kind == "line load":
            notes.stroke(WORDS[kind], color=style["ec"], lw=style["lw"], ls=style["ls"])
        else:
            notes.swatch(WORDS[kind], **style | {"zorder": 2})
    named = list(zip(view.items, marks(view.items), strict=True))
    for number, (item, mark) in enumerate(named):
        if number >= LISTED or notes.room < 16.0:
            notes.line(f"and {len(named) - number} more, listed in the case file")
            break
        notes.line(f"{mark}  {item.name}, {item.note}")
