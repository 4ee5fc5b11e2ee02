"""Contours of the slab's deflection in one load state."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.contour import ContourSet
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray
from shapely import Polygon, get_parts
from shapely.geometry.base import BaseGeometry

from postprocess.colours import DEFLECTION, INK
from postprocess.drawing import (
    NOTES,
    PLAN,
    STATE_WORDS,
    new_sheet,
    number,
    paper_scale,
    plan_axes,
    text_width,
    triangulation,
)
from postprocess.side_notes import SideNotes
from postprocess.view import FloorView

Floats = NDArray[np.float64]

JACK: dict[str, Any] = {"marker": "o", "mfc": "white", "mec": INK, "mew": 0.6, "ms": 3.5}
EXTREMES = (("max", "P"), ("min", "X"))
AROUND = np.array([[x, y] for y in (1, -1, 0) for x in (1, -1, 0) if x or y])
"""Directions from an extreme to the box with its value."""
VALUE = 6.5
"""Size of the values on contours, points."""
FRAME: dict[str, Any] = {"boxstyle": "round,pad=0.25", "fc": "white", "ec": INK, "lw": 0.6}
PAPER: dict[str, Any] = {"fc": "white", "ec": "none", "alpha": 0.75, "pad": 0.3}


def deflection_figure(view: FloorView, state: str) -> Figure:
    """Sheet of one state: filled contours of w in mm, downward positive, its extremes and the jacks."""
    figure = new_sheet(view, f"Deflection, {state} state", "plan m; deflection mm, downward positive")
    ax = plan_axes(figure, PLAN, view)
    w = view.fields.deflection[state] * 1e3
    levels = contour_levels(w)
    triangles = triangulation(view.fields.mesh)
    filled = ax.tricontourf(triangles, w, levels=levels, cmap=DEFLECTION, zorder=1)
    lines = ax.tricontour(triangles, w, levels=levels, colors=INK, linewidths=0.35, zorder=1.2)
    ax.plot(*view.schedule.xy.T, ls="none", zorder=4, **JACK)
    taken = _mark_extremes(ax, view, w)
    label_contours(ax, view, lines, taken)
    notes = SideNotes(figure, NOTES)
    notes.heading("Load state")
    notes.line(STATE_WORDS[state])
    notes.heading("Deflection")
    notes.colour_bar(filled, "w in mm, downward positive")
    notes.line(f"Largest {number(w.max(), 2)} mm, smallest {number(w.min(), 2)} mm, difference {np.ptp(w):.2f} mm")
    for name, marker in EXTREMES:
        notes.marker(f"place of the {name}imum", marker=marker, mfc="white", mec=INK, ms=7)
    notes.marker("jack", **JACK)
    notes.remark(
        "Elastic slab on its springs with the screw advances of the case; measured from the level at which the "
        "springs carry nothing."
    )
    return figure


def contour_levels(values: Floats) -> Floats:
    """About twelve round levels that reach past the values on both sides; a flat field gets a band around it."""
    low, high = float(values.min()), float(values.max())
    if high - low < 1e-3:
        low, high = low - 5e-4, high + 5e-4
    return np.asarray(MaxNLocator(12, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high))


def _mark_extremes(ax: Axes, view: FloorView, w: Floats) -> list[Polygon]:
    """The extremes with their values in boxes that keep clear of jacks; returns what they cover, m."""
    scale = paper_scale(ax)
    taken = list(get_parts(shapely.buffer(shapely.points(view.schedule.xy), 1.6 / scale)))
    places = [view.fields.mesh.vertices[int(i)] for i in (w.argmax(), w.argmin())]
    taken += list(get_parts(shapely.buffer(shapely.points(places), 2.0 / scale)))
    (left, right), (bottom, top) = ax.get_xlim(), ax.get_ylim()
    sheet = shapely.box(left, bottom, right, top)
    for (name, marker), place, value in zip(EXTREMES, places, (w.max(), w.min()), strict=True):
        words = f"{name} {number(value, 2)} mm"
        extent = np.array([text_width(words, 7.5) + 3.0, 5.0]) / scale
        spots = place + np.concatenate([(extent / 2 + gap / scale) * AROUND for gap in (2.0, 5.0, 9.0, 14.0)])
        boxes = np.asarray(shapely.box(*(spots - extent / 2).T, *(spots + extent / 2).T))
        covered = sum(shapely.area(shapely.intersection(boxes, other)) for other in taken)
        cost = 1e3 * covered * scale**2 + 1e3 * ~shapely.contains(sheet, boxes) + np.arange(len(spots))
        cost += 5 * shapely.intersects(boxes, view.plan.boundary)
        best = int(np.argmin(cost))
        taken.append(boxes[best])
        ax.plot(*np.transpose([place, spots[best]]), color=INK, lw=0.6, zorder=4.5)
        ax.plot(*place, marker=marker, mfc="white", mec=INK, ms=9, zorder=5)
        ax.text(spots[best, 0], spots[best, 1], words, ha="center", va="center", fontsize=7.5, bbox=FRAME, zorder=6)
    return taken


def label_contours(ax: Axes, view: FloorView, lines: ContourSet, taken: list[Polygon]) -> None:
    """Write the value of each contour along it where most room is left: clear of `taken`, edges and each other."""
    scale = paper_scale(ax)
    edges: list[BaseGeometry] = [*taken, view.plan.boundary]
    for level, path in zip(lines.levels, lines.get_paths(), strict=True):
        words = f"{level:.4g}".replace("-", "\N{MINUS SIGN}")
        room = (text_width(words, VALUE) + 1.0) / scale
        for line in path.to_polygons(closed_only=False):
            chord = _free_chord(np.asarray(line), room, edges, scale)
            if chord is None:
                continue
            (x, y), (across, up) = chord.mean(axis=0), chord[1] - chord[0]
            angle = (np.degrees(np.arctan2(up, across)) + 90) % 180 - 90
            style: dict[str, Any] = {"fontsize": VALUE, "rotation": angle, "rotation_mode": "anchor"}
            ax.text(x, y, words, ha="center", va="center", zorder=1.3, bbox=PAPER, **style)
            edges.append(shapely.LineString(chord).buffer(1.2 / scale))


def _free_chord(line: Floats, room: float, edges: list[BaseGeometry], scale: float) -> Floats | None:
    """(2, 2) ends of the piece of a line (n, 2), `room` m long, that has most paper around it, and no less than 1.3 mm.

    Of pieces with 4 mm and more around them, the one nearest to the middle of the line. None: the line is too short.
    """
    length = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    if length[-1] < 2.5 * room:
        return None
    middle = np.linspace(room, length[-1] - room, 60)
    at = middle[:, None] + [-room / 2, room / 2]
    chords = np.stack([np.interp(at, length, line[:, 0]), np.interp(at, length, line[:, 1])], axis=2)
    found = shapely.STRtree(edges).query_nearest(shapely.linestrings(chords), return_distance=True, all_matches=False)
    clear = scale * found[1]
    best = int(np.argmax(np.minimum(clear, 4.0) - np.abs(middle / length[-1] - 0.5)))
    return chords[best] if clear[best] >= 1.3 else None
