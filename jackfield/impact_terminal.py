"""What the floor in motion says in the terminal."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from jackfield.job_terminal import slab_words
from jackfield.papers import case_json
from jackfield.terminal import NAMED, plain_console, show_closing, show_heading, show_verdicts
from postprocess.checks import Check
from postprocess.dynamics.views import DropView, DynamicsView
from postprocess.dynamics.words import amplify_words, danger_words
from postprocess.schedule import JackSchedule
from preprocess.case import Case

DROPS = ("Drop", "Springs kN", "Rubber kN", "Bare kN", "Left mm", "Jack", "Gap mm")
MODES = 6
"""Modes that are listed."""


def show_impact(
    case: Case, schedule: JackSchedule, checks: Sequence[Check], *, view: DynamicsView, folder: Path
) -> None:
    """The drops, the lowest modes, what the comparison says, and where to stop."""
    console = plain_console()
    show_heading(console, case_json(case), slab_words(case), schedule)
    show_motion(console, schedule, view)
    show_verdicts(console, checks)
    show_closing(console, folder)


def show_motion(console: Console, schedule: JackSchedule, view: DynamicsView) -> None:
    """All of it but heading, verdicts and closing, so that a run can say it as well."""
    if view.drops:
        _show_drops(console, schedule.ids, view.drops)
    _show_modes(console, view)
    for each in view.steady:
        words = f"{each.peak_acceleration:.3g} m/s2 and {each.peak_force / 1e3:.3g} kN into the structure"
        console.print(
            f"{each.kind.capitalize()} {escape(each.name)}: at most {words}, at {each.worst_rate:.2f} a second"
        )
        for stop in each.meets:
            console.print(f"  [bold red]STOP[/bold red] {escape(stop)}")
    for sentence in view.sentences:
        console.print(escape(sentence))
    for assumed in view.assumed[:NAMED]:
        console.print(f"Assumed: {escape(assumed)}")
    if len(view.assumed) > NAMED:
        console.print(f"and {len(view.assumed) - NAMED} more assumptions, see dynamics.json")


def _show_drops(console: Console, ids: Sequence[str], drops: Sequence[DropView]) -> None:
    table = Table(show_edge=False, pad_edge=False)
    for heading in DROPS:
        wide = heading in {"Drop", "Jack"}
        table.add_column(heading, justify="left" if wide else "right", no_wrap=not wide, overflow="fold")
    for drop in drops[:NAMED]:
        forces = (each.peak_force / 1e3 for each in (drop.springs, drop.rubber, drop.bare))
        left = f"{1e3 * drop.reserve:z.1f}"
        table.add_row(
            escape(drop.name),
            *(f"{force:.2f}" for force in forces),
            left if drop.reserve >= 0 else f"[bold red]{left} SOLID[/bold red]",
            escape(ids[drop.worst_jack]),
            "–" if drop.clearance is None else f"{1e3 * drop.clearance:z.1f}",
        )
    console.print(table)
    if len(drops) > NAMED:
        console.print(f"and {len(drops) - NAMED} more, see drops.csv")
    console.print("kN: greatest into the structure. Left: travel of that jack's spring left to solid.")
    for drop in drops[:NAMED]:
        for words in danger_words(drop, ids):
            console.print(f"[bold red]NOT SAFE[/bold red] {escape(drop.name)}: {escape(words)}")
    console.print(f"{escape(drops[0].name)}: {escape(' '.join(amplify_words(drops[0])))}")


def _show_modes(console: Console, view: DynamicsView) -> None:
    modes = view.modes
    for i, kind in enumerate(modes.kinds[:MODES]):
        shares = f"slab {modes.slab[i]:.0%}, floor {modes.floor[i]:.0%}, air {modes.air[i]:.0%}"
        console.print(f"Mode {i + 1}: {modes.frequencies[i]:.2f} Hz, {escape(kind)}; {shares}")
    if view.air is not None:
        console.print(escape(view.air.sentence))
    for bay in view.bays:
        for note in bay.notes:
            console.print(f"{escape(bay.name)}: {escape(note)}")
    sway = ", ".join(
        f"{f:.2f} Hz {kind}" for f, kind in zip(view.sideways.frequencies, view.sideways.kinds, strict=True)
    )
    console.print(f"Sideways, rigid slab: {escape(sway)}")
