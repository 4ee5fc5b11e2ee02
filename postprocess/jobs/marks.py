"""Jacks on the sheets of single jobs: symbols of their status, and as much beside each as the plan has room for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from numpy.typing import NDArray
from shapely import MultiPolygon, Point

from postprocess.colours import INK
from postprocess.drawing import number, paper_scale
from postprocess.jack_labels import COMFORTABLE, fitted, label_jacks
from postprocess.plan_figure import SYMBOLS
from postprocess.schedule import JackSchedule
from postprocess.view import PlanItem, PlanView

Floats = NDArray[np.float64]
Indices = NDArray[np.int64]

DOT: dict[str, Any] = {"marker": "o", "mfc": "#9aa1a6", "mec": "none", "ms": 2.6}
"""A jack to which nothing is done."""
RING: dict[str, Any] = {"marker": "o", "mfc": "none", "mec": INK, "mew": 0.8, "ms": 9.4}
"""Around the symbol of a jack with a nested pair."""
LEAST_SHARE = 0.4
"""Size of symbols on a plan without labels, over the full size."""
CLEAR = 1.3
"""By which labels of some jacks keep clear of the middle of the others, mm."""
MANY = 200
"""Jacks from which dots are smaller."""


def most_that_fits(
    view: PlanView, ax: Axes, options: Sequence[tuple[Sequence[str], str]], none: str
) -> tuple[list[str], float, str]:
    """The first labels that can be read, their size in points (0 for none) and what they say.

    options: labels of all jacks and what they say in words, the fullest first. none: what is said without labels.
    """
    for labels, words in options:
        fitting, size = fitted(view, labels, ax)
        if size:
            cut = " Words with … are in full in the lists." if fitting != list(labels) else ""
            return fitting, size, words + cut
    return [], 0.0, none


def ratio_words(ratio: float, band: tuple[float, float]) -> str:
    """A load ratio with two decimals, more where rounding would hide on which side of a limit it is."""
    digits = next((d for d in range(2, 6) if all(round(ratio, d) != edge or ratio == edge for edge in band)), 6)
    return number(ratio, digits)


def symbol_share(size: float) -> float:
    """Size of symbols beside labels of `size` points, over the full size."""
    return min(1.0, size / COMFORTABLE) if size else LEAST_SHARE


def sized(style: dict[str, Any], share: float) -> dict[str, Any]:
    """A marker at a share of its size; its line gets thinner as well, but stays visible."""
    return style | {"ms": style["ms"] * share, "mew": style.get("mew", 1.0) * max(share, 0.6)}


def draw_status(ax: Axes, xy: Floats, status: Sequence[str], share: float) -> None:
    """Jacks at `xy` (n, 2) by the symbols of the plan of jacks: under, ok, over."""
    kinds = np.array(status)
    for name, symbol in SYMBOLS.items():
        ax.plot(*xy[kinds == name].T, ls="none", zorder=4, gid=f"status {name}", **sized(symbol, share))


def draw_dots(ax: Axes, xy: Floats, jacks: int) -> None:
    """Jacks at `xy` (n, 2) to which nothing is done, on a plan of so many."""
    ax.plot(*xy.T, ls="none", zorder=3, gid="others", **sized(DOT, 0.6 if jacks > MANY else 1.0))


def view_of(view: PlanView, chosen: Indices, ax: Axes, items: Sequence[PlanItem] = ()) -> PlanView:
    """The plan with the chosen jacks only; labels keep clear of the others and of `items`."""
    others = [Point(place).buffer(CLEAR / paper_scale(ax)) for place in np.delete(view.schedule.xy, chosen, axis=0)]
    in_the_way = [PlanItem("other jacks", "line load", "", MultiPolygon(others))] if others else []
    return replace(view, schedule=schedule_of(view.schedule, chosen), items=(*items, *in_the_way))


def schedule_of(schedule: JackSchedule, chosen: Indices) -> JackSchedule:
    """The rows of the chosen jacks."""
    return JackSchedule(
        ids=tuple(schedule.ids[jack] for jack in chosen),
        xy=schedule.xy[chosen],
        springs=tuple(schedule.springs[jack] for jack in chosen),
        rates=schedule.rates[chosen],
        rated_loads=schedule.rated_loads[chosen],
        solid_deflections=schedule.solid_deflections[chosen],
        advance=schedule.advance[chosen],
        loads={state: values[chosen] for state, values in schedule.loads.items()},
        deflections={state: values[chosen] for state, values in schedule.deflections.items()},
        tributary_loads=schedule.tributary_loads[chosen],
        band=schedule.band,
    )


def label_some(
    ax: Axes, part: PlanView, options: Sequence[tuple[Sequence[str], str]], none: str
) -> tuple[Floats, float, str]:
    """Label the jacks of `view_of`: boxes (k, 4) of the labels in m, their size (0 for none), what they say."""
    labels, size, words = most_that_fits(part, ax, options, none)
    return (label_jacks(ax, part, labels, size) if size else np.zeros((0, 4))), size, words
