"""The command line."""

from __future__ import annotations

import signal
import threading
from collections.abc import Sequence
from pathlib import Path
from types import FrameType
from typing import Annotated, NoReturn

import typer

from fem.errors import JackfieldError
from jackfield import __version__
from jackfield.terminal import show_error, show_stopped

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="Floating concrete floors on spring jacks: jack loads, bending, modes and papers from a case folder.",
    epilog="Assists, does not approve: a chartered or licensed structural engineer checks; local codes rule.",
)

CaseFolder = Annotated[Path, typer.Argument(metavar="CASE", help="Folder that holds case.toml.")]
Out = Annotated[Path | None, typer.Option("--out", help="Folder for the papers (default out/NAME-OF-CASE).")]
Strict = Annotated[bool, typer.Option("--strict", help="Exit with 1 if a check is not met.")]
Quiet = Annotated[bool, typer.Option("--quiet", help="Print nothing but errors.")]


STOPPED = (130, 143, 129)
"""Exit statuses of SIGINT, SIGTERM and SIGHUP."""


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"jackfield {__version__}")
        raise typer.Exit


@app.callback()
def options(
    version: Annotated[
        bool, typer.Option("--version", callback=_show_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Options before any subcommand."""


@app.command("run")
def run_command(case: CaseFolder, out: Out = None, strict: Strict = False, quiet: Quiet = False) -> None:
    """Do everything that CASE holds the data for; write the papers and results.json."""
    from jackfield.run import run  # noqa: PLC0415 - the libraries behind it take a second to load

    _end(run(case, out, quiet=quiet).all_met, strict)


@app.command("springs")
def springs_command(
    case: CaseFolder,
    keep: Annotated[
        Path | None,
        typer.Option("--keep", metavar="FILE", help="Schedule of springs that stand: change as few as possible."),
    ] = None,
    out: Out = None,
    strict: Strict = False,
    quiet: Quiet = False,
) -> None:
    """Choose a spring or nested pair for each jack; write schedule, buying list and drawings."""
    from jackfield.springs import springs  # noqa: PLC0415

    _end(springs(case, out, keep, quiet=quiet).all_met, strict)


@app.command("compare")
def compare_command(
    old: Annotated[Path, typer.Argument(metavar="OLD", help="Folder of the revision whose springs stand.")],
    new: Annotated[Path, typer.Argument(metavar="NEW", help="Folder of the revision to come.")],
    out: Out = None,
    strict: Strict = False,
    quiet: Quiet = False,
) -> None:
    """Two revisions side by side: what moved, loads before and after, the fewest springs to swap."""
    from jackfield.compare import compare  # noqa: PLC0415

    _end(compare(old, new, out, quiet=quiet).all_met, strict)


@app.command("lift")
def lift_command(case: CaseFolder, out: Out = None, strict: Strict = False, quiet: Quiet = False) -> None:
    """Lift the slab of CASE turn by turn: heights, loads, bending, safe passes, a sheet for each pass."""
    from jackfield.lift import lift  # noqa: PLC0415

    _end(lift(case, out, quiet=quiet).all_met, strict)


@app.command("level")
def level_command(
    case: CaseFolder,
    surveys: Annotated[
        list[Path],
        typer.Argument(metavar="SURVEY...", help="CSV of heights, several in order: id or x_mm,y_mm; height_mm."),
    ],
    out: Out = None,
    strict: Strict = False,
    quiet: Quiet = False,
) -> None:
    """From the surveyed heights of a lifted slab: the quarter turns that bring it level, and a sheet for the crew."""
    from jackfield.level import level  # noqa: PLC0415

    _end(level(case, surveys, out, quiet=quiet).all_met, strict)


@app.command("impact")
def impact_command(case: CaseFolder, out: Out = None, strict: Strict = False, quiet: Quiet = False) -> None:
    """Drops, jumping and machines on the floor of CASE: force into the building, bands, doses, spring reserve."""
    from jackfield.impact import impact  # noqa: PLC0415

    _end(impact(case, out, quiet=quiet).all_met, strict)


@app.command("setout")
def setout_command(case: CaseFolder, out: Out = None, strict: Strict = False, quiet: Quiet = False) -> None:
    """Find places for the jacks from the plan and the rules of CASE; write jacks.csv and running dimensions."""
    from jackfield.setout import setout  # noqa: PLC0415

    _end(setout(case, out, quiet=quiet).all_met, strict)


@app.command("new")
def new_command(folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make.")]) -> None:
    """Write a small complete case to start from."""
    from jackfield.new import new  # noqa: PLC0415

    for path in new(folder):
        typer.echo(path)
    typer.echo(f"Try it: jackfield run {folder}")


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command with `argv` (default: of the process) and return its exit status.

    0 done; 1 done, a check failed and --strict was given; 2 the input cannot be used; 130 or 143 stopped from outside.
    """
    if threading.current_thread() is threading.main_thread():
        for name in ("SIGTERM", "SIGHUP"):
            if hasattr(signal, name):
                signal.signal(getattr(signal, name), _stop)
    try:
        app(args=None if argv is None else list(argv), prog_name="jackfield")
    except SystemExit as stop:
        status = stop.code if isinstance(stop.code, int) else 0 if stop.code is None else 2
        if status in STOPPED:
            show_stopped()
        return status
    except JackfieldError as error:
        show_error(error)
        return error.exit_code
    return 0


def _end(all_met: bool, strict: bool) -> None:
    if strict and not all_met:
        raise typer.Exit(1)


def _stop(number: int, _: FrameType | None) -> NoReturn:
    """End like Ctrl-C does, so that temporary folders and child processes go."""
    raise SystemExit(128 + number)
