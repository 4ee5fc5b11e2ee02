"""Design strengths of concrete and steel, and the stress block that goes with them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from postprocess.strength.factors import RECOMMENDED, NationalValues

MPA: Final = 1e6
STEEL_MODULUS: Final = 200e9
"""Es, Pa (3.2.7(4))."""


@dataclass(frozen=True)
class Materials:
    """fck, fyk: characteristic cylinder and yield strength, Pa. Clauses of EN 1992-1-1:2004."""

    fck: float
    fyk: float
    values: NationalValues = RECOMMENDED

    @property
    def fcd(self) -> float:
        """Design compressive strength, Pa: αcc fck/γc (Eq. 3.15)."""
        return self.values.alpha_cc * self.fck / self.values.gamma_c

    @property
    def fyd(self) -> float:
        """Design yield strength, Pa: fyk/γs (3.2.7(2), horizontal top branch, no limit of strain)."""
        return self.fyk / self.values.gamma_s

    @property
    def yield_strain(self) -> float:
        """fyd/Es."""
        return self.fyd / STEEL_MODULUS

    @property
    def block_depth(self) -> float:
        """λ: depth of the rectangular block over the depth of the neutral axis (Eq. 3.19 and 3.20)."""
        return 0.8 - max(self.fck / MPA - 50, 0) / 400

    @property
    def block_strength(self) -> float:
        """η fcd: stress of the rectangular block, Pa (Eq. 3.21 and 3.22)."""
        return (1.0 - max(self.fck / MPA - 50, 0) / 200) * self.fcd

    @property
    def ultimate_strain(self) -> float:
        """εcu3 (Table 3.1)."""
        if self.fck <= 50 * MPA:
            return 3.5e-3
        return float(2.6 + 35 * ((90 - self.fck / MPA) / 100) ** 4) * 1e-3

    @property
    def strut_factor(self) -> float:
        """ν = 0.6 (1 − fck/250 MPa) (Eq. 6.6N)."""
        return self.values.nu * (1 - self.fck / (250 * MPA))

    def with_concrete(self, fck: float) -> Materials:
        """The same steel and values with another concrete strength, Pa: the slab on the day of lifting."""
        return replace(self, fck=fck)
