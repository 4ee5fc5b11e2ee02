"""Bending moments of the slab in one load state: Mx, My, Mxy and the principal moments with their directions."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.contour import ContourSet
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from matplotlib.tri import Triangulation
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely import contains_xy

from fem.mesh import Mesh
from fem.moments import principal_moments
from postprocess.colours import INK, SIGNED
from postprocess.drawing import STATE_WORDS, new_sheet, number, panels, plan_axes, triangulation
from postprocess.side_notes import SideNotes
from postprocess.view import FloorView

Floats = NDArray[np.float64]

SHARE = 0.99
"""Share of the slab's area whose moments set the colour range."""
LINES = 200
"""Jacks beyond which lines of zero moment would hide the plan."""
CORNER: dict[str, Any] = {"marker": "D", "mfc": "none", "mec": INK, "mew": 1.0, "ms": 6}
JACK: dict[str, Any] = {"marker": ".", "mfc": INK, "mec": "none", "ms": 2.5}
NAMES = ("Mx", "My", "Mxy", "M1", "M2")
WORDS = {
    "Mx": "Mx, stress along x",
    "My": "My, stress along y",
    "Mxy": "Mxy, twisting",
    "M1": "M1, greater principal",
    "M2": "M2, lesser principal",
}


def moment_figure(view: FloorView, state: str) -> Figure:
    """Sheet of one state: five plans in kN·m/m, sagging positive, on one colour range centred at 0."""
    figure = new_sheet(view, f"Bending moments, {state} state", "plan m; moments kN·m/m, sagging positive")
    triple = view.fields.moments[state] / 1e3
    principal = principal_moments(triple)
    first, second, angle = principal.larger, principal.smaller, principal.angle
    values = dict(zip(NAMES, (*triple.T, first, second), strict=True))
    levels = moment_levels(view.fields.mesh, np.column_stack(list(values.values())))
    away = away_from_corners(view)
    triangles = triangulation(view.fields.mesh)
    *boxes, last = panels(view, 6)
    for box, name in zip(boxes, NAMES, strict=True):
        ax = plan_axes(figure, box, view, to_scale=False)
        filled = _contours(ax, view, triangles, values[name], levels)
        low, high = values[name][away].min(), values[name][away].max()
        ax.set_title(f"{WORDS[name]}: {number(low, 2)} to {number(high, 2)} kN·m/m", fontsize=7.5, color=INK, pad=3)
        if name in {"M1", "M2"}:
            _crosses(ax, view, (first, second), angle, levels[-1], bold_first=name == "M1")
    _notes(SideNotes(figure, last.inset(6.0)), view, state, filled)
    return figure


def moment_levels(mesh: Mesh, values: Floats) -> Floats:
    """Even round levels, symmetric about 0, that hold `SHARE` of the area for every column of values (v, n)."""
    area = np.zeros(len(mesh.vertices))
    np.add.at(area, mesh.triangles, mesh.areas[:, None] / 3)
    size = np.abs(values).max(axis=1)
    order = np.argsort(size)
    reached = np.searchsorted(np.cumsum(area[order]), SHARE * area.sum())
    limit = max(float(size[order[reached]]), 1e-3)
    ticks = MaxNLocator(20, steps=[1, 2, 2.5, 5, 10], symmetric=True).tick_values(-limit, limit)
    return np.asarray(ticks)


def corner_radius(view: FloorView) -> float:
    """Distance from re-entrant corners within which extremes are not reported, m: two slab thicknesses."""
    return 2 * view.thickness


def away_from_corners(view: FloorView) -> NDArray[np.bool_]:
    """(v,) vertices of the display mesh that are not beside a re-entrant corner."""
    vertices = view.fields.mesh.vertices
    if not len(view.re_entrant_corners):
        return np.ones(len(vertices), dtype=bool)
    distance, _ = cKDTree(view.re_entrant_corners).query(vertices)
    return np.asarray(distance > corner_radius(view))


def _contours(ax: Axes, view: FloorView, triangles: Triangulation, values: Floats, levels: Floats) -> ContourSet:
    filled = ax.tricontourf(triangles, values, levels=levels, cmap=SIGNED, extend="both", zorder=1)
    if len(view.schedule) <= LINES:
        ax.tricontour(triangles, values, levels=[0.0], colors=INK, linewidths=0.5, zorder=1.2)
    ax.plot(*view.schedule.xy.T, ls="none", zorder=2, **JACK)
    ax.plot(*view.re_entrant_corners.T, ls="none", zorder=5, **CORNER)
    return filled


def _crosses(
    ax: Axes, view: FloorView, pair: tuple[Floats, Floats], angle: Floats, limit: float, *, bold_first: bool
) -> None:
    """Arms along both principal directions on a grid, as long as their moments; the panel's own is the bolder."""
    x0, y0, x1, y1 = view.plan.bounds
    step = max(x1 - x0, y1 - y0) / 16
    x, y = (part.ravel() for part in np.meshgrid(np.arange(x0, x1, step), np.arange(y0, y1, step)))
    x, y = x + step / 2, y + step / 2
    inside = contains_xy(view.plan, x, y)
    near = cKDTree(view.fields.mesh.vertices).query(np.column_stack([x, y])[inside])[1]
    centre = view.fields.mesh.vertices[near]
    for turn, values in enumerate(pair):
        turned = angle[near] + turn * np.pi / 2
        half = 0.48 * step * np.clip(np.abs(values[near]) / limit, 0.0, 1.0)
        arm = half[:, None] * np.column_stack([np.cos(turned), np.sin(turned)])
        width = 0.9 if (turn == 0) == bold_first else 0.35
        ax.add_collection(
            LineCollection(list(np.stack([centre - arm, centre + arm], axis=1)), colors=INK, lw=width, zorder=3)
        )


def _notes(notes: SideNotes, view: FloorView, state: str, filled: ContourSet) -> None:
    notes.line(f"Load state {STATE_WORDS[state]}.")
    notes.colour_bar(filled, "Moments in kN·m/m: sagging (tension in the bottom face) positive, hogging negative")
    notes.remark(
        f"The colour range holds the moments of {100 * SHARE:.0f} % of the slab's area. Peaks past it, over jacks "
        "and at corners, take the colours of the ends."
    )
    if len(view.schedule) <= LINES:
        notes.stroke("zero moment", color=INK, lw=0.5)
    notes.marker("jack", **JACK)
    if len(view.re_entrant_corners):
        notes.marker(
            "re-entrant corner: thin-plate moments are singular here, and slabs crack here: do not read values at "
            "the corner itself; reinforce it.",
            **CORNER,
        )
    left_out = f", without {corner_radius(view) * 1e3:.0f} mm around these corners"
    notes.remark(
        f"Ranges above the plans are values at points{left_out if len(view.re_entrant_corners) else ''}; the strip "
        "averages at jacks are in results.json."
    )
    notes.stroke("principal direction, bold for the moment of that plan; length by size", color=INK, lw=0.9)
