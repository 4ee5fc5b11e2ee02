"""How much of the bending resistance of each mat and direction is used."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from postprocess.drawing import NOTES, new_sheet, number
from postprocess.side_notes import SideNotes
from postprocess.strength.layers import FACES
from postprocess.strength.result import Strength
from postprocess.strength_faces_figure import (
    LETTERS,
    FaceMap,
    area_from,
    area_words,
    draw_faces,
    face_key,
    in_zones,
    peak,
)
from postprocess.strength_marks_figure import Marks, point_words, shown
from postprocess.view import FloorView

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Governing:
    """The greatest use of one side. moment: N·m/m. where: the place in words; xy: m."""

    use: float
    moment: float
    where: str
    xy: tuple[float, float]
    combination: str


def bending_figure(view: FloorView, strength: Strength) -> Figure:
    """Sheet with the greatest design moment over MRd: bottom x, bottom y, top x, top y."""
    figure = new_sheet(view, "Bending use of both mats", "plan m; moments kN·m/m; use: moment over resistance")
    use = FaceMap(bending_use(strength), 1.0)
    peaks = [governing(view, strength, side) for side in range(len(FACES))]
    titles = tuple(_title(strength, use, side, found) for side, found in enumerate(peaks))
    axes, filled = draw_faces(figure, view, strength, use, titles)
    for ax, letter, found in zip(axes, LETTERS, peaks, strict=True):
        if found.use > 0:
            Marks(ax, view, np.vstack([view.re_entrant_corners, found.xy])).ring(np.array(found.xy), letter)
    notes = SideNotes(figure, NOTES)
    notes.heading("Use of the bending resistance")
    notes.colour_bar(filled, "greatest design moment / MRd of the mat; 1 is full use")
    face_key(notes, view, strength, use, "")
    _explain(notes, strength)
    notes.heading("Greatest use")
    for letter, side, found in zip(LETTERS, range(len(FACES)), peaks, strict=True):
        _peak_note(notes, strength, letter, side, found)
    if in_zones(strength).any():
        _corner_note(notes, strength, float(use.values[in_zones(strength)].max()))
    return figure


def governing(view: FloorView, strength: Strength, side: int) -> Governing:
    """What the check of this side names, or else the greatest use on the map outside the zones of corners."""
    face, direction = FACES[side]
    check = next((check for check in strength.checks if check.name == f"bending, {face} {direction}"), None)
    if check is None or check.xy is None:
        values = bending_use(strength)[:, side]
        found = peak(view, strength, values, ~in_zones(strength))
        combination = strength.combinations[int(strength.combination[found.vertex, side])]
        return Governing(found.value, float(strength.demand[found.vertex, side]), found.words, found.xy, combination)
    use = check.value / check.limit if check.limit > 0 else inf if check.value > 0 else 0.0
    where = check.where if "(" in check.where else f"{check.where} at {point_words(check.xy)}"
    return Governing(use, check.value * 1e3, where, check.xy, check.combination)


def bending_use(strength: Strength) -> Floats:
    """(v, 4) demand over resistance; inf where there is a demand and no resistance."""
    unmet = np.where(strength.demand > 0, np.inf, 0.0)
    resists = np.broadcast_to(strength.resistance > 0, strength.demand.shape)
    return np.asarray(np.divide(strength.demand, strength.resistance, out=unmet, where=resists))


def side_words(strength: Strength, side: int) -> str:
    """Face, direction of the wires and fabric."""
    face, direction = FACES[side]
    fabric = strength.layers.fabric(face)
    return f"{face.capitalize()} face, {f'{fabric.name} along {direction}' if fabric else f'no mat, {direction}'}"


def _title(strength: Strength, use: FaceMap, side: int, found: Governing) -> str:
    head = f"{side_words(strength, side)}: MRd {number(strength.resistance[side] / 1e3, 2)} kN·m/m"
    if found.use == 0:
        return f"{head}\nno moment on this face"
    words = f"{head}\ngreatest use {use_words(found.use)} at {LETTERS[side]}"
    if found.use <= 1:
        return f"{words}; above 1 at re-entrant corners only" if use.values[:, side].max() > 1 else words
    area = area_from(strength.mesh, use.values[:, side], 1.0)
    return f"{words}: NOT MET, above 1 over {area_words(area)}"


def use_words(use: float) -> str:
    """A use in two decimals, more where rounding would hide on which side of 1 it is."""
    digits = next((d for d in range(2, 6) if use == 1 or round(use, d) != 1), 6)
    return shown(use, digits)


def _explain(notes: SideNotes, strength: Strength) -> None:
    strip = strength.strip * 1e3
    notes.remark(
        f"Design moments of Wood and Armer, the greatest of {len(strength.combinations)} strength combinations at "
        f"each point. Beside jacks, feet and re-entrant corners the mean over a strip stands for the peak at a point; "
        f"at a jack the strip is {strip:.0f} mm wide: housing and thickness."
    )
    if strength.chosen:
        notes.remark("The mats were chosen by the program: the lightest pair that passes, or else the heaviest.")


def _corner_note(notes: SideNotes, strength: Strength, use: float) -> None:
    zone = max(corner.zone for corner in strength.corners) * 1e3
    notes.remark(
        f"Not counted above: within {zone:.0f} mm of re-entrant corners the mats alone are used up to "
        f"{use_words(use)}. Trimmer bars help them there: see the sheets of cracks and of checks."
    )


def _peak_note(notes: SideNotes, strength: Strength, letter: str, side: int, found: Governing) -> None:
    face, direction = FACES[side]
    if found.use == 0:
        notes.line(f"{letter}  {face} {direction}: no moment")
        return
    moment, resistance = number(found.moment / 1e3, 2), number(strength.resistance[side] / 1e3, 2)
    verdict = "met" if found.use <= 1 else "NOT MET"
    notes.line(f"{letter}  {face} {direction}: {use_words(found.use)}, {verdict}")
    notes.line(f"{moment} of {resistance} kN·m/m, {found.where}", indent=4.0)
    notes.line(found.combination, indent=4.0)
