"""The values that EN 1990 and EN 1992-1-1 leave to each country, and the creep coefficient, each with its source.

The defaults are the values that the standards themselves recommend; `dataclasses.replace` sets those of a country.
Clauses of EN 1992-1-1:2004 unless another standard is named; the numbers are from memory where the worked examples
of the tests do not use them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Final


def _value(recommended: float, source: str, unit: str = "") -> float:
    """A field with its recommended value and its clause."""
    return field(default=recommended, metadata={"source": source, "unit": unit})


@dataclass(frozen=True)
class NationalValues:
    """Nationally determined values that bear on a floating slab; lengths in m, the others without a unit."""

    gamma_g: float = _value(1.35, "EN 1990, Table A1.2(B): permanent actions, unfavourable")
    gamma_g_favourable: float = _value(1.0, "EN 1990, Table A1.2(B): permanent actions, favourable")
    gamma_q: float = _value(1.5, "EN 1990, Table A1.2(B): variable actions")

    creep_coefficient: float = _value(
        2.0, "assumption; EN 1992-1-1, 3.1.4 and Figure 3.1 give it for the climate and the age at loading"
    )

    gamma_c: float = _value(1.5, "2.4.2.4(1), Table 2.1N: concrete")
    gamma_s: float = _value(1.15, "2.4.2.4(1), Table 2.1N: reinforcing steel")
    alpha_cc: float = _value(1.0, "3.1.6(1)P: fcd = αcc fck/γc; between 0.8 and 1.0")

    crd_c: float = _value(0.18, "6.2.2(1) and 6.4.4(1): CRd,c = 0.18/γc")
    v_min: float = _value(0.035, "6.2.2(1) and 6.4.4(1): vmin = 0.035 k^(3/2) fck^(1/2)")
    nu: float = _value(0.6, "6.2.2(6): ν = 0.6 (1 − fck/250)")
    v_rd_max: float = _value(0.5, "6.4.5(3): vRd,max = 0.5 ν fcd (0.4 since amendment A1:2014)")
    beta_interior: float = _value(1.15, "6.4.3(6), Figure 6.21N: β at an interior place")
    beta_edge: float = _value(1.4, "6.4.3(6), Figure 6.21N: β at an edge")
    beta_corner: float = _value(1.5, "6.4.3(6), Figure 6.21N: β at a corner")

    w_max: float = _value(0.3e-3, "7.3.1(5), Table 7.1N: XC2 to XC4, quasi-permanent (0.4 mm for X0, XC1)", "m")
    k3: float = _value(3.4, "7.3.4(3): share of the cover in the crack spacing")
    k4: float = _value(0.425, "7.3.4(3): share of φ/ρp,eff in the crack spacing")

    as_min_tension: float = _value(0.26, "9.2.1.1(1), Eq. 9.1N: 0.26 fctm/fyk")
    as_min_ratio: float = _value(0.0013, "9.2.1.1(1), Eq. 9.1N: at least 0.0013")
    as_max_ratio: float = _value(0.04, "9.2.1.1(3): at most 0.04 Ac")
    pitch_depths: float = _value(2.0, "9.3.1.1(3): principal steel ≤ 2 h at concentrated loads")
    pitch: float = _value(0.250, "9.3.1.1(3): principal steel ≤ 250 mm at concentrated loads", "m")


RECOMMENDED: Final = NationalValues()
"""The values that EN 1990 and EN 1992-1-1 recommend themselves."""

SOURCES: Final[Mapping[str, str]] = {item.name: item.metadata["source"] for item in fields(NationalValues)}
"""Where each value comes from: its name -> clause."""

UNITS: Final[Mapping[str, str]] = {item.name: item.metadata["unit"] for item in fields(NationalValues)}
"""Unit of each value: "m" or none."""
