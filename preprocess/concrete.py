"""Properties of concrete after EN 1992-1-1:2004, 3.1: strength, stiffness and their growth with age."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log, sqrt
from typing import Final

MPA: Final = 1e6
GPA: Final = 1e9

STRENGTH_CLASSES: Final = {
    "C12/15": 12.0,
    "C16/20": 16.0,
    "C20/25": 20.0,
    "C25/30": 25.0,
    "C28/35": 28.0,  # C28/35 and C32/40 are not in Table 3.1: BS 8500-1 adds them (from memory)
    "C30/37": 30.0,
    "C32/40": 32.0,
    "C35/45": 35.0,
    "C40/50": 40.0,
    "C45/55": 45.0,
    "C50/60": 50.0,
    "C55/67": 55.0,
    "C60/75": 60.0,
    "C70/85": 70.0,
    "C80/95": 80.0,
    "C90/105": 90.0,
}
"""Characteristic cylinder strength fck of each class, MPa (EN 1992-1-1:2004, Table 3.1)."""

CEMENT_CLASSES: Final = {"R": 0.20, "N": 0.25, "S": 0.38}
"""Coefficient s of each cement class (EN 1992-1-1:2004, 3.1.2(6))."""


@dataclass(frozen=True)
class Concrete:
    """A concrete by strength class, cement class (R, N or S) and characteristic cylinder strength fck, Pa.

    The functions of age take days (above 0) and hold for curing at 20 °C, EN 1992-1-1:2004, 3.1.2(6).
    """

    strength_class: str
    cement_class: str
    fck: float

    @classmethod
    def of_class(cls, strength_class: str, cement_class: str = "N") -> Concrete:
        """The concrete of a class of the standard, e.g. "C32/40"; KeyError for any other name."""
        CEMENT_CLASSES[cement_class]
        return cls(strength_class, cement_class, STRENGTH_CLASSES[strength_class] * MPA)

    @property
    def fcm(self) -> float:
        """Mean compressive strength at 28 days, Pa: fck + 8 MPa (Table 3.1)."""
        return self.fck + 8 * MPA

    @property
    def fctm(self) -> float:
        """Mean axial tensile strength at 28 days, Pa (Table 3.1, both ranges of class)."""
        if self.fck <= 50 * MPA:
            return 0.30 * float((self.fck / MPA) ** (2 / 3)) * MPA
        return 2.12 * log(1 + self.fcm / (10 * MPA)) * MPA

    @property
    def modulus(self) -> float:
        """Secant modulus Ecm at 28 days, Pa: 22 (fcm/10 MPa)^0.3 GPa (Table 3.1), quartzite aggregate."""
        return 22 * float((self.fcm / (10 * MPA)) ** 0.3) * GPA

    def beta_cc(self, age: float) -> float:
        """Share of the 28-day mean strength at `age` days (Eq. 3.2): exp{s [1 − √(28/t)]}."""
        if not age > 0:
            raise ValueError(f"age of the concrete: got {age} days: it must be above 0")
        s = CEMENT_CLASSES[self.cement_class]
        return exp(s * (1 - sqrt(28 / age)))

    def fcm_at(self, age: float) -> float:
        """Mean compressive strength at `age` days, Pa (Eq. 3.1)."""
        return self.beta_cc(age) * self.fcm

    def fctm_at(self, age: float) -> float:
        """Mean axial tensile strength at `age` days, Pa (Eq. 3.4): exponent 1 below 28 days, then 2/3."""
        alpha = 1.0 if age < 28 else 2 / 3
        return float(self.beta_cc(age) ** alpha) * self.fctm

    def modulus_at(self, age: float) -> float:
        """Secant modulus Ecm at `age` days, Pa (Eq. 3.5): (fcm(t)/fcm)^0.3 Ecm."""
        return float(self.beta_cc(age) ** 0.3) * self.modulus
