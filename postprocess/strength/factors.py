"""The values that EN 1990 and EN 1992-1-1 leave to each country, each with its source.

The defaults are the values that the standards themselves recommend. Clauses of EN 1992-1-1:2004 unless another
standard is named; the numbers are from memory where the worked examples of the tests do not use them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Final

from postprocess.strength.errors import StrengthError
from postprocess.strength.naming import unknown


def _value(recommended: float, source: str, low: float, high: float) -> float:
    """A field with its recommended value, its clause, and the range outside which a value makes no sense."""
    return field(default=recommended, metadata={"source": source, "low": low, "high": high})


@dataclass(frozen=True)
class NationalValues:
    """Nationally determined values; lengths in m, the others without a unit."""

    gamma_g: float = _value(1.35, "EN 1990, Table A1.2(B): permanent actions, unfavourable", 1.0, 2.0)
    gamma_g_favourable: float = _value(1.0, "EN 1990, Table A1.2(B): permanent actions, favourable", 0.0, 1.0)
    gamma_q: float = _value(1.5, "EN 1990, Table A1.2(B): variable actions", 1.0, 2.5)

    gamma_c: float = _value(1.5, "2.4.2.4(1), Table 2.1N: concrete", 1.0, 2.5)
    gamma_s: float = _value(1.15, "2.4.2.4(1), Table 2.1N: reinforcing steel", 1.0, 2.0)
    alpha_cc: float = _value(1.0, "3.1.6(1)P: fcd = αcc fck/γc; between 0.8 and 1.0", 0.8, 1.0)

    crd_c: float = _value(0.18, "6.2.2(1) and 6.4.4(1): CRd,c = 0.18/γc", 0.05, 0.30)
    v_min: float = _value(0.035, "6.2.2(1) and 6.4.4(1): vmin = 0.035 k^(3/2) fck^(1/2)", 0.0, 0.10)
    k1: float = _value(0.15, "6.2.2(1): share of the axial stress σcp", 0.0, 0.30)
    nu: float = _value(0.6, "6.2.2(6): ν = 0.6 (1 − fck/250)", 0.1, 1.0)
    v_rd_max: float = _value(0.5, "6.4.5(3): vRd,max = 0.5 ν fcd (0.4 since amendment A1:2014)", 0.1, 0.5)
    beta_interior: float = _value(1.15, "6.4.3(6), Figure 6.21N: β at an interior place", 1.0, 3.0)
    beta_edge: float = _value(1.4, "6.4.3(6), Figure 6.21N: β at an edge", 1.0, 3.0)
    beta_corner: float = _value(1.5, "6.4.3(6), Figure 6.21N: β at a corner", 1.0, 3.0)

    w_max: float = _value(0.3e-3, "7.3.1(5), Table 7.1N: XC2 to XC4, quasi-permanent (0.4 mm for X0, XC1)", 5e-5, 1e-3)
    k3: float = _value(3.4, "7.3.4(3): share of the cover in the crack spacing", 0.0, 5.0)
    k4: float = _value(0.425, "7.3.4(3): share of φ/ρp,eff in the crack spacing", 0.1, 1.0)

    as_min_tension: float = _value(0.26, "9.2.1.1(1), Eq. 9.1N: 0.26 fctm/fyk", 0.1, 1.0)
    as_min_ratio: float = _value(0.0013, "9.2.1.1(1), Eq. 9.1N: at least 0.0013", 0.0005, 0.01)
    as_max_ratio: float = _value(0.04, "9.2.1.1(3): at most 0.04 Ac", 0.01, 0.10)
    pitch_main_depths: float = _value(3.0, "9.3.1.1(3): principal steel ≤ 3 h", 1.0, 6.0)
    pitch_main: float = _value(0.400, "9.3.1.1(3): principal steel ≤ 400 mm", 0.05, 1.0)
    pitch_cross_depths: float = _value(3.5, "9.3.1.1(3): secondary steel ≤ 3.5 h", 1.0, 6.0)
    pitch_cross: float = _value(0.450, "9.3.1.1(3): secondary steel ≤ 450 mm", 0.05, 1.0)
    peak_pitch_main_depths: float = _value(2.0, "9.3.1.1(3): principal steel ≤ 2 h at concentrated loads", 1.0, 6.0)
    peak_pitch_main: float = _value(0.250, "9.3.1.1(3): principal steel ≤ 250 mm at concentrated loads", 0.05, 1.0)
    peak_pitch_cross_depths: float = _value(3.0, "9.3.1.1(3): secondary steel ≤ 3 h at concentrated loads", 1.0, 6.0)
    peak_pitch_cross: float = _value(0.400, "9.3.1.1(3): secondary steel ≤ 400 mm at concentrated loads", 0.05, 1.0)


RECOMMENDED: Final = NationalValues()
"""The values that EN 1990 and EN 1992-1-1 recommend themselves."""

SOURCES: Final[Mapping[str, str]] = {item.name: item.metadata["source"] for item in fields(NationalValues)}
"""Where each value comes from: its name -> clause."""

_RANGES: Final = {item.name: (item.metadata["low"], item.metadata["high"]) for item in fields(NationalValues)}


def value_problems(changes: Mapping[str, object]) -> tuple[str, ...]:
    """What is wrong with values that shall replace recommended ones: unknown names, values that make no sense."""
    problems = []
    for name, value in changes.items():
        if name not in _RANGES:
            problems.append(unknown(name, _RANGES, "national value"))
            continue
        low, high = _RANGES[name]
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            problems.append(f"{name} = {value}: it must be a number from {low:g} to {high:g} ({SOURCES[name]})")
    return tuple(problems)


def replace_values(values: NationalValues, changes: Mapping[str, float]) -> NationalValues:
    """`values` with `changes` (name -> value in SI); StrengthError names all unknown names and senseless values."""
    problems = value_problems(changes)
    if problems:
        raise StrengthError(problems)
    return replace(values, **{name: float(value) for name, value in changes.items()})
