"""How a drawing is to be read: units, layers, tolerances, the point that becomes the datum."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

PARTS: Final = ("outline", "openings", "jacks", "equipment")
DEFAULT_LAYERS: Final = {part: part.upper() for part in PARTS}
FEET_LAYER: Final = "FEET"
"""Inside the block of a piece of equipment: what stands on the slab."""

DEFAULT_CHORD_MM: Final = 1.0
DEFAULT_CLOSING_MM: Final = 5.0


@dataclass(frozen=True)
class DrawingRules:
    """All lengths in mm.

    units: of the drawing if its file does not say ("mm", "cm", "m", "in", "ft"), else None. layers: the name of the
    layer of each of `PARTS` that is to be read; upper and lower case are the same. chord_mm: greatest departure of
    chords from arcs and curves. closing_mm: greatest gap between ends that is closed. origin_mm: the point of the
    drawing that becomes 0, 0. masses_kg: by name of block, for blocks without the attribute MASS_KG. may_lack: parts
    whose layer may be missing or empty.
    """

    units: str | None = None
    layers: Mapping[str, str] = field(default_factory=lambda: dict(DEFAULT_LAYERS))
    chord_mm: float = DEFAULT_CHORD_MM
    closing_mm: float = DEFAULT_CLOSING_MM
    origin_mm: tuple[float, float] = (0.0, 0.0)
    masses_kg: Mapping[str, float] = field(default_factory=dict)
    may_lack: frozenset[str] = frozenset()
