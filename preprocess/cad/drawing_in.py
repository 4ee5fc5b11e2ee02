"""A drawing in DXF to what a case needs of it: outline, openings, jacks and equipment from named layers."""

from __future__ import annotations

from collections.abc import Sequence
from math import floor
from pathlib import Path
from typing import Final

import numpy as np
import shapely
from ezdxf.document import Drawing
from shapely import Polygon

from preprocess.cad.blocks import Blocks, Piece, Walker
from preprocess.cad.document import SAVE_AS_DXF, open_document
from preprocess.cad.drawn import DrawnPlan, DrawnRing, PointMm
from preprocess.cad.equipment import read_equipment
from preprocess.cad.jacks import read_jacks
from preprocess.cad.layers import check_layers
from preprocess.cad.notes import Notes
from preprocess.cad.rings import Reading, closed_rings
from preprocess.cad.rules import DrawingRules
from preprocess.cad.units import UNITS, Frame, unit_factor
from preprocess.entries import FARTHEST_MM
from preprocess.errors import InputError, Problem
from preprocess.files import LARGEST_DRAWING, read_content
from preprocess.lengths import metres
from preprocess.plan import slab_plan
from preprocess.wording import point, quoted

SMALLEST_MM: Final = 1000
LARGEST_MM: Final = 1_000_000
"""Sides of a slab between which the units of a drawing are believed."""

DRAWING_ALLOWED: Final = f"{SAVE_AS_DXF}, at most {LARGEST_DRAWING // 1_000_000} MB"


def read_drawing(path: Path, rules: DrawingRules) -> tuple[DrawnPlan, tuple[str, ...]]:
    """What the layers of the drawing at `path` hold, and remarks on what was closed, merged, numbered or left out.

    Raises InputError with every problem that was found.
    """
    content, fault = read_content(path.parent, path.name, LARGEST_DRAWING)
    if fault:
        raise InputError([Problem(path.name, "file", quoted(str(path)), f"{fault}; {DRAWING_ALLOWED}")])
    return drawn_in(content, path.name, rules)


def drawn_in(content: bytes, name: str, rules: DrawingRules) -> tuple[DrawnPlan, tuple[str, ...]]:
    """The same of the bytes of a file called `name`."""
    notes = Notes(name)
    document = open_document(content, notes)
    plan = None
    if document is not None:
        try:
            plan = _read(document, rules, notes)
        except Exception:  # the library hands on what a damaged file holds without a look at it
            allowed = "the layers that are read alone, saved as DXF once more"
            notes.problem("file", "damaged, or of a kind that cannot be read", allowed)
    if plan is None or notes.problems:
        raise InputError(notes.problems)
    return plan, tuple(notes.remarks)


def off_slab(plan: DrawnPlan, file: str) -> list[Problem]:
    """Jacks of a plan with an outline whose middles are off the slab; the checks of a case name those near an edge."""
    assert plan.outline is not None
    slab = Polygon(plan.outline.corners, [ring.corners for ring in plan.openings])
    allowed = "jacks within the outline and out of openings; move or delete it"
    return [
        Problem(file, str(jack.source), f"a jack off the slab, at {point(jack.x_mm / 1000, jack.y_mm / 1000)}", allowed)
        for jack in plan.jacks
        if not shapely.contains_xy(slab, jack.x_mm, jack.y_mm)
    ]


def _read(document: Drawing, rules: DrawingRules, notes: Notes) -> DrawnPlan | None:
    """What the document holds, None where its units are not known."""
    blocks = Blocks(document)
    factor = unit_factor(document, rules.units, notes)
    check_layers(document, blocks, rules, notes)
    if factor is None:
        return None
    return _plan(Walker(document, blocks, notes), Reading(Frame(factor, rules.origin_mm), rules, notes))


def _plan(walker: Walker, reading: Reading) -> DrawnPlan:
    layers = {part: name.lower() for part, name in reading.rules.layers.items()}
    whole = frozenset(layers[part] for part in ("jacks", "equipment") if part in layers)
    pieces = walker.on_layers(frozenset(layers.values()), whole)
    on_layer = {part: [piece for piece in pieces if piece.is_on(name)] for part, name in layers.items()}
    outlines = closed_rings(on_layer.get("outline", []), reading)
    openings = closed_rings(on_layer.get("openings", []), reading)
    outline = _only_outline(outlines, on_layer.get("outline", []), reading)
    plan = DrawnPlan(
        outline,
        tuple(openings),
        tuple(read_jacks(on_layer.get("jacks", []), reading)),
        tuple(read_equipment(on_layer.get("equipment", []), walker, reading)),
    )
    if not _far(plan, reading):
        _check_plan(outline, openings, reading)
    return plan


def _only_outline(outlines: Sequence[DrawnRing], drawn: Sequence[Piece], reading: Reading) -> DrawnRing | None:
    """The one loop on the layer of the outline; several are a problem, and so is none among lines that pass."""
    notes = reading.notes
    if len(outlines) > 1:
        for ring in outlines:
            area = Polygon(ring.corners).buffer(0).area / 1e6
            allowed = "one loop only on the layer of the outline; openings have a layer of their own"
            notes.problem(ring.source, f"one of {len(outlines)} closed loops, {area:.4g} m2", allowed)
    if drawn and not outlines and not notes.problems:
        layer = drawn[0].source.layer
        notes.problem(f"layer {layer}", "no closed loop", "the outline of the slab as one closed loop")
    return outlines[0] if len(outlines) == 1 else None


def _far(plan: DrawnPlan, reading: Reading) -> bool:
    """Whether anything lies too far from the datum; then `notes` name the origin that would bring it near."""
    rings = [ring.corners for ring in ([plan.outline] if plan.outline else []) + list(plan.openings)]
    groups: list[tuple[object, Sequence[PointMm]]] = [
        *((ring.source, ring.corners) for ring in ([plan.outline] if plan.outline else []) + list(plan.openings)),
        *((jack.source, [(jack.x_mm, jack.y_mm)]) for jack in plan.jacks),
        *((item.source, item.feet_mm or item.outline_mm or ()) for item in plan.equipment),
    ]
    far = [(source, spots) for source, spots in groups if len(spots) and np.abs(np.array(spots)).max() > FARTHEST_MM]
    if not far:
        return False
    main = np.array(rings[0] if plan.outline else [spot for _, spots in groups for spot in spots])
    x, y = (floor(value) for value in main.min(axis=0) + np.array(reading.rules.origin_mm))
    source, spots = far[0]
    more = f", and {len(far) - 1} more" if len(far) > 1 else ""
    value = f"coordinates up to {np.abs(np.array(spots)).max():,.0f} mm from the datum{more}"
    allowed = f"within {FARTHEST_MM:,} mm of it"
    helps = np.ptp(main, axis=0).max() <= FARTHEST_MM and (x, y) != reading.rules.origin_mm
    if helps:
        allowed += f"; set origin_mm = [{x}, {y}] (--origin {x} {y}), its lower left corner"
    if _check_size(plan.outline, reading) or helps:
        reading.notes.problem(source, value, allowed)
    return True


def _check_plan(outline: DrawnRing | None, openings: Sequence[DrawnRing], reading: Reading) -> None:
    """The loops against the rules for plans: no crossing edges, openings inside and apart."""
    if not _check_size(outline, reading):
        return
    where = "" if outline is None else str(outline.source)
    corners = None if outline is None else metres(outline.corners)
    _, problems = slab_plan(
        corners, [(str(ring.source), metres(ring.corners)) for ring in openings], reading.notes.file, where
    )
    reading.notes.problems += problems


def _check_size(outline: DrawnRing | None, reading: Reading) -> bool:
    """Whether the slab is of a size that can be; if not, the units may be wrong."""
    if outline is None:
        return True
    side = float(np.ptp(np.array(outline.corners), axis=0).max())
    if SMALLEST_MM <= side <= LARGEST_MM:
        return True
    unit = f"one unit of the drawing was taken for {reading.frame.factor:g} mm"
    sizes = {name: side / reading.frame.factor * factor for name, factor in UNITS.items()}
    fits = ", ".join(f"{s / 1000:.3g} m in {name}" for name, s in sizes.items() if SMALLEST_MM <= s <= LARGEST_MM)
    allowed = f"a slab of 1 m to 1 km; the units may be wrong: {unit}" + (f"; it would be {fits}" if fits else "")
    reading.notes.problem(outline.source, f"a slab of {side / 1000:.6g} m", allowed)
    return False
