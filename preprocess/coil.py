"""The geometry of a coil in a catalogue entry: its keys, what cannot be, and the `Coil` in SI that it makes."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Final, TypeAlias

from pydantic import TypeAdapter

from fem.helical_spring import DEFAULT_SEATING, ELASTIC_MODULUS, SEATINGS, SHEAR_MODULUS, Coil, shear_stress
from preprocess.case import Spring
from preprocess.entries import number, one_of, positive
from preprocess.validation import usable

WireMm: TypeAlias = Annotated[float, number(0.5, 100, "mm")]
CoilMm: TypeAlias = Annotated[float, number(1, 1000, "mm")]
Turns: TypeAlias = Annotated[float, number(0.5, 200, "turns")]
FreeLengthMm: TypeAlias = Annotated[float, number(1, 10_000, "mm")]
ModulusGPa: TypeAlias = Annotated[float, number(10, 500, "GPa")]
RatedLoadKN: TypeAlias = Annotated[float, positive(100_000, "kN")]
StressMPa: TypeAlias = Annotated[float, positive(5000, "MPa")]
Seating: TypeAlias = Annotated[str, one_of(SEATINGS, "seating")]

Item = Mapping[str, Any]
Fault = tuple[str, str, str]
"""Key of the entry, what was received, what is allowed."""

END_TURNS: Final = 2
"""Turns that carry nothing, one closed and ground at each end; EN 13906-1 for cold-coiled springs, from memory."""

RATED_LOAD: Final = TypeAdapter[float](RatedLoadKN)

REQUIRED: Final = ("wire_mm", "coil_mm", "active_turns", "free_length_mm")
_NUMBERS: Final = {
    "wire_mm": TypeAdapter[float](WireMm),
    "coil_mm": TypeAdapter[float](CoilMm),
    "active_turns": TypeAdapter[float](Turns),
    "total_turns": TypeAdapter[float](Turns),
    "free_length_mm": TypeAdapter[float](FreeLengthMm),
    "shear_modulus_gpa": TypeAdapter[float](ModulusGPa),
    "elastic_modulus_gpa": TypeAdapter[float](ModulusGPa),
    "allowed_stress_mpa": TypeAdapter[float](StressMPa),
}
_SEATING: Final = TypeAdapter[str](Seating)
KEYS: Final = (*_NUMBERS, "seating")

_DEFAULTS: Final = {"shear_modulus_gpa": SHEAR_MODULUS / 1e9, "elastic_modulus_gpa": ELASTIC_MODULUS / 1e9}


def has_geometry(item: Item) -> bool:
    """Whether an entry has any key of a coil's geometry."""
    return any(key in item for key in KEYS)


def to_coil(item: Item) -> Coil | None:
    """The coil of an entry, None unless it can be wound and all keys but the allowed stress are usable."""
    numbers = {key: _number(item, key) for key in _NUMBERS if key != "allowed_stress_mpa"}
    allowed = _number(item, "allowed_stress_mpa")
    seating = usable(_SEATING, item.get("seating", DEFAULT_SEATING))
    found = {key: value for key, value in numbers.items() if value is not None}
    if seating is None or len(found) < len(numbers) or any(_shape_faults(item)):
        return None
    return Coil(
        wire=found["wire_mm"] / 1000,
        diameter=found["coil_mm"] / 1000,
        active_turns=found["active_turns"],
        total_turns=found["total_turns"],
        free_length=found["free_length_mm"] / 1000,
        shear_modulus=1e9 * found["shear_modulus_gpa"],
        elastic_modulus=1e9 * found["elastic_modulus_gpa"],
        seating=seating,
        allowed_stress=None if allowed is None else 1e6 * allowed,
    )


def coil_faults(item: Item) -> list[Fault]:
    """What no single key of an entry shows, as far as its keys are usable."""
    return [*_shape_faults(item), *_modulus_faults(item), *_stress_faults(item)]


def fit_fault(outer: Coil, inner: Coil) -> str | None:
    """What is allowed of the inner coil if it does not go into the outer one."""
    if inner.outside_diameter < outer.inside_diameter:
        return None
    inside, outside = 1000 * outer.inside_diameter, 1000 * inner.outside_diameter
    return f"an outside diameter below {inside:.6g} mm, the inside diameter of the outer coil; it has {outside:.6g} mm"


def pair_stress_faults(pair: Spring, parts: tuple[Spring, Spring]) -> Iterator[tuple[str, str]]:
    """What was received and what is allowed where only the pair's rated load stresses a coil too highly.

    Both coils are compressed alike, so a coil may carry more than its own rated load.
    """
    for part in parts:
        coil = part.coil
        if coil is None or coil.allowed_stress is None or coil.shear_stress(part.rated_load) > coil.allowed_stress:
            continue
        load = part.rate * pair.rated_deflection
        stress = coil.shear_stress(load)
        if stress > coil.allowed_stress:
            limit = f"at most allowed_stress_mpa, {coil.allowed_stress / 1e6:.6g} MPa, at the rated load of the pair"
            share = f"{load / 1000:.6g} kN of it on this coil"
            yield f"{stress / 1e6:.6g} MPa in {part.code}", f"{limit} ({share}): coils closer in rated deflection"


def _number(item: Item, key: str) -> float | None:
    """The number under `key` or its default, None if it is not usable."""
    if key == "total_turns" and key not in item:
        active = _number(item, "active_turns")
        return None if active is None else active + END_TURNS
    return usable(_NUMBERS[key], item.get(key, _DEFAULTS.get(key)))


def _shape_faults(item: Item) -> Iterator[Fault]:
    """Coils that cannot be wound."""
    wire, coil, free = _number(item, "wire_mm"), _number(item, "coil_mm"), _number(item, "free_length_mm")
    active, total = _number(item, "active_turns"), _number(item, "total_turns")
    if wire is not None and coil is not None and coil < 2 * wire:
        yield "coil_mm", f"{coil:.6g}", f"the mean diameter, at least 2 × wire_mm = {2 * wire:.6g} mm"
    if active is not None and total is not None and total < active:
        yield "total_turns", f"{total:.6g}", f"at least active_turns, {active:.6g}"
    elif wire is not None and total is not None and free is not None and free <= total * wire:
        solid = f"the solid length, {total * wire:.6g} mm ({total:.6g} turns in all × wire_mm)"
        yield "free_length_mm", f"{free:.6g}", f"more than {solid}"


def _modulus_faults(item: Item) -> Iterator[Fault]:
    """Moduli that belong to no one material: G/E = 1/(2 + 2ν) with Poisson's ratio ν from 0 to 0.5."""
    shear, elastic = _number(item, "shear_modulus_gpa"), _number(item, "elastic_modulus_gpa")
    if shear is None or elastic is None or elastic / 3 <= shear <= elastic / 2:
        return
    key, value = ("shear_modulus_gpa", shear) if "shear_modulus_gpa" in item else ("elastic_modulus_gpa", elastic)
    both = f"they are {shear:.6g} and {elastic:.6g} GPa"
    yield key, f"{value:.6g}", f"a shear modulus from a third to a half of the elastic modulus; {both}"


def _stress_faults(item: Item) -> Iterator[Fault]:
    """Springs that their rated load stresses beyond what is allowed."""
    wire, coil, most = (_number(item, key) for key in ("wire_mm", "coil_mm", "allowed_stress_mpa"))
    load = usable(RATED_LOAD, item.get("rated_load_kN"))
    if wire is None or coil is None or most is None or load is None or coil < 2 * wire:
        return
    stress = shear_stress(1000 * load, wire, coil)
    if stress > most:
        why = f"a shear stress of {stress:.6g} MPa is above allowed_stress_mpa, {most:.6g} MPa"
        yield "rated_load_kN", f"{load:.6g}", f"at most {load * most / stress:.6g} kN, as {why}"
