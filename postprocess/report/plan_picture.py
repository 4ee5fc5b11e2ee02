"""The small plan of the first page: slab, what stands on it, jacks by status, the governing jack ringed."""

from __future__ import annotations

import numpy as np

from postprocess.colours import HIGH, INK
from postprocess.plan_figure import SYMBOLS
from postprocess.plan_items import draw_items, marks
from postprocess.report.governing import GoverningJack
from postprocess.report.model import Picture
from postprocess.report.paper import picture, plan_paper
from postprocess.view import PlanView

WIDE = 100.0
"""mm: on the first page, where words stand beside it."""
SMALL = 0.55
"""Size of the symbols over that of the large plan."""


def plan_picture(view: PlanView, found: GoverningJack) -> Picture:
    """For the cover."""
    schedule = view.schedule
    paper = plan_paper(view, 1, columns=1, bar=False, width=WIDE)
    ax = paper.plan(0, view, "", fill=True)
    draw_items(ax, view)
    status = np.array(schedule.status)
    for name, symbol in SYMBOLS.items():
        style = symbol | {"ms": symbol["ms"] * SMALL, "mew": 0.5}
        ax.plot(*schedule.xy[status == name].T, ls="none", zorder=4, **style)
    place, name = schedule.xy[found.jack], schedule.ids[found.jack]
    ax.plot(*place, marker="o", ms=11, mfc="none", mec=HIGH, mew=1.8, zorder=5)
    left, bottom, right, top = view.plan.bounds
    towards = np.where(place > [(left + right) / 2, (bottom + top) / 2], -1.0, 1.0)
    style = {"fontsize": 8, "color": INK, "weight": "bold", "zorder": 6, "parse_math": False}
    ax.annotate(
        name,
        xy=(float(place[0]), float(place[1])),
        xytext=(float(14 * towards[0]), float(14 * towards[1])),
        textcoords="offset points",
        arrowprops={"arrowstyle": "-", "lw": 0.7, "color": INK, "shrinkB": 5},
        bbox={"boxstyle": "round,pad=0.25", "fc": "white", "ec": HIGH, "lw": 0.9},
        **style,
    )
    counts = ", ".join(f"{schedule.status.count(word)} {word}" for word in ("ok", "under", "over"))
    kinds = ", ".join(dict.fromkeys(item.kind for item in view.items)) or "nothing"
    caption = (
        f"Plan with {len(schedule)} jacks (circle: within the band in service, triangle down: under, triangle up: "
        f"over; {counts}); ringed: the governing jack {name}. On the slab: {kinds}."
    )
    listed = "; ".join(f"{mark} {item.name}, {item.note}" for mark, item in zip(marks(view), view.items, strict=True))
    words = f"Plan of the slab; jack {name} governs. On the slab: {listed or 'nothing'}."
    return picture(paper.figure, "plan", caption, words)
