"""All lists of a run: what the jacks press on the existing floor, fabric, springs to buy, quantities."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from jackfield import CAUTIONS
from jackfield.desk import coils_to_buy, spring_types
from jackfield.existing_floor import existing_floor
from jackfield.fabric import Fabrics, fabric_layers
from jackfield.pipeline import Solution
from postprocess import existing_floor as below
from postprocess.checks import Check
from postprocess.existing_floor import ExistingFloor, existing_floor_json
from postprocess.fabric.lists import fabric_json, piece_table, total_table
from postprocess.fabric.views import FabricLayer
from postprocess.jobs.choice_lists import write_buying_list
from postprocess.jobs.views import BuyingRow
from postprocess.lift.course import Course
from postprocess.list_table import ListTable, write_csv
from postprocess.lists import buying_table, check_table, jack_table
from postprocess.quantities import (
    Quantities,
    Quantity,
    SlabRules,
    Trimmers,
    fabric_quantities,
    jack_quantities,
    quantities_json,
    quantity_table,
    slab_quantities,
    trimmer_quantities,
)
from postprocess.schedule import JackSchedule
from postprocess.strength.result import Strength
from postprocess.workbook import ReadMe, write_workbook
from preprocess.case import Case, Project
from preprocess.inputs import Inputs
from preprocess.reinforcement import FACES

WORKBOOK = "lists.xlsx"


@dataclass(frozen=True, eq=False)
class Lists:
    """fabric: bottom and top, none without reinforcement. springs: a row for each kind of coil.

    remarks: what has to be told of the fabric, in sentences.
    """

    project: Project
    existing: ExistingFloor
    fabric: tuple[FabricLayer, ...]
    springs: tuple[BuyingRow, ...]
    quantities: Quantities
    remarks: tuple[str, ...]

    def as_json(self) -> dict[str, Any]:
        """What results.json gets of them."""
        return {
            "existing_floor": existing_floor_json(self.existing),
            "fabric": fabric_json(self.fabric),
            "fabric_remarks": list(self.remarks),
            "quantities": quantities_json(self.quantities),
        }


def case_lists(
    solution: Solution, schedule: JackSchedule, strength: Strength | None, lift_course: Course | None
) -> Lists:
    """The lists of a solved case. strength: of its slab, None without reinforcement. lift_course: None without lift."""
    case = solution.floor.case
    fabrics = fabric_layers(case, strength)
    springs = springs_to_buy(case)
    items = (
        *slab_quantities(_slab_rules(case)),
        *fabric_quantities(fabrics.layers),
        *([] if strength is None else trimmer_quantities(_trimmers(strength, fabrics))),
        *jack_quantities(len(schedule), case.jacks.footprint, springs),
        *([] if lift_course is None else _travel(case, lift_course)),
    )
    return Lists(
        project=case.project,
        existing=existing_floor(solution, lift_course),
        fabric=fabrics.layers,
        springs=springs,
        quantities=Quantities(items),
        remarks=fabrics.remarks,
    )


def write_lists(lists: Lists, schedule: JackSchedule, checks: Sequence[Check], inputs: Inputs, folder: Path) -> None:
    """Write every list in `folder` as comma-separated values, and all of them as one workbook."""
    write_buying_list(lists.springs, folder / "buying-list.csv")
    tables = [
        jack_table(schedule),
        buying_table(lists.springs),
        piece_table(lists.fabric),
        total_table(lists.fabric),
        quantity_table(lists.quantities),
        below.jack_table(lists.existing),
        below.bay_table(lists.existing),
        check_table(checks),
    ]
    for table in tables:
        if table.file and table.rows:
            write_csv(table, folder)
    write_workbook(_read_me(lists, inputs, tables), tables, inputs.date, folder / WORKBOOK)


def springs_to_buy(case: Case) -> tuple[BuyingRow, ...]:
    """A row for each kind of coil under the jacks of a case, with spares, in the order of the catalogue."""
    catalogue = tuple(case.catalogue.values())
    place = {spring.code: number for number, spring in enumerate(catalogue)}
    indices = np.array([place[spring.code] for spring in case.jacks.springs], dtype=np.intp)
    return coils_to_buy(case, spring_types(catalogue, case.catalogue), indices)


def _slab_rules(case: Case) -> SlabRules:
    slab, rules = case.slab, case.ordering
    return SlabRules(
        plan=slab.plan,
        thickness=slab.thickness,
        density=slab.density,
        waste=rules.concrete_waste,
        turn_up=rules.sheet_turn_up,
        lap=rules.sheet_lap,
    )


def _trimmers(strength: Strength, fabrics: Fabrics) -> Trimmers:
    return Trimmers(
        corners=len(strength.corners),
        bars={face: sum(corner.trimmers.get(face, 0) for corner in strength.corners) for face in FACES},
        diameter=strength.trimmer_diameter,
        fyd=strength.materials.fyd,
        bond=dict(fabrics.bond),
    )


def _travel(case: Case, course: Course) -> Iterator[Quantity]:
    travel = float(course.records[-1].end.advance.max()) * 1e3
    passes = len(course.passes)
    turns = "" if case.lift is None else f" of {case.lift.turns_per_pass:g} turns at {case.lift.pitch * 1e3:g} mm"
    words = f"greatest of all jacks after {passes} passes{turns}; not all of it lifts: springs take up their deflection"
    yield Quantity("screw travel of a jack", travel, "mm", words)


def _read_me(lists: Lists, inputs: Inputs, tables: Sequence[ListTable]) -> ReadMe:
    project = lists.project
    case = [f"Title: {project.title}", f"Reference: {project.reference}", f"Revision: {project.revision}"]
    return ReadMe(
        project.title,
        (
            ("Case", (*case, f"Date of the input: {inputs.date_words}", f"SHA-256 of the input: {inputs.digest}")),
            ("Cautions", CAUTIONS),
            (
                "Sheets",
                (
                    f"{', '.join(table.name for table in tables)}.",
                    "Loads are positive downward, x and y run along the axes of the plan from its datum; every number "
                    "is a value, no formula, in the unit of its heading. Rows below a thin line are totals.",
                ),
            ),
            ("Loads on the existing floor: assumptions and factors", lists.existing.assumptions),
            ("States", tuple(f"{below.TITLES[state.key]}: {state.words}." for state in lists.existing.cases)),
            ("Fabric: laps", tuple(f"{layer.face} layer: {layer.lap_basis}." for layer in lists.fabric)),
            ("Remarks", lists.remarks),
        ),
    )
