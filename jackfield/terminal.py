"""What the command says in the terminal: progress while it works, verdicts at the end, problems."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from rich.console import Console
from rich.markup import escape
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn
from rich.table import Table

from fem.errors import JackfieldError
from jackfield import CAUTIONS
from postprocess.checks import Check
from postprocess.results import Results
from preprocess.errors import InputError


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
    console = Console(highlight=False)
    case, schedule = results.case, results.schedule
    name = "  ".join(part for part in (case["title"], case["reference"], f"revision {case['revision']}") if part)
    console.print(f"[bold]{escape(name)}[/bold]")
    status = schedule.status
    console.print(
        f"Slab {results.slab['area_m2']:.1f} m2, {results.slab['mass_kg'] / 1e3:.1f} t, {len(schedule)} jacks: "
        + ", ".join(f"{status.count(word)} {word}" for word in ("ok", "under", "over"))
        + " in service"
    )
    console.print(_verdicts(results.checks))
    modes = results.modes
    for i, kind in enumerate(modes.kinds[:3]):
        frequency, heave = modes.frequencies[i], modes.heave[i]
        console.print(f"Mode {i + 1}: {frequency:.2f} Hz, {kind} ({heave:.0%} of the mass in heave)")
    for line in results.left_out:
        console.print(f"Left out: {escape(line)}")
    console.print(f"Papers: {escape(str(folder))}", soft_wrap=True)
    console.print(f"[italic]{CAUTIONS[0]} {CAUTIONS[1]}[/italic]")


def show_error(error: JackfieldError) -> None:
    """Everything that is wrong, on standard error, a line each and never broken by the terminal's width."""
    console = Console(stderr=True, highlight=False, soft_wrap=True)
    if isinstance(error, InputError):
        count = len(error.problems)
        found = "1 problem" if count == 1 else f"{count} problems"
        console.print(f"The case cannot be used: {found} found, nothing written.", markup=False)
    console.print(str(error), markup=False)


def _verdicts(checks: Sequence[Check]) -> Table:
    table = Table(show_edge=False, pad_edge=False)
    for heading, side in (("Check", "left"), ("Value", "right"), ("Limit", "left"), ("Verdict", "left")):
        table.add_column(heading, justify="right" if side == "right" else "left")
    table.add_column("Where")
    for check in checks:
        verdict = "[green]met[/green]" if check.ok else "[bold red]NOT MET[/bold red]"
        limit = f"{check.sense} {_number(check.limit)} {check.unit}".rstrip()
        table.add_row(check.name, f"{_number(check.value)} {check.unit}".rstrip(), limit, verdict, escape(check.where))
    return table


def _number(value: float) -> str:
    return f"{value:.1e}" if 0 < abs(value) < 1e-3 else f"{value:.3g}" if abs(value) < 1 else f"{value:.2f}"
