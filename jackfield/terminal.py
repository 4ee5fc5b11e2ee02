"""What the command says in the terminal: progress while it works, verdicts at the end, problems."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from rich.console import Console
from rich.markup import escape
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn
from rich.table import Table

from fem.errors import JackfieldError
from jackfield import CAUTIONS
from postprocess.checks import Check
from postprocess.doubt.result import FloorDoubt
from postprocess.doubt.words import failure_words, frequency_words, with_bounds
from postprocess.results import Results
from postprocess.schedule import JackSchedule
from postprocess.strength.result import Strength
from preprocess.errors import InputError

NAMED = 12
"""No more jacks out of their band are named in the terminal."""
CORNERS_NAMED = 4
"""No more re-entrant corners are named in the terminal, those nearest to cracking first."""
PLACES = 30
"""Width from which the places of verdicts stand beside them, characters."""
WIDEST = 1000
"""Wider than any table of verdicts, characters."""
SIGNS = {"at most": "≤", "at least": "≥"}


class Steps:
    """Names the step that a run is at and how many of all are done."""

    def __init__(self, progress: Progress | None, total: int) -> None:
        self._progress = progress
        self._task = None if progress is None else progress.add_task("", total=total)
        self._started = False

    def begin(self, what: str) -> None:
        """The step before is done; `what` begins."""
        if self._progress is None or self._task is None:
            return
        self._progress.update(self._task, description=what, advance=1 if self._started else 0)
        self._started = True

    def tell(self, what: str) -> None:
        """What the step that is going on is doing now."""
        if self._progress is not None and self._task is not None:
            self._progress.update(self._task, description=what)


@contextmanager
def progress(total: int, *, quiet: bool) -> Iterator[Steps]:
    """A progress bar on standard error that leaves nothing behind; none when quiet or not in a terminal."""
    console = Console(stderr=True)
    if quiet or not console.is_terminal:
        yield Steps(None, total)
        return
    columns = (BarColumn(bar_width=24), TextColumn("{task.completed}/{task.total}"), TimeElapsedColumn())
    with Progress(*columns, TextColumn("{task.description}"), console=console, transient=True) as bar:
        yield Steps(bar, total)


def show_results(results: Results, folder: Path) -> None:
    """Title, verdicts, modes and where the papers are."""
    console = plain_console()
    slab = f"Slab {results.slab['area_m2']:.1f} m2, {results.slab['mass_kg'] / 1e3:.1f} t"
    show_heading(console, results.case, slab, results.schedule)
    show_verdicts(console, results.checks)
    if results.strength is not None:
        _show_layers(console, results.strength)
    if results.doubt is not None:
        _show_doubt(console, results.doubt)
    show_coils(console, results.coils, results.schedule)
    modes = results.modes
    for i, kind in enumerate(modes.kinds[:3]):
        frequency, heave = modes.frequencies[i], modes.heave[i]
        console.print(f"Mode {i + 1}: {frequency:.2f} Hz, {kind} ({heave:.0%} of the mass in heave)")
    for line in results.remarks:
        console.print(f"Read: {escape(line)}")
    for line in results.left_out:
        console.print(f"Left out: {escape(line)}")
    show_closing(console, folder)


def _show_doubt(console: Console, doubt: FloorDoubt) -> None:
    """How likely a jack leaves its band, the heave frequency, and what the loss of a spring does."""
    leaves = with_bounds(doubt.any_leaves)
    console.print(f"In doubt: any jack outside its band with a probability of {leaves}; {frequency_words(doubt)}")
    for words in failure_words(doubt):
        console.print(f"A spring fails: {escape(words)}")


def show_coils(console: Console, figures: Sequence[Mapping[str, Any]], schedule: JackSchedule) -> None:
    """What to heed of the coils in use whose geometry is known."""
    for entry in figures:
        if entry["code"] in schedule.springs:
            for part in (entry, *entry.get("coils", ())):
                for note in part["notes"]:
                    console.print(f"Coil {escape(part['code'])}: {escape(note)}")


def show_heading(console: Console, case: Mapping[str, str], slab: str, schedule: JackSchedule) -> None:
    """Title, the slab in words, and how many jacks are in their band; those that are not by name."""
    name = "  ".join(part for part in (case["title"], case["reference"], f"revision {case['revision']}") if part)
    console.print(f"[bold]{escape(name)}[/bold]")
    status = schedule.status
    counts = ", ".join(f"{status.count(word)} {word}" for word in ("ok", "under", "over"))
    console.print(f"{slab}, {len(schedule)} jacks: {counts} in service")
    for word in ("under", "over"):
        ids = [schedule.ids[j] for j, found in enumerate(status) if found == word]
        if ids:
            more = f" and {len(ids) - NAMED} more, see the jack schedule" if len(ids) > NAMED else ""
            console.print(f"  {word}: {escape(', '.join(ids[:NAMED]))}{more}")


def show_closing(console: Console, folder: Path) -> None:
    """Where the papers are, and the cautions."""
    console.print(f"Papers: {escape(str(folder))}", soft_wrap=True)
    for caution in CAUTIONS:
        console.print(f"[italic]{caution}[/italic]")


def show_stopped() -> None:
    """The run was broken off from outside."""
    plain_console(stderr=True).print("Stopped; nothing written.")


def show_error(error: JackfieldError) -> None:
    """Everything that is wrong, on standard error, a line each and never broken by the terminal's width."""
    console = Console(stderr=True, highlight=False, soft_wrap=True, emoji=False)
    if isinstance(error, InputError):
        count = len(error.problems)
        found = "1 problem" if count == 1 else f"{count} problems"
        console.print(f"The case cannot be used: {found} found, nothing written.", markup=False)
    console.print(str(error), markup=False)


def plain_console(*, stderr: bool = False) -> Console:
    """A console that neither colours figures nor turns words into pictures."""
    return Console(stderr=stderr, highlight=False, emoji=False)


def show_verdicts(console: Console, checks: Sequence[Check]) -> None:
    """A table, with places where there is room for them; a line a check where it would be cut: no value ever is."""
    width = _width(console, _verdict_table(checks, places=False))
    if width > console.width:
        for check in checks:
            where = f", {escape(check.where)}" if check.where else ""
            console.print(f"{escape(check.name)}: {_value(check)}, {_limit(check)}: {_verdict(check)}{where}")
        return
    places = console.width >= width + PLACES
    console.print(_verdict_table(checks, places=places))
    for check in checks:
        if not places and not check.ok:
            name, where = escape(check.name), escape(check.where) or "see the value above"
            console.print(f"[bold red]NOT MET[/bold red] {name}: {where}")


def _verdict_table(checks: Sequence[Check], *, places: bool) -> Table:
    """Name, value, limit and verdict on one line each, and places, which may be folded."""
    table = Table(show_edge=False, pad_edge=False)
    for heading in ("Check", "Value", "Limit", "Verdict"):
        table.add_column(heading, justify="right" if heading == "Value" else "left", no_wrap=True)
    if places:
        table.add_column("Where", overflow="fold")
    for check in checks:
        where = (escape(check.where),) if places else ()
        table.add_row(escape(check.name), _value(check), _limit(check), _verdict(check), *where)
    return table


def _width(console: Console, table: Table) -> int:
    """Width of a table that nothing cuts, in characters."""
    return console.measure(table, options=console.options.update(width=WIDEST)).maximum


def _show_layers(console: Console, strength: Strength) -> None:
    """How much each layer of steel is used in bending and what it is there for; trimmers; cracking; the lift."""
    table = Table(show_edge=False, pad_edge=False)
    for heading in ("Layer", "Steel", "Use along x", "Use along y", "Verdict"):
        table.add_column(heading, justify="right" if heading.startswith("Use") else "left")
    for layer in strength.layer_verdicts:
        verdict = "[green]enough[/green]" if layer.use.max() <= 1 else "[bold red]NOT ENOUGH[/bold red]"
        chosen = ", chosen" if strength.chosen else ""
        table.add_row(layer.face, escape(layer.fabric) + chosen, *(f"{use:.0%}" for use in layer.use), verdict)
    console.print(table)
    for layer in strength.layer_verdicts:
        console.print(f"Without the {layer.face} layer fails: {'; '.join(layer.fails_without) or 'nothing'}")
    for remark in strength.remarks:
        console.print(f"Mind: {escape(remark)}")
    worst = sorted(strength.corners, key=lambda corner: -max(corner.cracking_use.values()))
    for corner in worst[:CORNERS_NAMED]:
        x, y = corner.xy
        bars = " and ".join(
            f"{count} Ø{strength.trimmer_diameter * 1e3:.0f} {face}" for face, count in corner.trimmers.items() if count
        )
        console.print(f"Re-entrant corner at ({x:.3f}, {y:.3f}) m: cracks start here; trimmers {bars or 'none'}")
    if len(worst) > CORNERS_NAMED:
        console.print(f"and {len(worst) - CORNERS_NAMED} more re-entrant corners, see results.json and strength-cracks")
    parts = [f"{found.state} {found.moment / found.limit:.0%} ({found.where})" for found in strength.cracking]
    console.print(f"Greatest moment over the moment at which the slab may crack: {escape(', '.join(parts))}")
    if strength.lift is not None:
        day = strength.lift.earliest_age
        words = "no day passes" if day is None else f"passes from day {day} on"
        age = f"{strength.lift.concrete.age:g} days"
        console.print(f"Afloat on all jacks at an age of {age}: {words}, by the concrete's expected growth")
        console.print("While jacks are turned one by one the slab bends more: jackfield lift follows every turn")


def _value(check: Check) -> str:
    return f"{_number(check.value)} {check.unit}".rstrip()


def _limit(check: Check) -> str:
    return f"{SIGNS[check.sense]} {_number(check.limit)}"


def _verdict(check: Check) -> str:
    return "[green]met[/green]" if check.ok else "[bold red]NOT MET[/bold red]"


def _number(value: float) -> str:
    return f"{value:.1e}" if 0 < abs(value) < 1e-3 else f"{value:.3g}" if abs(value) < 1 else f"{value:.2f}"
