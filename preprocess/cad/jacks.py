"""Jacks of a drawing: block insertions, circles and points."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from ezdxf.entities.circle import Circle
from ezdxf.entities.insert import Insert
from ezdxf.entities.point import Point
from ezdxf.math import Vec3
from scipy.spatial import cKDTree

from preprocess.cad.attributes import attributes
from preprocess.cad.blocks import Piece
from preprocess.cad.drawn import DrawnJack, Source
from preprocess.cad.rings import Reading, say_unread
from preprocess.cad.soundness import fault
from preprocess.csv_table import number_in
from preprocess.entries import CODE_ALLOWED, is_code
from preprocess.jack_list import LARGEST_ADVANCE_MM, MOST_JACKS
from preprocess.plan import MIN_GAP
from preprocess.wording import count, point, quoted

KINDS: Final = frozenset(("INSERT", "CIRCLE", "POINT"))

_ROW_MM: Final = 50.0
"""Jacks whose y are nearer than this to that of the one before are numbered as one row."""


def read_jacks(pieces: Sequence[Piece], reading: Reading) -> list[DrawnJack]:
    """The jacks in the order of the drawing; those without an id are numbered row by row."""
    notes = reading.notes
    say_unread(pieces, KINDS, notes)
    jacks = []
    for piece in (piece for piece in pieces if piece.kind in KINDS):
        what, allowed = fault(piece.entity, reading.closing)
        if what:
            notes.problem(piece.source, what, allowed)
        else:
            jacks.append(_jack(piece, reading))
    if len(jacks) > MOST_JACKS:
        notes.problem(f"layer {pieces[0].source.layer}", count(len(jacks), "jack"), f"at most {MOST_JACKS:,} jacks")
        return []
    _say_on_one_spot(jacks, reading)
    jacks = _numbered(jacks, reading)
    _say_repeated(jacks, reading)
    return jacks


def _jack(piece: Piece, reading: Reading) -> DrawnJack:
    """The jack of an entity, its id empty where the drawing has none."""
    notes, entity = reading.notes, piece.entity
    texts = attributes(entity) if isinstance(entity, Insert) else {}
    name, spring = texts.get("ID", ""), texts.get("SPRING")
    for tag, text in (("ID", name), ("SPRING", spring)):
        if text and not is_code(text):
            notes.problem(piece.source, f"attribute {tag} {quoted(text)}", CODE_ALLOWED)
    advance = number_in(texts.get("ADVANCE_MM", "0"))
    if not abs(advance) <= LARGEST_ADVANCE_MM:
        allowed = f"a number in mm, within ±{LARGEST_ADVANCE_MM}"
        notes.problem(piece.source, f"attribute ADVANCE_MM {quoted(texts['ADVANCE_MM'])}", allowed)
    x, y = reading.frame.place(np.array([_centre(piece)]))[0]
    return DrawnJack(name, float(x), float(y), spring, advance, piece.source)


def _centre(piece: Piece) -> tuple[float, float]:
    """The middle of the jack in coordinates of the drawing."""
    entity = piece.entity
    match entity:
        case Circle():
            centre = entity.ocs().to_wcs(Vec3(entity.dxf.center))
        case Point():
            centre = Vec3(entity.dxf.location)
        case _:
            centre = entity.ocs().to_wcs(Vec3(entity.dxf.insert))
    return centre.x, centre.y


def _numbered(jacks: Sequence[DrawnJack], reading: Reading) -> list[DrawnJack]:
    """The jacks, those without an id named J1, J2 … from the bottom row up, each row from left to right."""
    nameless = _in_rows([jack for jack in jacks if not jack.id])
    if not nameless:
        return list(jacks)
    taken = {jack.id for jack in jacks if jack.id}
    free = (f"J{number}" for number in range(1, len(jacks) + len(taken) + 1) if f"J{number}" not in taken)
    names = {id(jack): name for jack, name in zip(nameless, free, strict=False)}
    layer = nameless[0].source.layer
    first, last = names[id(nameless[0])], names[id(nameless[-1])]
    what = f"{count(len(nameless), 'jack')} without an id, numbered {first} to {last} row by row from the lower left"
    reading.notes.remark(f"layer {layer}", what)
    named = [
        DrawnJack(names.get(id(jack), jack.id), jack.x_mm, jack.y_mm, jack.spring, jack.advance_mm, jack.source)
        for jack in jacks
    ]
    if len(nameless) < len(jacks):
        return named
    order = {id(jack): place for place, jack in enumerate(nameless)}
    return [named[index] for index in sorted(range(len(jacks)), key=lambda index: order[id(jacks[index])])]


def _in_rows(jacks: Sequence[DrawnJack]) -> list[DrawnJack]:
    rows: list[list[DrawnJack]] = []
    for jack in sorted(jacks, key=lambda jack: jack.y_mm):
        if rows and jack.y_mm - rows[-1][-1].y_mm < _ROW_MM:
            rows[-1].append(jack)
        else:
            rows.append([jack])
    return [jack for row in rows for jack in sorted(row, key=lambda jack: jack.x_mm)]


def _say_on_one_spot(jacks: Sequence[DrawnJack], reading: Reading) -> None:
    if len(jacks) < 2:
        return
    spots = np.array([(jack.x_mm, jack.y_mm) for jack in jacks])
    for first, second in sorted(cKDTree(spots).query_pairs(1000 * MIN_GAP)):
        owner = _of(jacks[first].source)
        value = f"a jack at {point(*(spots[second] / 1000))}, where {owner} has one already"
        reading.notes.problem(jacks[second].source, value, "each jack drawn once; delete one of them")


def _say_repeated(jacks: Sequence[DrawnJack], reading: Reading) -> None:
    owners: dict[str, DrawnJack] = {}
    for jack in jacks:
        owner = owners.setdefault(jack.id, jack)
        if owner is not jack:
            value = f"attribute ID {quoted(jack.id)}"
            reading.notes.problem(jack.source, value, f"each id once; {_of(owner.source)} has it already")


def _of(source: Source) -> str:
    return f"handle {source.handles[0]}"
