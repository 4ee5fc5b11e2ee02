"""What stands on the slab, as the plan draws it: equipment, line loads and finishes, each with a short mark."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from numpy.typing import NDArray
from shapely import Polygon, STRtree, get_coordinates, get_parts
from shapely.geometry.base import BaseGeometry

from postprocess.colours import INK, PENCIL
from postprocess.drawing import MM_PER_POINT, paper_scale, shape_path, text_width
from postprocess.side_notes import SideNotes
from postprocess.view import PlanItem, PlanView

Floats = NDArray[np.float64]

STYLES: dict[str, dict[str, Any]] = {
    "equipment": {"fc": "#8a8f94", "ec": INK, "lw": 0.7, "alpha": 0.75, "zorder": 2.5},
    "line load": {"fc": "none", "ec": INK, "lw": 2.2, "ls": (0, (4, 1.2)), "zorder": 2.6},
    "finish": {"fc": "none", "ec": PENCIL, "lw": 0.8, "ls": (0, (6, 2)), "hatch": "..", "zorder": 0.6},
}
WORDS = {
    "equipment": "area of equipment, or its feet within a dotted line",
    "line load": "line load",
    "finish": "finish, limit of its area",
}
AROUND: dict[str, Any] = {"fc": "none", "ec": INK, "lw": 0.7, "ls": (0, (1, 2.5))}
"""The line around the feet of one piece of equipment."""
TAG, REACH = 8.0, 14.0
"""Size of the marks, points, and how far from its item one may stand, mm."""
FRAME: dict[str, Any] = {"boxstyle": "round,pad=0.3,rounding_size=0.7", "fc": "white", "ec": INK, "lw": 0.9}
LISTED = 36
"""Items named beside the plan; more would run over the sheet."""


def marks(view: PlanView) -> tuple[str, ...]:
    """Marks of the items of a floor."""
    return item_marks(view.schedule.ids, len(view.items))


def item_marks(jack_ids: Sequence[str], count: int) -> tuple[str, ...]:
    """Marks of `count` items that cannot be taken for the id of a jack.

    1, 2, … unless an id is a plain number; then a, b, …, unless an id is a plain word; then item 1, item 2, …
    """
    ids = {name.strip().casefold() for name in jack_ids}
    numbers = tuple(str(number + 1) for number in range(count))
    if not any(name.isnumeric() for name in ids):
        return numbers
    if not any(name.isalpha() for name in ids):
        return tuple(_letters(number) for number in range(count))
    named = [f"item {number}" for number in numbers]
    while not ids.isdisjoint(named):
        named = [f"{name}*" for name in named]
    return tuple(named)


def _letters(number: int) -> str:
    """a to z, then aa, ab, … for 0, 1, …"""
    head, last = divmod(number, 26)
    return (_letters(head - 1) if head else "") + chr(ord("a") + last)


def draw_items(ax: Axes, view: PlanView) -> None:
    """Shapes of all items; a thin line around the feet of one."""
    for item in view.items:
        style = dict(STYLES[item.kind])
        if style.get("hatch"):
            style |= {"hatchcolor": "#c9cdd0", "hatch_linewidth": 0.3}
        ax.add_patch(PathPatch(shape_path(item.shape), **style))
        if _on_feet(item):
            ax.add_patch(PathPatch(shape_path(_ground(item).boundary), zorder=2.4, **AROUND))


def _on_feet(item: PlanItem) -> bool:
    return item.kind == "equipment" and len(get_parts(item.shape)) > 1


def _ground(item: PlanItem) -> BaseGeometry:
    """What the item stands over: the hull of its feet, or its shape."""
    return item.shape.convex_hull if _on_feet(item) else item.shape


def tag_items(ax: Axes, view: PlanView, labels: Floats) -> None:
    """Write the mark of each item inside it, on its line, or close by at the end of a thin line to it.

    labels: (n, 4) boxes of the labels of jacks, m, of which the marks keep clear, as of jacks and other items.
    """
    scale = paper_scale(ax)
    jacks = shapely.buffer(shapely.points(view.schedule.xy), 1.6 / scale)
    taken: list[BaseGeometry] = [*get_parts(jacks), *get_parts(shapely.box(*labels.T))]
    tags = marks(view)
    for number in sorted(range(len(tags)), key=lambda i: (view.items[i].kind == "finish", view.items[i].shape.area)):
        item, tag = view.items[number], tags[number]
        extent = np.array([max(text_width(tag, TAG), 2.2) + 2.6, TAG * MM_PER_POINT + 2.0]) / scale
        spot = _free_spot(view, item, extent, [*taken, *_foreign(view, item)], scale)
        frame = shapely.box(*(spot - extent / 2), *(spot + extent / 2))
        taken.append(frame.buffer(0.5 / scale))
        end = get_coordinates(shapely.shortest_line(shapely.Point(spot), item.shape))[-1]
        if _on_feet(item) or not frame.intersects(item.shape):
            ax.plot(*np.transpose([spot, end]), color=INK, lw=0.6, zorder=4.9, gid="leader")
        ax.text(spot[0], spot[1], tag, fontsize=TAG, ha="center", va="center", zorder=5, bbox=FRAME)


def _foreign(view: PlanView, item: PlanItem) -> list[BaseGeometry]:
    """What the mark of an item must not cover: other items, its own feet, edges of its own area and of the slab."""
    others = [other for other in view.items if other is not item]
    shapes = [other.shape for other in others if other.kind != "finish"]
    if item.kind == "finish":
        shapes += [_ground(other) for other in others if other.kind == "equipment"]
        shapes += [o.shape for o in others if o.kind == "finish" and o.shape.area < 0.999 * item.shape.area]
    shapes += [Polygon(ring) for ring in view.plan.interiors]
    if item.kind == "line load":
        return shapes
    return [*shapes, view.plan.boundary, item.shape if _on_feet(item) else item.shape.boundary]


def _free_spot(view: PlanView, item: PlanItem, extent: Floats, taken: list[BaseGeometry], scale: float) -> Floats:
    """The middle of a frame of `extent` (2,) m that covers least and is nearest to the item."""
    x0, y0, x1, y1 = item.shape.buffer(REACH / scale).bounds
    x, y = (part.ravel() for part in np.meshgrid(np.linspace(x0, x1, 45), np.linspace(y0, y1, 45)))
    if item.kind == "line load":
        longest = max(get_parts(item.shape), key=lambda part: part.length)
        on_line = get_coordinates(longest.interpolate(np.linspace(0.03, 0.97, 120), normalized=True))
        x, y = np.concatenate([x, on_line[:, 0]]), np.concatenate([y, on_line[:, 1]])
    spots = np.column_stack([x, y])
    frames = np.asarray(shapely.box(*(spots - extent / 2).T, *(spots + extent / 2).T))
    obstacles = STRtree(taken)
    covers = np.zeros(len(spots), dtype=bool)
    covers[obstacles.query(frames, predicate="intersects")[0]] = True
    leaders = np.asarray(shapely.shortest_line(shapely.points(spots), item.shape))
    cost = 1000.0 * covers
    cost += 30.0 * ~shapely.contains(view.plan, shapely.points(spots))
    cost += scale * (3 * shapely.length(leaders) + 0.05 * np.hypot(*(spots - item.shape.centroid.coords[0]).T))
    if _on_feet(item):
        cost += 3 * ~shapely.contains(_ground(item), frames)
    best = np.argsort(cost, kind="stable")[:100]
    cost = cost[best] + 3 * np.bincount(obstacles.query(leaders[best], predicate="crosses")[0], minlength=len(best))
    near = obstacles.query_nearest(frames[best], return_distance=True, all_matches=False)[1]
    return np.asarray(spots[best[np.argmin(cost - np.minimum(scale * near, 2.5))]])


def list_items(notes: SideNotes, view: PlanView) -> None:
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
    named = list(zip(view.items, marks(view), strict=True))
    for number, (item, mark) in enumerate(named):
        if number >= LISTED or notes.room < 16.0:
            notes.line(f"and {len(named) - number} more, listed in the case file")
            break
        notes.line(f"{mark}  {item.name}, {item.note}")
