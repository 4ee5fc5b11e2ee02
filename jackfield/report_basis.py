"""What a case is built on, as plain strings and small tables for the report: assumptions with their sources, loads."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any, Final

from fem.gravity import GRAVITY
from postprocess.report.load_sections import LoadEntry, SlabFacts
from preprocess.case import Case
from preprocess.files import read_content
from preprocess.loads import PATTERNS, AppliedLoad, applied_loads, state_factors
from preprocess.schema import CASE_FILE

Assumption = tuple[str, str, str]
"""What is assumed, its value, and where it comes from."""

CONVENTIONS: Final = (
    "Plan axes x and y; deflection and loads are positive downward, jack loads positive in compression.",
    "Moments in kN·m/m, sagging (tension in the bottom face) positive. Mx stresses the slab along x, My along y.",
    "bare: self-weight only, as lifted. service: self-weight, finishes, equipment, line loads and the sustained share "
    "of the imposed load. full: the same with all of the imposed load.",
    "Load ratio: load of a jack over the rated load of its spring. Travel left: deflection at which the spring is "
    "solid, less its compression.",
    "Modes are those of the service floor, without the mass of the imposed load.",
)
LEFT_OUT: Final = (
    "Thin-plate theory: shear deformation is left out, and the thickness is the same everywhere.",
    "Moments at re-entrant corners are singular in it: means over strips stand for them.",
    "Springs are linear and vertical: one that would pull or be solid is shown as such and fails a check; the slab is "
    "not followed as it comes off a jack.",
    "Load ratios are judged in service; in the full state springs are judged by the travel left until they are solid.",
    "Cracking does not soften the slab; creep and shrinkage count in crack widths and sags only.",
    "Walls, thresholds and joints around the slab carry nothing.",
)
BAYS: Final = "bays of the case, in the part on motion; jack loads take it for rigid"


def slab_facts(case: Case) -> SlabFacts:
    """The concrete plate."""
    return SlabFacts(case.slab.plan, case.slab.thickness, case.slab.density)


def job_words(case: Case) -> str:
    """What is built, in a paragraph."""
    slab, jacks = case.slab, case.jacks
    codes = len({spring.code for spring in jacks.springs})
    openings = len(slab.plan.interiors)
    words = f" with {openings} opening{'s' * (openings != 1)}" if openings else ""
    return (
        f"A floating concrete slab of {slab.thickness * 1e3:g} mm over {slab.plan.area:.1f} m²{words}, on {len(jacks)} "
        f"spring jacks with {codes} kind{'s' * (codes != 1)} of spring, inside an existing building. It is cast on a "
        "sheet on the structural floor and lifted by the screws of the jacks, until it floats on its springs. This "
        "calculation gives jack loads, natural frequencies, bending with both layers of steel, and what the jacks "
        "press on the existing floor."
    )


def assumptions(case: Case) -> tuple[Assumption, ...]:
    """Every assumption that the numbers rest on."""
    return (
        tuple(_material(case))
        + tuple(_support(case))
        + tuple(_loading(case))
        + tuple(_steel(case))
        + tuple(_rest(case))
    )


def _given(case: Case) -> dict[str, Any]:
    """The tables of the case file as they stand; none where it cannot be read any more."""
    content, fault = read_content(case.folder, CASE_FILE)
    if fault:
        return {}
    try:
        return tomllib.loads(content.decode("utf-8-sig"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError):
        return {}


def _source(given: dict[str, Any], table: str, key: str, otherwise: str = "assumed by the program") -> str:
    """The key of the case where it is given, and else what stands for it."""
    found = given.get(table)
    stands = isinstance(found, dict) and key in found
    return f"{table}.{key} of the case" if stands else f"{otherwise}: the case has no {table}.{key}"


def _material(case: Case) -> Iterator[Assumption]:
    slab, given = case.slab, _given(case)
    yield "Plate", "thin, elastic, uncracked", "Kirchhoff; Timoshenko and Woinowsky-Krieger, 1959"
    yield "Thickness, everywhere", f"{slab.thickness * 1e3:g} mm", "slab.thickness_mm of the case"
    yield "Density", f"{slab.density:g} kg/m³", _source(given, "slab", "density_kg_m3")
    strength = f"{slab.concrete.strength_class}, cement class {slab.concrete.cement_class}"
    yield "Concrete", strength, _source(given, "slab", "strength_class")
    table = "EN 1992-1-1, Table 3.1: Ecm = 22 (fcm/10)^0.3 GPa"
    modulus = _source(given, "slab", "modulus_gpa", table)
    yield "Modulus of elasticity", f"{slab.modulus / 1e9:.2f} GPa", modulus
    ratio = _source(given, "slab", "poissons_ratio", "EN 1992-1-1, 3.1.3(4), uncracked")
    yield "Poisson's ratio", f"{slab.poissons_ratio:g}", ratio
    yield "Acceleration of gravity", f"{GRAVITY} m/s²", "ISO 80000-3"


def _support(case: Case) -> Iterator[Assumption]:
    given = _given(case)
    yield "Springs", "linear, vertical, without mass", "rates of the spring catalogue of the case"
    size = f"{case.jacks.footprint * 1e3:g} mm in diameter"
    yield "Housing of a jack, through which it presses", size, _source(given, "jacks", "footprint_mm")
    if case.jacks.advance.any():
        yield "Screw advance", "as listed for single jacks", "jack list of the case"
    else:
        yield "Screw advance", "the same at all jacks", "jack list of the case"
    yield "Existing floor", "rigid", BAYS if case.dynamics.bays else "the case gives no bays"


def _loading(case: Case) -> Iterator[Assumption]:
    given, imposed, target = _given(case), case.imposed, case.target
    yield "Imposed load", f"{imposed.pressure / 1e3:g} kPa on the whole slab", _source(given, "imposed", "pressure_kpa")
    share = _source(given, "imposed", "service_fraction")
    yield "Its sustained share, which counts in service", f"{imposed.service_fraction:g}", share
    yield (
        "Weight of imposed load in modes",
        "none",
        "people and loose items are not fixed to the slab; common practice, no source",
    )
    low, high = target.load_ratio
    yield (
        "Band of load ratios in service",
        f"{low:g} to {high:g}",
        _source(given, "target", "load_ratio", "common practice"),
    )
    if target.natural_frequency is not None:
        value = f"at most {target.natural_frequency:g} Hz"
        yield "Heave frequency wanted", value, "target.natural_frequency_hz of the case"
    reserve = f"{target.solid_reserve * 1e3:g} mm"
    yield "Travel to be left to solid, full", reserve, _source(given, "target", "solid_reserve_mm")


def _steel(case: Case) -> Iterator[Assumption]:
    steel, given = case.reinforcement, _given(case)
    if steel is None:
        return
    yield "Steel", f"fyk {steel.fyk / 1e6:g} MPa", _source(given, "reinforcement", "yield_strength_mpa")
    covers = f"bottom {steel.bottom_cover * 1e3:g} mm, top {steel.top_cover * 1e3:g} mm"
    yield "Cover of the outer wires", covers, "reinforcement of the case"
    for face, outer in (("bottom", steel.bottom_outer), ("top", steel.top_outer)):
        yield f"Outer wires, {face}", f"along {outer}", _source(given, "reinforcement", f"{face}_outer")
    equipment = "comes and goes" if case.factors.equipment == "variable" else "stays for good"
    yield "Equipment in strength combinations", equipment, _source(given, "factors", "equipment")


def _rest(case: Case) -> Iterator[Assumption]:
    given = _given(case)
    if case.lift is not None:
        age = f"{case.lift.age_days:g} days"
        yield "Age of the concrete at the lift", age, _source(given, "lift", "age_days", "common practice")
        yield (
            "Screw pitch",
            f"{case.lift.pitch * 1e3:g} mm a turn",
            _source(given, "lift", "pitch_mm", "common practice"),
        )
        plane = "plane" if case.lift.floor is None else "as surveyed"
        yield (
            "Structural floor below the lift",
            plane,
            "lift.floor_heights of the case" if case.lift.floor else "assumed by the program",
        )
    for words in case.dynamics.assumed:
        yield "In motion", words, "assumed by the program"


def load_entries(case: Case) -> tuple[LoadEntry, ...]:
    """Every load with its force, its centre and the part of it that counts in each state."""
    factors = state_factors(case)
    return tuple(
        LoadEntry(
            name=load.name,
            pattern=load.pattern,
            words=_load_words(load),
            force=load.force,
            centre=(float(load.shape.centroid.x), float(load.shape.centroid.y)),
            factors={state: float(each[PATTERNS.index(load.pattern)]) for state, each in factors.items()},
        )
        for load in applied_loads(case)
    )


def _load_words(load: AppliedLoad) -> str:
    """How the force of a load comes about."""
    shape = load.shape
    if load.pattern == "self-weight":
        return "thickness × density × area, see above"
    if load.pattern == "equipment":
        feet = len(getattr(shape, "geoms", ()))
        where = f"on {feet} f{'ee' if feet != 1 else 'oo'}t" if feet else f"spread over {shape.area:.3f} m²"
        return f"{load.force / GRAVITY:.1f} kg {where}"
    if not shape.area:
        return f"{load.force / shape.length / 1e3:.3f} kN/m over {shape.length:.3f} m"
    return f"{load.force / shape.area / 1e3:.3f} kPa over {shape.area:.3f} m²"


def moving_mass(case: Case) -> float:
    """Mass that takes part in the modes, kg."""
    return sum(load.force for load in applied_loads(case) if load.has_mass) / GRAVITY
