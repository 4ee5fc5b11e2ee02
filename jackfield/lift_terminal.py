"""What lifting and levelling say in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from jackfield.job_terminal import slab_words
from jackfield.papers import case_json
from jackfield.terminal import plain_console, show_closing, show_heading, show_verdicts
from postprocess.checks import Check
from postprocess.jobs.level_words import ONE_SURVEY
from postprocess.level.views import LevelView
from postprocess.lift.views import LiftView
from postprocess.lift.words import turn_words
from postprocess.schedule import JackSchedule
from preprocess.case import Case

SAFE, UNSAFE = "[green]below[/green]", "[bold red]ABOVE[/bold red]"


def show_lift(case: Case, schedule: JackSchedule, checks: Sequence[Check], *, view: LiftView, folder: Path) -> None:
    """The passes, the sizes of pass that are safe, and what can go wrong."""
    console = plain_console()
    show_heading(console, case_json(case), slab_words(case), schedule)
    console.print(f"Order of turning: {escape(view.order_name)}")
    _show_passes(console, schedule.ids, view)
    _show_sizes(console, view)
    for note in view.notes:
        console.print(escape(note))
    if view.faults:
        console.print("[bold]If something goes wrong:[/bold]")
    for fault in view.faults:
        harm = "[bold red]harmful[/bold red]" if fault.harmful else "harmless"
        console.print(f"  {escape(fault.words)}: bending {fault.use:.2f}, {harm}; {escape(fault.noticed)}")
    show_verdicts(console, checks)
    show_closing(console, folder)


def _show_passes(console: Console, ids: Sequence[str], view: LiftView) -> None:
    table = Table(show_edge=False, pad_edge=False)
    for heading in ("Pass", "Screw mm", "Height mm", "On floor", "Load kN", "Bending", "After"):
        table.add_column(heading, justify="left" if heading == "After" else "right", no_wrap=True)
    for each in view.passes:
        low, high = each.heights.min() * 1e3, each.heights.max() * 1e3
        table.add_row(
            str(each.number),
            f"{each.advance.mean() * 1e3:.1f}",
            f"{low:z.1f}–{high:z.1f}",
            f"{each.contact_share:.0%}",
            f"{each.loads.min() / 1e3:z.2f}–{each.loads.max() / 1e3:z.2f}",
            f"{each.peak.use:.2f}" if each.peak.use <= 1 else f"[bold red]{each.peak.use:.2f}[/bold red]",
            escape(ids[each.peak.jack]),
        )
    console.print(table)
    console.print("Bending: greatest after any single turn, over the moment at which the slab may crack.")


def _show_sizes(console: Console, view: LiftView) -> None:
    for size in view.sizes:
        verdict = SAFE if size.peak.use <= 1 else UNSAFE
        day = "never safe" if size.earliest_age is None else f"safe from day {size.earliest_age} on"
        words = f"{verdict} cracking at {view.age:g} days ({size.peak.use:.2f} of that moment); {day}"
        console.print(f"Passes of {turn_words(size.turns)}: {words}")


def show_level(case: Case, schedule: JackSchedule, checks: Sequence[Check], *, view: LevelView, folder: Path) -> None:
    """The turns in the order of work, what they reach, and what is in doubt."""
    console = plain_console()
    show_heading(console, case_json(case), slab_words(case), schedule)
    if view.order:
        table = Table(show_edge=False, pad_edge=False)
        for heading in ("Jack", "Turns", "mm before", "mm after", "kN before", "kN after"):
            table.add_column(heading, justify="left" if heading == "Jack" else "right", no_wrap=True)
        for jack in view.order:
            heights = (view.heights_before[jack] * 1e3, view.heights_after[jack] * 1e3)
            loads = (view.loads_before[jack] / 1e3, view.loads_after[jack] / 1e3)
            table.add_row(
                escape(schedule.ids[jack]),
                f"{view.quarter_turns[jack] / 4:+g}",
                *(f"{height:z.1f}" for height in heights),
                *(f"{load:z.2f}" for load in loads),
            )
        console.print(table)
    console.print(escape(view.reach))
    if view.surveys == 1:
        console.print(ONE_SURVEY)
    for note in view.notes:
        console.print(escape(note))
    if view.rates is not None:
        share = view.rates.estimate / view.rates.nominal - 1
        console.print(
            f"Rates from the surveys: {share.min():+.1%} to {share.max():+.1%} of nominal, "
            f"± {(view.rates.spread / view.rates.nominal).mean():.1%} each; see level.json"
        )
    show_verdicts(console, checks)
    show_closing(console, folder)
