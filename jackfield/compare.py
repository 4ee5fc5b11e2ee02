"""`jackfield compare`: two revisions side by side, and the fewest springs to swap for the new one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from jackfield import papers
from jackfield.choosing import keep_springs
from jackfield.desk import draft_desk, solve_floor, solve_loads
from jackfield.job_terminal import show_compare
from jackfield.outcome import JobOutcome, write_record
from jackfield.output import staged
from jackfield.swapping import Changes, revision_view, swap_json, swap_sheets, write_swap_lists
from jackfield.terminal import progress
from postprocess.checks import Check
from postprocess.figures import write_sheets
from postprocess.jobs.setout_lists import write_jack_list
from postprocess.jobs.views import ItemChange, RevisionView
from postprocess.plan_figure import plan_figure
from postprocess.results import check_json, schedule_json
from postprocess.schedule import JackSchedule
from postprocess.schedule_file import write_schedule
from preprocess.case import Case, Spring
from preprocess.draft import Draft
from preprocess.errors import InputError, Problem
from preprocess.floor import build_floor
from preprocess.reader import read_case, read_draft
from preprocess.revision import Revision, revision
from preprocess.wording import count, listed, nearest, quoted

Floats = NDArray[np.float64]
Read = TypeVar("Read")

FORMAT = "jackfield-compare/1"
RECORD = "compare.json"


@dataclass(frozen=True, eq=False)
class _Solved:
    """The new revision on its springs. changes: None where the jacks differ, so that no spring can be kept."""

    case: Case
    schedule: JackSchedule
    heave_frequency: float
    changes: RevisionView | None


def compare(old_folder: Path, new_folder: Path, out: Path | None, *, quiet: bool = False) -> JobOutcome:
    """Hold a new revision against the old one, whose springs stand under the jacks, and write what has to change.

    Raises InputError or OutputError before anything is computed; then nothing is written.
    """
    old, draft = _read_both(old_folder, new_folder)
    difference = revision(old, draft.with_springs([next(iter(draft.catalogue.values()))] * len(draft.rows)))
    if not difference.shared_jacks:
        file = str(draft.folder / draft.jack_file)
        allowed = f"a revision of the floor in {old.folder}: at least one jack of the same id at the same place"
        raise InputError([Problem(file, "rows", "no jack of the old revision", allowed)])
    listed_anew = read_case(new_folder) if difference.jacks else None
    kept = () if listed_anew else _kept(old, draft)
    folder = out or Path("out") / draft.name / "compare"
    with staged(folder, RECORD) as staging, progress(4, quiet=quiet) as steps:
        steps.begin("solving the old revision")
        before = papers.jack_schedule(floor := build_floor(old), solve_loads(floor))
        steps.begin("solving the new one")
        solved = _chosen_anew(listed_anew) if listed_anew else _swapped(draft, old, kept, before, difference)
        checks = papers.spring_checks(solved.case, solved.schedule, solved.heave_frequency)
        steps.begin("writing lists")
        write_schedule(solved.schedule, staging / "jack-schedule.csv")
        write_jack_list(solved.schedule, staging / "jacks.csv")
        if solved.changes is not None:
            write_swap_lists(solved.schedule, solved.changes, staging)
        steps.begin("drawing")
        plan = papers.plan_view(solved.case, solved.schedule)
        sheets: dict[str, Callable[[], Figure]] = {"plan": partial(plan_figure, plan)}
        sheets |= {} if solved.changes is None else swap_sheets(plan, solved.changes)
        write_sheets(sheets, solved.case.project.title, staging / "pictures")
        words = tuple(_difference_words(difference, old, draft))
        write_record(_record(old, solved, before, words, checks), staging, RECORD)
    if not quiet:
        show_compare(solved.case, solved.schedule, checks, differences=words, changes=solved.changes, folder=folder)
    return JobOutcome(tuple(checks), folder)


def _read_both(old_folder: Path, new_folder: Path) -> tuple[Case, Draft]:
    """Both cases; raises InputError with the problems of both, files named with their folders."""
    old, problems = _read(old_folder, read_case)
    new, more = _read(new_folder, partial(read_draft, given="positions"))
    if old is None or new is None:
        raise InputError([*problems, *more])
    return old, new


def _read(folder: Path, reader: Callable[[Path], Read]) -> tuple[Read | None, list[Problem]]:
    try:
        return reader(folder), []
    except InputError as error:
        return None, [replace(problem, file=str(folder / problem.file)) for problem in error.problems]


def _kept(old: Case, draft: Draft) -> tuple[Spring, ...]:
    """The springs that stand, as entries of the new catalogue, in the order of the new jack list."""
    installed = dict(zip(old.jacks.ids, old.jacks.springs, strict=True))
    missing = {spring.code for spring in installed.values() if spring.code not in draft.catalogue}
    if missing:
        file = str(draft.folder / draft.file.springs.catalogue)
        raise InputError(
            [
                Problem(file, "spring", quoted(code), f"stands under jacks: {nearest(code, draft.catalogue, 'spring')}")
                for code in sorted(missing)
            ]
        )
    return tuple(draft.catalogue[installed[row.id].code] for row in draft.rows)


def _swapped(draft: Draft, old: Case, kept: tuple[Spring, ...], before: JackSchedule, difference: Revision) -> _Solved:
    """The new revision on the springs that stand, with the fewest swaps."""
    desk = draft_desk(draft)
    chosen = keep_springs(desk, kept)
    floor = desk.with_springs(chosen.springs)
    states, modes = solve_floor(floor)
    place = {name: jack for jack, name in enumerate(before.ids)}
    loads_before = before.loads["service"][[place[row.id] for row in draft.rows]]
    items = tuple(
        ItemChange(
            change.name,
            change.kind,
            None if change.old is None else change.old.shape,
            None if change.new is None else change.new.shape,
            change.words,
        )
        for change in difference.loads
    )
    revisions = old.project.revision, floor.case.project.revision
    changes = revision_view(chosen, kept, revisions, Changes(items, difference.other), loads_before)
    schedule = papers.jack_schedule(floor, states)
    return _Solved(floor.case, schedule, modes.heave_frequency, changes)


def _chosen_anew(case: Case) -> _Solved:
    """The new revision on the springs of its own list."""
    floor = build_floor(case)
    states, modes = solve_floor(floor)
    schedule = papers.jack_schedule(floor, states)
    return _Solved(floor.case, schedule, modes.heave_frequency, None)


def _difference_words(difference: Revision, old: Case, draft: Draft) -> Iterator[str]:
    for change in difference.loads:
        yield f"{change.name}: {change.words}"
    yield from difference.other
    yield from difference.jacks
    installed = {name: spring.code for name, spring in zip(old.jacks.ids, old.jacks.springs, strict=True)}
    other = [row.id for row in draft.rows if row.spring and installed.get(row.id, row.spring) != row.spring]
    if other:
        yield f"the new jack list has other springs at {count(len(other), 'jack')} already ({listed(other)})"


def _record(
    old: Case, solved: _Solved, before: JackSchedule, words: tuple[str, ...], checks: list[Check]
) -> dict[str, Any]:
    changes = solved.changes
    loads = dict(zip(before.ids, before.loads["service"] / 1e3, strict=True))
    return {
        "format": FORMAT,
        "old": papers.case_json(old),
        "new": papers.case_json(solved.case),
        "differences": list(words),
        "heave_frequency_hz": solved.heave_frequency,
        "jacks": [{**jack, "load_before_kN": loads.get(jack["id"])} for jack in schedule_json(solved.schedule)],
        "swaps": None if changes is None else swap_json(solved.schedule, changes),
        "checks": [check_json(check) for check in checks],
    }
