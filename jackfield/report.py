"""The report of a run: everything that was gathered, as sections of plain text, tables and pictures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from jackfield import CAUTIONS, __version__
from jackfield.known_answers import known_answers
from jackfield.papers import Findings
from jackfield.pipeline import Solution
from jackfield.report_basis import (
    CONVENTIONS,
    LEFT_OUT,
    assumptions,
    job_words,
    load_entries,
    moving_mass,
    slab_facts,
)
from postprocess.checks import MESH_LIMITS
from postprocess.drawing import CAUTION
from postprocess.dynamics.views import DynamicsView
from postprocess.existing_floor import ExistingFloor
from postprocess.fabric.views import FabricLayer
from postprocess.lift.views import LiftView
from postprocess.quantities import Quantities
from postprocess.report.basis_sections import basis_section, closing_section, factor_section
from postprocess.report.bending_sections import layer_sections, moment_section
from postprocess.report.check_sections import check_section
from postprocess.report.cover import DIGITS, cover
from postprocess.report.doubt_sections import doubt_section
from postprocess.report.existing_sections import existing_section
from postprocess.report.governing import GoverningJack, governing_jack
from postprocess.report.jack_sections import jack_section
from postprocess.report.lift_record import with_record
from postprocess.report.lift_sections import level_section, lift_section
from postprocess.report.load_sections import load_section
from postprocess.report.mode_sections import mode_section
from postprocess.report.model import Report, Section
from postprocess.report.moment_picture import moment_picture, use_picture
from postprocess.report.motion_sections import motion_section
from postprocess.report.plan_picture import plan_picture
from postprocess.report.quantity_sections import quantity_section
from postprocess.report.self_sections import self_section
from postprocess.results import Results
from postprocess.schedule import JackSchedule
from postprocess.svg import drawing_settings
from postprocess.view import FloorView
from preprocess.inputs import Inputs

PICTURED = ("service", "full")
"""Load states whose moments are drawn."""


@dataclass(frozen=True, eq=False)
class Gathered:
    """Everything of a run that the report tells. What a case has no data for is None or ().

    view: with its strength. level, lift_job: the contents of level.json and lift.json where they belong to the same
    input.
    """

    solution: Solution
    schedule: JackSchedule
    findings: Findings
    results: Results
    view: FloorView
    motion: DynamicsView | None
    lift: LiftView | None
    level: Mapping[str, Any] | None
    existing: ExistingFloor | None
    fabric: tuple[FabricLayer, ...]
    quantities: Quantities | None
    inputs: Inputs
    lift_job: Mapping[str, Any] | None = None

    @property
    def whole_lift(self) -> LiftView | None:
        """The lift, with what `jackfield lift` found beyond the run where its record is there."""
        if self.lift is None or self.lift_job is None:
            return self.lift
        return with_record(self.lift, self.lift_job, self.schedule.ids)


def case_report(gathered: Gathered) -> Report:
    """The whole report of a case, ready to be written as a page or a document."""
    with drawing_settings():
        case = gathered.solution.floor.case
        jack = governing_jack(gathered.schedule, case.target.solid_reserve)
        picture = plan_picture(gathered.view, jack)
        front = cover(gathered.results, _facts(gathered), jack, picture, lift=gathered.whole_lift, cautions=CAUTIONS)
        return Report(front, tuple(_sections(gathered, jack)), CAUTION)


def _facts(gathered: Gathered) -> dict[str, str]:
    """Which input, and which program."""
    inputs = gathered.inputs
    return {
        "Date of the input": inputs.date_words,
        **{f"File {file.name}": f"SHA-256 {file.digest[:DIGITS]}…" for file in inputs.files},
        "Whole input": f"SHA-256 {inputs.digest[:DIGITS]}…",
        "Computed by": f"jackfield {__version__}",
    }


def _sections(gathered: Gathered, jack: GoverningJack) -> Iterator[Section]:
    case, view, results = gathered.solution.floor.case, gathered.view, gathered.results
    strength, schedule = results.strength, gathered.schedule
    yield basis_section(
        job_words(case),
        CONVENTIONS,
        LEFT_OUT,
        assumptions(case),
        remarks=results.remarks,
        left_out=results.left_out,
    )
    if strength is not None:
        yield factor_section(strength.materials.values)
    yield load_section(slab_facts(case), load_entries(case), schedule)
    yield jack_section(
        view,
        jack,
        gathered.existing.cases if gathered.existing else (),
        heave=gathered.solution.heave_frequency,
        moving_mass=moving_mass(case),
        solid_reserve=case.target.solid_reserve,
    )
    pictures = [moment_picture(view, state) for state in PICTURED]
    if strength is not None:
        pictures.append(use_picture(view, strength))
    yield moment_section(gathered.solution.floor.model.plate, case.slab.plan.area, schedule, results.moments, pictures)
    if strength is not None:
        yield from layer_sections(strength, schedule, jack.jack, case.jacks.footprint)
    yield mode_section(view)
    yield from _stages(gathered)
    yield check_section(results.checks)
    yield self_section(results.mesh, dict(results.states), MESH_LIMITS, known_answers())
    yield closing_section(CAUTIONS)


def _stages(gathered: Gathered) -> Iterator[Section]:
    """What a case may have or not: lift, level, motion, existing floor, quantities, doubt."""
    ids = gathered.schedule.ids
    if (lift := gathered.whole_lift) is not None:
        yield lift_section(lift, ids, gathered.findings.lift)
    if gathered.level is not None:
        yield level_section(gathered.level)
    if gathered.motion is not None:
        yield motion_section(gathered.motion, ids)
    if gathered.existing is not None:
        yield existing_section(gathered.existing)
    yield quantity_section(gathered.quantities, gathered.fabric, gathered.findings.lists.remarks)
    if gathered.results.doubt is not None:
        yield doubt_section(gathered.results.doubt)
