"""Charts over the passes of a lift: peak of bending, jack loads, travel left, heights."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray

from postprocess.colours import FAINT, HIGH, INK, PENCIL, SLAB
from postprocess.jobs.lift_words import turn_words, use_percent
from postprocess.lift.views import LiftView

Floats = NDArray[np.float64]

NAMED: Final = 24
"""Passes up to which each bar has its number."""
TICKS: Final = 25
"""Passes up to which each is named below the chart."""
LIMIT: Final = 1.0


def peak_chart(ax: Axes, lift: LiftView) -> None:
    """Greatest bending of each pass over the cracking moment."""
    use_bars(ax, [str(each.number) for each in lift.passes], np.array([each.peak.use for each in lift.passes]))
    finish(ax, "pass", "Greatest bending at any turn of the pass, % of the cracking moment; line: the slab may crack")


def size_chart(ax: Axes, lift: LiftView) -> None:
    """Greatest bending with each size of pass over the cracking moment."""
    use_bars(ax, [turn_words(each.turns) for each in lift.sizes], np.array([each.peak.use for each in lift.sizes]))
    finish(
        ax,
        "turns a pass",
        "Greatest bending by size of pass, % of the cracking moment on the day planned; line: may crack",
    )


def use_bars(ax: Axes, names: Sequence[str], uses: Floats) -> None:
    """A bar for each use (k,), in %; bars over the limit are hatched."""
    places, top = np.arange(len(uses)), 1.22 * max(100 * LIMIT, 100 * uses.max())
    for over, fill in ((False, {"fc": FAINT}), (True, {"fc": SLAB, "hatch": "////", "hatch_linewidth": 0.5})):
        chosen = (uses > LIMIT) == over
        ax.bar(places[chosen], 100 * uses[chosen], 0.7, ec=INK, lw=0.6, gid="over" if over else "within", **fill)
    ax.axhline(100 * LIMIT, color=HIGH, lw=1.4)
    if len(uses) <= NAMED:
        style: dict[str, Any] = {"bbox": {"fc": "white", "ec": "none", "pad": 0.2}, "fontsize": 6, "gid": "use"}
        for place, use in zip(places, uses, strict=True):
            ax.text(float(place), 100 * use + 0.018 * top, use_percent(use), ha="center", va="bottom", **style)
    ax.set(xlim=(-0.6, len(uses) - 0.4), ylim=(0, top))
    every = -(-len(uses) // TICKS)
    ax.set_xticks(places[::every], names[::every])


def range_chart(ax: Axes, lift: LiftView, values: list[Floats], title: str) -> None:
    """Lowest to highest value over the jacks after each pass, and the mean."""
    numbers = np.array([each.number for each in lift.passes])
    low, high = np.array([v.min() for v in values]), np.array([v.max() for v in values])
    ax.fill_between(numbers, low, high, color=FAINT, lw=0, zorder=0.5)
    shapes: tuple[tuple[Floats, str, str], ...] = (
        (high, "highest", "^"),
        (np.array([v.mean() for v in values]), "mean", "o"),
        (low, "lowest", "v"),
    )
    for line, words, marker in shapes:
        ax.plot(numbers, line, color=INK, lw=0.8, marker=marker, mfc="white", mec=INK, mew=0.7, ms=4, label=words)
    least = min(0.0, float(low.min()))
    ax.set_ylim(1.1 * least, 1.25 * max(float(high.max()), 1e-9))
    ax.legend(fontsize=6.5, frameon=False, ncols=3, loc="upper left", borderpad=0.1, handlelength=1.6)
    ax.set_xlim(numbers[0] - 0.6, numbers[-1] + 0.6)
    ax.set_xticks(numbers[:: -(-len(numbers) // TICKS)])
    finish(ax, "pass", title)


def finish(ax: Axes, along: str, title: str) -> None:
    """What runs along x, a thin frame and a title."""
    ax.set_xlabel(along, fontsize=6.5, color=PENCIL, labelpad=1)
    ax.set_title(title, fontsize=7, color=PENCIL, pad=3, loc="left")
    ax.tick_params(labelsize=6.5, length=2, width=0.5, pad=1.5)
    for side in ax.spines.values():
        side.set(linewidth=0.5, color=PENCIL)
