"""Contours of the slab's deflection in one load state."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from postprocess.colours import DEFLECTION, INK
from postprocess.drawing import NOTES, PLAN, STATE_WORDS, new_sheet, number, plan_axes, triangulation
from postprocess.side_notes import SideNotes
from postprocess.view import FloorView

Floats = NDArray[np.float64]

JACK: dict[str, Any] = {"marker": "o", "mfc": "white", "mec": INK, "mew": 0.6, "ms": 3.5}
EXTREMES = (("max", "P"), ("min", "X"))


def deflection_figure(view: FloorView, state: str) -> Figure:
    """Sheet of one state: filled contours of w in mm, downward positive, its extremes and the jacks."""
    figure = new_sheet(view, f"Deflection, {state} state", "plan m; deflection mm, downward positive")
    ax = plan_axes(figure, PLAN, view)
    w = view.fields.deflection[state] * 1e3
    levels = contour_levels(w)
    triangles = triangulation(view.fields.mesh)
    filled = ax.tricontourf(triangles, w, levels=levels, cmap=DEFLECTION, zorder=1)
    lines = ax.tricontour(triangles, w, levels=levels, colors=INK, linewidths=0.35, zorder=1.2)
    labels = ax.clabel(
        lines, fmt=lambda level: f"{level:.4g}".replace("-", "\N{MINUS SIGN}"), fontsize=6.5, inline=True
    )
    for label in labels:
        label.set_bbox({"fc": "white", "ec": "none", "alpha": 0.7, "pad": 0.3})
    ax.plot(*view.schedule.xy.T, ls="none", zorder=4, **JACK)
    _mark_extremes(ax, view.fields.mesh.vertices, w)
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


def _mark_extremes(ax: Axes, vertices: Floats, w: Floats) -> None:
    for (name, marker), i in zip(EXTREMES, (int(w.argmax()), int(w.argmin())), strict=True):
        x, y = vertices[i]
        ax.plot(x, y, marker=marker, mfc="white", mec=INK, ms=9, zorder=5)
        right = x > np.mean(ax.get_xlim())
        box = {"boxstyle": "round,pad=0.25", "fc": "white", "ec": INK, "lw": 0.6}
        ax.annotate(
            f"{name} {number(w[i], 2)} mm",
            (x, y),
            (-9 if right else 9, -11 if y > np.mean(ax.get_ylim()) else 11),
            textcoords="offset points",
            ha="right" if right else "left",
            va="center",
            fontsize=7.5,
            bbox=box,
            zorder=6,
        )
