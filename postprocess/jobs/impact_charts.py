"""What the charts of the floor in motion share: a line for each support, frames, words that must not run over."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import FixedFormatter
from numpy.typing import NDArray

from postprocess.colours import FAINT, HIGH, INK, LOW
from postprocess.drawing import MM_PER_POINT, number, wrapped
from postprocess.dynamics.histories import kept_points
from postprocess.dynamics.views import DropView, SupportView
from postprocess.jobs.lift_charts import finish
from postprocess.jobs.table import fitted_words
from postprocess.side_notes import SideNotes

Floats = NDArray[np.float64]

DRAWN: Final = 2400
"""Points of a history on paper at most; its extremes stay."""
SUPPORTS: Final = ("springs", "rubber", "bare")
STYLES: Final[dict[str, dict[str, Any]]] = {
    "springs": {"color": INK, "lw": 1.1, "ls": "-", "zorder": 3},
    "airless": {"color": INK, "lw": 0.5, "ls": "-", "zorder": 2.8},
    "rubber": {"color": LOW, "lw": 0.9, "ls": (0, (5, 1.6)), "zorder": 2.6},
    "bare": {"color": HIGH, "lw": 0.9, "ls": (0, (1.2, 1.2)), "zorder": 2.3},
}
MARKERS: Final = {"springs": "o", "airless": "", "rubber": "s", "bare": "^"}
NAMES: Final = {
    "springs": "on springs",
    "airless": "on springs without the air",
    "rubber": "on the rubber layer",
    "bare": "on the bare structural floor",
}
ELSEWHERE: Final = "see dynamics.json"
SIZES: Final = (7.0, 6.5, 6.0, 5.5, 5.0)
LEAST_SIZE: Final = SIZES[-1]
"""Type of cautions and assumptions, points: the largest that fits."""
HEADING: Final = 3.0 + 1.3 * 9.5 * MM_PER_POINT + 0.9
"""Height of a heading, mm."""
PARAGRAPH: Final = 0.9
"""White below a sentence, mm."""


def support(drop: DropView, name: str) -> SupportView:
    """One of the supports of a drop, by its name in `SUPPORTS`; "airless" where the case has air, else the springs."""
    airless = drop.springs if drop.airless is None else drop.airless
    return {"springs": drop.springs, "rubber": drop.rubber, "bare": drop.bare, "airless": airless}[name]


def draw_history(ax: Axes, time: Floats, values: Floats, until: float, **style: Any) -> None:
    """A history (t,) up to a time in s, drawn over ms, with no more points than paper can show."""
    count = max(2, int(np.searchsorted(time, until, side="right")))
    kept = kept_points(values[:count], DRAWN)
    ax.plot(1e3 * time[kept], values[kept], **style)


def key_of_supports(notes: SideNotes, names: Sequence[str] = SUPPORTS, *, markers: bool = False) -> None:
    """What the lines of the supports mean."""
    for name in names:
        style = dict(STYLES[name])
        if markers:
            style |= {"marker": MARKERS[name], "mfc": "white", "mec": style["color"], "ms": 4}
        notes.stroke(NAMES[name], **style)


def faint_grid(ax: Axes) -> None:
    """Thin lines below everything, and a stronger one at zero where zero is shown."""
    ax.grid(color=FAINT, lw=0.4)
    ax.set_axisbelow(True)


def frame(ax: Axes, along: str, title: str) -> None:
    """A thin frame, a title, what runs along x; figures beside the axes only within their limits."""
    for axis, (low, high) in ((ax.xaxis, ax.get_xlim()), (ax.yaxis, ax.get_ylim())):
        if not isinstance(axis.get_major_formatter(), FixedFormatter):
            axis.set_ticks([place for place in axis.get_majorticklocs() if low <= place <= high])
    finish(ax, along, title)


def close_notes(notes: SideNotes, assumed: Sequence[str], cautions: Sequence[str]) -> None:
    """Cautions and assumptions below the other notes, all of them: in smaller type where there is little room."""
    size = next((each for each in SIZES if closing_room(notes, assumed, cautions, each) <= notes.room), SIZES[-1])
    for heading, sentences in _closing(assumed, cautions):
        notes.heading(heading)
        for words in sentences:
            for row in wrapped(words, size, notes.box.width - 1.0):
                notes.axes.text(0.0, notes.y, row, fontsize=size, va="top", color=INK, parse_math=False)
                notes.y += 1.3 * size * MM_PER_POINT
            notes.y += PARAGRAPH


def closing_room(notes: SideNotes, assumed: Sequence[str], cautions: Sequence[str], size: float = LEAST_SIZE) -> float:
    """Height that `close_notes` takes at a size of type, mm: what is written before it keeps at least so much free."""
    width, pitch = notes.box.width - 1.0, 1.3 * size * MM_PER_POINT
    found = _closing(assumed, cautions)
    rows = [len(wrapped(words, size, width)) for _, sentences in found for words in sentences]
    return HEADING * len(found) + pitch * sum(rows) + PARAGRAPH * len(rows)


def _closing(assumed: Sequence[str], cautions: Sequence[str]) -> list[tuple[str, list[str]]]:
    named = (("Cautions", list(cautions)), ("Assumed", [each[:1].upper() + each[1:] for each in assumed]))
    return [(heading, sentences) for heading, sentences in named if sentences]


def short_name(words: str, width: float, size: float = 7.0) -> str:
    """A name of at most `width` mm, an ellipsis for the middle of a longer one."""
    return fitted_words(words, width, size)


def place_words(xy: Sequence[float] | Floats) -> str:
    """A place on the plan in m."""
    return f"x {number(float(xy[0]), 2)} m, y {number(float(xy[1]), 2)} m"
