"""From a solved floor to what its papers show."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from fem.gravity import GRAVITY
from fem.statics import StaticResult
from jackfield import CAUTIONS
from jackfield.doubt import why_without
from jackfield.dynamics import why_still
from jackfield.lists import Lists
from jackfield.pipeline import REFINED, MeshCheck, Solution
from postprocess.checks import (
    Check,
    equilibrium_check,
    frequency_check,
    heave_shared,
    jack_checks,
    mesh_checks,
    slenderness_check,
)
from postprocess.coil_checks import coil_checks
from postprocess.doubt.checks import failure_checks
from postprocess.doubt.result import FloorDoubt
from postprocess.fields import sample_fields
from postprocess.results import MeshSummary, Results, StateSummary
from postprocess.schedule import JackSchedule
from postprocess.strength.result import Strength
from postprocess.tributary import tributary_loads
from postprocess.view import FloorView, PlanItem, PlanView
from preprocess.case import Case
from preprocess.coil_figures import catalogue_figures
from preprocess.floor import Floor
from preprocess.loads import PATTERNS, AppliedLoad, applied_loads, state_factors
from preprocess.plan import re_entrant_corners
from preprocess.springs import known_coils


def jack_schedule(floor: Floor, states: Mapping[str, StaticResult]) -> JackSchedule:
    """What every jack carries in each load state, with the tributary estimate beside it."""
    case, jacks = floor.case, floor.case.jacks
    service = dict(zip(PATTERNS, state_factors(case)["service"], strict=True))
    shares = [(load.shape, load.force * service[load.pattern]) for load in floor.loads]
    return JackSchedule(
        ids=jacks.ids,
        xy=jacks.xy,
        springs=tuple(spring.code for spring in jacks.springs),
        rates=jacks.rates,
        rated_loads=jacks.rated_loads,
        solid_deflections=jacks.solid_deflections,
        advance=jacks.advance,
        loads={name: state.jack_load for name, state in states.items()},
        deflections={name: state.jack_deflection for name, state in states.items()},
        tributary_loads=tributary_loads(case.slab.plan, jacks.xy, shares),
        band=case.target.load_ratio,
    )


def spring_checks(
    case: Case, schedule: JackSchedule, heave_frequency: float | None = None, shared: str = ""
) -> list[Check]:
    """The verdicts on the springs under the jacks; heave_frequency: in service, Hz, None where it is not asked.

    shared: how modes share the heave, in words, if they do.
    """
    coils = [known_coils(spring, case.catalogue) for spring in case.jacks.springs]
    found = jack_checks(schedule, case.target.solid_reserve) + coil_checks(schedule, coils)
    if heave_frequency is not None and case.target.natural_frequency is not None:
        found.append(frequency_check(heave_frequency, case.target.natural_frequency, shared))
    return found


@dataclass(frozen=True)
class Findings:
    """What a run finds beyond the solution. strength, doubt: None where the case does not ask for them.

    lift, motion: the verdicts on the lift and on the floor in motion, none where there is none.
    """

    mesh: MeshCheck
    strength: Strength | None
    doubt: FloorDoubt | None
    lift: tuple[Check, ...]
    motion: tuple[Check, ...]
    lists: Lists


def checks(solution: Solution, schedule: JackSchedule, findings: Findings) -> list[Check]:
    """Every verdict of a run: jacks, frequency, strength, failures, validity of the theory, the program's own work."""
    case = solution.floor.case
    found = spring_checks(case, schedule, solution.heave_frequency, heave_shared(solution.modes))
    if findings.strength is not None:
        found += findings.strength.checks
    if findings.doubt is not None:
        found += failure_checks(findings.doubt)
    found += [*findings.lift, *findings.motion]
    found.append(slenderness_check(case.slab.thickness, schedule.xy))
    found.append(equilibrium_check(solution.equilibrium_errors()))
    changes = findings.mesh.as_dict()
    if findings.mesh.compared_with != REFINED:  # a coarser mesh says too little about single places
        del changes["moment_anywhere"]
    return found + mesh_checks(changes)


def case_json(case: Case) -> dict[str, str]:
    """Which case it is, for results and records, and which input: by its date and the digest of its files."""
    project, inputs = case.project, case.inputs
    return {
        "title": project.title,
        "reference": project.reference,
        "revision": project.revision,
        "date": inputs.date.isoformat(),
        "input_sha256": inputs.digest,
    }


def results(solution: Solution, schedule: JackSchedule, findings: Findings) -> Results:
    """Everything that results.json holds."""
    floor = solution.floor
    case = floor.case
    errors = solution.equilibrium_errors()
    force = (floor.resultants @ floor.state_matrix())[0]
    return Results(
        case=case_json(case),
        slab={
            "area_m2": case.slab.plan.area,
            "mass_kg": case.slab.mass,
            "thickness_mm": case.slab.thickness * 1e3,
            "modulus_gpa": case.slab.modulus / 1e9,
        },
        states={
            name: StateSummary(float(force[i]), float(state.jack_load.sum()), errors[name])
            for i, (name, state) in enumerate(solution.states.items())
        },
        schedule=schedule,
        modes=solution.modes,
        moments=solution.moments,
        checks=checks(solution, schedule, findings),
        mesh=MeshSummary(
            triangles=len(floor.model.space.mesh.triangles),
            unknowns=floor.model.space.unknowns,
            compared_with=findings.mesh.compared_with,
            change_percent=findings.mesh.as_dict(),
        ),
        strength=findings.strength,
        doubt=findings.doubt,
        coils=catalogue_figures(case.catalogue),
        lists=findings.lists.as_json(),
        remarks=case.remarks,
        left_out=tuple(left_out_by_case(case, findings)),
        cautions=CAUTIONS,
    )


def left_out_by_case(case: Case, findings: Findings) -> Iterator[str]:
    """What the case does not hold the data for, or is too large for, in words."""
    if case.reinforcement is None:
        yield "strength of the slab: case.toml has no [reinforcement]"
    elif case.lift is None:
        yield "strength on the day of lifting: case.toml has no [lift]"
    if (still := why_still(case)) is not None:
        yield still
    if findings.doubt is not None:
        yield from findings.doubt.left_out
    elif (reason := why_without(case)) is not None:
        yield reason


def plan_view(case: Case, schedule: JackSchedule) -> PlanView:
    """What the sheets of single jobs need."""
    return PlanView(
        title=case.project.title,
        reference=case.project.reference,
        revision=case.project.revision,
        plan=case.slab.plan,
        thickness=case.slab.thickness,
        footprint=case.jacks.footprint,
        items=tuple(_plan_items(applied_loads(case))),
        schedule=schedule,
    )


def floor_view(solution: Solution, schedule: JackSchedule) -> FloorView:
    """Everything that the pictures of a run need, but for the strength of the slab."""
    case = solution.floor.case
    return FloorView(
        **vars(plan_view(case, schedule)),
        re_entrant_corners=re_entrant_corners(case.slab.plan),
        fields=sample_fields(solution.states, solution.bending, solution.modes),
        modes=solution.modes,
        strength=None,
    )


def _plan_items(loads: tuple[AppliedLoad, ...]) -> Iterator[PlanItem]:
    """Equipment, line loads and finishes with what they weigh, in words."""
    for load in loads:
        if load.pattern == "equipment":
            yield PlanItem(load.name, "equipment", f"{load.force / GRAVITY:.0f} kg", load.shape)
        elif load.pattern == "line loads":
            yield PlanItem(load.name, "line load", f"{load.force / load.shape.length / 1e3:.2f} kN/m", load.shape)
        elif load.pattern == "finishes":
            yield PlanItem(load.name, "finish", f"{load.force / load.shape.area / 1e3:.2f} kPa", load.shape)
