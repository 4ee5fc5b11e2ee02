"""The command line."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from fem.errors import JackfieldError
from jackfield import __version__
from jackfield.terminal import show_error

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

    outcome = run(case, out, quiet=quiet)
    if strict and not outcome.all_met:
        raise typer.Exit(1)


@app.command("new")
def new_command(folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make.")]) -> None:
    """Write a small complete case to start from."""
    from jackfield.new import new  # noqa: PLC0415

    for path in new(folder):
        typer.echo(path)
    typer.echo(f"Try it: jackfield run {folder}")


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command with `argv` (default: of the process) and return its exit status.

    0 done; 1 done, a check failed and --strict was given; 2 the input cannot be used.
    """
    try:
        app(args=None if argv is None else list(argv), prog_name="jackfield")
    except SystemExit as stop:
        return stop.code if isinstance(stop.code, int) else 0 if stop.code is None else 2
    except JackfieldError as error:
        show_error(error)
        return error.exit_code
    except KeyboardInterrupt:
        Console(stderr=True).print("Stopped; nothing written.")
        return 130
    return 0
