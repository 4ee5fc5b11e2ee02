"""Entities on a layer to closed loops of corners."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, log10
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from preprocess.cad import chains, strokes
from preprocess.cad.blocks import Piece
from preprocess.cad.curves import KINDS, MOST_CHORDS, TooManyChords, chords
from preprocess.cad.drawn import DrawnRing
from preprocess.cad.notes import Notes
from preprocess.cad.rules import DrawingRules
from preprocess.cad.soundness import fault
from preprocess.cad.strokes import Stroke
from preprocess.cad.units import Frame
from preprocess.plan import MIN_GAP
from preprocess.wording import count, shown

Floats = NDArray[np.float64]

MOST_CORNERS: Final = 2000
"""Of a loop: checks of a plan compare each corner with each edge."""


@dataclass(frozen=True)
class Reading:
    """What every part of a drawing is read with."""

    frame: Frame
    rules: DrawingRules
    notes: Notes

    @property
    def chord(self) -> float:
        """Greatest departure of chords in units of the drawing."""
        return self.rules.chord_mm / self.frame.factor

    @property
    def closing(self) -> float:
        """Greatest gap that is closed in units of the drawing."""
        return self.rules.closing_mm / self.frame.factor


def closed_rings(pieces: Sequence[Piece], reading: Reading) -> list[DrawnRing]:
    """The loops that the pieces, all of one part of the drawing, make; whatever cannot be one is a problem."""
    notes, closing = reading.notes, reading.rules.closing_mm
    say_unread(pieces, KINDS, notes)
    drawn = strokes.once(read_strokes(pieces, reading), notes)
    clash = strokes.clashes(drawn, notes)
    forked = chains.forks(drawn, notes)
    rings = []
    for chain in chains.join(drawn, closing):
        if chain.closed:
            chains.say_joints(chain, notes)
            rings.append(_ring(chain, reading))
        elif not (clash or forked):
            chains.say_open(chain, closing, notes)
    return [] if clash else [ring for ring in rings if ring is not None]


def closed_shapes(pieces: Sequence[Piece], reading: Reading) -> list[DrawnRing]:
    """The loops among the pieces of a block that may hold much else, without a word on what is none."""
    aside = Reading(reading.frame, reading.rules, Notes(reading.notes.file))
    drawn = strokes.once(read_strokes(pieces, aside), aside.notes)
    rings = [_ring(chain, aside) for chain in chains.join(drawn, reading.rules.closing_mm) if chain.closed]
    return [ring for ring in rings if ring is not None]


def read_strokes(pieces: Sequence[Piece], reading: Reading) -> list[Stroke]:
    """The pieces that are lines of any kind, in mm; those that are unsound are problems."""
    found = []
    for piece in pieces:
        what, allowed = fault(piece.entity, reading.closing)
        if what:
            reading.notes.problem(piece.source, what, allowed)
        elif piece.kind in KINDS:
            stroke = _stroke(piece, reading)
            if stroke is not None:
                found.append(stroke)
    return found


def say_unread(pieces: Sequence[Piece], kinds: frozenset[str], notes: Notes) -> None:
    """Says how many pieces are of other kinds than those that are read, and are no faces or solids."""
    others = Counter((piece.source.layer, piece.kind) for piece in pieces if piece.kind not in kinds)
    for (layer, kind), number in others.items():
        handles = [piece.source.handles[0] for piece in pieces if piece.kind == kind and piece.source.layer == layer]
        notes.remark(f"layer {layer}", f"{number} {kind} not read (the first has handle {handles[0]})")


def _stroke(piece: Piece, reading: Reading) -> Stroke | None:
    notes = reading.notes
    try:
        found = chords(piece.entity, reading.chord)
    except TooManyChords:
        allowed = f"at most {MOST_CHORDS:,} chords; check its size and the units, or set a greater chord_mm"
        notes.problem(piece.source, f"{piece.kind} that needs too many chords", allowed)
        return None
    except Exception as error:  # the library meets entities of any unsoundness
        what = f"{piece.kind} that cannot be drawn ({shown(str(error))})"
        notes.problem(piece.source, what, "delete it and draw it anew")
        return None
    if len(found.points) < 2 or not np.isfinite(found.points).all():
        notes.remark(piece.source, f"{piece.kind} of less than two points left out")
        return None
    return Stroke(reading.frame.place(found.points), found.closed, found.curved, piece.source)


def _ring(chain: chains.Chain, reading: Reading) -> DrawnRing | None:
    """The loop of a chain with its corners 1 mm apart at least; None where it has too many."""
    notes = reading.notes
    corners, departure = _apart(chain.points)
    if len(corners) > MOST_CORNERS:
        allowed = f"at most {MOST_CORNERS:,} corners; set a greater chord_mm or draw it simpler"
        notes.problem(chain.source, count(len(corners), "corner"), allowed)
        return None
    if chain.curved:
        most = _rounded_up(reading.rules.chord_mm + departure)
        what = f"{count(len(corners), 'corner')} with its arcs and curves, which chords leave by {most:g} mm at most"
        notes.remark(chain.source, what)
    merged = len(chain.points) - len(corners)
    if merged:
        notes.remark(chain.source, f"{count(merged, 'corner')} less than 1 mm from the one before left out")
    return DrawnRing(tuple((float(x), float(y)) for x, y in corners), chain.source)


def _apart(points: Floats) -> tuple[Floats, float]:
    """The points without those less than `MIN_GAP` from the last one kept, round the loop, and how far those lie, mm.

    A stretch between two points kept lies no farther from the straight line between these than its own corners do.
    """
    kept = [0]
    for index in range(1, len(points)):
        if np.hypot(*(points[index] - points[kept[-1]])) >= 1000 * MIN_GAP:
            kept.append(index)
    while len(kept) > 1 and np.hypot(*(points[kept[-1]] - points[kept[0]])) < 1000 * MIN_GAP:
        kept.pop()
    corners = points[kept]
    run = np.searchsorted(kept, np.arange(len(points)), side="right") - 1
    sides = np.asarray(shapely.linestrings(np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)))
    return corners, float(shapely.distance(shapely.points(points), sides[run]).max())


def _rounded_up(length: float) -> float:
    """To three digits; a number of three digits stays."""
    step = 10.0 ** (floor(log10(length)) - 2)
    return float(ceil(length / step - 1e-6) * step)
