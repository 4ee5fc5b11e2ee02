"""Crack widths in service on both faces, and the re-entrant corners with their trimmer bars."""

from __future__ import annotations

from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from numpy.typing import NDArray
from shapely import LineString

from postprocess.colours import INK
from postprocess.drawing import NOTES, new_sheet, paper_scale
from postprocess.side_notes import SideNotes
from postprocess.strength.layers import FACES, Face
from postprocess.strength.result import CornerVerdict, Strength
from postprocess.strength_bending_figure import side_words, use_words
from postprocess.strength_faces_figure import LETTERS, FaceMap, Peak, area_from, area_words, draw_faces, face_key, peak
from postprocess.strength_marks_figure import Marks, point_words, shown_pair
from postprocess.view import FloorView

Floats = NDArray[np.float64]

LISTED = 10
"""Re-entrant corners that are numbered and listed, the worst ones."""
DETAILED = 6
"""Of more corners than this, the plans show the numbers only."""
BAR, SHORTEST, APART, DRAWN = 9.0, 3.0, 0.9, 4
"""Lengths of a trimmer on paper and the distance of two, mm; more than this number is told in words alone."""
TRIMMER: dict[str, Any] = {"color": INK, "lw": 1.3}


def crack_figure(view: FloorView, strength: Strength) -> Figure:
    """Sheet with wk in mm: bottom x, bottom y, top x, top y."""
    limit = strength.materials.values.w_max * 1e3
    figure = new_sheet(view, "Crack widths in service, trimmer bars", "plan m; crack widths mm; bars mm")
    width = FaceMap(strength.crack_width * 1e3, limit)
    peaks = [peak(view, strength, width.values[:, side]) for side in range(len(FACES))]
    titles = tuple(_title(strength, width, side, found) for side, found in enumerate(peaks))
    axes, filled = draw_faces(figure, view, strength, width, titles)
    for side, (ax, found) in enumerate(zip(axes, peaks, strict=True)):
        _mark(ax, view, strength, side, found)
    notes = SideNotes(figure, NOTES)
    notes.heading("Crack width in service")
    notes.colour_bar(filled, "wk in mm, as if the slab had cracked everywhere")
    face_key(notes, view, strength, width, " mm")
    notes.remark("EN 1992-1-1, 7.3.4; the limit is that of Table 7.1N. Beside jacks, feet and corners: strip means.")
    notes.heading("Widest cracks")
    for letter, (face, direction), found in zip(LETTERS, FACES, peaks, strict=True):
        _peak_note(notes, letter, f"{face}, across {direction}", found, limit)
    _corner_notes(notes, strength)
    return figure


def worst_corners(strength: Strength) -> tuple[CornerVerdict, ...]:
    """At most `LISTED` corners, those nearest to cracking first."""
    ordered = sorted(strength.corners, key=lambda corner: -max(corner.cracking_use.values(), default=0.0))
    return tuple(ordered[:LISTED])


def bars_words(corner: CornerVerdict, diameter: float, faces: tuple[Face, ...] = ("bottom", "top")) -> str:
    """Number and diameter of the trimmers near each face, such as "2 Ø12 bottom, 3 Ø12 top"."""
    size = f"Ø{diameter * 1e3:g}"
    counts = [(corner.trimmers.get(face, 0), face) for face in faces]
    return ", ".join(f"{count} {size} {face}" for count, face in counts if count) or "no trimmers"


def _title(strength: Strength, width: FaceMap, side: int, found: Peak) -> str:
    head = f"{side_words(strength, side)}: cracks across {FACES[side][1]}"
    if found.value == 0:
        return f"{head}\nno cracks on this face"
    value, limit = shown_pair(found.value, width.limit)
    words = f"{head}\nwidest {value} mm at {LETTERS[side]}, limit {limit} mm"
    if found.value <= width.limit:
        return words
    area = area_from(strength.mesh, width.values[:, side], width.limit)
    return f"{words}: NOT MET over {area_words(area)}"


def _mark(ax: Axes, view: FloorView, strength: Strength, side: int, found: Peak) -> None:
    """Trimmers of the side's own face, with a label at the corners that are listed, and the widest crack."""
    face = FACES[side][0]
    bars = _trimmers(strength, face, paper_scale(ax))
    ax.add_collection(LineCollection(bars, colors=INK, lw=TRIMMER["lw"], zorder=4.6, gid="trimmers"))
    marks = Marks(ax, view, np.vstack([view.re_entrant_corners, found.xy]))
    marks.taken += [LineString(bar) for bar in bars]
    if found.value > 0:
        marks.ring(np.array(found.xy), LETTERS[side])
    corners = worst_corners(strength)
    for number, corner in enumerate(corners):
        bars_here = f": {bars_words(corner, strength.trimmer_diameter, (face,))}" if len(corners) <= DETAILED else ""
        marks.words(np.array(corner.xy), f"{number + 1}{bars_here}", size=6.0)


def _trimmers(strength: Strength, face: Face, scale: float) -> list[Floats]:
    """(2, 2) ends of strokes across each corner for the bars near one face, inside the slab, not to scale."""
    strokes = []
    xy = np.reshape([corner.xy for corner in strength.corners], (-1, 2))
    for corner in strength.corners:
        others = np.sort(np.hypot(*(xy - corner.xy).T))[1:]
        half = float(np.clip(0.7 * scale * others.min(initial=np.inf), SHORTEST, BAR)) / 2 / scale
        along = np.array([np.cos(corner.across), np.sin(corner.across)])
        inward = np.array([along[1], -along[0]])  # the trimmers' direction is the bisector's turned by +90°
        for bar in range(min(corner.trimmers.get(face, 0), DRAWN)):
            middle = corner.xy + inward * (1.4 + APART * bar) / scale
            strokes.append(np.array([middle - along * half, middle + along * half]))
    return strokes


def _peak_note(notes: SideNotes, letter: str, side: str, found: Peak, limit: float) -> None:
    if found.value == 0:
        notes.line(f"{letter}  {side}: none")
        return
    value, allowed = shown_pair(found.value, limit)
    verdict = "met" if found.value <= limit else "NOT MET"
    notes.line(f"{letter}  {side}: {value} of {allowed} mm, {verdict}")
    notes.line(found.words, indent=4.0)


def _corner_notes(notes: SideNotes, strength: Strength) -> None:
    corners = worst_corners(strength)
    if not corners:
        return
    notes.heading("Re-entrant corners: where cracks start")
    notes.stroke(
        f"trimmer bars near the face of the plan, across the corner; not to scale, at most {DRAWN} are drawn", **TRIMMER
    )
    notes.remark(
        "Cracking use: mean moment across the bisector over the cracking moment (lower characteristic tensile "
        "strength, at the age of the state). Above 1 a crack is to be expected; below it shrinkage and unfavourable "
        "patterns of imposed load may still open one. The trimmers lie within "
        f"{max(corner.zone for corner in corners) * 1e3:.0f} mm of the corner."
    )
    for listed, corner in enumerate(corners):
        if notes.room < 16.0:
            corners = corners[:listed]
            break
        bars = bars_words(corner, strength.trimmer_diameter)
        notes.line(f"{listed + 1}  {point_words(corner.xy)}: {bars}")
        uses = ", ".join(f"{state} {use_words(use)}" for state, use in corner.cracking_use.items())
        worst = max(corner.cracking_use.values(), default=0.0)
        verdict = "CRACKS" if worst > 1 else "below cracking"
        notes.line(f"cracking use {uses}: {verdict}", indent=4.0)
    left = len(strength.corners) - len(corners)
    if left:
        notes.line(f"and {left} more, all with a lower cracking use")
