"""Machines and racks of a drawing: block insertions, and closed loops drawn on the layer itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from math import sqrt

import numpy as np
from ezdxf.entities.insert import Insert
from shapely import Polygon

from preprocess.cad.attributes import attributes
from preprocess.cad.blocks import Piece, Walker, block_name
from preprocess.cad.drawn import DrawnEquipment, DrawnRing
from preprocess.cad.rings import Reading, closed_rings, closed_shapes
from preprocess.cad.rules import FEET_LAYER
from preprocess.cad.soundness import fault
from preprocess.cad.strokes import SAME
from preprocess.csv_table import number_in
from preprocess.entries import HEAVIEST_KG, LONGEST_TEXT
from preprocess.wording import nearest, quoted

_TILT = 1e-6


def read_equipment(pieces: Sequence[Piece], walker: Walker, reading: Reading) -> list[DrawnEquipment]:
    """Each insertion is an item; loops on the layer itself are items too, named by their handle."""
    items = []
    for piece in (piece for piece in pieces if isinstance(piece.entity, Insert)):
        what, allowed = fault(piece.entity, reading.closing)
        if what:
            reading.notes.problem(piece.source, what, allowed)
        elif (item := _inserted(piece, walker, reading)) is not None:
            items.append(item)
    bare = [piece for piece in pieces if not isinstance(piece.entity, Insert)]
    items += [_bare(ring, reading) for ring in closed_rings(bare, reading)]
    _say_unknown_masses(items, reading)
    return _with_names_of_their_own(items, reading)


def _say_unknown_masses(items: Sequence[DrawnEquipment], reading: Reading) -> None:
    """Masses that are given for blocks which no equipment has."""
    owners = [item.block or item.name for item in items]
    for name in reading.rules.masses_kg:
        if name.lower() not in {owner.lower() for owner in owners}:
            allowed = nearest(name, owners, "block on the layer of the equipment")
            reading.notes.problem("masses_kg", quoted(name), allowed)


def _inserted(piece: Piece, walker: Walker, reading: Reading) -> DrawnEquipment | None:
    """The item of a block insertion, None where its block has no shape to stand on."""
    insert = piece.entity
    assert isinstance(insert, Insert)
    block, texts = block_name(insert), attributes(insert)
    source = replace(piece.source, block=block)
    content = walker.inside(piece)
    feet = closed_rings([part for part in content if part.is_on(FEET_LAYER)], reading)
    shape = None if feet else _outermost([part for part in content if not part.is_on(FEET_LAYER)], source, reading)
    if not feet and shape is None:
        allowed = f"a block with feet as closed loops on layer {FEET_LAYER}, or with a closed outline"
        reading.notes.problem(source, "nothing closed in its block", allowed)
        return None
    foot = _foot(feet, source, reading) if feet else None
    return DrawnEquipment(
        name=(texts.get("NAME") or block).strip()[:LONGEST_TEXT],
        mass_kg=_mass(texts.get("MASS_KG"), block, source, reading),
        block=block,
        feet_mm=tuple(_middle(ring) for ring in feet) if feet else None,
        foot_mm=foot,
        outline_mm=None if shape is None else shape.corners,
        source=source,
    )


def _bare(ring: DrawnRing, reading: Reading) -> DrawnEquipment:
    name = f"Item {ring.source.handles[0]}"
    reading.notes.remark(ring.source, f"a loop without a block, read as equipment named {quoted(name)}")
    mass = reading.rules.masses_kg.get(name)
    return DrawnEquipment(name, mass, "", None, None, ring.corners, ring.source)


def _mass(text: str | None, block: str, source: object, reading: Reading) -> float | None:
    """The mass of the attribute, or that of the rules for the block, None where neither says."""
    if text is None:
        by_name = {name.lower(): mass for name, mass in reading.rules.masses_kg.items()}
        return by_name.get(block.lower())
    mass = number_in(text)
    if not 0 < mass <= HEAVIEST_KG:
        allowed = f"a number in kg above 0, at most {HEAVIEST_KG:,}, with a point for decimals"
        reading.notes.problem(source, f"attribute MASS_KG {quoted(text)}", allowed)
        return None
    return mass


def _outermost(content: Sequence[Piece], source: object, reading: Reading) -> DrawnRing | None:
    """The loop with the largest area."""
    rings = closed_shapes(content, reading)
    if not rings:
        return None
    areas = [Polygon(ring.corners).buffer(0).area for ring in rings]
    largest = rings[int(np.argmax(areas))]
    outer = Polygon(largest.corners).buffer(1.0)
    beside = sum(1 for ring in rings if not outer.covers(Polygon(ring.corners).buffer(0)))
    if beside:
        what = f"its mass is spread over the largest closed loop of its block only; {beside} more reach beyond it"
        reading.notes.remark(source, what)
    return largest


def _foot(feet: Sequence[DrawnRing], source: object, reading: Reading) -> float:
    """Side of the square feet, mm: of other shapes that of a square of the same area, of unequal ones the smallest."""
    sides = [sqrt(Polygon(ring.corners).area) for ring in feet]
    if not all(_is_upright_square(ring) for ring in feet):
        reading.notes.remark(source, "feet that are no squares along x and y stand as such squares of the same area")
    if max(sides) - min(sides) > SAME:
        what = f"feet of {min(sides):.4g} to {max(sides):.4g} mm all stand as squares of the smallest of these sides"
        reading.notes.remark(source, what)
    return min(sides)


def _is_upright_square(ring: DrawnRing) -> bool:
    corners = np.array(ring.corners)
    if len(corners) != 4:
        return False
    edges = np.abs(np.roll(corners, -1, axis=0) - corners)
    sides = edges.max(axis=1)
    return bool(np.ptp(sides) < SAME and edges.min(axis=1).max() < _TILT * sides.max() + SAME)


def _middle(ring: DrawnRing) -> tuple[float, float]:
    """The centroid, exact for squares but for rounding: taken about the first corner."""
    corners = np.array(ring.corners)
    centre = Polygon(corners - corners[0]).centroid
    return float(corners[0][0] + centre.x), float(corners[0][1] + centre.y)


def _with_names_of_their_own(items: Sequence[DrawnEquipment], reading: Reading) -> list[DrawnEquipment]:
    """The items, those of one name numbered from 1."""
    numbers = Counter(item.name for item in items)
    taken = {name for name, number in numbers.items() if number == 1}
    named = []
    for item in items:
        name, number = item.name, 0
        while numbers[item.name] > 1 and (not number or name in taken):
            number += 1
            name = f"{item.name[: LONGEST_TEXT - 8]} {number}"
        taken.add(name)
        named.append(replace(item, name=name))
    for name, number in numbers.items():
        if number > 1:
            own = [new.name for old, new in zip(items, named, strict=True) if old.name == name]
            layer = next(item.source.layer for item in items if item.name == name)
            what = f"{number} items of the name {quoted(name)} are called {quoted(own[0])} to {quoted(own[-1])}"
            reading.notes.remark(f"layer {layer}", what)
    return named
