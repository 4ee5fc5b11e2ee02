"""`jackfield lift`: the day of lifting, turn by turn."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from threadpoolctl import threadpool_limits

from jackfield import CAUTIONS, papers
from jackfield.desk import solve_loads
from jackfield.judged import concrete_at
from jackfield.lift_order import SEARCH, Turning, other_orders, turning, until_afloat
from jackfield.lift_terminal import show_lift
from jackfield.lift_view import lift_json
from jackfield.lifting import LiftDesk, desk_at, lift_desk
from jackfield.outcome import JobOutcome, write_record
from jackfield.output import staged
from jackfield.raising import lifted, raised
from jackfield.terminal import Steps, progress
from postprocess.checks import Check
from postprocess.figures import drawing_sheets, write_sheets
from postprocess.jobs.lift_gif import write_lift_animation
from postprocess.jobs.lift_lists import write_lift_passes, write_survey_form
from postprocess.jobs.lift_sheets import lift_sheets
from postprocess.lift.course import Course, course
from postprocess.lift.faults import FaultFinder, SpringKind
from postprocess.lift.verdict import Yardstick, peak_view
from postprocess.lift.views import FaultView, LiftView, SizeView
from postprocess.lift.words import fault_notes, lift_notes, turn_words
from postprocess.results import check_json
from postprocess.strength.age import LATEST
from postprocess.view import PlanView
from preprocess.case import Case, Lift
from preprocess.errors import InputError, Problem
from preprocess.floor import build_floor
from preprocess.reader import read_case
from preprocess.schema import CASE_FILE

FORMAT = "jackfield-lift/1"
RECORD = "lift.json"
SHARES = (1.0, 0.5, 0.25)
"""Sizes of pass that are looked at, as parts of that of the case."""


@dataclass(frozen=True, eq=False)
class _Computed:
    """The lift of a case: how it goes, what may go wrong, and what is to be said."""

    desk: LiftDesk
    course: Course
    view: LiftView
    checks: list[Check]


def lift(case_folder: Path, out: Path | None, *, quiet: bool = False) -> JobOutcome:
    """Lift the slab of a case jack by jack and write what crew and engineer need.

    Raises InputError or OutputError where the input cannot be used, or where the lift cannot be done: the slab stays
    on the floor, or a spring is solid; then nothing is written.
    """
    case = read_case(case_folder)
    rules = lift_rules(case)
    folder = out or Path("out") / case.name / "lift"
    with staged(folder, RECORD) as staging, progress(6, quiet=quiet) as steps:
        steps.begin("meshing and condensing the floor")
        desk = lift_desk(floor := build_floor(case), rules)
        with threadpool_limits(1, "blas"):  # its products are small: threads would wait for each other
            computed = _compute(desk, rules, steps)
        steps.begin("drawing")
        schedule = papers.jack_schedule(floor, solve_loads(floor))
        plan = replace(papers.plan_view(case, schedule), items=())
        view = computed.view
        write_lift_passes(schedule, view, staging / "lift-passes.csv")
        turned = view.passes[-1].advance / rules.pitch
        write_survey_form(schedule, 0 * turned, staging / "survey-form-0.csv")
        write_survey_form(schedule, turned, staging / "survey-form.csv")
        _draw(plan, view, staging / "pictures")
        record = {
            "format": FORMAT,
            "case": papers.case_json(case),
            **lift_json(desk, computed.course, view),
            "checks": [check_json(check) for check in computed.checks],
        }
        write_record(record, staging, RECORD)
    if not quiet:
        show_lift(case, schedule, computed.checks, view=view, folder=folder)
    return JobOutcome(tuple(computed.checks), folder)


def _draw(plan: PlanView, view: LiftView, folder: Path) -> None:
    """All sheets and the animation; a child process draws the pages for the crew meanwhile."""
    sheets = lift_sheets(plan, view, CAUTIONS)
    crew = {name: sheet for name, sheet in sheets.items() if name.startswith("lift-pass")}
    with drawing_sheets(crew, plan.title, folder):
        write_sheets({name: sheet for name, sheet in sheets.items() if name not in crew}, plan.title, folder)
        write_lift_animation(plan, view, folder / "lift.gif")


def lift_rules(case: Case) -> Lift:
    """How the case is to be lifted; raises InputError where it does not say."""
    if case.lift is None:
        raise InputError([Problem(CASE_FILE, "lift", "", "a table [lift], such as pitch_mm = 3 and passes = 10")])
    return case.lift


def _compute(desk: LiftDesk, rules: Lift, steps: Steps) -> _Computed:
    ids = desk.floor.case.jacks.ids
    steps.begin("lifting, turn by turn")
    if rules.order == SEARCH:  # which is not worth while for a slab that cannot be lifted
        lifted(desk, rules, turning(desk, replace(rules, order="listed"), steps.tell))
    found = raised(desk, rules, turning(desk, rules, steps.tell))
    steps.begin("trying other orders")
    compared = other_orders(desk, rules, steps.tell)
    steps.begin("trying smaller passes")
    sizes = tuple(_sizes(desk, rules, found.order, found.course, said=steps.tell))
    steps.begin("looking at what can go wrong")
    faults = _faults(desk, found.course, steps.tell)
    resting = float(found.course.records[-1].moments[-1])
    notes = lift_notes(found.worst, resting, ids, sizes=sizes, compared=compared, age=desk.concrete.age)
    notes += (*fault_notes(found.worst, faults), *found.order.notes)
    view = replace(found.view(notes), sizes=sizes, faults=faults)
    return _Computed(desk, found.course, view, list(found.checks))


def _sizes(
    desk: LiftDesk,
    rules: Lift,
    order: Turning,
    done: Course,
    *,
    said: Callable[[str], None],
) -> Iterator[SizeView]:
    """The peak of passes of other sizes, each until it repeats, and the first day on which it is safe."""
    slab = desk.floor.case.slab
    yardstick = Yardstick(lambda age: concrete_at(slab, age), slab.thickness)
    for share in SHARES:
        turns = rules.turns_per_pass * share
        said(f"trying passes of {turn_words(turns)}")
        passes = order.turns(turns * rules.pitch)
        tried = done if share == 1.0 else course(desk.bench, passes, until_afloat(rules, share))
        peak = peak_view(tried.worst, desk.bench, desk.cracking_moment)
        day = yardstick.earliest_age(peak.moment, desk.concrete.age)
        if peak.use > 1:
            said(f"trying passes of {turn_words(turns)} at a greater age")
            older = desk_at(desk.floor, rules, day or LATEST, desk.places, desk.bench.bending.operator)
            again = course(older.bench, passes, until_afloat(rules, share))
            day = yardstick.earliest_age(float(again.worst.moments.max()), older.concrete.age)
        yield SizeView(turns, peak, day)


def _faults(desk: LiftDesk, done: Course, said: Callable[[str], None]) -> tuple[FaultView, ...]:
    case = desk.floor.case
    used = {spring.code: spring for spring in case.jacks.springs}
    finder = FaultFinder(
        bench=desk.bench,
        base=done.records,
        before=done.before,
        ids=case.jacks.ids,
        codes=[spring.code for spring in case.jacks.springs],
        kinds=[SpringKind(code, spring.rate, spring.solid_deflection) for code, spring in used.items()],
        deviation=case.level.survey_deviation,
        cracking_moment=desk.cracking_moment,
    )
    return finder.views(said)
