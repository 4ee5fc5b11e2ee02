"""Tables of results.json on the strength of the slab: `strength.as_json` writes them."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from postprocess.schema_base import PerState, Record, XMm, YMm

Face = Literal["bottom", "top"]


class DirectionRecord(Record):
    """The wires of one mat along one direction."""

    along: Literal["x", "y"] = Field(description="axis that the wires run along")
    diameter_mm: float = Field(description="of a wire, mm")
    pitch_mm: float = Field(description="distance of the wires, mm")
    area_mm2_m: float = Field(description="steel, mm² per metre of slab")
    effective_depth_mm: float = Field(description="from the compressed face to the middle of the wires, mm")
    resistance_kNm_m: float = Field(description="design resistance MRd, kN·m/m")
    use: float = Field(description="greatest design moment over resistance; 1 is full use")
    where: str = Field(description="place of that, in words")
    share_of_area_used_above_half: float = Field(description="part of the slab's area, 0 to 1")


class LayerRecord(Record):
    """One mat."""

    face: Face = Field(description="face of the slab that the mat is near")
    fabric: str = Field(description="name of the mat")
    cover_mm: float = Field(description="from the face to the outer wires, mm")
    directions: list[DirectionRecord] = Field(description="wires along x, then along y")
    fails_without: list[str] = Field(description="checks that would not be met without this mat")


class MaterialsRecord(Record):
    """Strengths of concrete at 28 days and of steel."""

    fck_mpa: float = Field(description="characteristic cylinder strength, MPa")
    fcd_mpa: float = Field(description="design strength, MPa")
    fyk_mpa: float = Field(description="characteristic yield strength, MPa")
    fyd_mpa: float = Field(description="design yield strength, MPa")


class FactorRecord(Record):
    """A value that a country may set."""

    name: str = Field(description="key in [factors], without its unit")
    value: float = Field(description="as used; lengths in m, others without a unit")
    recommended: float = Field(description="as the standard recommends it")
    unit: str = Field(description="m, or empty")
    source: str = Field(description="clause")


class PunchingRecord(Record):
    """A jack or a foot of equipment that may punch through the slab."""

    place: str = Field(description="jack or foot, in words")
    kind: Literal["jack", "foot"] = Field(description="a jack pushes up, a foot presses down")
    x_mm: XMm
    y_mm: YMm
    position: Literal["interior", "edge", "corner"] = Field(description="by the free edges that the perimeter runs to")
    force_kN: float = Field(description="greatest design force, kN, 0 or more")
    perimeter_mm: float = Field(description="control perimeter u1, mm")
    stress_mpa: float | None = Field(description="vEd there, MPa; null where openings leave no perimeter")
    strength_mpa: float = Field(description="vRd,c, MPa")
    stress_at_load_mpa: float | None = Field(description="vEd around the loaded area, MPa; null where none is left")
    strength_at_load_mpa: float = Field(description="vRd,max, MPa")
    use: float | None = Field(description="the larger stress over its limit; 1 is full use")


class DesignMomentRecord(Record):
    """Design moments across a corner."""

    sagging: float = Field(description="kN·m/m, 0 or more, tension in the bottom face")
    hogging: float = Field(description="kN·m/m, 0 or less, tension in the top face")


class TrimmerRecord(Record):
    """Diagonal bars near one face."""

    bars: int = Field(description="number of bars")
    diameter_mm: float = Field(description="of a bar, mm")


class CornerRecord(Record):
    """A re-entrant corner, where slabs crack first."""

    x_mm: XMm
    y_mm: YMm
    trimmers_along_deg: float = Field(description="direction of the trimmer bars from the x axis, degrees")
    strip_mm: float = Field(description="width over which moments are averaged for cracks, mm")
    zone_mm: float = Field(description="the same for resistance, mm")
    moment_across_kNm_m: PerState = Field(description="mean moment across the bisector, kN·m/m, sagging positive")
    cracking_use: PerState = Field(description="its size over the cracking moment; above 1 expect a crack")
    design_moment_kNm_m: DesignMomentRecord = Field(description="of the strength combinations")
    trimmers: dict[Face, TrimmerRecord] = Field(description="face -> diagonal bars near it")


class AreaRecord(Record):
    """A loaded area."""

    outline_mm: list[tuple[float, float]] = Field(description="corners, mm")
    openings_mm: list[list[tuple[float, float]]] = Field(description="openings in it, corners in mm")


class PatternRecord(Record):
    """Where imposed load lies alone."""

    name: str = Field(description="as the combinations call it")
    area_m2: float = Field(description="loaded area, m²")
    areas: list[AreaRecord] = Field(description="its parts")


class CrackingRecord(Record):
    """Where a load state comes nearest to cracking the slab."""

    state: str = Field(description="load state")
    moment_kNm_m: float = Field(description="size of the moment, kN·m/m")
    cracking_moment_kNm_m: float = Field(description="with the lower characteristic tensile strength, kN·m/m")
    where: str = Field(description="place, in words")
    x_mm: XMm
    y_mm: YMm


class LiftDayRecord(Record):
    """The slab on the day of lifting."""

    age_days: float = Field(description="age of the concrete, days")
    fcm_mpa: float = Field(description="mean strength then, MPa")
    fck_mpa: float = Field(description="characteristic strength then, MPa")
    fctm_mpa: float = Field(description="mean tensile strength then, MPa")
    fctk_005_mpa: float = Field(description="lower characteristic tensile strength then, MPa")
    modulus_gpa: float = Field(description="modulus then, GPa")
    moment_kNm_m: float = Field(description="greatest moment of the bare slab, size, kN·m/m")
    cracking_moment_kNm_m: float = Field(description="cracking moment then, kN·m/m")
    earliest_age_days: int | None = Field(description="first whole day on which the lift passes; null if never")


class StrengthRecord(Record):
    """The strength of the slab; its checks stand among those of the run."""

    standard: str = Field(description="standard of the checks")
    strip_mm: float = Field(description="width of averaging at jacks, feet and corners, mm")
    layers: list[LayerRecord] = Field(description="bottom, then top")
    chosen_by_program: bool = Field(description="whether the program chose a fabric")
    materials: MaterialsRecord = Field(description="strengths")
    factors: list[FactorRecord] = Field(description="values that a country may set")
    combinations: list[str] = Field(description="combinations of loads, in words")
    punching: list[PunchingRecord] = Field(description="every jack and foot")
    corners: list[CornerRecord] = Field(description="every re-entrant corner")
    imposed_patterns: list[PatternRecord] = Field(description="where imposed load lies alone")
    remarks: list[str] = Field(description="what a reader has to know")
    cracking: list[CrackingRecord] = Field(description="one a load state")
    lift: LiftDayRecord | None = Field(description="null without a lift")
