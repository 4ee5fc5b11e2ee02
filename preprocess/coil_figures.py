"""What the geometry of a coil says, for papers: mm, kN, N/mm, MPa, GPa, Hz."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import isfinite, pi, sqrt
from typing import Any, Final

from fem.gravity import GRAVITY
from fem.helical_spring import Coil
from preprocess.case import Spring

INDEX: Final = (4.0, 20.0)
LEAST_ACTIVE_TURNS: Final = 2.0
"""Within these EN 13906-1 holds for cold-coiled springs, from memory."""

Figures = dict[str, Any]


def coil_figures(spring: Spring) -> Figures:
    """The figures of a single spring given by its geometry, at its rated load, fit for JSON.

    shear_stress_mpa is without correction for the curvature of the wire, which is how static loading is judged
    (EN 13906-1, from memory); corrected_shear_stress_mpa is k times that. None: allowed_stress_mpa not given, or
    buckling_deflection_mm of a spring that never gives way sideways. notes: what to heed, in words, though no error.
    Raises ValueError for a spring whose geometry is not known.
    """
    if spring.coil is None:
        raise ValueError(f"the geometry of {spring.code} is not known")
    return _figures(spring.code, spring.coil, spring.rated_load)


def pair_figures(pair: Spring, springs: Mapping[str, Spring]) -> Figures:
    """The figures of each coil of a nested pair whose geometry is known, at the pair's rated load.

    springs: the catalogue, by code. radial_gap_mm: between the coils without load, None unless both are known.
    """
    parts = [springs[code] for code in pair.parts]
    known = [(part, part.coil) for part in parts if part.coil is not None]
    gap = None
    notes = ["wound in opposite hands, so that the turns cannot catch (common practice, no source)"]
    if len(known) == 2:
        (_, outer), (_, inner) = known
        gap = 500 * (outer.inside_diameter - inner.outside_diameter)
        step = 1000 * (outer.free_length - inner.free_length)
        if abs(step) > 1e-6:
            shorter = "inner" if step > 0 else "outer"
            notes.append(f"a packer of {abs(step):.6g} mm under the {shorter} coil, or the two do not act together")
    deflection = pair.rated_deflection
    return {
        "code": pair.code,
        "rated_load_kN": pair.rated_load / 1000,
        "rated_deflection_mm": 1000 * deflection,
        "radial_gap_mm": gap,
        "coils": [_figures(part.code, coil, part.rate * deflection) for part, coil in known],
        "notes": notes,
    }


def catalogue_figures(springs: Mapping[str, Spring]) -> list[Figures]:
    """One entry for each spring whose geometry is known and each pair that has such a coil, in their order."""
    entries = []
    for spring in springs.values():
        if spring.coil is not None:
            entries.append(coil_figures(spring))
        elif len(spring.parts) > 1 and any(springs[code].coil for code in spring.parts):
            entries.append(pair_figures(spring, springs))
    return entries


def _figures(code: str, coil: Coil, load: float) -> Figures:
    """The coil under `load` N."""
    deflection = load / coil.rate
    stress, solid_stress = coil.shear_stress(load), coil.shear_stress(coil.rate * coil.solid_deflection)
    buckling = coil.buckling_deflection
    return {
        "code": code,
        **_geometry(coil),
        "spring_index": coil.index,
        "correction_factor": coil.correction_factor,
        "rate_N_mm": coil.rate / 1000,
        "load_kN": load / 1000,
        "deflection_mm": 1000 * deflection,
        "length_mm": 1000 * (coil.free_length - deflection),
        "solid_length_mm": 1000 * coil.solid_length,
        "solid_deflection_mm": 1000 * coil.solid_deflection,
        "travel_left_mm": 1000 * (coil.solid_deflection - deflection),
        "natural_frequency_hz": sqrt(GRAVITY / deflection) / (2 * pi),
        "shear_stress_mpa": stress / 1e6,
        "corrected_shear_stress_mpa": coil.correction_factor * stress / 1e6,
        "shear_stress_solid_mpa": solid_stress / 1e6,
        "buckling_deflection_mm": 1000 * buckling if isfinite(buckling) else None,
        "stable": deflection < buckling,
        "lateral_rate_unloaded_N_mm": coil.lateral_rate / 1000,
        "notes": list(_notes(coil, load)),
    }


def _geometry(coil: Coil) -> Figures:
    """What the catalogue says, its defaults filled in."""
    return {
        "wire_mm": 1000 * coil.wire,
        "coil_mm": 1000 * coil.diameter,
        "inside_diameter_mm": 1000 * coil.inside_diameter,
        "outside_diameter_mm": 1000 * coil.outside_diameter,
        "active_turns": coil.active_turns,
        "total_turns": coil.total_turns,
        "free_length_mm": 1000 * coil.free_length,
        "shear_modulus_gpa": coil.shear_modulus / 1e9,
        "elastic_modulus_gpa": coil.elastic_modulus / 1e9,
        "seating": coil.seating,
        "seating_coefficient": coil.seating_coefficient,
        "allowed_stress_mpa": None if coil.allowed_stress is None else coil.allowed_stress / 1e6,
    }


def _notes(coil: Coil, load: float) -> Iterator[str]:
    """What to heed of the coil under `load` N."""
    deflection, buckling = load / coil.rate, coil.buckling_deflection
    if deflection >= buckling:
        yield f"gives way sideways at {1000 * buckling:.3g} mm, before this load, with {coil.seating} ends"
    elif coil.solid_deflection > buckling:
        yield f"gives way sideways at {1000 * buckling:.3g} mm, before it is solid, with {coil.seating} ends"
    if not INDEX[0] <= coil.index <= INDEX[1]:
        yield f"spring index {coil.index:.3g}: the formulas are for {INDEX[0]:g} to {INDEX[1]:g} (from memory)"
    if coil.active_turns < LEAST_ACTIVE_TURNS:
        yield f"{coil.active_turns:.3g} active turns: the formulas are for {LEAST_ACTIVE_TURNS:g} or more (from memory)"
    yield from _stress_notes(coil, load)


def _stress_notes(coil: Coil, load: float) -> Iterator[str]:
    """Stresses above the allowed one that are no error: corrected, and at solid."""
    if coil.allowed_stress is None:
        yield "shear stress not checked: the catalogue gives no allowed_stress_mpa"
        return
    limit = f"above the allowed {coil.allowed_stress / 1e6:.4g} MPa"
    corrected = coil.correction_factor * coil.shear_stress(load)
    if corrected > coil.allowed_stress:
        yield f"shear stress with correction {corrected / 1e6:.4g} MPa, {limit}: matters if the load changes often"
    solid = coil.shear_stress(coil.rate * coil.solid_deflection)
    if solid > coil.allowed_stress:
        yield f"shear stress at solid {solid / 1e6:.4g} MPa, {limit}: pressed solid it may stay shorter"
