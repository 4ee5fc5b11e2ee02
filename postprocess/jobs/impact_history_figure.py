"""One drop over time: the blow, the slab, what goes into the structure, the jacks, and the floor below."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from postprocess.colours import HIGH, INK, LOW, PENCIL
from postprocess.drawing import DRAWING, NOTES, Box, new_sheet
from postprocess.dynamics.comparison_words import air_of_drop, bare_words
from postprocess.dynamics.dangers import danger_words
from postprocess.dynamics.dose_words import CAUTION, dose_words
from postprocess.dynamics.views import DropView, DynamicsView
from postprocess.dynamics.words import DOSE, bay_words, drop_words, kilonewtons, millimetres
from postprocess.jobs.crew_form import framed
from postprocess.jobs.impact_charts import (
    ELSEWHERE,
    NAMES,
    STYLES,
    SUPPORTS,
    close_notes,
    closing_room,
    draw_history,
    faint_grid,
    frame,
    key_of_supports,
    place_words,
    short_name,
    support,
)
from postprocess.jobs.table import Column, note_table, write_lines
from postprocess.side_notes import SideNotes
from postprocess.view import PlanView

Floats = NDArray[np.float64]

FIRST: Final = 0.06
"""Time of the left charts at least, s."""
TOUCHES: Final = 4.0
"""The same over the time of the first touch."""
WHOLE: Final = 2.0
"""Time of the right charts at most, s."""
NEIGHBOURS: Final = 6
CUT: Final = 2.5
"""How many times as high as the others the bare floor's pulse must be to be cut off in the right chart."""
LEFT: Final = 24.0, 92.0
RIGHT: Final = 132.0, 184.0
"""Where a chart begins, and its width, mm."""
ABOVE: Final = 5.0
BELOW: Final = 9.0
"""Room for the title and for the figures of a chart, mm."""
TICKS: Final = 4
"""Parts of an axis that are named, about."""
COLUMNS: Final = (
    *(Column("", 28.0), Column("kN", 15.0, True), Column("mm/s", 19.0, True), Column("m/s2", 20.0, True)),
)
PAPER: Final[dict[str, Any]] = {"fc": "white", "ec": "none", "pad": 0.6, "alpha": 0.85}
GREY: Final[dict[str, Any]] = {"color": "#9aa1a6", "lw": 0.6, "zorder": 2}
SWINGS: Final[dict[str, Any]] = {"color": LOW, "lw": 1.0, "ls": (0, (7, 1.2, 1.5, 1.2)), "zorder": 2.8}
AIRLESS: Final = ("airless",)
FAR: Final = 0.8
"""How far above the loads the load of a solid spring may lie to be drawn, over the span of the loads."""
Draw = Callable[[Axes, float], None]


def impact_history_figure(view: PlanView, dynamics: DynamicsView, number: int, cautions: Sequence[str]) -> Figure:
    """Sheet of the drop of index `number`: each history at first touch and over two seconds."""
    drop = dynamics.drops[number]
    figure = new_sheet(view, f"Drop {number + 1}: histories", "forces kN; motion mm; velocity mm/s; time ms")
    rows: list[tuple[str, Draw]] = [
        ("Contact force between weight and slab, kN", lambda ax, until: _contact(ax, drop, until)),
        ("Motion of the slab under the weight, mm, downward positive", lambda ax, until: _slab(ax, drop, until)),
        ("Force into the structure, kN, without the static load", lambda ax, until: _force(ax, drop, until)),
        (_jack_title(view, drop), lambda ax, until: _jacks(ax, view, drop, until)),
    ]
    if dynamics.bays:
        bay = worst_bay(drop)
        name = short_name(bay_words(dynamics.bay_names[bay]), 45.0)
        rows.append((f"Velocity of the floor, middle of {name}, mm/s", lambda ax, until: _floor(ax, drop, bay, until)))
        rows.append(("Acceleration of the floor there, m/s2", lambda ax, until: _shaking(ax, drop, bay, until)))
    pitch = DRAWING.height / len(rows)
    for row, (title, draw) in enumerate(rows):
        bottom = DRAWING.bottom + DRAWING.height - (row + 1) * pitch
        _row(figure, Box(DRAWING.left, bottom, DRAWING.width, pitch), title, draw, drop, lowest=row == len(rows) - 1)
    _notes(SideNotes(figure, NOTES), view, dynamics, drop, cautions)
    return figure


def first_time(drop: DropView) -> float:
    """Time of the left charts, s."""
    return min(max(FIRST, TOUCHES * drop.contact_time), float(drop.time[-1]))


def whole_time(drop: DropView) -> float:
    """Time of the right charts, s."""
    return min(WHOLE, float(drop.time[-1]))


def worst_bay(drop: DropView) -> int:
    """The bay that moves fastest with the slab on springs."""
    return int(drop.springs.peak_velocity.argmax())


def neighbours(view: PlanView, jack: int) -> list[int]:
    """The jacks nearest to one."""
    apart = np.hypot(*(view.schedule.xy - view.schedule.xy[jack]).T)
    return [int(other) for other in np.argsort(apart, kind="stable") if other != jack][:NEIGHBOURS]


def solid_load(view: PlanView, jack: int) -> float:
    """Load at which the spring of a jack is solid, N."""
    return float(view.schedule.rates[jack] * view.schedule.solid_deflections[jack])


def _row(figure: Figure, place: Box, title: str, draw: Draw, drop: DropView, *, lowest: bool) -> None:
    """A history at first touch and over the whole time, side by side."""
    for (left, width), until, words in (
        (LEFT, first_time(drop), title),
        (RIGHT, whole_time(drop), f"The same over {1e3 * whole_time(drop):.0f} ms"),
    ):
        ax = Box(left, place.bottom + BELOW, width, place.height - ABOVE - BELOW).axes(figure)
        faint_grid(ax)
        draw(ax, until)
        ax.axhline(0.0, color=PENCIL, lw=0.6, zorder=1)
        ax.set_xlim(0.0, 1e3 * until)
        ax.locator_params(nbins=TICKS)
        frame(ax, "ms from the first touch" if lowest else "", words)


def _contact(ax: Axes, drop: DropView, until: float) -> None:
    draw_history(ax, drop.time, drop.contact / 1e3, until, color=INK, lw=1.1, gid="contact")


def _slab(ax: Axes, drop: DropView, until: float) -> None:
    draw_history(ax, drop.time, 1e3 * drop.slab, until, color=INK, lw=1.1, gid="slab")


def _force(ax: Axes, drop: DropView, until: float) -> None:
    """Three supports; the pulse of the bare floor runs out of the long chart where it would flatten the others."""
    for name in SUPPORTS:
        each = support(drop, name)
        draw_history(ax, each.time, each.force / 1e3, until, gid=f"force {name}", **STYLES[name])
    others = max(drop.springs.peak_force, drop.rubber.peak_force) / 1e3
    if until > first_time(drop) and drop.bare.peak_force / 1e3 > CUT * others > 0:
        ax.set_ylim(-1.25 * others, 1.25 * others)
        words = f"Cut off here: {NAMES['bare']} {kilonewtons(drop.bare.peak_force)}, see left"
        style: dict[str, Any] = {"ha": "right", "va": "top", "fontsize": 6.5, "color": INK, "gid": "cut"}
        ax.text(0.99, 0.96, words, transform=ax.transAxes, bbox=PAPER, zorder=6, **style)


def swinging(drop: DropView) -> int:
    """The jack whose load swings most."""
    return int(np.ptp(drop.jack_loads, axis=0).argmax())


def _jack_title(view: PlanView, drop: DropView) -> str:
    worst, most = (short_name(view.schedule.ids[jack], 20.0) for jack in (drop.worst_jack, swinging(drop)))
    return f"Jack loads, kN: {worst}, {most}, neighbours (grey)".replace("$", r"\$")


def _jacks(ax: Axes, view: PlanView, drop: DropView, until: float) -> None:
    """The jack with the least travel left, its neighbours, the one that swings most, and where a spring is solid."""
    near, most = neighbours(view, drop.worst_jack), swinging(drop)
    for jack in near:
        draw_history(ax, drop.jack_time, drop.jack_loads[:, jack] / 1e3, until, gid="neighbour", **GREY)
    if most != drop.worst_jack:
        draw_history(ax, drop.jack_time, drop.jack_loads[:, most] / 1e3, until, gid="swings most", **SWINGS)
    worst = drop.jack_loads[:, drop.worst_jack] / 1e3
    draw_history(ax, drop.jack_time, worst, until, color=INK, lw=1.1, zorder=3, gid="worst jack")
    shown = drop.jack_loads[:, [drop.worst_jack, most, *near]] / 1e3
    _solid(ax, view, drop, (float(shown.min()), float(shown.max())), until)


def _solid(ax: Axes, view: PlanView, drop: DropView, loads: tuple[float, float], until: float) -> None:
    """Sets the span of the chart to the loads, kN, with the line of the solid spring where it is not far above."""
    solid, (low, high) = solid_load(view, drop.worst_jack) / 1e3, loads
    span = max(high - low, 1e-3)
    name = short_name(view.schedule.ids[drop.worst_jack], 24.0, 6.5)
    style: dict[str, Any] = {"ha": "right", "fontsize": 6.5, "color": INK, "bbox": PAPER, "zorder": 6}
    if solid <= high + FAR * span:
        ax.axhline(solid, color=HIGH, lw=1.4, zorder=2.5, gid="solid")
        high = max(high, solid)
        ax.text(
            0.99 * 1e3 * until,
            solid + 0.03 * (high - low),
            f"spring of {name} solid: {solid:.1f} kN",
            va="bottom",
            **style,
        )
    else:
        words = f"spring of {name} solid at {solid:.1f} kN, above this chart"
        ax.text(0.99, 0.96, words, va="top", transform=ax.transAxes, gid="solid far", **style)
    ax.set_ylim(low - 0.08 * (high - low), high + 0.28 * (high - low))


def _floor(ax: Axes, drop: DropView, bay: int, until: float) -> None:
    for name in SUPPORTS:
        each = support(drop, name)
        draw_history(ax, each.time, 1e3 * each.velocity[:, bay], until, gid=f"velocity {name}", **STYLES[name])


def _shaking(ax: Axes, drop: DropView, bay: int, until: float) -> None:
    for name in SUPPORTS:
        each = support(drop, name)
        draw_history(ax, each.time, each.acceleration[:, bay], until, gid=f"acceleration {name}", **STYLES[name])


def _notes(notes: SideNotes, view: PlanView, dynamics: DynamicsView, drop: DropView, cautions: Sequence[str]) -> None:
    dangers = danger_words(drop, view.schedule.ids)
    if dangers:
        framed(notes, "NOT SAFE under this drop", dangers)
    notes.heading(drop.name)
    notes.line(f"At {place_words(drop.place)}; followed over {drop.touches} touch{'es' * (drop.touches != 1)}.")
    for words in (*drop_words(drop, view.schedule.ids), *air_of_drop(drop), *bare_words(drop)):
        notes.line(words)
    notes.line(f"The slab under the weight moves by {millimetres(float(np.abs(drop.slab).max()))} at most.")
    notes.heading("Lines")
    key_of_supports(notes)
    worst, most = (short_name(view.schedule.ids[jack], 24.0) for jack in (drop.worst_jack, swinging(drop)))
    if drop.worst_jack == swinging(drop):
        notes.stroke(f"jack {worst}: least travel left, swings most", color=INK, lw=1.1)
    else:
        notes.stroke(f"jack {worst}: least travel left", color=INK, lw=1.1)
        notes.stroke(f"jack {most}: swings most", **SWINGS)
    notes.stroke(f"jacks nearest to {worst}", **GREY)
    notes.heading("Greatest into structure and floor")
    note_table(notes, COLUMNS, [_peaks(drop, name) for name in (*SUPPORTS, *AIRLESS * (drop.airless is not None))])
    if dynamics.bays:
        bay = worst_bay(drop)
        notes.remark(
            f"Floor: middle of {short_name(bay_words(dynamics.bay_names[bay]), 60.0)}, the bay that moves fastest."
        )
        _dose(notes, dynamics, drop, closing_room(notes, drop.assumed, cautions))
    else:
        notes.remark("The case gives no bays: the structural floor is rigid and has no velocity.")
    close_notes(notes, drop.assumed, cautions)


def _peaks(drop: DropView, name: str) -> tuple[str, ...]:
    each = support(drop, name)
    force = kilonewtons(each.peak_force).removesuffix(" kN")
    if not len(each.peak_velocity):
        return each.name, force, "–", "–"
    bay = worst_bay(drop)
    return each.name, force, f"{1e3 * each.peak_velocity[bay]:.3g}", f"{each.peak_acceleration[bay]:.3g}"


def _dose(notes: SideNotes, dynamics: DynamicsView, drop: DropView, keep: float) -> None:
    """The greatest dose of any bay, of a day where the number of drops is known. keep: height left free, mm."""
    notes.heading("Vibration dose of the floor")
    one = drop.springs.dose
    bay = int(one.argmax())
    name = short_name(bay_words(dynamics.bay_names[bay]), 50.0)
    notes.line(f"One drop: {one[bay]:.3g} {DOSE} at the middle of {name}.")
    if drop.day_dose is not None and drop.drops is not None:
        dose = float(drop.day_dose.max())
        notes.line(f"{drop.drops} drops a day: {dose:.3g} {DOSE}; {dose_words(dose)}.")
        write_lines(notes, (CAUTION,), ELSEWHERE, keep=keep)
