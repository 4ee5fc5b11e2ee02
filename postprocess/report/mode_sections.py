"""The modes of the floor on its springs: a table, and small plans of the first shapes."""

from __future__ import annotations

import numpy as np

from postprocess.colours import SIGNED
from postprocess.drawing import triangulation
from postprocess.mode_figure import JACK, LEVELS, mode_words
from postprocess.report.model import Column, Paragraph, Picture, Section, Table
from postprocess.report.paper import draw_level, picture, plan_paper
from postprocess.view import FloorView

SHOWN = 6


def mode_section(view: FloorView) -> Section:
    """Of the service floor, without the mass of the imposed load."""
    return Section(
        "Natural frequencies and modes",
        (
            Paragraph(
                "Of the floor in service: mass of slab, finishes, equipment and line loads, none of the imposed load. "
                "Shares: part of the mass that moves rigidly up and down (heave), and part of the rotational inertia "
                "about axes through the centre of mass parallel to x and to y. They need not add up to 100 %."
            ),
            mode_table(view),
            mode_picture(view),
        ),
    )


def mode_table(view: FloorView) -> Table:
    """Frequency, kind and shares of every mode that was computed."""
    modes = view.modes
    shares = np.column_stack([modes.heave, modes.rock_x, modes.rock_y])
    rows = tuple(
        (str(i + 1), f"{frequency:.3f}", kind, *(f"{100 * share:.0f}" for share in shares[i]))
        for i, (frequency, kind) in enumerate(zip(modes.frequencies, modes.kinds, strict=True))
    )
    columns = (
        *(Column("Mode", "right"), Column("Frequency, Hz", "right"), Column("Kind")),
        *(Column(f"{name}, %", "right") for name in ("Heave", "Rocking about x", "Rocking about y")),
    )
    heave = modes.heave_mode + 1
    return Table(f"Modes; heave is mode {heave}, with the largest share", columns, rows)


def mode_picture(view: FloorView) -> Picture:
    """Up to six shapes."""
    count = min(SHOWN, len(view.modes.frequencies))
    paper = plan_paper(view, count, columns=3, bar=True)
    triangles = triangulation(view.fields.mesh)
    for mode in range(count):
        head = mode_words(view, mode).split("\n", maxsplit=1)[0]
        ax = paper.plan(mode, view, head.replace(" Hz, ", " Hz\n"))
        shape = view.fields.shapes[:, mode]
        filled = ax.tricontourf(triangles, shape, levels=LEVELS, cmap=SIGNED, zorder=1)
        filled.set_rasterized(True)
        draw_level(ax, triangles, shape, 0.0, 0.9)
        ax.plot(*view.schedule.xy.T, ls="none", zorder=2, **JACK | {"ms": 1.8})
    paper.colour_bar(filled, "mode shape over its largest value", np.linspace(-1, 1, 5))
    caption = "The first shapes: blue and ochre move against each other, the line stays at rest; dots are jacks."
    words = "; ".join(mode_words(view, mode).replace("\n", ", ") for mode in range(count))
    return picture(paper.figure, "modes", caption, words)
