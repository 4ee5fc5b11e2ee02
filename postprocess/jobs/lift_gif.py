"""A small animation of a lift: heights over the plan and the area still on the floor, pass by pass."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.cm import ScalarMappable
from matplotlib.colors import BoundaryNorm
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.text import Text
from matplotlib.tri import TrapezoidMapTriFinder
from numpy.typing import NDArray
from PIL import Image
from scipy import sparse

from fem.mesh import Mesh
from postprocess.colours import DEFLECTION, INK, PENCIL
from postprocess.drawing import CAUTION, shape_path, triangulation
from postprocess.jobs.lift_figure import JACK, SQUEEZED, height_levels, line_step
from postprocess.jobs.lift_words import contact_words, mm, pass_turns
from postprocess.lift.views import LiftView
from postprocess.svg import drawing_settings
from postprocess.view import PlanView

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]

SIZE: Final = (6.4, 5.2)
"""Inches."""
DOTS: Final = 100
"""Dots per inch."""
MOST: Final = 40
"""Frames at most."""
BETWEEN: Final = 2
"""Frames between two passes, where there is room for them."""
STAY, MOVE, LAST = 700, 90, 2500
"""How long the state after a pass, one between two and the last are shown, ms."""
STRIPE: Final = 9
"""Pitch of the stripes over the area in contact, dots."""
LINE: Final = (*bytes.fromhex(INK[1:]), 255)
"""Colour of stripes and of lines of equal height."""
COLOURS: Final = 96
"""Colours in the file."""


@dataclass(frozen=True, eq=False)
class _Grid:
    """Dots of the picture on the slab.

    rows: (dots, vertices) interpolation. dots: their rows and columns in the picture of `shape`. xy: (dots, 2), m.
    """

    rows: sparse.csr_array
    dots: tuple[NDArray[np.int64], NDArray[np.int64]]
    shape: tuple[int, int]
    xy: Floats


@dataclass(frozen=True, eq=False)
class _Frame:
    """heights: (v,) m. on_floor: (dots,) whether the slab lies there. duration: ms."""

    title: str
    heights: Floats
    on_floor: NDArray[np.bool_]
    duration: int


def write_lift_animation(view: PlanView, lift: LiftView, path: Path) -> None:
    """Write the animation as GIF; heights between two passes are halfway states, contact is that of the pass before."""
    with drawing_settings():
        figure = Figure(figsize=SIZE, dpi=DOTS, facecolor="white")
        canvas = FigureCanvasAgg(figure)
        ax = _stage(figure, view, lift)
        colours = ScalarMappable(BoundaryNorm(height_levels(lift.passes), DEFLECTION.N), DEFLECTION)
        _colour_bar(figure, colours)
        grid = _grid(ax, lift.mesh)
        title = _title(figure)
        canvas.draw()  # type: ignore[no-untyped-call]
        still = canvas.copy_from_bbox(figure.bbox)  # type: ignore[no-untyped-call]
        frames, pictures = list(_frames(lift, grid)), []
        for frame in frames:
            canvas.restore_region(still)  # type: ignore[no-untyped-call]
            picture = np.asarray(canvas.buffer_rgba())  # type: ignore[no-untyped-call]
            _paint(picture, grid, frame, colours, line_step(lift))
            title.set_text(frame.title)
            for part in (*ax.patches, *ax.lines, title):
                figure.draw_artist(part)
            pictures.append(Image.fromarray(picture[..., :3].copy()))
    _save(pictures, [frame.duration for frame in frames], path)


def _stage(figure: Figure, view: PlanView, lift: LiftView) -> Axes:
    """The plan with its jacks, in metres, drawn anew on each frame."""
    ax = figure.add_axes((0.08, 0.1, 0.76, 0.77))
    x0, y0, x1, y1 = view.plan.bounds
    pad = 0.03 * max(x1 - x0, y1 - y0)
    ax.set(xlim=(x0 - pad, x1 + pad), ylim=(y0 - pad, y1 + pad), aspect="equal", autoscale_on=False)
    ax.apply_aspect()
    ax.tick_params(labelsize=7, length=2, width=0.5, color=PENCIL, labelcolor=PENCIL)
    ax.set_xlabel("x, m", fontsize=7, color=PENCIL, labelpad=1)
    ax.set_ylabel("y, m", fontsize=7, color=PENCIL, labelpad=1)
    for spine in ax.spines.values():
        spine.set_visible(False)
    ax.add_patch(PathPatch(shape_path(view.plan), fc="none", ec=INK, lw=1.2, zorder=3, animated=True))
    ax.plot(*view.schedule.xy.T, ls="none", zorder=4, animated=True, **JACK | {"mew": 0.0, "ms": 2.4})
    words: dict[str, Any] = {"fontsize": 6, "color": PENCIL, "ha": "center", "parse_math": False}
    figure.text(0.5, 0.012, CAUTION, **words)
    name = view.title if len(view.title) < 60 else f"{view.title[:58]}…"
    said = f"{name}: height of the slab; a line every {line_step(lift):g} mm, stripes where it lies on the floor"
    figure.text(0.5, 0.965, said, **words | {"fontsize": 8})
    return ax


def _colour_bar(figure: Figure, colours: ScalarMappable) -> None:
    bar = figure.colorbar(colours, cax=figure.add_axes((0.88, 0.12, 0.025, 0.7)))
    bar.ax.tick_params(labelsize=7, length=2, width=0.5)
    bar.ax.set_title("mm", fontsize=7, color=PENCIL, pad=4)
    bar.outline.set_linewidth(0.4)


def _title(figure: Figure) -> Text:
    """The line on the pass, drawn anew on each frame."""
    style: dict[str, Any] = {"fontsize": 9, "color": INK, "ha": "center", "animated": True, "parse_math": False}
    return figure.text(0.5, 0.915, "", **style)


def _grid(ax: Axes, mesh: Mesh) -> _Grid:
    """Values are linear on the triangles of the mesh."""
    whole = ax.figure.bbox
    shape = round(whole.height), round(whole.width)
    row, column = (part.ravel() for part in np.indices(shape))
    xy = ax.transData.inverted().transform(np.column_stack([column + 0.5, shape[0] - row - 0.5]))
    finder = TrapezoidMapTriFinder(triangulation(mesh))
    found = np.asarray(finder(*xy.T))
    on = found >= 0
    corners = mesh.corners[found[on]]
    first, second, third = np.moveaxis(corners, 1, 0)
    base = np.stack([second - first, third - first], axis=2)
    share = np.linalg.solve(base, (xy[on] - first)[..., None])[..., 0]
    weights = np.column_stack([1 - share.sum(axis=1), share])
    entry = np.repeat(np.arange(on.sum()), 3)
    places = entry, mesh.triangles[found[on]].ravel()
    rows = sparse.csr_array((weights.ravel(), places), shape=(int(on.sum()), len(mesh.vertices)))
    return _Grid(rows, (row[on], column[on]), shape, xy[on])


def _frames(lift: LiftView, grid: _Grid) -> Iterator[_Frame]:
    """The slab before the first turn, after each pass or some of many, and halfway states where there is room."""
    count = len(lift.passes)
    chosen = np.unique(np.linspace(0, count - 1, min(count, MOST - 1)).round().astype(np.int64))
    between = BETWEEN if len(chosen) * (BETWEEN + 1) + 1 <= MOST else 0
    heights, on_floor = np.zeros(len(lift.mesh.vertices)), np.ones(len(grid.xy), dtype=bool)
    yield _Frame("before the first turn", heights, on_floor, STAY)
    for index in chosen:
        each = lift.passes[index]
        for step in range(1, between + 1):
            share = step / (between + 1)
            part = (1 - share) * heights + share * each.mesh_heights
            yield _Frame(f"pass {each.number} of {count} …", part, on_floor, MOVE)
        heights = each.mesh_heights
        on_floor = np.asarray(shapely.contains_xy(each.contact, *grid.xy.T), dtype=bool)
        low, high = mm(each.heights.min()), mm(each.heights.max())
        said = f"after pass {each.number} of {count}, {pass_turns(each.turns)} each: {low} to {high} mm, "
        last = index == count - 1
        yield _Frame(said + contact_words(each.contact_share), heights, on_floor, LAST if last else STAY)


def _paint(picture: Bytes, grid: _Grid, frame: _Frame, colours: ScalarMappable, step: float) -> None:
    """Paint the slab by its height with lines every `step` mm, striped where it lies on the floor, into (h, w, 4)."""
    heights = 1e3 * (grid.rows @ frame.heights)
    slab = np.asarray(colours.to_rgba(np.maximum(heights, colours.norm.vmin or 0.0), bytes=True)).copy()
    slab[_on_lines(grid, np.floor((heights + SQUEEZED) / step))] = LINE
    row, column = grid.dots
    slab[frame.on_floor & ((row + column) % STRIPE < 1.5)] = LINE
    picture[row, column] = slab


def _on_lines(grid: _Grid, bands: Floats) -> NDArray[np.bool_]:
    """(dots,) whether the next dot at the right or above lies in another band."""
    full = np.full(grid.shape, np.nan)
    full[grid.dots] = bands
    line = np.zeros(full.shape, dtype=bool)
    for here, there in ((np.s_[:, :-1], np.s_[:, 1:]), (np.s_[1:], np.s_[:-1])):
        change = np.abs(full[here] - full[there])
        line[here] |= change > 0
    return np.asarray(line[grid.dots])


def _save(pictures: list[Image.Image], durations: list[int], path: Path) -> None:
    """One palette for all frames, so that no colour flickers."""
    every = Image.fromarray(np.vstack([np.asarray(picture)[::2, ::2] for picture in pictures]))
    palette = every.quantize(COLOURS, dither=Image.Dither.NONE)
    first, *rest = [picture.quantize(palette=palette, dither=Image.Dither.NONE) for picture in pictures]
    first.save(path, "GIF", save_all=True, append_images=rest, duration=durations, loop=0, optimize=False)
