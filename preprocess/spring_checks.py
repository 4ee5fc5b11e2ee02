"""What no single key of the spring catalogue shows: springs and pairs that make no sense as a whole."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from preprocess.case import Spring
from preprocess.coil import KEYS, REQUIRED, coil_faults, fit_fault, pair_stress_faults
from preprocess.errors import Problem
from preprocess.validation import location, tables_of
from preprocess.wording import quoted

RATE_KEYS: Final = ("rate_N_mm", "solid_deflection_mm")
EITHER: Final = f"either {' and '.join(RATE_KEYS)}, or {', '.join(REQUIRED[:-1])} and {REQUIRED[-1]}"
"""The two ways to give a spring."""


def form_problems(data: Mapping[str, Any], file: str) -> list[Problem]:
    """Entries with keys of both ways to give a spring, of neither, or with one missing."""
    problems = []
    for index, item in tables_of(data, "spring"):
        rate = [key for key in RATE_KEYS if key in item]
        geometry = [key for key in KEYS if key in item]
        where = location(data, ("spring", index))
        if bool(rate) == bool(geometry):
            value = f"{', '.join(rate)} with {', '.join(geometry)}" if rate else "neither rate nor geometry"
            problems.append(Problem(file, where, value, EITHER))
            continue
        missing = [key for key in (RATE_KEYS if rate else REQUIRED) if key not in item]
        problems += [Problem(file, f"{where}.{key}", "", "required, but missing") for key in missing]
    return problems


def coil_problems(
    data: Mapping[str, Any], simple: Mapping[int, Spring], pairs: Mapping[int, Spring], file: str
) -> list[Problem]:
    """Coils that cannot be wound, that do not go into one another or that the rated load stresses too highly."""
    single = [
        Problem(file, location(data, ("spring", index, key)), value, allowed)
        for index, item in tables_of(data, "spring")
        for key, value, allowed in coil_faults(item)
    ]
    return single + _pair_problems(data, simple, pairs, file)


def _pair_problems(
    data: Mapping[str, Any], simple: Mapping[int, Spring], pairs: Mapping[int, Spring], file: str
) -> list[Problem]:
    """Pairs whose inner coil does not go into the outer one or whose rated load stresses a coil too highly."""
    by_code = {spring.code: spring for spring in simple.values()}
    problems = []
    for index, pair in pairs.items():
        outer, inner = (by_code[code] for code in pair.parts)
        if outer.coil and inner.coil and outer is not inner and (allowed := fit_fault(outer.coil, inner.coil)):
            where = location(data, ("nested", index, "inner"))
            problems.append(Problem(file, where, quoted(inner.code), allowed))
        where = location(data, ("nested", index))
        faults = pair_stress_faults(pair, (outer, inner))
        problems += [Problem(file, where, value, allowed) for value, allowed in faults]
    return problems


def solid_too_soon(
    data: Mapping[str, Any], simple: Mapping[int, Spring], pairs: Mapping[int, Spring], file: str
) -> list[Problem]:
    """Springs that would be solid before they carry their rated load."""
    problems = []
    for kind, springs in (("spring", simple), ("nested", pairs)):
        for index, spring in springs.items():
            if spring.solid_deflection > spring.rated_deflection:
                continue
            keys = () if kind == "nested" else ("free_length_mm" if spring.coil else "solid_deflection_mm",)
            value, allowed = _too_soon(spring, bool(keys))
            problems.append(Problem(file, location(data, (kind, index, *keys)), value, allowed))
    return problems


def _too_soon(spring: Spring, single: bool) -> tuple[str, str]:
    """What was received and what is allowed for a spring that would be solid before it carries its rated load."""
    solid, rated = 1000 * spring.solid_deflection, 1000 * spring.rated_deflection
    if spring.coil:
        length = 1000 * spring.coil.solid_length
        parts = f"the solid length, {length:.6g} mm, and the deflection at the rated load, {rated:.6g} mm"
        return f"{1000 * spring.coil.free_length:.6g}", f"more than {length + rated:.6g} mm, {parts}, together"
    value = f"{solid:.6g}" + ("" if single else " mm to solid")
    return value, f"more than the deflection at the rated load, {rated:.6g} mm (rated load over rate)"
