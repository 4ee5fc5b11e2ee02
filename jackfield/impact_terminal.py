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
from postprocess.dynamics.comparison_words import steady_line
from postprocess.dynamics.dangers import danger_words, map_danger_words, ranked, spot
from postprocess.dynamics.steady_words import PEOPLE, steady_words
from postprocess.dynamics.views import AirView, DropMapView, DropView, DynamicsView
from postprocess.dynamics.words import (
    bay_words,
    depth_words,
    full_words,
    kilonewtons,
    millimetres,
    share_words,
)
from postprocess.schedule import JackSchedule
from preprocess.case import Case

DROPS = ("Drop", "Springs kN", "Rubber kN", "Bare kN", "Left mm", "Jack", "Gap mm")
MODES = 3
"""Modes that are listed."""
ELSEWHERE = "Bands, doses, all modes, assumptions and what the model leaves out: impact-summary and dynamics.json"


def show_impact(
    case: Case, schedule: JackSchedule, checks: Sequence[Check], *, view: DynamicsView, folder: Path
) -> None:
    """The drops, the lowest modes, groups and machines, where to stop, and the verdicts."""
    console = plain_console()
    show_heading(console, case_json(case), slab_words(case), schedule)
    show_motion(console, schedule, view)
    show_verdicts(console, checks)
    show_closing(console, folder)


def show_motion(console: Console, schedule: JackSchedule, view: DynamicsView) -> None:
    """All of it but heading, verdicts and closing, so that a run can say it as well."""
    if view.drops:
        _show_drops(console, schedule.ids, view)
    _show_modes(console, view)
    _show_steady(console, schedule.ids, view)
    console.print(ELSEWHERE)


def _show_drops(console: Console, ids: Sequence[str], view: DynamicsView) -> None:
    """The table, the worst place, dangers, and what springs pass; what is to be minded."""
    _drop_table(console, ids, view.drops)
    if view.drop_map is not None:
        console.print(escape(_worst_place(view.drop_map, ids)))
    for drop in view.drops:
        _not_safe(console, drop.name, danger_words(drop, ids))
    if view.drop_map is not None:
        _not_safe(console, view.drop_map.name, map_danger_words(view.drop_map, ids))
    for drop in view.drops[:NAMED]:
        full = (full_words(drop.full_reserve),) if drop.full_reserve < 0 <= drop.reserve else ()
        for words in (*depth_words(drop), *full):
            console.print(f"[bold red]MIND[/bold red] {escape(drop.name)}: {escape(words)}")
        console.print(f"{escape(drop.name)}: {escape(share_words(drop))}")


def _not_safe(console: Console, name: str, dangers: Sequence[str]) -> None:
    for words in dangers:
        console.print(f"[bold red]NOT SAFE[/bold red] {escape(name)}: {escape(words)}")


def _worst_place(grid: DropMapView, ids: Sequence[str]) -> str:
    """Where the heaviest drop passes most into the structure, and where it leaves least travel."""
    most, least = int(grid.force.argmax()), int(grid.reserve.argmin())
    force = f"{kilonewtons(float(grid.force[most]))} into the structure"
    left = f"{millimetres(float(grid.reserve[least]))} of travel left at jack {ids[int(grid.worst_jack[least])]}"
    if most == least:
        return f"Worst place for the heaviest drop: {spot(grid, most)}: {force}, {left}"
    return f"Worst places for the heaviest drop: {spot(grid, most)}: {force}; {spot(grid, least)}: {left}"


def _drop_table(console: Console, ids: Sequence[str], drops: Sequence[DropView]) -> None:
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
    console.print("kN: greatest into the structure. Left: travel of that jack's spring to solid.")


def _show_modes(console: Console, view: DynamicsView) -> None:
    """The lowest modes, the air, warnings of bays and the lowest sideways motion, a line each."""
    modes, sideways = view.modes, view.sideways
    for i, kind in enumerate(modes.kinds[:MODES]):
        shares = f"slab {modes.slab[i]:.0%}, floor {modes.floor[i]:.0%}, air {modes.air[i]:.0%}"
        console.print(f"Mode {i + 1}: {modes.frequencies[i]:.2f} Hz, {escape(kind)}; {shares}")
    if view.air is not None:
        console.print(escape(_air_line(view.air)))
    for line in steady_line(view):
        console.print(escape(line))
    for bay in view.bays:
        for note in bay.notes:
            console.print(f"[bold red]MIND[/bold red] {escape(bay_words(bay.name))}: {escape(note)}")
    if len(sideways.kinds):
        lowest = f"{sideways.frequencies[0]:.2f} Hz, {sideways.kinds[0]}"
        console.print(f"Sideways, rigid slab: lowest {escape(lowest)}")


def _air_line(air: AirView) -> str:
    """Heave with and without the air, and between which values its edges can bring it."""
    return (
        f"Air in a gap of {1e3 * air.gap:.0f} mm ({air.edge}): heave {air.heave_with:.2f} Hz, {air.heave:.2f} Hz on "
        f"the springs alone; all edges sealed {air.sealed:.2f} Hz, all open {air.opened:.2f} Hz"
    )


def _show_steady(console: Console, ids: Sequence[str], view: DynamicsView) -> None:
    """Groups and machines, those that are not safe or must stop first, and what people feel where there are groups."""
    shown = ranked(view.steady)
    for each in shown:
        _not_safe(console, each.name, danger_words(each, ids))
    for each in shown[:NAMED]:
        console.print(f"{each.kind.capitalize()} {escape(each.name)}: {escape(steady_words(each))}")
        for stop in each.meets:
            console.print(f"  [bold red]STOP[/bold red] {escape(stop)}")
    if len(shown) > NAMED:
        console.print(f"and {len(shown) - NAMED} more groups and machines, see dynamics.json")
    if any(each.kind == "group" for each in shown):
        console.print(PEOPLE)
