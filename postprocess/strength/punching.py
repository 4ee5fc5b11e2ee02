"""Punching without shear reinforcement, EN 1992-1-1:2004, 6.4: at jacks (upward) and at equipment pads (downward).

A jack pushes upward, so its tension face is the top, and d and ρl are those of the top layer; under a pad they are
those of the bottom layer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.strength.factors import NationalValues
from postprocess.strength.materials import Materials
from postprocess.strength.perimeter import Perimeter, Position
from postprocess.strength.shear import shear_strength

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Punching:
    """n places. stress: (n,) vEd on the control perimeter; strength: vRd,c; face_stress: (n,) vEd at the loaded
    area; face_limit: vRd,max. All in Pa.
    """

    stress: Floats
    strength: float
    face_stress: Floats
    face_limit: float

    @property
    def use(self) -> Floats:
        """(n,) the larger of both stresses over its limit; 1 is full use."""
        return np.maximum(self.stress / self.strength, self.face_stress / self.face_limit)


def eccentricity_factor(position: Position, values: NationalValues) -> float:
    """β (6.4.3(6)), for spans that differ by no more than a quarter."""
    return {"interior": values.beta_interior, "edge": values.beta_edge, "corner": values.beta_corner}[position]


def steel_ratio(ratio_x: float, ratio_y: float) -> float:
    """ρl = √(ρlx ρly) ≤ 0.02 (6.4.4(1)), of the steel in tension over the loaded area and 3d to each side."""
    return min(float(np.sqrt(ratio_x * ratio_y)), 0.02)


def face_strength(materials: Materials) -> float:
    """vRd,max, Pa: 0.5 ν fcd (6.4.5(3))."""
    return materials.values.v_rd_max * materials.strut_factor * materials.fcd


def punching(
    force: Floats, perimeters: Sequence[Perimeter], depth: float, ratio: float, materials: Materials
) -> Punching:
    """Stresses of design forces (n,) N ≥ 0 on their perimeters.

    depth: d, m, mean of both directions, the same that the perimeters were drawn with. ratio: ρl. A perimeter of no
    length, cut away by openings, gives an infinite stress under a force.
    """
    beta = np.array([eccentricity_factor(each.position, materials.values) for each in perimeters])
    around = np.array([each.length for each in perimeters])
    face = np.array([each.face for each in perimeters])
    load = beta * force
    return Punching(
        stress=_over(load, around * depth),  # Eq. 6.38
        strength=float(shear_strength(depth, ratio, materials)),  # Eq. 6.47
        face_stress=_over(load, face * depth),  # Eq. 6.53
        face_limit=face_strength(materials),
    )


def _over(load: Floats, area: Floats) -> Floats:
    """load/area, infinite where a load has no area."""
    quotient = np.where(load > 0, np.inf, 0.0)
    return np.divide(load, area, out=quotient, where=area > 0)
