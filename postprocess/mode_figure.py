"""The first modes of the floor on its springs on one sheet."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.figure import Figure

from postprocess.colours import INK, SIGNED
from postprocess.drawing import DRAWING, Box, new_sheet, panels, plan_axes, triangulation
from postprocess.side_notes import SideNotes
from postprocess.view import FloorView

SHOWN = 6
LEVELS = np.linspace(-1, 1, 11) * (1 + 1e-9)
LEGEND = 22.0
"""Height of the notes below the plans, mm."""
JACK: dict[str, Any] = {"marker": ".", "mfc": INK, "mec": "none", "ms": 2.5}


def mode_figure(view: FloorView) -> Figure:
    """Sheet of up to six mode shapes with frequency, kind and shares of the mass in the rigid motions."""
    figure = new_sheet(view, "Modes of the service floor", "plan m; frequency Hz; shapes without unit, peak 1")
    count = min(SHOWN, len(view.modes.frequencies))
    room = Box(DRAWING.left, DRAWING.bottom + LEGEND, DRAWING.width, DRAWING.height - LEGEND)
    triangles = triangulation(view.fields.mesh)
    for mode, box in zip(range(count), panels(view, SHOWN, room), strict=False):
        ax = plan_axes(figure, box, view, to_scale=False)
        shape = view.fields.shapes[:, mode]
        filled = ax.tricontourf(triangles, shape, levels=LEVELS, cmap=SIGNED, zorder=1)
        ax.tricontour(triangles, shape, levels=[0.0], colors=INK, linewidths=0.9, zorder=1.2)
        ax.plot(*view.schedule.xy.T, ls="none", zorder=2, **JACK)
        ax.set_title(mode_words(view, mode), fontsize=8, color=INK, pad=3, linespacing=1.35)
    notes = SideNotes(figure, Box(DRAWING.left, DRAWING.bottom, 120.0, LEGEND))
    notes.colour_bar(
        filled,
        "Mode shape over its largest value; blue and ochre move against each other",
        np.linspace(-1, 1, 5),
    )
    words = SideNotes(figure, Box(DRAWING.left + 140.0, DRAWING.bottom, 250.0, LEGEND))
    words.stroke("line that stays at rest", color=INK, lw=0.9)
    words.marker("jack", **JACK)
    words.remark(
        "Mass of slab, finishes and equipment, no imposed load. Shares: part of the floor's mass that moves rigidly "
        "up and down (heave), or part of its rotational inertia that rocks about the axis through the centre of "
        "mass parallel to x or to y. They need not add up to 100 %: the axes are not the principal ones."
    )
    return figure


def mode_words(view: FloorView, mode: int) -> str:
    """Two lines about one mode: frequency and kind, then the shares in per cent."""
    modes = view.modes
    heave, rock_x, rock_y = (100 * share[mode] for share in (modes.heave, modes.rock_x, modes.rock_y))
    return (
        f"Mode {mode + 1}: {modes.frequencies[mode]:.2f} Hz, {modes.kinds[mode]}\n"
        f"heave {heave:.0f} %, rocking about x {rock_x:.0f} %, about y {rock_y:.0f} %"
    )
