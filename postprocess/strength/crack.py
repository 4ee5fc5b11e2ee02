"""Cracking moment, cracked section and crack width, EN 1992-1-1:2004, 7.1 to 7.3.4 and 3.1.8."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from postprocess.strength.layers import Section
from postprocess.strength.materials import STEEL_MODULUS, Materials

Floats = NDArray[np.float64]

LONG_TERM, SHORT_TERM = 0.4, 0.6
"""kt of 7.3.4(2) for loads that last and for short ones."""
K1_RIBBED, K2_BENDING = 0.8, 0.5
"""7.3.4(3): bars of high bond; strain from 0 at the axis to its largest at the face."""
CLOSE_PITCH: Final = 5.0
"""7.3.4(3): Eq. 7.11 holds for a pitch up to 5 (c + φ/2), Eq. 7.14 above it."""


def lower_tensile_strength(fctm: Floats | float) -> Floats:
    """fctk,0.05 = 0.7 fctm, Pa (Table 3.1)."""
    return np.asarray(0.7 * np.asarray(fctm, dtype=float))


def flexural_strength(tensile: Floats | float, thickness: Floats | float) -> Floats:
    """fctm,fl = max(1.6 − h/1000 mm, 1) fctm, Pa (Eq. 3.23); characteristic values go the same way (3.1.8(2))."""
    return np.asarray(np.maximum(1.6 - np.asarray(thickness, dtype=float), 1.0) * tensile)


def cracking_moment(tensile: Floats | float, thickness: Floats | float, *, flexural: bool = False) -> Floats:
    """Moment, N·m/m, at which the face of an uncracked slab reaches `tensile` (Pa): f h²/6, steel neglected."""
    strength = flexural_strength(tensile, thickness) if flexural else np.asarray(tensile, dtype=float)
    return np.asarray(strength * np.asarray(thickness, dtype=float) ** 2 / 6)


@dataclass(frozen=True)
class CrackedSection:
    """Elastic, concrete without tension. axis: x from the compressed face, m. inertia: in concrete, m⁴/m.

    modular_ratio: αe = Es/Ec, of both mats.
    """

    section: Section
    axis: float
    inertia: float
    modular_ratio: float

    @classmethod
    def of(cls, section: Section, modular_ratio: float) -> CrackedSection:
        """From x²/2 + αe Σ As (x − d) = 0 per metre; a mat in compression counts with αe as well."""
        mats = [wires for wires in (section.tension, section.other) if wires]
        if not mats:
            raise ValueError("a section without steel has no cracked state")
        area = modular_ratio * np.array([mat.area for mat in mats])
        depth = np.array([mat.depth for mat in mats])
        total = area.sum()
        x = np.sqrt(total**2 + 2 * (area * depth).sum()) - total
        inertia = x**3 / 3 + (area * (depth - x) ** 2).sum()
        return cls(section, float(x), float(inertia), modular_ratio)

    def steel_stress(self, moment: Floats | float) -> Floats:
        """σs in the mat near the face in tension, Pa, by moments ≥ 0, N·m/m."""
        arm = self._tension_depth - self.axis
        return np.asarray(self.modular_ratio * np.asarray(moment, dtype=float) * arm / self.inertia)

    @property
    def effective_height(self) -> float:
        """hc,ef = min[2.5 (h − d), (h − x)/3, h/2], m (7.3.2(3))."""
        h = self.section.thickness
        return min(2.5 * (h - self._tension_depth), (h - self.axis) / 3, h / 2)

    @property
    def effective_ratio(self) -> float:
        """ρp,eff = As/Ac,eff (Eq. 7.10)."""
        assert self.section.tension
        return self.section.tension.area / self.effective_height

    @property
    def _tension_depth(self) -> float:
        if self.section.tension is None:
            raise ValueError("no steel near the face in tension: nothing holds a crack together")
        return self.section.tension.depth


def crack_spacing(cracked: CrackedSection, materials: Materials) -> float:
    """sr,max, m (7.3.4(3)): Eq. 7.11 for wires at close pitch, else Eq. 7.14, its upper bound."""
    wires = cracked.section.tension
    if wires is None:
        raise ValueError("no steel near the face in tension: nothing holds a crack together")
    if wires.pitch > CLOSE_PITCH * (wires.cover + wires.diameter / 2):
        return 1.3 * (cracked.section.thickness - cracked.axis)  # Eq. 7.14
    return bar_crack_spacing(wires.cover, wires.diameter, cracked.effective_ratio, materials)


def bar_crack_spacing(cover: float, diameter: float, effective_ratio: float, materials: Materials) -> float:
    """sr,max = k3 c + k1 k2 k4 φ/ρp,eff, m (Eq. 7.11), ribbed bars in bending."""
    values = materials.values
    return values.k3 * cover + K1_RIBBED * K2_BENDING * values.k4 * diameter / effective_ratio


def strain_difference(
    stress: Floats | float, effective_ratio: float, tensile: float, modular_ratio: float, kt: float = LONG_TERM
) -> Floats:
    """εsm − εcm (Eq. 7.9). stress: σs in Pa. tensile: fct,eff in Pa."""
    steel = np.asarray(stress, dtype=float)
    stiffening = kt * tensile / effective_ratio * (1 + modular_ratio * effective_ratio)
    return np.asarray(np.maximum(steel - stiffening, 0.6 * steel) / STEEL_MODULUS)


def crack_width(
    moment: Floats | float, cracked: CrackedSection, tensile: float, materials: Materials, *, kt: float = LONG_TERM
) -> Floats:
    """wk = sr,max (εsm − εcm), m (Eq. 7.8), by moments ≥ 0, N·m/m, as if they had cracked the section.

    tensile: fct,eff in Pa, fctm when the crack may form. modular_ratio of `cracked` serves Eq. 7.9 as well.
    """
    strain = strain_difference(
        cracked.steel_stress(moment), cracked.effective_ratio, tensile, cracked.modular_ratio, kt
    )
    return np.asarray(crack_spacing(cracked, materials) * strain)
