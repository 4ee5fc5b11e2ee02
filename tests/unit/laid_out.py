"""Places of everything on a sheet, without the work of drawing it."""

from __future__ import annotations

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure


def lay_out(figure: Figure) -> None:
    """Put words and axes where drawing would put them, so that their boxes can be asked for."""
    FigureCanvasAgg(figure)
    figure.draw_without_rendering()
