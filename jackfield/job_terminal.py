"""What single jobs say in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.markup import escape
from rich.table import Table

from jackfield.papers import case_json
from jackfield.terminal import NAMED, plain_console, show_closing, show_coils, show_heading, show_verdicts
from postprocess.checks import Check
from postprocess.jobs.views import ChoiceView, RevisionView
from postprocess.schedule import JackSchedule
from preprocess.case import Case
from preprocess.coil_figures import catalogue_figures
from preprocess.wording import count

STRENGTH = (
    "Not checked here: strength of the slab, punching and the lift on these springs. Put the new jacks.csv into the "
    "case and let jackfield run check them before anything is bought or swapped."
)


def show_setout(
    case: Case, schedule: JackSchedule, checks: Sequence[Check], *, notes: Sequence[str], folder: Path
) -> None:
    """How many jacks, what governs, and whether first springs suit."""
    console = plain_console()
    show_heading(console, case_json(case), slab_words(case), schedule)
    for note in notes:
        console.print(escape(note))
    show_verdicts(console, checks)
    console.print("Springs in the list are a first choice: jackfield springs chooses them for good.")
    show_closing(console, folder)


def show_compare(
    case: Case,
    schedule: JackSchedule,
    checks: Sequence[Check],
    *,
    differences: Sequence[str],
    changes: RevisionView | None,
    folder: Path,
) -> None:
    """What differs, and which springs to swap; changes: None where the jacks themselves differ."""
    console = plain_console()
    show_heading(console, case_json(case), slab_words(case), schedule)
    _show_lines(console, "Differences", differences)
    show_verdicts(console, checks)
    if changes is None:
        console.print("The jacks differ, so no spring can be kept: jackfield springs chooses them anew.")
    else:
        show_swaps(console, schedule, changes)
    show_coils(console, catalogue_figures(case.catalogue), schedule)
    console.print(STRENGTH)
    show_closing(console, folder)


def show_springs(
    case: Case,
    schedule: JackSchedule,
    checks: Sequence[Check],
    *,
    view: ChoiceView,
    changes: RevisionView | None,
    folder: Path,
) -> None:
    """Verdicts, what to buy or to swap, and what is missing."""
    console = plain_console()
    show_heading(console, case_json(case), slab_words(case), schedule)
    show_verdicts(console, checks)
    if changes is None:
        _show_buying(console, view)
        _show_lines(console, "Not every condition is met", view.shortfalls)
        _show_habit(console, schedule, view)
    else:
        show_swaps(console, schedule, changes)
    show_coils(console, catalogue_figures(case.catalogue), schedule)
    console.print(STRENGTH)
    show_closing(console, folder)


def show_swaps(console: Console, schedule: JackSchedule, changes: RevisionView) -> None:
    """The springs to change, and whether fewer might do."""
    _show_lines(console, "On the springs that stand", changes.standing)
    if changes.swaps:
        table = Table(show_edge=False, pad_edge=False)
        for heading in ("Jack", "Out", "In"):
            table.add_column(heading)
        for heading in ("kN on the old spring", "kN after", "Ratio after"):
            table.add_column(heading, justify="right")
        for swap in changes.swaps:
            table.add_row(
                *(escape(words) for words in (schedule.ids[swap.jack], swap.out, swap.into)),
                f"{swap.load_unswapped / 1e3:.2f}",
                f"{swap.load_after / 1e3:.2f}",
                f"{swap.ratio_after:.2f}",
            )
        console.print(table)
    console.print(swap_summary(changes))
    _show_lines(console, "Not every condition is met", changes.problems)


def swap_summary(changes: RevisionView) -> str:
    """How many springs change, and whether that is proven the least."""
    number = len(changes.swaps)
    if not number:
        return "No spring has to change." if not changes.problems else "No swap helps."
    words = "1 spring changes" if number == 1 else f"{number} springs change"
    if changes.problems:
        return f"{words}; what remains is listed."
    return f"{words}: " + (
        "fewer do not suffice (proven)." if changes.least else f"fewer than {changes.at_least} do not suffice (proven)."
    )


def _show_buying(console: Console, view: ChoiceView) -> None:
    table = Table(show_edge=False, pad_edge=False)
    table.add_column("Coil")
    for heading in ("Under jacks", "Spares", "To buy"):
        table.add_column(heading, justify="right")
    for row in view.buying:
        table.add_row(escape(row.coil), str(row.under_jacks), str(row.spares), str(row.total))
    console.print(table)
    if view.pair_reasons:
        console.print(f"{len(view.pair_reasons)} jacks have a nested pair: nested-pairs.csv says why each.")


def _show_habit(console: Console, schedule: JackSchedule, view: ChoiceView) -> None:
    habit = view.habit
    other = sum(pick != spring for pick, spring in zip(habit.springs, schedule.springs, strict=True))
    words = f"Loads by the nearest area would have picked another spring at {other} of {len(schedule)} jacks"
    wrong = [schedule.ids[jack] for jack in np.flatnonzero(habit.wrong)]
    if wrong:
        words += f", at {len(wrong)} of them outside the band: {_named(wrong)}"
    else:
        words += f", all inside the band: load ratios {habit.ratios.min():.2f} to {habit.ratios.max():.2f}"
    console.print(f"{words}. With all of its picks in place {count(habit.wrong_together, 'jack')} would be outside it.")


def _show_lines(console: Console, heading: str, lines: Sequence[str]) -> None:
    if not lines:
        return
    console.print(f"[bold]{heading}:[/bold]")
    for line in lines[:NAMED]:
        console.print(f"  {escape(line)}")
    if len(lines) > NAMED:
        console.print(f"  and {len(lines) - NAMED} more, see the papers")


def slab_words(case: Case) -> str:
    """The slab in a few words."""
    return f"Slab {case.slab.plan.area:.1f} m2, {case.slab.mass / 1e3:.1f} t"


def _named(ids: Sequence[str]) -> str:
    more = f" and {len(ids) - NAMED} more" if len(ids) > NAMED else ""
    return f"{escape(', '.join(ids[:NAMED]))}{more}"
