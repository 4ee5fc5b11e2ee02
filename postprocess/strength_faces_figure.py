"""Four plans of one quantity, one for each face and direction of the steel, on one colour scale from 0 to its limit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.contour import ContourSet
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.ticker import MaxNLocator
from matplotlib.tri import Triangulation
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from fem.mesh import Mesh
from postprocess.colours import INK, USE
from postprocess.drawing import PLAN, panels, plan_axes, triangulation
from postprocess.side_notes import SideNotes
from postprocess.strength.layers import FACES
from postprocess.strength.result import Strength
from postprocess.strength_marks_figure import CORNER, FOOT, JACK, RING, draw_jacks, point_words
from postprocess.view import FloorView

Floats = NDArray[np.float64]

LETTERS = ("A", "B", "C", "D")
"""Marks of the greatest places, in the order of `FACES`."""
HATCH = {"fc": "none", "ec": "white", "lw": 0.0, "hatch": "////", "hatch_linewidth": 0.7}
FULL = {"color": INK, "lw": 1.4}
HALF = {"color": INK, "lw": 0.5}


@dataclass(frozen=True, eq=False)
class FaceMap:
    """A quantity at the vertices of the strength's mesh, (v, 4) ≥ 0 in the order of `FACES`, and its limit.

    Values may be inf where the slab has nothing to resist with.
    """

    values: Floats
    limit: float

    @property
    def reached(self) -> bool:
        """Whether any value is the limit or more."""
        return bool(self.values.max() >= self.limit)

    @property
    def levels(self) -> Floats:
        """Ten to sixteen round levels from 0 up to the limit, or to half of it where no value is greater than that."""
        top = scale_top(float(self.values.max()), self.limit)
        ticks = np.asarray(MaxNLocator(16, steps=[1, 2, 2.5, 5, 10]).tick_values(0.0, top))
        return np.append(ticks[ticks < top * (1 - 1e-9)], top)

    def drawable(self, side: int) -> Floats:
        """(v,) values of one side without infinite ones, which are drawn as far above all others."""
        values = self.values[:, side]
        finite = values[np.isfinite(values)]
        return np.where(np.isfinite(values), values, 2 * max(self.limit, float(finite.max(initial=0.0))))


def scale_top(greatest: float, limit: float) -> float:
    """Where a colour scale ends: at the limit, or at half of it; so colours of different floors can be compared."""
    return limit if greatest > limit / 2 else limit / 2


def area_words(area: float) -> str:
    """A small area in m²."""
    return f"about {area:.2g} m²" if area >= 0.1 else "under 0.1 m²"


@dataclass(frozen=True)
class Peak:
    """The greatest value of one side. vertex: where it is on the mesh. name: "jack C4", "slab" …; xy: m."""

    value: float
    vertex: int
    name: str
    xy: tuple[float, float]

    @property
    def words(self) -> str:
        """The place with its coordinates."""
        return f"{self.name} at {point_words(self.xy)}"


def in_zones(strength: Strength) -> NDArray[np.bool_]:
    """(v,) vertices in the zone of a re-entrant corner, whose trimmers help the mats."""
    inside = np.zeros(len(strength.mesh.vertices), dtype=bool)
    for corner in strength.corners:
        inside |= np.hypot(*(strength.mesh.vertices - corner.xy).T) <= corner.zone
    return inside


def peak(view: FloorView, strength: Strength, values: Floats, among: NDArray[np.bool_] | None = None) -> Peak:
    """Where (v,) `values` ≥ 0 are greatest, among some vertices or all of them.

    Beside jacks, feet and corners one value stands for all vertices around: the place is then the jack itself.
    """
    vertices = strength.mesh.vertices
    vertex = int(values.argmax() if among is None else np.where(among, values, -1.0).argmax())
    value = float(values[vertex])
    near = np.hypot(*(vertices - vertices[vertex]).T) <= 2 * strength.strip
    middle = vertices[near & (values == value)].mean(axis=0)
    known = [(f"jack {name}", xy) for name, xy in zip(view.schedule.ids, view.schedule.xy, strict=True)]
    known += [(place.name, np.array(place.xy)) for place in strength.punching if place.kind == "foot"]
    known += [("re-entrant corner", np.array(corner.xy)) for corner in strength.corners]
    distance, nearest = cKDTree([xy for _, xy in known]).query(middle)
    plateau = np.count_nonzero(near & (values == value)) > 1
    if distance <= strength.strip * (1 if plateau else 0.5):
        name, xy = known[int(nearest)]
        return Peak(value, vertex, name, (float(xy[0]), float(xy[1])))
    return Peak(value, vertex, "slab", (float(vertices[vertex, 0]), float(vertices[vertex, 1])))


def area_from(mesh: Mesh, values: Floats, limit: float) -> float:
    """Area around the vertices whose values (v,) reach `limit`, m²."""
    share = np.bincount(mesh.triangles.ravel(), np.repeat(mesh.areas / 3, 3), minlength=len(mesh.vertices))
    return float(share[values >= limit].sum())


def draw_faces(
    figure: Figure, view: FloorView, strength: Strength, shown: FaceMap, titles: tuple[str, ...]
) -> tuple[tuple[Axes, ...], ContourSet]:
    """The four plans with their titles, in the order of `FACES`; returns their axes and what a colour bar needs."""
    triangles = triangulation(strength.mesh)
    feet = np.reshape([place.xy for place in strength.punching if place.kind == "foot"], (-1, 2))
    drawn = []
    for side, box in enumerate(panels(view, len(FACES), PLAN)):
        ax = plan_axes(figure, box, view, to_scale=False)
        filled = _contours(ax, triangles, shown, side)
        draw_jacks(ax, view)
        ax.plot(*feet.T, ls="none", zorder=4, **FOOT)
        ax.plot(*view.re_entrant_corners.T, ls="none", zorder=4.5, **CORNER)
        ax.set_title(titles[side], fontsize=7.5, color=INK, pad=3, linespacing=1.3)
        drawn.append(ax)
    return tuple(drawn), filled


def _contours(ax: Axes, triangles: Triangulation, shown: FaceMap, side: int) -> ContourSet:
    """Filled contours, lines at half the limit and at the limit, and a hatch where the limit is passed."""
    values, limit = shown.drawable(side), shown.limit
    extend = "max" if shown.reached else "neither"
    filled = ax.tricontourf(triangles, values, levels=shown.levels, cmap=USE, extend=extend, zorder=1)
    lines = [(level, style) for level, style in ((limit / 2, HALF), (limit, FULL)) if values.max() > level]
    if lines:
        levels, styles = zip(*lines, strict=True)
        widths = [style["lw"] for style in styles]
        ax.tricontour(triangles, values, levels=levels, colors=INK, linewidths=widths, zorder=1.3)
    if values.max() > limit:
        ax.add_patch(PathPatch(filled.get_paths()[-1], gid="beyond", zorder=1.2, **HATCH))
    return filled


def face_key(notes: SideNotes, view: FloorView, strength: Strength, shown: FaceMap, unit: str) -> None:
    """The lines and symbols of the four plans in words."""
    limit = f"{shown.limit:.3g}{unit}"
    if shown.values.max() > shown.limit / 2:
        notes.stroke(f"half of the limit: {shown.limit / 2:.3g}{unit}", **HALF)
    if shown.reached:
        notes.stroke(f"the limit: {limit}", **FULL)
    if shown.values.max() > shown.limit:
        notes.swatch(f"beyond the limit of {limit}", **HATCH | {"fc": USE(1.0)})
    if not shown.reached:
        notes.line(f"The limit of {limit} is not reached anywhere.")
    notes.marker("greatest value of a plan, with its letter", **RING)
    notes.marker("jack", **JACK)
    if any(place.kind == "foot" for place in strength.punching):
        notes.marker("foot of equipment", **FOOT)
    if len(view.re_entrant_corners):
        notes.marker("re-entrant corner", **CORNER)
