"""Moments of the slab along x and along y in one state, side by side, and how much of the steel bending uses."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.contour import ContourSet
from matplotlib.tri import Triangulation
from numpy.typing import NDArray

from postprocess.colours import SIGNED, USE
from postprocess.drawing import STATE_WORDS, number, triangulation
from postprocess.moment_figure import CORNER, JACK, LINES, away_from_corners, corner_radius, moment_levels
from postprocess.report.model import Picture
from postprocess.report.paper import draw_level, picture, plan_paper
from postprocess.strength.layers import COLUMNS
from postprocess.strength.result import Strength
from postprocess.strength_bending_figure import bending_use, use_words
from postprocess.view import FloorView

Floats = NDArray[np.float64]

EVERY = 3
"""Every so many levels are named on the colour bar, zero among them."""
USES = np.array([0.0, 0.2, 0.4, 0.6, 0.8, 1.0])


def moment_picture(view: FloorView, state: str) -> Picture:
    """Mx and My of one state in kN·m/m, sagging positive, on one colour range centred at 0."""
    values = view.fields.moments[state][:, :2] / 1e3
    levels = moment_levels(view.fields.mesh, values)
    triangles, away = triangulation(view.fields.mesh), away_from_corners(view)
    paper = plan_paper(view, 2, columns=2, bar=True)
    ranges = []
    for column, name in enumerate(("Mx, stress along x", "My, stress along y")):
        low, high = values[away, column].min(), values[away, column].max()
        ranges.append(f"{name}: {number(low, 1)} to {number(high, 1)} kN·m/m")
        ax = paper.plan(column, view, ranges[-1])
        filled = _filled(ax, triangles, values[:, column], levels, "both")
        if len(view.schedule) <= LINES:
            draw_level(ax, triangles, values[:, column], 0.0, 0.5)
        _marks(ax, view)
    paper.colour_bar(
        filled,
        "kN·m/m; ochre: sagging, tension below; blue: hogging, tension above",
        levels[len(levels) // 2 % EVERY :: EVERY],
    )
    left_out = f", without {corner_radius(view) * 1e3:.0f} mm around re-entrant corners (diamonds)"
    caption = (
        f"Bending moments, {STATE_WORDS[state]}. Dots: jacks; lines: no moment. Figures are extremes at points"
        f"{left_out if len(view.re_entrant_corners) else ''}."
    )
    return picture(paper.figure, f"moments-{state}", caption, f"Moments in the {state} state. {'; '.join(ranges)}.")


def use_picture(view: FloorView, strength: Strength) -> Picture:
    """The greater use of both directions, for each layer."""
    use = bending_use(strength)
    triangles = triangulation(strength.mesh)
    paper = plan_paper(view, 2, columns=2, bar=True)
    said = []
    for panel, (face, columns) in enumerate(COLUMNS.items()):
        values = use[:, columns].max(axis=1)
        best = max(float(verdict.use.max()) for verdict in strength.layer_verdicts if verdict.face == face)
        said.append(f"{face} layer: greatest use of its checks {use_words(best)}")
        ax = paper.plan(panel, view, said[-1])
        filled = _filled(ax, triangles, np.minimum(values, 1e3), USES, "max")
        if values.max() > 1:
            draw_level(ax, triangles, np.minimum(values, 1e3), 1.0, 1.2)
        _marks(ax, view)
    paper.colour_bar(filled, "design moment over resistance, the greater of both directions; 1 is full use", USES)
    caption = (
        "How much of its bending resistance each layer uses, over all strength combinations. Beside jacks and feet the "
        "mean over a strip stands for the peak. Within zones at re-entrant corners trimmer bars help the mats: see the "
        "table of corners."
    )
    return picture(paper.figure, "use", caption, f"{'; '.join(said)}.")


def _filled(ax: Axes, triangles: Triangulation, values: Floats, levels: Floats, extend: str) -> ContourSet:
    """Filled contours as a picture within the vectors: as paths they would make a heavy file."""
    colours = SIGNED if extend == "both" else USE
    filled = ax.tricontourf(triangles, values, levels=levels, cmap=colours, extend=extend, zorder=1)
    filled.set_rasterized(True)
    return filled


def _marks(ax: Axes, view: FloorView) -> None:
    ax.plot(*view.schedule.xy.T, ls="none", zorder=2, **JACK)
    ax.plot(*view.re_entrant_corners.T, ls="none", zorder=5, **CORNER | {"ms": 4})
