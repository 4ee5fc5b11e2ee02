"""Concrete at an age: what it bears on the day of lifting. How strength grows with age is the caller's to say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from postprocess.strength.crack import cracking_moment, lower_tensile_strength

LATEST: Final = 365
"""Days after which a lift that has not passed is taken to pass never."""
MPA: Final = 1e6


@dataclass(frozen=True)
class YoungConcrete:
    """Concrete at `age` days: mean strengths fcm(t), fctm(t) and modulus Ecm(t), Pa (EN 1992-1-1:2004, 3.1.2, 3.1.3).

    fck_28: characteristic strength at 28 days, Pa.
    """

    age: float
    fcm: float
    fctm: float
    modulus: float
    fck_28: float

    @property
    def fck(self) -> float:
        """fck(t), Pa: fcm(t) − 8 MPa from 3 to 28 days, then fck (3.1.2(5)); before 3 days the same, at least 0."""
        return min(max(self.fcm - 8 * MPA, 0.0), self.fck_28)

    @property
    def fctk_005(self) -> float:
        """Lower characteristic tensile strength fctk,0.05(t) = 0.7 fctm(t), Pa (Table 3.1)."""
        return float(lower_tensile_strength(self.fctm))

    def lifting_moment(self, thickness: float, *, flexural: bool = False) -> float:
        """Moment at which the slab may crack at this age, from fctk,0.05(t), N·m/m.

        flexural: with the greater strength of thin slabs in bending (3.1.8); without it on the safe side.
        """
        return float(cracking_moment(self.fctk_005, thickness, flexural=flexural))
