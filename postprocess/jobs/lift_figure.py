"""Heights of the slab and its contact with the floor, pass by pass."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colors import BoundaryNorm
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from numpy.typing import NDArray
from shapely import Polygon, get_parts
from shapely.geometry.base import BaseGeometry

from postprocess.colours import DEFLECTION, INK
from postprocess.deflection_figure import contour_levels
from postprocess.drawing import NOTES, PLAN, Box, new_sheet, panels, plan_axes, shape_path, triangulation
from postprocess.jobs.crew_form import warn_unsafe
from postprocess.jobs.lift_words import day_words, mm, pass_title, peak_words
from postprocess.jobs.table import Column, note_table
from postprocess.lift.views import LiftView, PassView
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

Floats = NDArray[np.float64]

PANELS: Final = 12
"""Passes on a sheet."""
CONTACT: Final[dict[str, Any]] = {
    **{"fc": "none", "ec": INK, "lw": 0.7, "hatch": "////"},
    **{"hatch_linewidth": 0.5},
}
JACK: Final[dict[str, Any]] = {"marker": "o", "mfc": INK, "mec": "white", "mew": 0.3, "ms": 1.9}
RING: Final[dict[str, Any]] = {"marker": "o", "mfc": "none", "mec": INK, "mew": 1.2, "ms": 7}
LOWEST: Final[dict[str, Any]] = {"marker": "v", "mfc": "white", "mec": INK, "mew": 0.7, "ms": 4.2}
HIGHEST: Final[dict[str, Any]] = {"marker": "^", "mfc": "white", "mec": INK, "mew": 0.7, "ms": 4.2}
SQUEEZED: Final = 0.05
"""By which a slab may press the sheet together, mm, without being shown as lower than it lay."""
EVEN: Final = 2e-5
"""By which the rise of a pass may differ over the slab where it only repeats the one before, m."""
SAME_PLACE: Final = 0.05
"""Peaks nearer to each other than this are one place, m."""
ALIKE: Final = 0.02
"""Difference of uses below which peaks are about the same."""
STEPS: Final = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
COLUMNS: Final = (
    *(Column("Pass", 10.0, True), Column("lowest", 15.0, True), Column("mean", 15.0, True)),
    *(Column("highest", 16.0, True), Column("on floor", 18.0, True)),
)


@dataclass(frozen=True)
class Shown:
    """A pass that has its own plan, and those after it that only lift the slab on, alike everywhere.

    repeats: numbers of those. rise: by which each of them lifts, m.
    """

    each: PassView
    repeats: tuple[int, ...]
    rise: float


def shown_passes(lift: LiftView) -> list[Shown]:
    """The passes with a plan of their own; others rise evenly, bend the slab alike at the same place, and are named."""
    found: list[Shown] = []
    for each in lift.passes:
        if found and _repeats(found[-1], each, lift):
            last = found[-1]
            rise = last.rise or float(np.mean(each.mesh_heights - last.each.mesh_heights))
            found[-1] = Shown(last.each, (*last.repeats, each.number), rise)
        else:
            found.append(Shown(each, (), 0.0))
    return found


def _repeats(last: Shown, each: PassView, lift: LiftView) -> bool:
    """Whether a pass does what the one shown last did, some mm higher."""
    base = last.each
    if base.contact_share > 0 or each.contact_share > 0 or each.turns != base.turns or each.order != base.order:
        return False
    change = each.mesh_heights - base.mesh_heights
    rise = last.rise * (len(last.repeats) + 1) or float(change.mean())
    even = float(np.abs(change - rise).max()) <= EVEN
    near = float(np.hypot(*np.subtract(each.peak.xy, base.peak.xy))) < SAME_PLACE
    return even and near and abs(each.peak.use - base.peak.use) <= ALIKE


def repeat_words(shown: Shown) -> str:
    """What is said of the passes that have no plan of their own; empty where there are none."""
    if not shown.repeats:
        return ""
    several = len(shown.repeats) > 1
    noun = "passes" if several else "pass"
    return f"{noun} {_span(shown.repeats)}: as pass {shown.each.number}, {mm(shown.rise)} mm higher{' each' * several}"


def _span(numbers: Sequence[int]) -> str:
    first, last = numbers[0], numbers[-1]
    return str(first) if first == last else f"{first} and {last}" if last == first + 1 else f"{first} to {last}"


def lift_figure_sheets(lift: LiftView) -> int:
    """Number of sheets that the passes take."""
    return max(1, -(-len(shown_passes(lift)) // PANELS))


def lift_figure(view: PlanView, lift: LiftView, sheet: int = 0) -> Figure:
    """One sheet with a plan for each pass that differs: heights after it, the area in contact hatched.

    Passes with the slab partly on the floor have one scale of colours, passes that end afloat another.
    """
    sheets = lift_figure_sheets(lift)
    part = f", sheet {sheet + 1} of {sheets}" if sheets > 1 else ""
    figure = new_sheet(view, f"Lift: heights and contact after each pass{part}", "plan m; heights mm, up positive")
    shown = shown_passes(lift)[sheet * PANELS : (sheet + 1) * PANELS]
    for each, box in zip(shown, panels(view, len(shown), PLAN) if len(shown) > 1 else (PLAN,), strict=True):
        _panel(figure, box, view, lift, each)
    _notes(SideNotes(figure, NOTES), view, lift, shown)
    return figure


def height_groups(lift: LiftView) -> tuple[tuple[PassView, ...], ...]:
    """The passes after which the slab lies on the floor somewhere, and those after which it floats; none is empty."""
    on_floor = tuple(each for each in lift.passes if each.contact_share > 0)
    afloat = tuple(shown.each for shown in shown_passes(lift) if shown.each.contact_share <= 0)
    return tuple(group for group in (on_floor, afloat) if group)


def levels_for(lift: LiftView, each: PassView) -> Floats:
    """Levels of colour in mm of the group of a pass."""
    return height_levels(next(group for group in height_groups(lift) if any(each is one for one in group)))


def height_levels(passes: Sequence[PassView]) -> Floats:
    """Levels of colour in mm, the same for all these passes; from 0 on where some of the slab is on the floor."""
    heights = np.concatenate([1e3 * each.mesh_heights for each in passes])
    if any(each.contact_share > 0 for each in passes):
        heights = np.append(heights, 0.0)
    return contour_levels(np.where(heights > -SQUEEZED, np.maximum(heights, 0.0), heights))


def line_step(lift: LiftView) -> float:
    """Step of the lines of equal height, mm, the same for all passes: about eight lines in the most uneven one."""
    widest = max(float(np.ptp(1e3 * each.mesh_heights)) for each in lift.passes)
    return next((step for step in STEPS if 8 * step >= widest), STEPS[-1])


def line_levels(values: Floats, step: float) -> Floats:
    """Multiples of `step` within the values but 0, where the slab lies on the floor."""
    levels = np.arange(np.ceil(values.min() / step), np.floor(values.max() / step) + 1) * step
    levels = levels[levels != 0]
    return levels if len(levels) else np.array([values.max() + step])


def polygons_only(shape: BaseGeometry) -> list[Polygon]:
    """The parts of a shape that have an area."""
    return [part for part in get_parts(shape) if isinstance(part, Polygon) and not part.is_empty]


def _panel(figure: Figure, box: Box, view: PlanView, lift: LiftView, shown: Shown) -> None:
    ax, each = plan_axes(figure, box, view, to_scale=False), shown.each
    triangles, values, levels = triangulation(lift.mesh), 1e3 * each.mesh_heights, levels_for(lift, each)
    ax.tricontourf(
        triangles, np.maximum(values, levels[0]), levels=levels, cmap=DEFLECTION, norm=_norm(levels), zorder=1
    )
    lines = line_levels(values, line_step(lift))
    ax.tricontour(triangles, values, levels=lines, colors=INK, linewidths=0.3, zorder=1.2)
    draw_contact(ax, each.contact)
    ax.plot(*view.schedule.xy.T, ls="none", zorder=4, gid="jacks", **JACK)
    for style, place in ((LOWEST, values.argmin()), (HIGHEST, values.argmax())):
        if each.contact_share < 1:
            ax.plot(triangles.x[place], triangles.y[place], ls="none", zorder=4.4, **style)
    ax.plot(*each.peak.xy, ls="none", zorder=4.5, **RING | {"mec": "white", "mew": 2.6})
    ax.plot(*each.peak.xy, ls="none", zorder=4.6, gid="peak", **RING)
    ax.set(xlabel="", ylabel="")
    words = "\n".join(line for line in (pass_title(each), repeat_words(shown)) if line)
    ax.set_title(words, fontsize=6.5, color=INK, pad=3)


def draw_contact(ax: Axes, contact: BaseGeometry) -> None:
    """Hatch what still lies on the floor."""
    for part in polygons_only(contact):
        ax.add_patch(PathPatch(shape_path(part), zorder=2, gid="contact", **CONTACT))


def _norm(levels: Floats) -> BoundaryNorm:
    return BoundaryNorm(levels, DEFLECTION.N)


def _notes(notes: SideNotes, view: PlanView, lift: LiftView, shown: Sequence[Shown]) -> None:
    warn_unsafe(notes, lift.not_met)
    notes.heading(f"Lift, {lift.order_name}, concrete of {day_words(lift.age)}")
    notes.line(f"{len(lift.passes)} passes; screws of {mm(lift.pitch)} mm a turn. Drawn after the last jack of each.")
    notes.heading("Height above where the slab lay")
    for group in height_groups(lift):
        where = "some of the slab on the floor" if group[0].contact_share > 0 else "the slab afloat"
        words = f"mm; passes with {where}: a scale of their own"
        notes.colour_bar(ScalarMappable(_norm(height_levels(group)), DEFLECTION), words)
    notes.swatch("area that still lies on the structural floor", **CONTACT | {"hatch": "//////"})
    notes.stroke(f"line of equal height, every {line_step(lift):g} mm", color=INK, lw=0.4)
    notes.marker("highest place", **HIGHEST)
    notes.marker("lowest place", **LOWEST)
    notes.marker("jack", **JACK | {"ms": 4})
    notes.marker("where the slab bends most at any turn of the pass", **RING)
    notes.heading("Heights at the jacks, mm")
    rows = [
        (
            *(str(each.number), mm(each.heights.min()), mm(each.heights.mean()), mm(each.heights.max())),
            "none" if each.contact_share <= 0 else f"{100 * each.contact_share:.1f} %",
        )
        for each in lift.passes
        if any(each is one.each or each.number in one.repeats for one in shown)
    ]
    note_table(notes, COLUMNS, rows)
    notes.remark("Worked out for the springs, rates and floor of the case; every pass is read and compared on site.")
    notes.heading("Greatest bending of the lift")
    notes.line(f"{peak_words(lift.worst, view)}.")
