"""Where the heaviest drop is worst: force into the structure and travel left to solid at every place of a grid."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.collections import PolyCollection
from matplotlib.colors import Colormap, Normalize
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray
from shapely import contains_xy

from postprocess.colours import DEFLECTION, INK, USE
from postprocess.drawing import DRAWING, Box, new_sheet, number, paper_scale, plan_axes, shape_path, text_width
from postprocess.dynamics.views import DropMapView, DynamicsView
from postprocess.dynamics.words import kilonewtons, millimetres
from postprocess.jobs.crew_form import framed
from postprocess.jobs.impact_charts import close_notes, place_words, short_name
from postprocess.side_notes import SideNotes
from postprocess.strength_marks_figure import JACK, RING, Marks, draw_jacks
from postprocess.view import PlanView

Floats = NDArray[np.float64]

BELOW: Final = 62.0
"""Height of the notes below the plans, mm."""
READABLE: Final = 7.0
"""Side of a place of the grid on paper from which its value is written in it, mm."""
SIZE: Final = 5.5
EDGE: Final = 1.2
"""Half of the height of such a value, mm."""
NEARLY_ALL: Final = 0.99
"""Share of the slab that the places cover, below which it is said that some of it was not tried."""
TITLE: Final = 84.0
"""Width of words in the title of a plan at most, mm."""
NEAR: Final = 0.75
"""Distance below which a place is said to lie at the slab's edge, m."""
LIGHTNESS: Final = 0.299, 0.587, 0.114
"""Weights of red, green and blue (ITU-R BT.601)."""
HEADINGS: Final = "Greatest force into the structure, on springs, kN", "Least travel of any spring left to solid, mm"
SOLID: Final[dict[str, Any]] = {"fc": "none", "ec": "white", "hatch": "////", "hatch_linewidth": 0.8, "lw": 0.0}
KEY: Final = SOLID | {"fc": DEFLECTION(1.0), "lw": 0.5}


@dataclass(frozen=True, eq=False)
class Shown:
    """One of the two plans. values: (p,) in the unit of `title`. worst: index. words: beside the worst place.

    solid: (p,) whether the place is hatched, because a spring goes solid.
    """

    title: str
    values: Floats
    colours: Colormap
    worst: int
    words: str
    solid: NDArray[np.bool_]

    @property
    def span(self) -> tuple[float, float]:
        """Least and greatest value; one apart where all are alike."""
        low, high = float(self.values.min()), float(self.values.max())
        return low, high if high > low else low + 1.0


def impact_map_figure(view: PlanView, dynamics: DynamicsView, grid: DropMapView, cautions: Sequence[str]) -> Figure:
    """Sheet with both maps side by side, the jacks, and the worst places marked and named."""
    drop = next((each for each in dynamics.drops if each.name == grid.name), None)
    weight = "" if drop is None else f": {drop.mass:.4g} kg from {1e3 * drop.height:.0f} mm"
    figure = new_sheet(view, f"Drop at any place{weight}", "plan m; forces kN; travel mm")
    half = DRAWING.width / 2
    for side, (shown, heading) in enumerate(zip(_both(view, grid), HEADINGS, strict=True)):
        box = Box(DRAWING.left + side * half, DRAWING.bottom + BELOW, half, DRAWING.height - BELOW)
        ax = plan_axes(figure, box, view, to_scale=False)
        filled = _places(ax, view, grid, shown)
        draw_jacks(ax, view)
        place = grid.xy[shown.worst]
        if grid.spacing * paper_scale(ax) >= READABLE:
            _ring(ax, place)
            _write_values(ax, view, grid, shown)
        else:
            Marks(ax, view, place[None]).ring(place, shown.words)
        said = " ".join(shown.words.split())
        ax.set_title(f"{heading}; ring: {short_name(said, TITLE)}", fontsize=8, color=INK, pad=3, parse_math=False)
        notes = SideNotes(figure, Box(box.left + 2.0, DRAWING.bottom, half - 70.0, BELOW))
        low, high = shown.span
        ticks = np.asarray(MaxNLocator(7).tick_values(low, high))
        notes.colour_bar(filled, shown.title, ticks[(ticks >= low) & (ticks <= high)])
        _said(notes, view, dynamics, grid, side)
        if side == 0:
            close_notes(notes, _assumed(dynamics, grid), ())
    rest = SideNotes(figure, Box(DRAWING.left + DRAWING.width - 66.0, DRAWING.bottom, 66.0, BELOW))
    rest.marker("jack", **JACK | {"ms": 4})
    if (grid.reserve < 0).any():
        rest.swatch("a spring is solid", **KEY)
    rest.remark(f"{len(grid.xy)} places on a grid of {1e3 * grid.spacing:.0f} mm; the heaviest drop by its energy.")
    if _covered(view, grid) < NEARLY_ALL:
        rest.line("White: not tried; it may be worse there.")
    close_notes(rest, (), cautions)
    return figure


def _both(view: PlanView, grid: DropMapView) -> tuple[Shown, Shown]:
    force, reserve = int(grid.force.argmax()), int(grid.reserve.argmin())
    jack = view.schedule.ids[int(grid.worst_jack[reserve])]
    travel, solid = float(grid.reserve[reserve]), grid.reserve < 0
    left = f"worst: {travel_words(travel)}\nat jack {jack}"
    most = f"worst: {kilonewtons(float(grid.force[force]))}"
    return (
        Shown(
            "Force into the structure when the weight falls there, kN",
            grid.force / 1e3,
            USE,
            force,
            most,
            np.zeros_like(solid),
        ),
        Shown("Travel left to solid, mm; dark: least", 1e3 * grid.reserve, DEFLECTION.reversed(), reserve, left, solid),
    )


def _covered(view: PlanView, grid: DropMapView) -> float:
    """Share of the slab that lies in the squares of the grid."""
    (x, y), half = grid.cells.T, grid.spacing / 2
    squares = shapely.union_all(shapely.box(x - half, y - half, x + half, y + half))
    return float(view.plan.intersection(squares).area / view.plan.area)


def _places(ax: Axes, view: PlanView, grid: DropMapView, shown: Shown) -> PolyCollection:
    """A square a place, cut to the slab; hatched where a spring is solid."""
    half = grid.spacing / 2
    squares = grid.cells[:, None] + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    style: dict[str, Any] = {
        "cmap": shown.colours,
        "norm": Normalize(*shown.span),
        "ec": "white",
        "lw": 0.3,
        "zorder": 1,
    }
    cells = PolyCollection(list(squares), array=shown.values, **style)
    solid = PolyCollection(list(squares[shown.solid]), zorder=1.2, gid="solid", **SOLID)
    for each in (cells, solid):
        ax.add_collection(each, autolim=False)
        each.set_clip_path(PathPatch(shape_path(view.plan), transform=ax.transData))
    return cells


def _ring(ax: Axes, place: Floats) -> None:
    """A ring around the worst place, white below so that it shows on dark; its value stands above the plan."""
    ax.plot(*place, zorder=4.9, **RING | {"mec": "white", "mew": 3.2})
    ax.plot(*place, zorder=5, gid="ring", **RING)


def _write_values(ax: Axes, view: PlanView, grid: DropMapView, shown: Shown) -> None:
    """The value of each place in its square, light on dark, unless the slab's edge runs through it."""
    digits, edge = 1 if np.abs(shown.values).max() < 100 else 0, EDGE / paper_scale(ax)
    free = contains_xy(view.plan.buffer(-edge), *grid.xy.T)
    spread = Normalize(*shown.span)
    chosen = [int(place) for place in np.flatnonzero(free) if place != shown.worst]
    papers = []
    for place in chosen:
        value = float(shown.values[place])
        colour = shown.colours(spread(value))
        dark = float(np.dot(colour[:3], LIGHTNESS)) < 0.5
        style: dict[str, Any] = {"ha": "center", "va": "center", "color": "white" if dark else INK, "gid": "value"}
        x, y = grid.xy[place]
        words = number(value, digits)
        half = text_width(words, SIZE) / 2 / paper_scale(ax)
        papers.append([(x - half, y - edge), (x + half, y - edge), (x + half, y + edge), (x - half, y + edge)])
        ax.text(x, y, words, fontsize=SIZE, zorder=4.2, **style)
    colours = shown.colours(spread(shown.values[chosen]))
    ax.add_collection(PolyCollection(papers, fc=colours, ec="none", zorder=4.1), autolim=False)


def _said(notes: SideNotes, view: PlanView, dynamics: DynamicsView, grid: DropMapView, side: int) -> None:
    """What falls; the worst places in words; a warning where a spring is solid; at the left the floor's speed too."""
    if side == 0:
        notes.line(f"{grid.name}{_fallen(dynamics, grid)}")
        worst = int(grid.force.argmax())
        where = where_words(view, grid.xy[worst])
        notes.line(f"Most into the structure: {kilonewtons(float(grid.force[worst]))}, dropped at {where}.")
        if dynamics.bays:
            worst = int(grid.velocity.argmax())
            speed, where = f"{1e3 * grid.velocity[worst]:.3g} mm/s", where_words(view, grid.xy[worst])
            notes.line(f"Fastest floor: {speed} at the middle of a bay, dropped at {where}.")
        return
    worst = int(grid.reserve.argmin())
    jack, where = view.schedule.ids[int(grid.worst_jack[worst])], where_words(view, grid.xy[worst])
    notes.line(f"Least travel: {travel_words(float(grid.reserve[worst]))} at jack {jack}, dropped at {where}.")
    loaded = int(grid.jack_load.argmax())
    load, where = kilonewtons(float(grid.jack_load[loaded])), where_words(view, grid.xy[loaded])
    notes.line(f"Greatest load of any jack: {load}, dropped at {where}.")
    dangers = tuple(_dangers(view, grid))
    if dangers:
        framed(notes, "NOT SAFE", dangers)


def _dangers(view: PlanView, grid: DropMapView) -> Iterator[str]:
    """Springs that go solid, with the number of places, and the one that lets go most."""
    places, loose = int((grid.reserve < 0).sum()), int(grid.least_load.argmin())
    if places:
        yield f"SPRINGS GO SOLID at {places} of {len(grid.xy)} places (values below zero)."
    if grid.least_load[loose] < 0:
        load, where = kilonewtons(float(grid.least_load[loose])), where_words(view, grid.xy[loose])
        yield f"A SPRING LETS GO, {load}, dropped at {where}."


def _assumed(dynamics: DynamicsView, grid: DropMapView) -> tuple[str, ...]:
    """Of the drop of the map."""
    return next((drop.assumed for drop in dynamics.drops if drop.name == grid.name), ())


def _fallen(dynamics: DynamicsView, grid: DropMapView) -> str:
    """Mass, height and covering of the drop of the map, where they are known."""
    for drop in dynamics.drops:
        if drop.name == grid.name:
            covering = f"covering of {drop.stiffness / 1e3:.4g} N/mm, restitution {drop.restitution:.2g}"
            return f": {drop.mass:.4g} kg from {1e3 * drop.height:.0f} mm; {covering}."
    return "."


def where_words(view: PlanView, xy: Floats) -> str:
    """A place of the plan: its coordinates, whether it lies at the edge, and the jack next to it."""
    apart = np.hypot(*(view.schedule.xy - xy).T)
    jack, edge = view.schedule.ids[int(apart.argmin())], float(view.plan.boundary.distance(shapely.Point(xy)))
    side = f"{number(edge, 2)} m from an edge, " if edge <= NEAR else ""
    return f"{place_words(xy)} ({side}nearest to jack {jack})"


def travel_words(reserve: float) -> str:
    """Travel of a spring to solid, m, in words on either side of nothing."""
    return f"{millimetres(reserve)} left" if reserve >= 0 else f"SOLID, {millimetres(-reserve)} short"
