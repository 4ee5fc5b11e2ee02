"""`jackfield setout`: places for the jacks from the plan and a few rules, closer where a spring would be too weak."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely import Polygon

from jackfield import papers
from jackfield.choosing import Chosen, choose_springs
from jackfield.desk import even_bed, on_desk, solve_loads
from jackfield.job_terminal import show_setout
from jackfield.outcome import JobOutcome, write_record
from jackfield.output import staged
from jackfield.terminal import Steps, progress
from postprocess.checks import SOLID, Check
from postprocess.figures import write_sheets
from postprocess.jobs.setout_figure import setout_figure
from postprocess.jobs.setout_lists import write_jack_list, write_running_dimensions
from postprocess.jobs.views import SetOutView
from postprocess.results import check_json, schedule_json
from postprocess.schedule import JackSchedule
from postprocess.schedule_file import write_schedule
from postprocess.spring_choice.problem import SERVICE
from postprocess.tributary import nearest_cells
from preprocess.case import Jacks
from preprocess.draft import Draft
from preprocess.errors import InputError
from preprocess.reader import read_draft
from preprocess.setout.layout import JackLayout, best_try, set_out
from preprocess.setout.measure import Closer, Figure, kept
from preprocess.setout.rules import rule_problems
from preprocess.setout.tries import Try
from preprocess.wording import count, listed

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

FORMAT = "jackfield-setout/1"
RECORD = "setout.json"
ROUNDS = 6
"""How often jacks are set out again because a spring would be too weak."""
TIGHTER = 0.95
"""Part by which the spacing is cut below what the overload alone asks for: the new jacks draw load from others too."""
SAME_JACK = 0.02
"""Jacks of two layouts that are nearer than this, m, are the same."""


@dataclass(frozen=True, eq=False)
class SetOut:
    """Jacks on the plan that have been weighed.

    closer: where they had to stand closer. added: indices of jacks that the first layout did not have. chosen: the
    first springs. overloaded: jacks that no spring can carry all the same. strongest: the most that any spring may
    carry in service, N. closed_up: the first layout's jacks that asked for others beside them, with their loads, N.
    """

    layout: JackLayout
    closer: Closer
    added: tuple[int, ...]
    chosen: Chosen
    overloaded: tuple[int, ...]
    strongest: float
    closed_up: tuple[tuple[str, float], ...]


def setout(case_folder: Path, out: Path | None, *, quiet: bool = False) -> JobOutcome:
    """Set out the jacks of a case and write their list, running dimensions and a drawing.

    Raises InputError, for rules that contradict each other or the plan, or OutputError; then nothing is written.
    """
    draft = read_draft(case_folder, "plan")
    folder = out or Path("out") / draft.name / "setout"
    with staged(folder, RECORD) as staging, progress(3, quiet=quiet) as steps:
        steps.begin("setting out jacks")
        found = _weighed(draft, steps)
        steps.begin("solving the floor on its first springs")
        floor = found.chosen.desk.with_springs(found.chosen.springs)
        schedule = papers.jack_schedule(floor, solve_loads(floor))
        checks = [_strength_check(found), *papers.spring_checks(floor.case, schedule)]
        notes = tuple(_notes(draft, found))
        view = SetOutView(
            rows=(*found.layout.rows, *found.layout.columns),
            zones=tuple((zone.name, zone.area) for zone in draft.setout.zones),
            lines=tuple((line.name, line.path) for line in draft.setout.lines),
            notes=notes,
            added=found.added,
        )
        steps.begin("drawing")
        write_jack_list(schedule, staging / "jacks.csv")
        write_schedule(schedule, staging / "jack-schedule.csv")
        write_running_dimensions(draft.plan, schedule, view, staging / "running-dimensions.csv")
        sheet = partial(setout_figure, papers.plan_view(floor.case, schedule), view)
        write_sheets({"setout": sheet}, floor.case.project.title, staging / "pictures")
        write_record(_record(draft, found, schedule, checks, notes), staging, RECORD)
    if not quiet:
        show_setout(floor.case, schedule, checks, notes=notes, folder=folder)
    return JobOutcome(tuple(checks), folder)


def _weighed(draft: Draft, steps: Steps) -> SetOut:
    """Set out, weigh, and set out closer where a jack carries more than the strongest spring, until none does.

    Raises InputError where the plan does not let the rules be kept.
    """
    closer: list[tuple[Polygon, float]] = []
    closed_up: dict[str, float] = {}
    best = _best_try(draft)
    first = layout = set_out(draft.plan, draft.setout, best=best)
    if layout.problems:
        raise InputError(layout.problems)
    for number in range(ROUNDS + 1):
        steps.tell(f"weighing {len(layout)} jacks")
        chosen = choose_springs(on_desk(draft.with_jacks(_jacks(draft, layout))))
        loads = chosen.choice.load[:, SERVICE]
        strongest = chosen.problem.band[1] * float(chosen.problem.types.rated_loads.max())
        over = np.flatnonzero(loads > strongest)
        if not len(over) or number == ROUNDS:
            break
        tighter = _merged([*closer, *_tighter(draft, layout, over, loads[over] / strongest)])
        if tighter and closer and _tightness(tighter) == _tightness(closer):
            break  # as close as the rules allow, and still too much
        steps.tell(f"setting out closer at {len(over)} jacks")
        again = set_out(draft.plan, draft.setout, tighter, best)
        if np.array_equal(again.xy, layout.xy):
            break
        closed_up |= {layout.ids[jack]: float(loads[jack]) for jack in over if not closer}
        closer, layout = tighter, again
    return SetOut(
        layout,
        closer,
        tuple(int(jack) for jack in np.flatnonzero(cKDTree(first.xy).query(layout.xy)[0] > SAME_JACK)),
        chosen,
        tuple(int(jack) for jack in over),
        strongest,
        tuple(closed_up.items()),
    )


def _best_try(draft: Draft) -> Try:
    """By the rules alone. Raises InputError where they contradict each other or the plan."""
    problems = rule_problems(draft.plan, draft.setout, draft.footprint)
    if problems:
        raise InputError(problems)
    return best_try(draft.plan, draft.setout)


def _jacks(draft: Draft, layout: JackLayout) -> Jacks:
    n = len(layout)
    return Jacks(layout.ids, layout.xy, even_bed(draft.catalogue, n), np.zeros(n), draft.footprint)


def _tighter(draft: Draft, layout: JackLayout, over: Ints, share: Floats) -> list[tuple[Polygon, float]]:
    """Around each overloaded jack the area nearest to it, with the spacing that would bring its load down."""
    cells = nearest_cells(draft.plan, layout.xy)
    least, greatest = draft.setout.least_spacing, draft.setout.greatest_spacing
    return [
        (cells[jack].intersection(draft.plan), max(least, TIGHTER * greatest / float(np.sqrt(part))))
        for jack, part in zip(over, share, strict=True)
    ]


def _merged(areas: list[tuple[Polygon, float]]) -> list[tuple[Polygon, float]]:
    """Areas that touch as one, with the least of their spacings."""
    shapes = [area.buffer(1e-6) for area, _ in areas]
    return [
        (part, min(spacing for shape, (_, spacing) in zip(shapes, areas, strict=True) if shape.intersects(part)))
        for part in shapely.get_parts(shapely.union_all(shapes))
    ]


def _tightness(areas: Closer) -> list[tuple[float, float]]:
    """Size in m2 and spacing in m of each area, to see whether anything has become tighter."""
    return sorted((round(area.area, 3), round(spacing, 3)) for area, spacing in areas)


def _strength_check(found: SetOut) -> Check:
    ids = [found.layout.ids[jack] for jack in found.overloaded]
    name = "jacks that no spring of the catalogue can carry"
    return Check(name, float(len(ids)), 0.0, "", "at most", SOLID, f"jacks {listed(ids)}" if ids else "")


def _notes(draft: Draft, found: SetOut) -> Iterator[str]:
    """What is not met, the rules, where loads asked for more jacks, and what governs."""
    limit = f"{found.strongest / 1e3:.2f} kN, the most that the strongest spring may carry"
    if found.overloaded:
        loads = found.chosen.choice.load[:, SERVICE] / 1e3
        worst = max(found.overloaded, key=lambda jack: float(loads[jack]))
        ids = listed([found.layout.ids[jack] for jack in found.overloaded])
        yield (
            f"NOT MET: {count(len(found.overloaded), 'jack')} above {limit}: {ids}; most of all "
            f"{found.layout.ids[worst]} with {loads[worst]:.2f} kN in service. It takes stronger springs or other loads"
        )
    rules = draft.setout
    lengths = (rules.greatest_spacing, rules.least_spacing, rules.least_edge, rules.greatest_overhang)
    greatest, least, edge, overhang = (f"{1e3 * length:.0f}" for length in lengths)
    yield f"Rules: spacing {least} to {greatest} mm, {edge} mm or more from edges, overhang up to {overhang} mm"
    if found.closed_up:
        name, load = max(found.closed_up, key=lambda pair: pair[1])
        yield (
            f"jacks stand closer where {count(len(found.closed_up), 'jack')} of the first layout would have carried "
            f"more than {limit}, most of all {name} with {load / 1e3:.2f} kN in service"
        )
    yield from found.layout.notes


def _record(
    draft: Draft, found: SetOut, schedule: JackSchedule, checks: list[Check], notes: tuple[str, ...]
) -> dict[str, Any]:
    rules, layout = draft.setout, found.layout
    measured = kept(draft.plan, rules, layout.xy, found.closer)
    return {
        "format": FORMAT,
        "case": papers.case_json(found.chosen.desk.floor.case),
        "measured": {
            "least_spacing_mm": _figure_json(measured.least_spacing),
            "least_edge_mm": _figure_json(measured.least_edge),
            "reach_mm": _figure_json(measured.reach),
            "overhang_mm": _figure_json(measured.overhang),
        },
        "jacks": schedule_json(schedule),
        "rows": [[layout.ids[jack] for jack in row] for row in (*layout.rows, *layout.columns)],
        "added": [layout.ids[jack] for jack in found.added],
        "overloaded": [layout.ids[jack] for jack in found.overloaded],
        "notes": list(notes),
        "checks": [check_json(check) for check in checks],
    }


def _figure_json(figure: Figure) -> dict[str, Any]:
    """A measured distance with its limit and place, mm."""
    return {"value": 1e3 * figure.value, "limit": 1e3 * figure.limit, "at_mm": [1e3 * c for c in figure.at]}
