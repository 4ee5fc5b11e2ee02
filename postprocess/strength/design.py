"""The slab that is checked: its steel, its concrete and what follows from both."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from postprocess.strength.bending import section_resistance
from postprocess.strength.layers import FACES, Face, Layers
from postprocess.strength.materials import STEEL_MODULUS, Materials

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Design:
    """fctm: mean tensile strength at 28 days, Pa. modulus: of the concrete, short term, Pa. trimmer_diameter: of the
    diagonal bars at re-entrant corners, which lie inside the mats, m.
    """

    layers: Layers
    materials: Materials
    fctm: float
    modulus: float
    trimmer_diameter: float

    @property
    def long_term_ratio(self) -> float:
        """αe = Es (1 + φ)/Ecm under loads that last (7.4.3(5), Eq. 7.20)."""
        return STEEL_MODULUS * (1 + self.materials.values.creep_coefficient) / self.modulus

    @cached_property
    def resistances(self) -> Floats:
        """(4,) MRd in the order of `FACES`, N·m/m."""
        return np.array([section_resistance(self.layers.section(*side), self.materials) for side in FACES])

    def without(self, face: Face) -> Design:
        """The same slab with the mat near `face` left out."""
        layers = replace(self.layers, bottom=None) if face == "bottom" else replace(self.layers, top=None)
        return replace(self, layers=layers)

    def at_strength(self, fck: float) -> Design:
        """The same slab while its concrete has the characteristic strength `fck`, Pa."""
        return replace(self, materials=self.materials.with_concrete(fck))

    def trimmer_depth(self, face: Face) -> float:
        """d of the trimmers near `face`, m; ValueError without its mat."""
        fabric = self.layers.fabric(face)
        if fabric is None:
            raise ValueError(f"trimmers: no mat near the {face}")
        wires = fabric.diameter_x + fabric.diameter_y
        return self.layers.thickness - self.layers.cover(face) - wires - self.trimmer_diameter / 2

    def mean_depth(self, face: Face) -> float:
        """d, m, mean of both directions (Eq. 6.32), for the face in tension; nan without its mat."""
        return float(np.mean([self.layers.effective_depth(face, direction) for direction in ("x", "y")]))
