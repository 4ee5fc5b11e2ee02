"""Punching at every jack and every foot of equipment, each with its control perimeter."""

from __future__ import annotations

from dataclasses import replace
from typing import Any, Literal

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from numpy.typing import NDArray
from shapely import get_coordinates, get_parts
from shapely.geometry.base import BaseGeometry

from postprocess.colours import INK, PENCIL, USE
from postprocess.drawing import MM_PER_POINT, NOTES, PLAN, new_sheet, number, paper_scale, plan_axes
from postprocess.jack_labels import fitted, label_jacks
from postprocess.side_notes import SideNotes
from postprocess.strength.layers import Face
from postprocess.strength.result import PunchingPlace, Strength
from postprocess.strength_bending_figure import use_words
from postprocess.strength_faces_figure import scale_top
from postprocess.strength_marks_figure import Marks, point_words, shown_pair
from postprocess.view import FloorView

Floats = NDArray[np.float64]
Kind = Literal["jack", "foot"]

KINDS: dict[Kind, tuple[str, Face, str, str]] = {
    "jack": ("jack, pushes up", "top", "o", "A"),
    "foot": ("foot of equipment, presses down", "bottom", "s", "B"),
}
"""Words, face in tension, shape and mark of the worst place of each kind."""
SMALLEST = 1.1
"""A loaded area is drawn at least so large, mm on paper."""
EFFECTIVE: dict[Kind, dict[str, Any]] = {
    "jack": {"color": INK, "lw": 0.9},
    "foot": {"color": PENCIL, "lw": 0.7},
}
INEFFECTIVE: dict[str, Any] = {"color": INK, "lw": 0.7, "ls": (0, (2.5, 1.8))}
OVER: dict[str, Any] = {"marker": "X", "mfc": "white", "mec": INK, "mew": 0.9, "ms": 7}
FINE = 20.0
"""mm of paper per m below which lines are thinner, down to half."""
LISTED = 12
"""Places listed beside the plan, the most used ones."""


def punching_figure(view: FloorView, strength: Strength) -> Figure:
    """Sheet with loaded areas, control perimeters and use at all jacks and feet."""
    name = "Punching at jacks and feet of equipment"
    figure = new_sheet(view, name, "plan m; stresses MPa; use: stress over strength")
    ax = plan_axes(figure, PLAN, view, fill=True)
    places = strength.punching
    _draw_perimeters(ax, places)
    colours = _draw_loaded_areas(ax, places)
    boxes = _label(ax, view, places)
    _mark_worst(ax, view, places, boxes)
    notes = SideNotes(figure, NOTES)
    notes.heading("Punching without shear reinforcement")
    if not places:
        notes.line("No jack or foot was judged.")
        return figure
    notes.colour_bar(colours, "use: the larger of vEd/vRd,c and, at the loaded area, vEd/vRd,max")
    _key(notes, places, labelled=len(boxes) > 0)
    for kind in KINDS:
        _worst_note(notes, strength, kind)
    _list(notes, places)
    return figure


def worst(places: tuple[PunchingPlace, ...], kind: Kind) -> PunchingPlace | None:
    """The place of one kind with the greatest use."""
    return max((place for place in places if place.kind == kind), key=lambda place: place.use, default=None)


def _draw_perimeters(ax: Axes, places: tuple[PunchingPlace, ...]) -> None:
    """What counts of each control perimeter as a full line, what openings take away as a dashed one."""
    share = _line_share(ax)
    for kind, style in EFFECTIVE.items():
        lines = [place.perimeter.effective for place in places if place.kind == kind]
        thin = style | {"lw": style["lw"] * share}
        ax.add_collection(LineCollection(_strokes(lines), zorder=2.4, gid=f"effective {kind}", **thin))
    taken = _strokes([place.perimeter.ineffective for place in places])
    thin = INEFFECTIVE | {"lw": INEFFECTIVE["lw"] * share}
    ax.add_collection(LineCollection(taken, zorder=2.5, gid="ineffective", **thin))


def _line_share(ax: Axes) -> float:
    """How thick lines are on a plan of this scale, over their full thickness."""
    return float(np.clip(paper_scale(ax) / FINE, 0.5, 1.0))


def _strokes(lines: list[BaseGeometry]) -> list[Floats]:
    """Points of all parts, thinned to a hundredth of a millimetre on the usual scales."""
    thin = shapely.simplify(np.array(lines, dtype=object), 5e-4)
    return [get_coordinates(part) for part in get_parts(thin) if not part.is_empty]


def _draw_loaded_areas(ax: Axes, places: tuple[PunchingPlace, ...]) -> ScalarMappable:
    """Discs and squares to scale, if large enough to see, in the colour of their use; those above 1 are crossed."""
    uses = np.array([place.use for place in places])
    top = scale_top(float(uses.max(initial=0.0)), 1.0)
    colours = ScalarMappable(Normalize(0.0, top), USE)
    for kind, (_, _, marker, _) in KINDS.items():
        chosen = [place for place in places if place.kind == kind]
        xy = np.reshape([place.xy for place in chosen], (-1, 2))
        share = 4 / np.pi if kind == "jack" else 1.0
        size = np.sqrt(share * np.array([place.perimeter.loaded.area for place in chosen])) * paper_scale(ax)
        points = (np.maximum(size, SMALLEST) / MM_PER_POINT) ** 2
        use = np.minimum([place.use for place in chosen], top)
        ax.scatter(
            xy[:, 0],
            xy[:, 1],
            points,
            colours.to_rgba(use),
            marker=marker,
            ec=INK,
            lw=0.7 * _line_share(ax),
            zorder=3.2,
            gid=kind,
        )
    over = np.reshape([place.xy for place in places if place.use > 1], (-1, 2))
    ax.plot(*over.T, ls="none", zorder=3.3, gid="over", **OVER)
    return colours


def _label(ax: Axes, view: FloorView, places: tuple[PunchingPlace, ...]) -> Floats:
    """Name of each jack and its use, use of each foot; returns (n, 4) their boxes, m, none where they do not fit."""
    if not places:
        return np.zeros((0, 4))
    labels, xy = [place_label(place) for place in places], np.array([place.xy for place in places])
    jacks = [i for i, place in enumerate(places) if place.kind == "jack"] or list(range(len(places)))
    there = replace(view, items=(), schedule=replace(view.schedule, xy=xy[jacks]))
    fitting, size = fitted(there, [labels[i] for i in jacks], ax)
    if not size:
        return np.zeros((0, 4))
    for i, label in zip(jacks, fitting, strict=True):
        labels[i] = label
    return label_jacks(ax, replace(there, schedule=replace(view.schedule, xy=xy)), labels, size)


def place_label(place: PunchingPlace) -> str:
    """What stands at a place: a jack's id above its use, a foot's use; "over" beside a use above 1."""
    use = use_words(place.use) + (" over" if place.use > 1 else "")
    return f"{place.name.removeprefix('jack ')}\n{use}" if place.kind == "jack" else use


def _mark_worst(ax: Axes, view: FloorView, places: tuple[PunchingPlace, ...], boxes: Floats) -> None:
    found = [(place, mark) for kind, (*_, mark) in KINDS.items() if (place := worst(places, kind))]
    xy = np.reshape([place.xy for place, _ in found], (-1, 2))
    marks = Marks(ax, view, xy, boxes)
    for place, mark in found:
        half = max(np.sqrt(place.perimeter.loaded.area / np.pi) * paper_scale(ax), SMALLEST / 2)
        marks.ring(np.array(place.xy), mark, radius=float(half) + 0.9)


def _key(notes: SideNotes, places: tuple[PunchingPlace, ...], *, labelled: bool) -> None:
    for kind, (words, face, marker, _) in KINDS.items():
        if any(place.kind == kind for place in places):
            notes.marker(f"{words}: {face} face in tension", marker=marker, mfc=USE(0.4), mec=INK, mew=0.7, ms=7)
            notes.stroke(f"control perimeter of a {kind} at 2d, the part that counts", **EFFECTIVE[kind])
    if any(not place.perimeter.ineffective.is_empty for place in places):
        notes.stroke("part that an opening or a corner of the slab takes away", **INEFFECTIVE)
    count = sum(place.use > 1 for place in places)
    if count:
        notes.marker(f"use above 1, NOT MET: {count} places", **OVER)
    else:
        notes.line("No use is above 1.")
    if labelled:
        notes.remark("At each jack its id and its use, at each foot its use.")
    else:
        notes.remark("Uses of single jacks and feet: see the list and results.json.")


def _worst_note(notes: SideNotes, strength: Strength, kind: Kind) -> None:
    place = worst(strength.punching, kind)
    if place is None:
        return
    _, face, _, mark = KINDS[kind]
    depth = (strength.layers.effective_depth(face, "x") + strength.layers.effective_depth(face, "y")) / 2 * 1e3
    stress, strong = shown_pair(place.stress / 1e6, place.strength / 1e6)
    at_face, limit = shown_pair(place.face_stress / 1e6, place.face_limit / 1e6)
    notes.heading(f"{mark}  Worst {kind}: {place.name}")
    verdict = "met" if place.use <= 1 else "NOT MET"
    notes.line(f"{point_words(place.xy)}, {place.perimeter.position}: use {use_words(place.use)}, {verdict}")
    notes.line(f"VEd {number(place.force / 1e3, 2)} kN, d {number(depth, 1)} mm, {face} face")
    around = "no perimeter is left" if not place.perimeter.length else f"vEd {stress} MPa, vRd,c {strong} MPa"
    notes.line(f"control perimeter u1 {number(place.perimeter.length * 1e3, 0)} mm: {around}")
    face_length = number(place.perimeter.face * 1e3, 0)
    notes.line(f"loaded area u0 {face_length} mm: vEd {at_face} MPa, vRd,max {limit} MPa")


def _list(notes: SideNotes, places: tuple[PunchingPlace, ...]) -> None:
    notes.heading("Most used")
    ordered = sorted(places, key=lambda place: -place.use)
    for place in ordered[:LISTED]:
        if notes.room < 10.0:
            break
        over = ", NOT MET" if place.use > 1 else ""
        notes.line(f"{place.name}, {place.perimeter.position}: {use_words(place.use)}{over}")
