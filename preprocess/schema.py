"""The tables of `case.toml` in the units of the file.

Every key carries its unit in its name; `preprocess.si` turns the tables into a `Case` in SI.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any, Final, Literal

from pydantic import Field, TypeAdapter

from preprocess.cad.rules import DEFAULT_CHORD_MM, DEFAULT_CLOSING_MM
from preprocess.cad.units import UNITS
from preprocess.concrete import CEMENT_CLASSES, STRENGTH_CLASSES
from preprocess.dynamics_tables import (
    NAMED,
    AirTable,
    BayTable,
    CoveringTable,
    DampingTable,
    EdgeStripTable,
    GroupTable,
    ImpactTable,
    MachineTable,
    ResponsePointTable,
    RubberTable,
    SidewaysTable,
    VentTable,
    VibrationTable,
)
from preprocess.entries import (
    HEAVIEST_KG,
    Band,
    Day,
    FootMm,
    FootprintMm,
    Masses,
    Name,
    Origin,
    Point,
    SheetMm,
    Text,
    number,
    one_of,
    positive,
    whole_number,
)
from preprocess.errors import Problem
from preprocess.fabrics import MatEntry
from preprocess.factors import FactorsTable
from preprocess.table import OptionalList, Table
from preprocess.validation import location, table_of, tables_of, usable
from preprocess.wording import quoted, shown

CASE_FILE: Final = "case.toml"

LIFT_ORDERS: Final = ("listed", "rows", "from-middle", "from-edges", "search")
"""In the order of the jack list, row by row to and fro, from the middle outward, from the edges inward, or as a search
finds it: the order and the turns a pass with the least bending."""

UNDERSIDES: Final = ("follows", "plane")
STATES: Final = ("bare", "service", "full")

DEFAULT_FILES: Final = {"positions": "jacks.csv", "catalogue": "springs.toml"}
DEFAULT_FOOTPRINT_MM: Final = 150.0
DEFAULT_PASSES: Final = 10
DEFAULT_FOOT_MM: Final = 100.0
DEFAULT_SHEET_MM: Final = (4800.0, 2400.0)
THICKNESS_SHARE: Final = 0.1
"""Greatest standard deviation of the slab's thickness, as a share of it."""

ThicknessMm = Annotated[float, number(30, 1000, "mm")]
CoverMm = Annotated[float, positive(200, "mm")]
OuterWires = Annotated[Literal["x", "y"], one_of(("x", "y"), "direction")]
MeshSizeMm = Annotated[float, number(10, 10_000, "mm")]
LapMm = Annotated[float, number(50, 3000, "mm")]

DeviationMm = Annotated[float, number(0, 100, "mm")]
AgeDays = Annotated[float, number(1, 36_500, "days")]
LatticeMm = Annotated[float, number(100, 1000, "mm")]
LoadState = Literal["bare", "service", "full"]

THICKNESS_MM = TypeAdapter[float](ThicknessMm)
_DEVIATION_MM = TypeAdapter[float](DeviationMm)
COVER_MM = TypeAdapter[float](CoverMm)
LAP_MM = TypeAdapter[float](LapMm)


class ProjectTable(Table):
    title: Name
    reference: Text = ""
    revision: Text = "A"
    date: Day | None = None


class SlabTable(Table):
    outline_mm: list[Point]
    openings_mm: OptionalList[list[Point]]
    thickness_mm: ThicknessMm
    density_kg_m3: Annotated[float, number(500, 6000, "kg/m3")] = 2500
    """24 + 1 kN/m3, normal weight with a normal percentage of reinforcement: EN 1991-1-1:2002, Table A.1."""
    strength_class: Annotated[str, one_of(STRENGTH_CLASSES, "strength class")] = "C32/40"
    cement_class: Annotated[str, one_of(CEMENT_CLASSES, "cement class")] = "N"
    poissons_ratio: Annotated[float, number(0, 0.45)] = 0.2
    """0.2 for uncracked concrete: EN 1992-1-1:2004, 3.1.3(4)."""
    modulus_gpa: Annotated[float, number(1, 100, "GPa")] | None = None


class JacksTable(Table):
    positions: Name = DEFAULT_FILES["positions"]
    footprint_mm: FootprintMm = DEFAULT_FOOTPRINT_MM


class SpringsTable(Table):
    catalogue: Name = DEFAULT_FILES["catalogue"]
    most_types: Annotated[int, whole_number(1, 1000)] | None = None
    spares_percent: Annotated[float, number(0, 100, "%")] = 5
    """Common practice, no source."""


class SetOutTable(Table):
    greatest_spacing_mm: Annotated[float, number(100, 10_000, "mm")] = 1400
    least_spacing_mm: Annotated[float, number(50, 10_000, "mm")] = 900
    least_edge_mm: Annotated[float, number(1, 5000, "mm")] = 250
    greatest_overhang_mm: Annotated[float, number(1, 5000, "mm")] = 450
    """Jacks at 1.2 to 1.4 m and the rest of these: common practice, no source."""


class JackLineTable(Table):
    name: Name
    path_mm: Annotated[list[Point], Field(min_length=2)]
    spacing_mm: Annotated[float, number(50, 10_000, "mm")] | None = None


class NoJackZoneTable(Table):
    name: Name
    outline_mm: list[Point]


class FinishTable(Table):
    name: Name
    pressure_kpa: Annotated[float, positive(100, "kPa")]
    outline_mm: list[Point] | None = None


class EquipmentTable(Table):
    name: Name
    mass_kg: Annotated[float, positive(HEAVIEST_KG, "kg")]
    feet_mm: Annotated[list[Point], Field(min_length=1)] | None = None
    foot_mm: FootMm = DEFAULT_FOOT_MM
    outline_mm: list[Point] | None = None


class LineLoadTable(Table):
    name: Name
    load_kN_m: Annotated[float, positive(1000, "kN/m")]
    path_mm: Annotated[list[Point], Field(min_length=2)]


class ImposedTable(Table):
    pressure_kpa: Annotated[float, number(0, 100, "kPa")]
    service_fraction: Annotated[float, number(0, 1)] = 0


class TargetTable(Table):
    natural_frequency_hz: Annotated[float, positive(100, "Hz")] | None = None
    load_ratio: Band = (0.75, 1.05)
    solid_reserve_mm: Annotated[float, number(0, 1000, "mm")] = 0


class LiftTable(Table):
    pitch_mm: Annotated[float, positive(50, "mm")] = 3.0
    turns_per_pass: Annotated[float, positive(100)] = 2
    passes: Annotated[int, whole_number(1, 1000)] | None = None
    air_gap_mm: Annotated[float, positive(500, "mm")] | None = None
    order: Annotated[str, one_of(LIFT_ORDERS, "order")] = "listed"
    age_days: AgeDays = 4
    """Lifting after about four days of curing: common practice, no source."""
    slack_mm: Annotated[float, number(0, 100, "mm")] = 0
    bond_kpa: Annotated[float, number(0, 20, "kPa")] = 0
    sheet_stiffness_N_mm3: Annotated[float, number(0.1, 1000, "N/mm3")] = 10
    """Stiff beside the springs: an assumption, no source."""
    lattice_mm: LatticeMm | None = None
    floor_heights: Name | None = None
    underside: Annotated[Literal["follows", "plane"], one_of(UNDERSIDES, "underside")] = "follows"


class LevelTable(Table):
    overall_mm: Annotated[float, positive(100, "mm")] = 3
    straightedge_mm: Annotated[float, positive(100, "mm")] = 3
    straightedge_m: Annotated[float, number(0.5, 10, "m")] = 2
    """3 mm under a straightedge of 2 m: class SR1 of BS 8204."""
    survey_deviation_mm: Annotated[float, positive(20, "mm")] = 0.5
    """An assumption, no source."""
    surveyed_in: Annotated[LoadState, one_of(STATES, "load state")] = "bare"
    level_in: Annotated[LoadState, one_of(STATES, "load state")] = "service"
    most_turns: Annotated[float, number(0.25, 100, "turns")] = 10
    age_days: AgeDays | None = None


class ReinforcementTable(Table):
    bottom: MatEntry
    top: MatEntry
    bottom_cover_mm: CoverMm
    top_cover_mm: CoverMm
    bottom_outer: OuterWires = "x"
    top_outer: OuterWires = "x"
    yield_strength_mpa: Annotated[float, number(400, 600, "MPa")] = 500
    """The range for which the rules of design hold: EN 1992-1-1:2004, 3.2.2(3)P."""
    trimmer_diameter_mm: Annotated[float, number(6, 40, "mm")] = 12
    sheet_mm: SheetMm = DEFAULT_SHEET_MM
    """The sheet that merchants stock: BS 4483."""
    lap_mm: LapMm | None = None


class OrderingTable(Table):
    concrete_waste_percent: Annotated[float, number(0, 50, "%")] = 5
    sheet_turn_up_mm: Annotated[float, number(0, 2000, "mm")] | None = None
    sheet_lap_percent: Annotated[float, number(0, 100, "%")] = 10
    """Waste, turn-up and laps: common practice, no source."""


class DoubtTable(Table):
    samples: Annotated[int, whole_number(100, 100_000)] = 2000
    seed: Annotated[int, whole_number(0, 2**31 - 1)] = 1
    rate_tolerance_percent: Annotated[float, number(0, 50, "%")] = 10
    """Common practice, no source."""
    batch_percent: Annotated[float, number(0, 100, "%")] = 50
    thickness_deviation_mm: DeviationMm = 5
    thickness_correlation_mm: Annotated[float, number(100, 100_000, "mm")] = 2000
    mass_deviation_percent: Annotated[float, number(0, 50, "%")] = 10
    """Batches, thickness and masses: assumptions, no source."""


class MeshTable(Table):
    size_mm: MeshSizeMm | None = None
    corner_size_mm: MeshSizeMm | None = None
    jack_size_mm: MeshSizeMm | None = None


class DrawingTable(Table):
    file: Name
    units: Annotated[str, one_of(UNITS, "unit")] | None = None
    outline_layer: Name | None = None
    openings_layer: Name | None = None
    jacks_layer: Name | None = None
    equipment_layer: Name | None = None
    chord_mm: Annotated[float, number(0.01, 100, "mm")] = DEFAULT_CHORD_MM
    closing_mm: Annotated[float, number(0, 100, "mm")] = DEFAULT_CLOSING_MM
    origin_mm: Origin = (0.0, 0.0)
    masses_kg: Annotated[Masses, Field(default_factory=dict)]


class CaseFile(Table):
    """The whole of `case.toml`."""

    project: ProjectTable
    drawing: DrawingTable | None = None
    slab: SlabTable
    jacks: JacksTable = JacksTable()
    springs: SpringsTable = SpringsTable()
    finishes: OptionalList[FinishTable]
    equipment: OptionalList[EquipmentTable]
    line_loads: OptionalList[LineLoadTable]
    imposed: ImposedTable = ImposedTable(pressure_kpa=0)
    target: TargetTable = TargetTable()
    lift: LiftTable | None = None
    level: LevelTable = LevelTable()
    reinforcement: ReinforcementTable | None = None
    factors: FactorsTable = FactorsTable()
    ordering: OrderingTable = OrderingTable()
    mesh: MeshTable = MeshTable()
    setout: SetOutTable = SetOutTable()
    jack_lines: OptionalList[JackLineTable]
    no_jack_zones: OptionalList[NoJackZoneTable]
    doubt: DoubtTable | None = None
    bays: OptionalList[BayTable]
    air: AirTable | None = None
    vents: OptionalList[VentTable]
    damping: DampingTable = DampingTable()
    coverings: OptionalList[CoveringTable]
    impacts: OptionalList[ImpactTable]
    groups: OptionalList[GroupTable]
    machines: OptionalList[MachineTable]
    response_points: OptionalList[ResponsePointTable]
    rubber: RubberTable = RubberTable()
    sideways: SidewaysTable = SidewaysTable()
    edge_strips: OptionalList[EdgeStripTable]
    vibration: VibrationTable = VibrationTable()


def cross_problems(data: Mapping[str, Any]) -> list[Problem]:
    """What no single key shows: names given twice, feet and outline of equipment both, neither or mixed up.

    data: the parsed TOML, usable or not, so that a bad key elsewhere hides nothing.
    """
    problems = []
    for kind in ("finishes", "equipment", "line_loads", "jack_lines", "no_jack_zones", *NAMED):
        problems += repeated_names(data, (kind,), "name", CASE_FILE)
    for index, item in tables_of(data, "equipment"):
        given = [key for key in ("feet_mm", "outline_mm") if key in item]
        if len(given) != 1:
            where = location(data, ("equipment", index))
            allowed = "exactly one of feet_mm (a list of points) and outline_mm (a list of corners)"
            problems.append(Problem(CASE_FILE, where, " and ".join(given) or "neither", allowed))
        if given == ["outline_mm"] and "foot_mm" in item:
            where = location(data, ("equipment", index, "foot_mm"))
            allowed = "no foot_mm beside outline_mm; it belongs to feet_mm"
            problems.append(Problem(CASE_FILE, where, shown(item["foot_mm"]), allowed))
    return problems + _lift_problems(data) + _doubt_problems(data)


def _lift_problems(data: Mapping[str, Any]) -> list[Problem]:
    """Passes beside the air gap that fixes them, an underside without the heights of the floor below it."""
    table = table_of(data, "lift")
    problems = []
    if "passes" in table and "air_gap_mm" in table:
        value = f"passes = {shown(table['passes'])} and air_gap_mm = {shown(table['air_gap_mm'])}"
        allowed = "passes or air_gap_mm, not both: either of them fixes the other"
        problems.append(Problem(CASE_FILE, "lift.passes and lift.air_gap_mm", value, allowed))
    if "underside" in table and "floor_heights" not in table:
        allowed = "no underside without floor_heights; it says how the slab lies on them"
        problems.append(Problem(CASE_FILE, "lift.underside", shown(table["underside"]), allowed))
    return problems


def _doubt_problems(data: Mapping[str, Any]) -> list[Problem]:
    """A thickness that is more uncertain than the first order of its effects allows."""
    deviation = usable(_DEVIATION_MM, table_of(data, "doubt").get("thickness_deviation_mm"))
    thickness = usable(THICKNESS_MM, table_of(data, "slab").get("thickness_mm"))
    if deviation is None or thickness is None or deviation <= THICKNESS_SHARE * thickness:
        return []
    allowed = f"at most a tenth of the thickness, {THICKNESS_SHARE * thickness:g} mm: effects are of the first order"
    return [Problem(CASE_FILE, location(data, ("doubt", "thickness_deviation_mm")), f"{deviation:g}", allowed)]


def repeated_names(data: Mapping[str, Any], kinds: tuple[str, ...], key: str, file: str) -> list[Problem]:
    """One problem for each item of `kinds` whose `key` an earlier item has already."""
    owners: dict[str, str] = {}
    problems = []
    for kind in kinds:
        for index, item in tables_of(data, kind):
            value = item.get(key)
            if not isinstance(value, str) or not value.strip():
                continue
            owner = owners.setdefault(value.strip(), f"{kind} {index + 1}")
            if owner != f"{kind} {index + 1}":
                allowed = f"each {key} once; {owner} has it already"
                problems.append(Problem(file, location(data, (kind, index, key)), quoted(value), allowed))
    return problems
