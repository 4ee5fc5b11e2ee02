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
    help="Floating concrete floors on spring jacks: jack loads, bending, modes and papers from a case folder. Start "
    "with 'jackfield new my-floor', then 'jackfield run my-floor'. More: 'jackfield JOB --help', README.md and "
    "jackfield/docs.",
    epilog="Assists, does not approve: a chartered or licensed structural engineer checks; local codes rule.",
)

STATUSES = (
    "Exit status: 0 done; 1 done, but a check is not met and --strict was given; 2 the input cannot be used: every "
    "problem is listed and nothing is written."
)

CaseFolder = Annotated[Path, typer.Argument(metavar="CASE", help="Folder that holds case.toml.")]
Out = Annotated[Path | None, typer.Option("--out", help="Folder for the papers (default: below out/NAME-OF-CASE).")]
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


@app.command("run", epilog=STATUSES)
def run_command(case: CaseFolder, out: Out = None, strict: Strict = False, quiet: Quiet = False) -> None:
    """Solve and check CASE: the calculation and all its papers.

    Writes report.html and report.pdf, drawings (DXF and PDF), lists (CSV and XLSX), results.json,
    jack-schedule.csv, pictures and field files: everything that the case holds the data for.

    \b
    Example: jackfield run cases/weights-room --out papers
    Page:    jackfield/docs/run.md
    """
    from jackfield.run import run  # noqa: PLC0415 - the libraries behind it take a second to load

    _end(run(case, out, quiet=quiet).all_met, strict)


@app.command("springs", epilog=STATUSES)
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
    """Choose a spring or nested pair of the catalogue for each jack.

    Writes jacks.csv with the springs, jack-schedule.csv, buying-list.csv with spares, the reason for each pair,
    drawings and springs.json. Springs in the jack list are not looked at; with --keep those of FILE stand, and as
    few as possible change.

    \b
    Example: jackfield springs cases/weights-room --keep put-in.csv
    Page:    jackfield/docs/springs.md
    """
    from jackfield.springs import springs  # noqa: PLC0415

    _end(springs(case, out, keep, quiet=quiet).all_met, strict)


@app.command("compare", epilog=STATUSES)
def compare_command(
    old: Annotated[Path, typer.Argument(metavar="OLD", help="Folder of the revision whose springs stand.")],
    new: Annotated[Path, typer.Argument(metavar="NEW", help="Folder of the revision to come.")],
    out: Out = None,
    strict: Strict = False,
    quiet: Quiet = False,
) -> None:
    """Find the fewest springs to swap when OLD becomes NEW.

    Writes what moved, loads before and after, swaps.csv with the coils to bring, a drawing, a sheet for the crew,
    the new jacks.csv and compare.json. The springs of OLD's jack list are those that stand.

    \b
    Example: jackfield compare cases/weights-room cases/weights-room-b
    Page:    jackfield/docs/compare.md
    """
    from jackfield.compare import compare  # noqa: PLC0415

    _end(compare(old, new, out, quiet=quiet).all_met, strict)


@app.command("lift", epilog=STATUSES)
def lift_command(case: CaseFolder, out: Out = None, strict: Strict = False, quiet: Quiet = False) -> None:
    """Lift the slab of CASE turn by turn, as its table [lift] says.

    Writes a sheet for the crew for each pass, survey forms, pictures of heights, contact and greatest bending,
    safe sizes of pass, lift-passes.csv, lift.gif and lift.json.

    \b
    Example: jackfield lift cases/weights-room
    Page:    jackfield/docs/lift.md
    """
    from jackfield.lift import lift  # noqa: PLC0415

    _end(lift(case, out, quiet=quiet).all_met, strict)


@app.command("level", epilog=STATUSES)
def level_command(
    case: CaseFolder,
    surveys: Annotated[
        list[Path],
        typer.Argument(metavar="SURVEY", help="CSV of heights, several in order: id or x_mm,y_mm; height_mm."),
    ],
    out: Out = None,
    strict: Strict = False,
    quiet: Quiet = False,
) -> None:
    """Find the quarter turns that bring a surveyed slab level.

    Writes level-turns.csv, a sheet for the crew, pictures of heights and turns, a form for the next survey and
    level.json. Several surveys are given in the order in which they were made.

    \b
    Example: jackfield level cases/weights-room survey-1.csv survey-2.csv
    Page:    jackfield/docs/level.md
    """
    from jackfield.level import level  # noqa: PLC0415

    _end(level(case, surveys, out, quiet=quiet).all_met, strict)


@app.command("impact", epilog=STATUSES)
def impact_command(case: CaseFolder, out: Out = None, strict: Strict = False, quiet: Quiet = False) -> None:
    """Work out what the building feels of drops, people and machines.

    Writes the force into the structure in time and in bands, beside a rubber layer and the bare floor, doses,
    travel left, a map of the worst place: drops.csv, drop-bands.csv, jack loads of each drop, pictures and
    dynamics.json.

    \b
    Example: jackfield impact cases/weights-room
    Page:    jackfield/docs/impact.md
    """
    from jackfield.impact import impact  # noqa: PLC0415

    _end(impact(case, out, quiet=quiet).all_met, strict)


@app.command("setout", epilog=STATUSES)
def setout_command(case: CaseFolder, out: Out = None, strict: Strict = False, quiet: Quiet = False) -> None:
    """Find places for the jacks from the plan and the rules of CASE.

    Writes jacks.csv with a first choice of springs, running-dimensions.csv, jack-schedule.csv, a drawing and
    setout.json. The jack list of the case is not needed.

    \b
    Example: jackfield setout cases/weights-room
    Page:    jackfield/docs/setout.md
    """
    from jackfield.setout import setout  # noqa: PLC0415

    _end(setout(case, out, quiet=quiet).all_met, strict)


@app.command("new", epilog=STATUSES)
def new_command(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make.")],
    *,
    drawing: Annotated[
        Path | None, typer.Option("--from", metavar="FILE", help="Drawing in DXF that holds the plan.")
    ] = None,
    units: Annotated[
        str | None, typer.Option("--units", metavar="UNIT", help="Of a drawing that does not say: mm, cm, m, in or ft.")
    ] = None,
    layers: Annotated[
        list[str] | None,
        typer.Option(
            "--layer",
            metavar="PART=NAME",
            help="Layer of the outline, openings, jacks or equipment (default OUTLINE, OPENINGS, JACKS, EQUIPMENT).",
        ),
    ] = None,
    origin: Annotated[
        tuple[float, float] | None,
        typer.Option("--origin", metavar="X Y", help="Point of the drawing, mm, that becomes 0, 0."),
    ] = None,
    closing: Annotated[
        float | None, typer.Option("--closing", metavar="MM", help="Greatest gap that is closed (default 5).")
    ] = None,
) -> None:
    """Write a case to start from, or one with the plan of a drawing.

    Writes case.toml with every key explained, jacks.csv and springs.toml; with --from the outline, openings, jacks
    and equipment come from named layers of a DXF file, which is copied beside them. What it cannot know is named.

    \b
    Example: jackfield new my-floor --from plan.dxf
    Page:    jackfield/docs/new.md
    """
    from jackfield.new import NewCase, drawing_rules, new, new_from  # noqa: PLC0415

    if drawing is None:
        if units or layers or origin or closing is not None:
            raise typer.BadParameter("--units, --layer, --origin and --closing belong to --from")
        case = NewCase(new(folder), (), ())
    else:
        case = new_from(folder, drawing, drawing_rules(units, layers or [], origin, closing))
    for line in (*case.files, *case.remarks, *(f"Still needed: {what}" for what in case.to_do)):
        typer.echo(line)
    typer.echo(case.next_step)


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
