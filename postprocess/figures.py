"""Writes all drawings of a floor, each as a picture (PNG) and as a vector sheet (PDF)."""

from __future__ import annotations

import pickle
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from functools import partial
from pathlib import Path

from matplotlib.contour import ContourSet
from matplotlib.figure import Figure

from postprocess import child
from postprocess.deflection_figure import deflection_figure
from postprocess.drawing import paper_size
from postprocess.load_figure import load_figure
from postprocess.mode_figure import mode_figure
from postprocess.moment_figure import moment_figure
from postprocess.page import Page
from postprocess.plan_figure import plan_figure
from postprocess.schedule import STATES
from postprocess.strength_bending_figure import bending_figure
from postprocess.strength_checks_figure import check_sheets, checks_figure
from postprocess.strength_crack_figure import crack_figure
from postprocess.strength_punching_figure import punching_figure
from postprocess.svg import drawing_settings, svg_of
from postprocess.view import FloorView

__all__ = ["draw", "drawing_floor", "drawing_sheets", "drawings", "svg_of", "write_figures", "write_sheets"]

RESOLUTION = 130
"""Dots per inch of the pictures."""
HEAVY = 3_000_000
"""Bytes from which a sheet of vectors is too slow to open."""
DRAWINGS: dict[str, Callable[[FloorView], Figure]] = {
    "plan": plan_figure,
    **{f"deflection-{state}": partial(deflection_figure, state=state) for state in STATES},
    **{f"moments-{state}": partial(moment_figure, state=state) for state in STATES},
    "modes": mode_figure,
    "loads": load_figure,
}
"""Drawings of every floor: name of the file without its ending -> drawing."""


def drawings(view: FloorView) -> dict[str, Callable[[FloorView], Figure]]:
    """All drawings of this floor; those of its strength if that is known."""
    strength = view.strength
    if strength is None:
        return dict(DRAWINGS)
    sheets = range(check_sheets(strength))
    return DRAWINGS | {
        "strength-bending": partial(bending_figure, strength=strength),
        "strength-punching": partial(punching_figure, strength=strength),
        "strength-cracks": partial(crack_figure, strength=strength),
        **{
            "strength-checks" + (f"-{sheet + 1}" if sheet else ""): partial(
                checks_figure, strength=strength, sheet=sheet
            )
            for sheet in sheets
        },
    }


def write_figures(view: FloorView, folder: Path) -> tuple[Path, ...]:
    """Write NAME.png and NAME.pdf of every drawing into `folder`, which is made if need be; returns the files."""
    with drawing_floor(view, folder):
        write_sheets(strength_sheets(view), view.title, folder)
    return tuple(folder / f"{name}.{kind}" for name in drawings(view) for kind in ("png", "pdf"))


@contextmanager
def drawing_floor(view: FloorView, folder: Path) -> Iterator[None]:
    """A child process writes the drawings of every floor while the block runs; when it ends, they are there."""
    with drawing_sheets({name: partial(drawing, view) for name, drawing in DRAWINGS.items()}, view.title, folder):
        yield


@contextmanager
def drawing_sheets(sheets: Mapping[str, Callable[[], Figure]], title: str, folder: Path) -> Iterator[None]:
    """A child process does the work of `write_sheets` while the block runs; when it ends, the sheets are there.

    `folder` is made if need be. If the child fails, the sheets are drawn here.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as place:
        data = Path(place, "sheets")
        data.write_bytes(pickle.dumps((dict(sheets), title)))
        helper = child.start(child.command(__name__, str(data), str(folder)), subprocess.DEVNULL)
        try:
            yield
            failed = helper.wait() != 0
        finally:
            helper.kill()
            helper.wait()
    if failed:
        write_sheets(sheets, title, folder)


def strength_sheets(view: FloorView) -> dict[str, Callable[[], Figure]]:
    """The drawings of the slab's strength by name, none where that is not known."""
    return {name: partial(drawing, view) for name, drawing in drawings(view).items() if name not in DRAWINGS}


def draw(view: FloorView, folder: Path, names: Iterable[str]) -> None:
    """Write the drawings of these names."""
    known = drawings(view)
    write_sheets({name: partial(known[name], view) for name in names}, view.title, folder)


def write_sheets(sheets: Mapping[str, Callable[[], Figure]], title: str, folder: Path) -> None:
    """Write NAME.png and NAME.pdf of each sheet into `folder`; title: of the job, for the files' own data.

    A character that the font does not have is drawn as a box, silently.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with drawing_settings():
        for name, sheet in sheets.items():
            figure = sheet()
            page = _page(figure, f"{title}: {name}")
            (folder / f"{name}.png").write_bytes(page.png(RESOLUTION))
            (folder / f"{name}.pdf").write_bytes(_vectors(figure, page))


def _page(figure: Figure, title: str) -> Page:
    return Page(svg_of(figure, title), *paper_size(figure), title)


def _vectors(figure: Figure, page: Page) -> bytes:
    """The page as PDF; where vectors make a heavy file, the areas of filled contours are pictures in it."""
    pdf = page.pdf()
    if len(pdf) <= HEAVY:
        return pdf
    for contours in figure.findobj(ContourSet):
        contours.set_rasterized(True)
    return _page(figure, page.title).pdf()


if __name__ == "__main__":
    given, job = pickle.loads(Path(sys.argv[1]).read_bytes())
    write_sheets(given, job, Path(sys.argv[2]))
