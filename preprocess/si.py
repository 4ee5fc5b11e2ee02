"""From the units of the files to SI: the one place where a checked case is converted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from shapely import Polygon

from preprocess.case import (
    Case,
    ChoiceRules,
    Doubt,
    Equipment,
    Factors,
    Finish,
    FloorHeights,
    Imposed,
    JackLine,
    Jacks,
    LevelRules,
    Lift,
    LineLoad,
    MeshSettings,
    NoJackZone,
    Ordering,
    Project,
    Reinforcement,
    SetOutRules,
    Slab,
    Spring,
    Target,
)
from preprocess.concrete import Concrete
from preprocess.dynamics_si import to_dynamics
from preprocess.fabrics import to_mat
from preprocess.factors import FactorsTable, changes
from preprocess.floor_heights import Spot
from preprocess.inputs import read_inputs
from preprocess.jack_list import JackRow
from preprocess.lengths import area_within, fixed, metres
from preprocess.plan import open_ring
from preprocess.schema import (
    CASE_FILE,
    DEFAULT_PASSES,
    DEFAULT_SHEET_MM,
    CaseFile,
    DoubtTable,
    EquipmentTable,
    FinishTable,
    LevelTable,
    LiftTable,
    LineLoadTable,
    MeshTable,
    ReinforcementTable,
    SlabTable,
    SpringsTable,
    TargetTable,
)

TURN_UP_BEYOND_MM = 50
"""By which the sheet below is turned up above the slab by default: common practice, no source."""


def to_case(
    folder: Path,
    file: CaseFile,
    plan: Polygon,
    catalogue: Mapping[str, Spring],
    jacks: Jacks,
    *,
    spots: Sequence[Spot],
    remarks: tuple[str, ...] = (),
) -> Case:
    """The case in SI from tables that have passed all checks.

    spots: heights of the structural floor, if any. remarks: on what was read.
    """
    return Case(
        name=folder.resolve().name,
        folder=folder,
        inputs=read_inputs(folder, _files(file), file.project.date),
        project=Project(**dict(file.project)),
        slab=_slab(file.slab, plan),
        jacks=jacks,
        catalogue=catalogue,
        finishes=tuple(_finish(finish) for finish in file.finishes),
        equipment=tuple(_equipment(item) for item in file.equipment),
        line_loads=tuple(_line_load(line) for line in file.line_loads),
        imposed=Imposed(1000 * file.imposed.pressure_kpa, file.imposed.service_fraction),
        target=_target(file.target),
        lift=None if file.lift is None else _lift(file.lift, spots),
        level=_level(file.level),
        mesh=_mesh(file.mesh),
        reinforcement=None if file.reinforcement is None else _reinforcement(file.reinforcement),
        factors=_factors(file.factors),
        ordering=_ordering(file),
        setout=to_setout(file),
        choice=_choice(file.springs),
        doubt=None if file.doubt is None else _doubt(file.doubt),
        dynamics=to_dynamics(file, jacks.springs),
        remarks=remarks,
    )


def _files(file: CaseFile) -> tuple[str, ...]:
    """Names of the files of the case, `case.toml` first."""
    heights = None if file.lift is None else file.lift.floor_heights
    drawing = None if file.drawing is None else file.drawing.file
    listed = None if file.drawing is not None and file.drawing.jacks_layer is not None else file.jacks.positions
    named = (CASE_FILE, drawing, listed, file.springs.catalogue, heights)
    return tuple(dict.fromkeys(name for name in named if name is not None))


def to_jacks(rows: Sequence[JackRow], springs: Sequence[Spring], footprint: float) -> Jacks:
    """The jacks of checked rows with a spring under each; footprint: diameter of the housing, m."""
    return Jacks(
        ids=tuple(row.id for row in rows),
        xy=metres([(row.x_mm, row.y_mm) for row in rows]),
        springs=tuple(springs),
        advance=fixed(np.array([row.advance_mm for row in rows]) / 1000),
        footprint=footprint,
    )


def to_setout(file: CaseFile) -> SetOutRules:
    """The rules for setting out jacks."""
    table = file.setout
    lines = (
        JackLine(line.name, metres(line.path_mm), (line.spacing_mm or table.greatest_spacing_mm) / 1000)
        for line in file.jack_lines
    )
    zones = (NoJackZone(zone.name, Polygon(open_ring(metres(zone.outline_mm)))) for zone in file.no_jack_zones)
    return SetOutRules(
        greatest_spacing=table.greatest_spacing_mm / 1000,
        least_spacing=table.least_spacing_mm / 1000,
        least_edge=table.least_edge_mm / 1000,
        greatest_overhang=table.greatest_overhang_mm / 1000,
        lines=tuple(lines),
        zones=tuple(zones),
    )


def _slab(table: SlabTable, plan: Polygon) -> Slab:
    concrete = Concrete.of_class(table.strength_class, table.cement_class)
    return Slab(
        plan=plan,
        thickness=table.thickness_mm / 1000,
        density=table.density_kg_m3,
        concrete=concrete,
        modulus=concrete.modulus if table.modulus_gpa is None else 1e9 * table.modulus_gpa,
        poissons_ratio=table.poissons_ratio,
    )


def _finish(table: FinishTable) -> Finish:
    return Finish(table.name, 1000 * table.pressure_kpa, area_within(table.outline_mm))


def _equipment(table: EquipmentTable) -> Equipment:
    feet = None if table.feet_mm is None else metres(table.feet_mm)
    return Equipment(table.name, table.mass_kg, feet, table.foot_mm / 1000, area_within(table.outline_mm))


def _line_load(table: LineLoadTable) -> LineLoad:
    return LineLoad(table.name, 1000 * table.load_kN_m, metres(table.path_mm))


def _lift(table: LiftTable, spots: Sequence[Spot]) -> Lift:
    open_passes = table.passes is None and table.air_gap_mm is None
    return Lift(
        pitch=table.pitch_mm / 1000,
        turns_per_pass=table.turns_per_pass,
        passes=DEFAULT_PASSES if open_passes else table.passes,
        air_gap=_scaled(table.air_gap_mm),
        order=table.order,
        age_days=table.age_days,
        slack=table.slack_mm / 1000,
        bond=1000 * table.bond_kpa,
        sheet_stiffness=1e9 * table.sheet_stiffness_N_mm3,
        lattice=_scaled(table.lattice_mm),
        floor=_floor_heights(table, spots) if spots else None,
    )


def _floor_heights(table: LiftTable, spots: Sequence[Spot]) -> FloorHeights:
    height = fixed(np.array([spot.height_mm for spot in spots]) / 1000)
    return FloorHeights(metres([(spot.x_mm, spot.y_mm) for spot in spots]), height, table.underside)


def _level(table: LevelTable) -> LevelRules:
    return LevelRules(
        overall=table.overall_mm / 1000,
        straightedge=table.straightedge_mm / 1000,
        straightedge_length=table.straightedge_m,
        survey_deviation=table.survey_deviation_mm / 1000,
        surveyed_in=table.surveyed_in,
        level_in=table.level_in,
        most_turns=table.most_turns,
        age_days=table.age_days,
    )


def _scaled(length_mm: float | None) -> float | None:
    return None if length_mm is None else length_mm / 1000


def _mesh(table: MeshTable) -> MeshSettings:
    sizes = (table.size_mm, table.corner_size_mm, table.jack_size_mm)
    return MeshSettings(*(None if size is None else size / 1000 for size in sizes))


def _reinforcement(table: ReinforcementTable) -> Reinforcement:
    return Reinforcement(
        bottom=to_mat(table.bottom),
        top=to_mat(table.top),
        bottom_cover=table.bottom_cover_mm / 1000,
        top_cover=table.top_cover_mm / 1000,
        bottom_outer=table.bottom_outer,
        top_outer=table.top_outer,
        fyk=1e6 * table.yield_strength_mpa,
        trimmer_diameter=table.trimmer_diameter_mm / 1000,
    )


def _factors(table: FactorsTable) -> Factors:
    return Factors(changes(table), table.equipment)


def _ordering(file: CaseFile) -> Ordering:
    table, steel = file.ordering, file.reinforcement
    length, width = DEFAULT_SHEET_MM if steel is None else steel.sheet_mm
    turn_up = file.slab.thickness_mm + TURN_UP_BEYOND_MM if table.sheet_turn_up_mm is None else table.sheet_turn_up_mm
    return Ordering(
        fabric_sheet=(length / 1000, width / 1000),
        fabric_lap=None if steel is None else _scaled(steel.lap_mm),
        concrete_waste=table.concrete_waste_percent / 100,
        sheet_turn_up=turn_up / 1000,
        sheet_lap=table.sheet_lap_percent / 100,
    )


def _target(table: TargetTable) -> Target:
    return Target(table.natural_frequency_hz, table.load_ratio, table.solid_reserve_mm / 1000)


def _choice(table: SpringsTable) -> ChoiceRules:
    return ChoiceRules(table.most_types, table.spares_percent / 100)


def _doubt(table: DoubtTable) -> Doubt:
    return Doubt(
        samples=table.samples,
        seed=table.seed,
        rate_tolerance=table.rate_tolerance_percent / 100,
        batch_share=table.batch_percent / 100,
        thickness_deviation=table.thickness_deviation_mm / 1000,
        thickness_correlation=table.thickness_correlation_mm / 1000,
        mass_deviation=table.mass_deviation_percent / 100,
    )
