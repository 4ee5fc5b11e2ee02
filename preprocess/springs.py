"""The spring catalogue: simple springs and nested pairs, from `springs.toml` to `Spring` in SI.

A simple spring is given by its rate and the deflection at which it is solid, or by the geometry of its coil.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Annotated, Any, TypeAlias

from pydantic import Field, TypeAdapter

from fem.helical_spring import Coil
from preprocess.case import Spring
from preprocess.coil import (
    RATED_LOAD,
    CoilMm,
    FreeLengthMm,
    ModulusGPa,
    RatedLoadKN,
    Seating,
    StressMPa,
    Turns,
    WireMm,
    has_geometry,
    to_coil,
)
from preprocess.entries import Code, Name, positive
from preprocess.errors import Problem
from preprocess.schema import repeated_names
from preprocess.spring_checks import EITHER, coil_problems, form_problems, solid_too_soon
from preprocess.table import OptionalList, Table
from preprocess.validation import location, tables_of, usable, validate
from preprocess.wording import nearest, quoted

RateNMm: TypeAlias = Annotated[float, positive(1e9, "N/mm")]
SolidDeflectionMm: TypeAlias = Annotated[float, positive(10_000, "mm")]

_RATE = TypeAdapter[float](RateNMm)
_SOLID_DEFLECTION = TypeAdapter[float](SolidDeflectionMm)


class SpringTable(Table):
    """One of the two ways of `EITHER`; `form_problems` holds it to that."""

    code: Code
    rate_N_mm: RateNMm | None = None
    rated_load_kN: RatedLoadKN
    solid_deflection_mm: SolidDeflectionMm | None = None
    lateral_rate_N_mm: RateNMm | None = None
    wire_mm: WireMm | None = None
    coil_mm: CoilMm | None = None
    active_turns: Turns | None = None
    total_turns: Turns | None = None
    free_length_mm: FreeLengthMm | None = None
    shear_modulus_gpa: ModulusGPa | None = None
    elastic_modulus_gpa: ModulusGPa | None = None
    seating: Seating | None = None
    allowed_stress_mpa: StressMPa | None = None


class NestedTable(Table):
    code: Code
    outer: Name
    inner: Name


class CatalogueFile(Table):
    """The whole of the catalogue."""

    spring: Annotated[list[SpringTable], Field(min_length=1)]
    nested: OptionalList[NestedTable]


@dataclass(frozen=True)
class Catalogue:
    """The springs that a jack can name.

    springs: by code, read-only, none if there are problems.
    codes: all in the order of the file, springs before pairs, usable or not; none if one of them is missing
    or doubled, since then it cannot be told which are meant to be there.
    """

    springs: Mapping[str, Spring]
    codes: tuple[str, ...]


def read_catalogue(data: Mapping[str, Any], file: str) -> tuple[Catalogue, list[Problem]]:
    """The catalogue in a parsed `springs.toml` and all that is wrong with it."""
    _, problems = validate(CatalogueFile, data, file)
    problems = [_with_either(problem) for problem in problems] + form_problems(data, file)
    problems += repeated_names(data, ("spring", "nested"), "code", file)
    simple = _simple_springs(data)
    pairs = _nested_pairs(data, simple)
    problems += _unknown_parts(data, file)
    problems += coil_problems(data, simple, pairs, file)
    problems += solid_too_soon(data, simple, pairs, file)
    complete = () if problems else (*simple.values(), *pairs.values())
    springs = MappingProxyType({spring.code: spring for spring in complete})
    return Catalogue(springs, _all_codes(data)), problems


def nested(code: str, outer: Spring, inner: Spring) -> Spring:
    """Two coils side by side in action: rates and rated loads add, the smaller solid deflection governs.

    Lateral rates add as well; that of the pair is not known unless both are.
    """
    return Spring(
        code=code,
        rate=outer.rate + inner.rate,
        rated_load=outer.rated_load + inner.rated_load,
        solid_deflection=min(outer.solid_deflection, inner.solid_deflection),
        parts=(outer.code, inner.code),
        lateral_rate=_sum_if_known(outer.lateral_rate, inner.lateral_rate),
    )


def _sum_if_known(first: float | None, second: float | None) -> float | None:
    return None if first is None or second is None else first + second


def known_coils(spring: Spring, catalogue: Mapping[str, Spring]) -> tuple[tuple[str, Coil], ...]:
    """Code and geometry of each coil of a spring or pair that the catalogue gives by its geometry."""
    coils = ((code, catalogue[code].coil) for code in spring.parts)
    return tuple((code, coil) for code, coil in coils if coil is not None)


def usable_travel(spring: Spring, catalogue: Mapping[str, Spring]) -> float:
    """Deflection at which a spring is solid, or before that at which one of its coils gives way sideways or passes its
    allowed stress, m."""
    limits = [spring.solid_deflection]
    for _, coil in known_coils(spring, catalogue):
        limits.append(float(coil.buckling_deflection))
        if coil.allowed_stress is not None:
            limits.append(coil.allowed_stress / coil.shear_stress(coil.rate))
    return min(limits)


def _code(item: Mapping[str, Any], key: str) -> str:
    value = item.get(key)
    return value.strip() if isinstance(value, str) else ""


def _codes(data: Mapping[str, Any], kind: str) -> list[str]:
    return [code for _, item in tables_of(data, kind) if (code := _code(item, "code"))]


def _all_codes(data: Mapping[str, Any]) -> tuple[str, ...]:
    """Every code of the catalogue, none unless each spring and pair has one of its own."""
    codes = _codes(data, "spring") + _codes(data, "nested")
    whole = _each_has_code(data, "spring") and _each_has_code(data, "nested")
    return tuple(codes) if whole and len(set(codes)) == len(codes) else ()


def _each_has_code(data: Mapping[str, Any], kind: str) -> bool:
    items = data.get(kind, [])
    return isinstance(items, list) and len(_codes(data, kind)) == len(items)


def _with_either(problem: Problem) -> Problem:
    """The problem with both ways to give a spring, where it lists the keys that an entry needs."""
    return replace(problem, allowed=f"{problem.allowed}, and {EITHER}") if "[[spring]]" in problem.allowed else problem


def _simple_springs(data: Mapping[str, Any]) -> dict[int, Spring]:
    """The springs whose numbers are all usable, by their index in the file."""
    found = ((index, _simple_spring(item)) for index, item in tables_of(data, "spring"))
    return {index: spring for index, spring in found if spring is not None}


def _simple_spring(item: Mapping[str, Any]) -> Spring | None:
    """The spring of an entry, None if one of its numbers is not usable; by its geometry if it has any of that."""
    code, load = _code(item, "code"), usable(RATED_LOAD, item.get("rated_load_kN"))
    rate = usable(_RATE, item.get("rate_N_mm"))
    solid = usable(_SOLID_DEFLECTION, item.get("solid_deflection_mm"))
    lateral = usable(_RATE, item["lateral_rate_N_mm"]) if "lateral_rate_N_mm" in item else None
    sideways = None if lateral is None else 1000 * lateral
    if load is None:
        return None
    if not has_geometry(item):
        if rate is None or solid is None:
            return None
        return Spring(code, 1000 * rate, 1000 * load, solid / 1000, (code,), lateral_rate=sideways)
    coil = to_coil(item)
    if coil is None:
        return None
    sideways = coil.lateral_rate if sideways is None else sideways
    return Spring(code, coil.rate, 1000 * load, coil.solid_deflection, (code,), coil, sideways)


def _nested_pairs(data: Mapping[str, Any], simple: Mapping[int, Spring]) -> dict[int, Spring]:
    """The pairs of usable springs, by their index in the file."""
    by_code = {spring.code: spring for spring in simple.values()}
    return {
        index: nested(_code(item, "code"), by_code[outer], by_code[inner])
        for index, item in tables_of(data, "nested")
        if (outer := _code(item, "outer")) in by_code and (inner := _code(item, "inner")) in by_code
    }


def _unknown_parts(data: Mapping[str, Any], file: str) -> list[Problem]:
    """Pairs of anything but two different simple springs, as far as the codes of those are known."""
    simple = _codes(data, "spring")
    known = _each_has_code(data, "spring") and len(set(simple)) == len(simple)
    pairs = _codes(data, "nested")
    problems = []
    for index, item in tables_of(data, "nested"):
        for key in ("outer", "inner"):
            part = _code(item, key)
            if part and known and part not in simple:
                allowed = "a simple spring" if part in pairs else nearest(part, simple, "spring")
                problems.append(Problem(file, location(data, ("nested", index, key)), quoted(part), allowed))
        if _code(item, "outer") and _code(item, "outer") == _code(item, "inner"):
            where = location(data, ("nested", index, "inner"))
            problems.append(Problem(file, where, quoted(item["inner"]), "another spring than the outer"))
    return problems
