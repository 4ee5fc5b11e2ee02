"""results.json as tables, from which its published JSON Schema is made.

A field without a default is always written. `python -m postprocess.results_schema` prints the schema.
"""

from __future__ import annotations

import json
from typing import Any, Final, Literal, TypeAlias, get_args

from pydantic import Field

from postprocess.doubt_schema import DoubtRecord
from postprocess.schema_base import PerState, Record, XMm, YMm, schema_of
from postprocess.strength_schema import StrengthRecord

IDENTIFIER: Final = "urn:jackfield:results-1"

FloorState: TypeAlias = Literal[
    "bare", "service", "full", "full_worst_parts", "lift_peak", "spring_removed_service", "spring_removed_full"
]
"""States of the existing floor, by the keys of `postprocess.existing_floor.TITLES`."""
ALWAYS: Final = get_args(FloorState)[:4]
"""Those that every case has."""
HAS_ALWAYS: Final[dict[str, Any]] = {
    "allOf": [{"contains": {"properties": {"state": {"const": state}}, "required": ["state"]}} for state in ALWAYS]
}
"""JSON Schema: a list has a table for each of `ALWAYS`."""


class CaseRecord(Record):
    """Which case it is."""

    title: str = Field(description="of the job")
    reference: str = Field(description="number of job or drawing, may be empty")
    revision: str = Field(description="of the input")
    date: str = Field(description="of the input, as YYYY-MM-DD")
    input_sha256: str = Field(description="SHA-256 over the files of the input, hexadecimal", pattern="^[0-9a-f]{64}$")


class SlabRecord(Record):
    """The slab."""

    area_m2: float = Field(description="of the plan less openings, m²", gt=0)
    mass_kg: float = Field(description="of the slab without finishes, kg", gt=0)
    thickness_mm: float = Field(description="mm", gt=0)
    modulus_gpa: float = Field(description="elastic modulus, GPa", gt=0)


class StateRecord(Record):
    """A load state as a whole."""

    load_kN: float = Field(description="applied load, kN, positive downward")
    reaction_kN: float = Field(description="sum of the jack loads, kN, positive in compression")
    equilibrium_error: float = Field(description="relative, worst of force and two moments", ge=0)


class StatesRecord(Record):
    """The load states."""

    bare: StateRecord = Field(description="slab alone, as it is lifted")
    service: StateRecord = Field(description="slab, finishes, equipment, line loads, sustained share of imposed load")
    full: StateRecord = Field(description="slab, finishes, equipment, line loads, all imposed load")


class TributaryRecord(Record):
    """Load by the area nearest to a jack."""

    service: float = Field(description="kN, positive in compression")


class StripMomentRecord(Record):
    """Mean moments over a strip at a jack, sagging positive."""

    Mx: float = Field(description="stresses the slab along x, kN·m/m")
    My: float = Field(description="stresses the slab along y, kN·m/m")


class StripMomentsRecord(Record):
    """Strip moments at a jack in each load state."""

    bare: StripMomentRecord = Field(description="slab alone")
    service: StripMomentRecord = Field(description="in service")
    full: StripMomentRecord = Field(description="fully loaded")


class JackRecord(Record):
    """A jack; loads positive in compression, deflection positive downward."""

    id: str = Field(description="as the jack list has it")
    x_mm: XMm
    y_mm: YMm
    spring: str = Field(description="code of its spring or nested pair")
    rate_N_mm: float = Field(description="of the spring, N/mm", gt=0)
    rated_load_kN: float = Field(description="of the spring, kN", gt=0)
    advance_mm: float = Field(description="screw advance over that of the others, mm, positive raises")
    load_kN: PerState = Field(description="load of the jack, kN, positive in compression")
    deflection_mm: PerState = Field(description="of the slab at the jack, mm, positive downward")
    load_ratio: PerState = Field(description="load over rated load")
    tributary_load_kN: TributaryRecord = Field(description="load by the area nearest to the jack, for comparison")
    status: Literal["ok", "under", "over"] = Field(description="service load ratio against the allowed band")
    strip_moment_kNm_m: StripMomentsRecord = Field(description="mean moments of the slab at the jack")


class ModeRecord(Record):
    """A mode of the service floor, without mass of the imposed load."""

    number: int = Field(description="from 1, lowest frequency first", ge=1)
    frequency_hz: float = Field(description="Hz", ge=0)
    heave_share: float = Field(description="share of the mass that moves up and down, 0 to 1")
    rock_x_share: float = Field(description="share of the rotary inertia about an axis parallel to x, 0 to 1")
    rock_y_share: float = Field(description="share of the rotary inertia about an axis parallel to y, 0 to 1")
    kind: str = Field(description="heave, rocking or bending, in a word")


class JackMomentsRecord(Record):
    """Extremes of the strip moments at jacks."""

    most_sagging: float = Field(description="kN·m/m, sagging positive")
    most_hogging: float = Field(description="kN·m/m, sagging positive")


class SpanRecord(Record):
    """Moments between two neighbouring jacks."""

    x_mm: XMm
    y_mm: YMm
    Mx_kNm_m: float = Field(description="stresses the slab along x, kN·m/m, sagging positive")
    My_kNm_m: float = Field(description="stresses the slab along y, kN·m/m, sagging positive")
    Mxy_kNm_m: float = Field(description="twisting, kN·m/m")


class MomentsRecord(Record):
    """Moments of one load state where slabs are judged."""

    strip_mm: float = Field(description="width of averaging at jacks, mm")
    largest_kNm_m: float = Field(description="largest in size, kN·m/m")
    at_jacks_kNm_m: JackMomentsRecord = Field(description="extremes at jacks")
    spans: list[SpanRecord] = Field(description="middles between neighbouring jacks")


class StateMomentsRecord(Record):
    """Moments in each load state."""

    bare: MomentsRecord = Field(description="slab alone, as it is lifted")
    service: MomentsRecord = Field(description="slab, finishes, equipment, line loads, sustained share of imposed load")
    full: MomentsRecord = Field(description="slab, finishes, equipment, line loads, all imposed load")


class CheckRecord(Record):
    """A verdict."""

    name: str = Field(description="what is checked")
    value: float = Field(description="in `unit`")
    limit: float = Field(description="in `unit`")
    sense: Literal["at most", "at least"] = Field(description="which side of the limit is good")
    unit: str = Field(description="of value and limit, empty for a ratio")
    ok: bool = Field(description="whether the check is met")
    basis: str = Field(description='the clause, or "common practice, no source"')
    where: str = Field(description="what governs, in words, may be empty")
    x_mm: float | None = Field(default=None, description="x of the place that governs, mm; missing where there is none")
    y_mm: float | None = Field(default=None, description="y of the place that governs, mm; missing where there is none")
    combination: str = Field(default="", description="of loads, that governs; missing where there is none")


class ChangeRecord(Record):
    """What another mesh changes."""

    jack_load: float = Field(description="of the largest jack load, %")
    moment: float = Field(description="of the largest moment, %")
    moment_anywhere: float = Field(description="greatest change at any one place, % of the largest moment")
    frequency: float = Field(description="of the heave frequency, %")


class MeshRecord(Record):
    """The mesh and what another one changes."""

    triangles: int = Field(description="number of them", ge=1)
    unknowns: int = Field(description="number of them", ge=1)
    compared_with: str = Field(description="the other mesh, in words")
    change_percent: ChangeRecord = Field(description="value on the other mesh over that on this one, less 1, %")


class CoilRecord(Record):
    """Figures of a spring whose catalogue entry gives its geometry."""

    code: str = Field(description="of the spring or nested pair")
    notes: list[str] = Field(description="what to heed")


class FloorStateRecord(Record):
    """What all jacks press on the existing floor in one state, characteristic, factors 1.0."""

    state: FloorState = Field(description="name of the state")
    words: str = Field(description="what acts, and with which factors")
    envelope: bool = Field(description="whether the figures are the greatest of several situations")
    bay_total_kN: dict[str, float] = Field(
        description="bay -> total of its jacks at one moment, kN, downward; every bay of `bays` has one", min_length=1
    )
    whole_floor_kN: float = Field(description="total of all jacks at one moment, kN, downward")


class FloorJackRecord(Record):
    """What one jack presses on the existing floor."""

    id: str = Field(description="of the jack")
    bay: str = Field(description="bay in which its centre lies, one of `bays`")
    load_kN: dict[FloorState, float] = Field(
        description="state -> load, of an envelope the greatest, kN, downward; every state of `states` has one",
        json_schema_extra={"required": list(ALWAYS)},
    )


class ExistingFloorRecord(Record):
    """Loads on the existing floor."""

    footprint_mm: float = Field(description="diameter through which a jack presses, mm", gt=0)
    bays: list[str] = Field(
        description="bays of the existing floor, each named once", min_length=1, json_schema_extra={"uniqueItems": True}
    )
    states: list[FloorStateRecord] = Field(
        description="each once, in the order of the papers", min_length=len(ALWAYS), json_schema_extra=HAS_ALWAYS
    )
    jacks: list[FloorJackRecord] = Field(description="every jack, in the order of the jack list", min_length=1)
    assumptions: list[str] = Field(description="in sentences")


class FabricRecord(Record):
    """Sheets of one layer."""

    layer: Literal["bottom", "top"] = Field(description="face of the slab that it is near")
    mat: str = Field(description="name of the fabric")
    made_up: bool = Field(description="whether bars are shown as if made up into sheets")
    sheet_x_mm: float = Field(description="side of a sheet along x, mm")
    sheet_y_mm: float = Field(description="side of a sheet along y, mm")
    lap_x_mm: float = Field(description="lap of wires along x, mm")
    lap_y_mm: float = Field(description="lap of wires along y, mm")
    lap_basis: str = Field(description="clause and figures that the laps follow from")
    pieces: int = Field(description="number of pieces as laid", ge=1)
    whole_pieces: int = Field(description="of which uncut sheets", ge=0)
    sheets_to_buy: int = Field(description="number of sheets", ge=1)
    net_area_m2: float = Field(description="of the slab that is covered, counted once, m²")
    laid_area_m2: float = Field(description="of all pieces, m²")
    bought_area_m2: float = Field(description="of all sheets, m²")
    lap_area_m2: float = Field(description="laps: laid less net, m²")
    lap_percent: float = Field(description="the same over the net area, %")
    offcut_area_m2: float = Field(description="offcuts: bought less laid, m²")
    offcut_percent: float = Field(description="the same over the net area, %")
    waste_area_m2: float = Field(description="laps and offcuts together: bought less net, m²")
    waste_percent: float = Field(description="the same over the net area, %")
    mass_kg_m2: float = Field(description="of the fabric without laps, kg/m²")
    mass_to_buy_kg: float = Field(description="of all sheets, kg")


class QuantityRecord(Record):
    """An amount to order or to lay."""

    name: str = Field(description="what it is")
    amount: float = Field(description="in `unit`", ge=0)
    unit: str = Field(description="m2, m3, m, mm, kg or pieces")
    basis: str = Field(description="how it is counted")


class ResultsRecord(Record):
    """results.json of jackfield, all that a run found, in the units of case files.

    JSON has no NaN and no infinity, and the program writes none; many readers take them all the same, and this schema
    cannot tell them from numbers: refuse them where the document is read.
    """

    format: Literal["jackfield-results/1"] = Field(description="name and version of this format")
    case: CaseRecord = Field(description="which case it is")
    slab: SlabRecord = Field(description="the slab")
    states: StatesRecord = Field(description="load states as a whole")
    jacks: list[JackRecord] = Field(description="in the order of the jack list", min_length=1)
    modes: list[ModeRecord] = Field(description="of the service floor")
    moments: StateMomentsRecord = Field(description="moments where slabs are judged, by load state")
    checks: list[CheckRecord] = Field(description="every verdict")
    mesh: MeshRecord = Field(description="the mesh, and what another one changes")
    strength: StrengthRecord | None = Field(description="null where the case has no [reinforcement]")
    doubt: DoubtRecord | None = Field(description="null where the case has no [doubt] or is too large")
    coils: list[CoilRecord] = Field(description="springs whose geometry the catalogue gives")
    existing_floor: ExistingFloorRecord = Field(description="loads on the existing floor")
    fabric: list[FabricRecord] = Field(description="bottom and top layer; empty without reinforcement")
    fabric_remarks: list[str] = Field(description="what has to be told of the fabric, in sentences")
    quantities: list[QuantityRecord] = Field(description="what to order and to lay")
    remarks: list[str] = Field(description="on the reading of the input, such as gaps closed in a drawing")
    left_out: list[str] = Field(description="what was not computed, and why")
    cautions: list[str] = Field(description="to be heeded by every reader")
    papers: list[str] = Field(description="files of the run, relative to its folder")


def results_schema() -> dict[str, Any]:
    """The published schema of results.json."""
    return schema_of(ResultsRecord, IDENTIFIER)


def schema_text() -> str:
    """The same as the text of its file."""
    return json.dumps(results_schema(), indent=1, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    print(schema_text(), end="")
