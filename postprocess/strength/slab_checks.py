"""Checks of the slab as a whole: bending, least steel, pitch, shear, crack width, sag between jacks."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from postprocess.checks import Check
from postprocess.strength.crack import CrackedSection, crack_width
from postprocess.strength.design import Design
from postprocess.strength.effects import Effects
from postprocess.strength.layers import COLUMNS, FACES
from postprocess.strength.shear import shear_resistance
from postprocess.strength.steel_rules import greatest_pitch, maximum_steel, minimum_steel

Floats = NDArray[np.float64]

SPAN_SHARE = 250
"""Sag under loads that last: a 250th of the span at most (EN 1992-1-1:2004, 7.4.1(4))."""
NO_STEEL = "no steel near the face in tension"


def bending_checks(effects: Effects, design: Design) -> Iterator[Check]:
    """The greatest design moment of each face and direction against MRd; re-entrant corners are checked apart."""
    regular = effects.places.regular
    for side, ((face, direction), resistance) in enumerate(zip(FACES, design.resistances, strict=True)):
        place = effects.design.worst(side, regular)
        yield Check(
            f"bending, {face} {direction}",
            float(effects.design.size[place, side]) / 1e3,
            float(resistance) / 1e3,
            "kN·m/m",
            "at most",
            "EN 1992-1-1, 6.1; Wood-Armer",
            effects.places.name(place),
            effects.places.point(place),
            effects.combinations[effects.design.column[place, side]],
        )


def steel_checks(design: Design) -> Iterator[Check]:
    """Least and greatest steel and greatest pitch; both directions carry, so both count as principal ones."""
    layers, materials = design.layers, design.materials
    total = {"x": 0.0, "y": 0.0}
    for face in ("bottom", "top"):
        fabric = layers.fabric(face)
        limit = greatest_pitch(layers.thickness, materials)
        rows = []
        for direction in ("x", "y"):
            area = fabric.area(direction) if fabric else 0.0
            depth = layers.effective_depth(face, direction) if fabric else layers.thickness - layers.cover(face)
            rows.append((area / float(minimum_steel(design.fctm, depth, materials)), area, depth, direction))
            total[direction] += area
        _, area, depth, direction = min(rows)
        yield Check(
            f"least steel, {face}",
            area * 1e6,
            float(minimum_steel(design.fctm, depth, materials)) * 1e6,
            "mm2/m",
            "at least",
            "EN 1992-1-1, 9.3.1.1(1) with Eq. 9.1N",
            f"wires along {direction}",
        )
        if fabric:
            pitch = max(fabric.pitch("x"), fabric.pitch("y"))
            basis = "EN 1992-1-1, 9.3.1.1(3), at concentrated loads"
            yield Check(f"greatest pitch, {face}", pitch * 1e3, limit * 1e3, "mm", "at most", basis)
    most = max(total, key=lambda direction: total[direction])
    greatest = maximum_steel(layers.thickness, materials)
    basis = "EN 1992-1-1, 9.2.1.1(3)"
    where = f"wires along {most}, both layers"
    yield Check("greatest steel", total[most] * 1e6, greatest * 1e6, "mm2/m", "at most", basis, where)


def shear_check(effects: Effects, design: Design) -> Check:
    """The greatest shear force over all directions against the least VRd,c of both faces and directions."""
    least = 0.0
    if design.layers.bottom and design.layers.top:
        least = min(
            float(shear_resistance(fabric.area(direction), depth, design.materials))
            for face, direction in FACES
            if (fabric := design.layers.fabric(face)) and (depth := design.layers.effective_depth(face, direction))
        )
    basis, where = "EN 1992-1-1, 6.2.2", "all of it near loads or edges: punching governs"
    if effects.shear.xy is not None:
        where = "slab at ({:.3f}, {:.3f}) m".format(*effects.shear.xy)
    return Check(
        "shear without links",
        effects.shear.size / 1e3,
        least / 1e3,
        "kN/m",
        "at most",
        basis if least else f"{basis}: {NO_STEEL}",
        where,
        effects.shear.xy,
        effects.combinations[effects.shear.column],
    )


def crack_widths(service: Floats, design: Design) -> Floats:
    """(m, 4) wk, m, of design moments (m, 4) of the service state, as if they had cracked the slab; FACES in order.

    inf where there is a moment but no steel near the face in tension.
    """
    columns = []
    for side, (face, direction) in enumerate(FACES):
        section = design.layers.section(face, direction)
        if section.tension is None:
            columns.append(np.where(service[:, side] > 0, np.inf, 0.0))
            continue
        cracked = CrackedSection.of(section, design.long_term_ratio)
        columns.append(crack_width(service[:, side], cracked, design.fctm, design.materials))
    return np.column_stack(columns)


def crack_checks(effects: Effects, design: Design) -> Iterator[Check]:
    """The widest crack of each face in the service state."""
    places = np.flatnonzero(effects.places.cracking)
    moments = effects.service[places]
    widths = crack_widths(moments, design)
    limit = design.materials.values.w_max
    for face, pair in COLUMNS.items():
        measure = moments if design.layers.fabric(face) is None else widths
        at, side = np.unravel_index(int(np.argmax(measure[:, pair])), (len(places), 2))
        place, width = places[at], float(widths[at, pair[side]])
        xy = effects.places.point(place)
        words = f"{effects.places.name(place)}, across {FACES[pair[side]][1]}"
        if design.layers.fabric(face) is None:
            size = float(effects.service[place, pair[side]]) / 1e3
            basis = f"EN 1992-1-1, 7.3.4: {NO_STEEL}"
            yield Check(f"crack width, {face}, service", size, 0.0, "kN·m/m", "at most", basis, words, xy)
        else:
            basis = "EN 1992-1-1, 7.3.4; limit: Table 7.1N"
            yield Check(f"crack width, {face}, service", width * 1e3, limit * 1e3, "mm", "at most", basis, words, xy)


def sag_check(effects: Effects, design: Design) -> Check:
    """The worst span between jacks: the elastic sag times 1 + φ, on the safe side as springs do not creep."""
    sag, values = effects.sag, design.materials.values
    return Check(
        "sag between jacks, service",
        sag.sag * (1 + values.creep_coefficient) * 1e3,
        sag.length / SPAN_SHARE * 1e3,
        "mm",
        "at most",
        f"EN 1992-1-1, 7.4.1(4): span/{SPAN_SHARE}, with creep",
        f"jacks {sag.ids[0]} and {sag.ids[1]}",
        sag.xy,
    )
