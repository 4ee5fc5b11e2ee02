"""Plans on the sheets for crews: jacks by their ids, the order of work, and a place to watch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from postprocess.colours import INK, PENCIL
from postprocess.drawing import (
    MM_PER_POINT,
    PAD,
    TICK_ROOM,
    Box,
    datum_corner,
    draw_datum,
    number,
    paper_scale,
    plan_axes,
    text_width,
)
from postprocess.jack_labels import shortened
from postprocess.jobs.marks import draw_dots
from postprocess.view import PlanView

Floats = NDArray[np.float64]

LEAST_MAP: Final = 40.0
"""Height below which a plan of the jacks is left out, mm."""
SMALLEST, LARGEST, LEAST_BELOW = 4.6, 8.0, 4.0
"""Size of ids in circles, points: below the smallest they stand below dots, from `LEAST_BELOW` on all of them."""
RING, DOT_SIZE = 8.0, 1.4
"""Diameter of the circle around an id, at most, and of a dot, mm."""
LONGEST: Final = 10
"""Characters of an id on a plan, more where that would make two alike."""
HEAD: Final = 3.0
"""Room from which there is an arrow between two circles, mm."""
SOME: Final = 10
"""Where there is no room for all ids, every tenth has room."""
FLY_BACK: Final = 3.2
"""Spacings of jacks beyond which the way to the next one is no arrow."""
CENTRED: Final[dict[str, Any]] = {"ha": "center", "va": "center", "color": INK, "parse_math": False}
FRAME: Final[dict[str, Any]] = {"boxstyle": "round,pad=0.25,rounding_size=0.4", "fc": "white", "ec": INK, "lw": 0.7}
ABOVE: Final = 7.6
"""From the top of a plan to words that find no room on it, mm."""


@dataclass(frozen=True, eq=False)
class Rings:
    """Circles on a plan: their places (k, 2), m, their diameter, mm, and boxes (b, 4) of ids beside them, m."""

    xy: Floats
    diameter: float
    boxes: Floats


def roomiest(view: PlanView, places: Sequence[Box]) -> Box | None:
    """The place in which the plan is drawn largest; None where all are too small."""
    x0, y0, x1, y1 = view.plan.bounds
    large = [place for place in places if min(place.width, place.height) >= LEAST_MAP]
    edges = 2 * PAD + np.array([TICK_ROOM, 2 * TICK_ROOM])

    def scale(place: Box) -> float:
        room = np.array([place.width, place.height]) - edges
        return float((room / [x1 - x0, y1 - y0]).min())

    return max(large, key=scale, default=None)


def crew_plan(figure: Figure, place: Box, view: PlanView, title: str) -> Axes:
    """A plan as large as the place allows, with the datum, and figures in mm from it as in the lists."""
    ax = plan_axes(figure, place, view, to_scale=False, fill=True)
    datum = draw_datum(ax, view.plan)
    for line in ax.lines:
        line.set_zorder(4.0)  # below the circles, so that their ids can be read
    for axis, zero, (low, high) in ((ax.xaxis, datum[0], ax.get_xlim()), (ax.yaxis, datum[1], ax.get_ylim())):
        ticks = axis.get_ticklocs()
        step = float(ticks[1] - ticks[0]) if len(ticks) > 1 else high - low
        counts = np.arange(np.ceil((low - zero) / step), np.floor((high - zero) / step) + 1)
        axis.set_ticks(zero + step * counts, [number(1e3 * step * each, 0) for each in counts])
    ax.set_xlabel("x, mm", fontsize=6.5, color=PENCIL, labelpad=1)
    ax.set_ylabel("y, mm", fontsize=6.5, color=PENCIL, labelpad=1)
    ax.set_title(title, fontsize=7.5, color=INK, pad=3)
    return ax


def plan_ids(ids: Sequence[str]) -> list[str]:
    """Ids as plans show them: long ones shortened, but never so that two jacks of the floor are called the same."""
    for length in range(LONGEST, max(map(len, ids), default=0)):
        short = [shortened(each, length) for each in ids]
        if len(set(short)) == len(set(ids)):
            return short
    return list(ids)


def draw_order(ax: Axes, view: PlanView, chosen: Sequence[int], *, arrows: bool = True) -> Rings:
    """The jacks of a sheet in the order of work: a circle with its id at each, arrows between, the first one bold.

    Where circles would be too small for ids, these stand below dots; where there is no room for that, only some do.
    """
    scale, jacks = paper_scale(ax), np.array(list(dict.fromkeys(chosen)), dtype=np.int64)
    names = plan_ids(view.schedule.ids)
    xy, ids = view.schedule.xy[jacks], [names[jack] for jack in jacks]
    draw_dots(ax, np.delete(view.schedule.xy, jacks, axis=0), len(view.schedule))
    room = float(np.median(np.asarray(cKDTree(xy).query(xy, k=2)[0])[:, 1])) * scale if len(xy) > 1 else 2 * RING
    ring, widest = min(RING, 0.72 * room), max(text_width(each, 1.0) for each in ids)
    size = min(LARGEST, 0.88 * ring / max(widest, 1.6 * MM_PER_POINT))
    inside = size >= SMALLEST
    ring = ring if inside else DOT_SIZE
    if arrows:
        _draw_arrows(ax, view.schedule.xy[list(chosen)], ring / scale, room / scale)
        ax.plot(*xy[0], ls="none", marker="o", ms=ring / MM_PER_POINT, zorder=4.3, mfc="none", mec=INK, mew=2.0)
    style: dict[str, Any] = {"mfc": "white", "mec": INK, "mew": 0.7} if inside else {"mfc": INK, "mec": INK}
    ax.plot(*xy.T, ls="none", marker="o", ms=ring / MM_PER_POINT, zorder=4.2, gid="order", **style)
    if not inside:
        return Rings(xy, ring, _ids_below(ax, xy, ids, 0.86 * room / widest))
    for (x, y), words in zip(xy, ids, strict=True):
        ax.text(x, y, words, fontsize=size, zorder=4.4, gid="order id", **CENTRED)
    return Rings(xy, ring, np.zeros((0, 4)))


def _ids_below(ax: Axes, xy: Floats, ids: Sequence[str], room: float) -> Floats:
    """Ids below dots, of all where `room` points are enough, else of some; none over another or over a dot."""
    scale, size = paper_scale(ax), min(6.5, max(room, LEAST_BELOW))
    marks = np.hstack([xy, xy]) + np.array([-1, -1, 1, 1]) * 0.4 * DOT_SIZE / scale
    boxes = np.zeros((0, 4))
    some = [0, len(xy) - 1, *range(SOME - 1, len(xy), SOME)]
    paper = {"fc": "white", "ec": "none", "alpha": 0.85, "pad": 0.3}
    for place in dict.fromkeys([*some, *(range(len(xy)) if room >= LEAST_BELOW else ())]):
        half = np.array([text_width(ids[place], size) / 2 + 0.3, 0.55 * size * MM_PER_POINT]) / scale
        middle = xy[place] - np.array([0.0, (DOT_SIZE / 2 + 0.3) / scale + half[1]])
        box = np.array([*(middle - half), *(middle + half)])
        if not _overlaps(box, np.vstack([boxes, marks])):
            ax.text(middle[0], middle[1], ids[place], fontsize=size, zorder=4.4, bbox=paper, gid="order id", **CENTRED)
            boxes = np.vstack([boxes, box])
    return boxes


def _overlaps(box: Floats, others: Floats) -> bool:
    """Whether a box (4,) x0, y0, x1, y1 shares an area with any of others (k, 4)."""
    wide = np.minimum(box[2], others[:, 2]) > np.maximum(box[0], others[:, 0])
    return bool((wide & (np.minimum(box[3], others[:, 3]) > np.maximum(box[1], others[:, 1]))).any())


def _draw_arrows(ax: Axes, xy: Floats, ring: float, spacing: float) -> None:
    """Arrows from each place to the next, from circle to circle of diameter `ring`, m; lines where they are near.

    Ways longer than some spacings, m, such as those back to the start of a row, are thin dashed lines.
    """
    steps = np.diff(xy, axis=0)
    length = np.hypot(*steps.T)
    long = length > FLY_BACK * spacing
    far = (length - ring > HEAD / paper_scale(ax)) & ~long
    pairs = np.stack([xy[:-1], xy[1:]], axis=1)
    lines: dict[str, Any] = {"colors": PENCIL, "zorder": 3.55}
    ax.add_collection(LineCollection(list(pairs[~far & ~long]), lw=0.9, **lines), autolim=False)
    dashed = LineCollection(list(pairs[long]), lw=0.45, ls=(0, (4, 4)), gid="fly-back", **lines)
    ax.add_collection(dashed, autolim=False)
    start, along, length = xy[:-1][far], steps[far] / length[far, None], length[far]
    tails, ends = start + along * ring / 2, along * (length - ring)[:, None]
    style: dict[str, Any] = {"angles": "xy", "scale_units": "xy", "scale": 1, "units": "xy", "color": PENCIL}
    style |= {"width": 0.45 / paper_scale(ax), "headwidth": 4.2, "headlength": 4.6, "headaxislength": 4.2}
    if len(tails):
        ax.quiver(*tails.T, *ends.T, zorder=3.6, **style)


def mark_place(ax: Axes, view: PlanView, place: tuple[float, float], words: str, rings: Rings) -> None:
    """A heavy double ring at a place, m, joined to words that cover no circle, no id and no other jack.

    Where there is no such room on the plan, the words stand above it.
    """
    scale = paper_scale(ax)
    at, size = np.array(place), 7.0
    near = len(rings.xy) and np.hypot(*(rings.xy - at).T).min() * scale < 0.5
    radius = max(2.4, rings.diameter / 2 + 0.9 if near else 0.0)
    for shape, colour, width in ((radius, "white", 4.2), (radius, INK, 2.6), (radius, "white", 0.9)):
        style: dict[str, Any] = {"marker": "o", "mfc": "none", "mec": colour, "mew": width}
        ax.plot(*at, ls="none", ms=2 * shape / MM_PER_POINT, zorder=4.35, gid="ring", **style)
    half = np.array([text_width(words, size) / 2 + 1.3, 0.65 * size * MM_PER_POINT + 0.9]) / scale
    spot = _free_spot(ax, view, at, half, rings=rings, radius=radius / scale)
    start = at + (spot - at) * min(1.0, radius / scale / np.hypot(*(spot - at)))
    ax.plot(*np.transpose([start, spot]), color=INK, lw=0.8, zorder=4.05, clip_on=False)
    ax.text(spot[0], spot[1], words, fontsize=size, zorder=6, bbox=FRAME, gid="mark", **CENTRED)


def _free_spot(ax: Axes, view: PlanView, at: Floats, half: Floats, *, rings: Rings, radius: float) -> Floats:
    """The middle of the nearest frame of half the extent `half`, m, that covers nothing and joins over no circle."""
    scale = paper_scale(ax)
    (left, right), (bottom, top) = ax.get_xlim(), ax.get_ylim()
    x, y = (np.linspace(a + h, b - h, 36) for a, b, h in ((left, right, half[0]), (bottom, top, half[1])))
    spots = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    others = np.vstack([view.schedule.xy, datum_corner(view.plan)[None], at[None]])
    sizes = np.array([*np.full(len(view.schedule), 0.9 / scale), 2.6 / scale, radius + 0.6 / scale])
    taken = [shapely.buffer(shapely.points(others), sizes), shapely.box(*rings.boxes.T)]
    circles = np.asarray(shapely.buffer(shapely.points(rings.xy), (rings.diameter / 2 + 0.5) / scale))
    frames = np.asarray(shapely.box(*(spots - half).T, *(spots + half).T))
    covered = shapely.intersects(frames, shapely.union_all(np.concatenate([*taken, circles])))
    leaders = shapely.linestrings(np.stack([np.broadcast_to(at, spots.shape), spots], axis=1))
    own = np.hypot(*(rings.xy - at).T) > radius
    crossed = np.bincount(shapely.STRtree(circles[own]).query(leaders, "intersects")[0], minlength=len(spots))
    edges = shapely.intersects(frames, view.plan.boundary)
    cost = np.hypot(*(spots - at).T) * scale + 15.0 * crossed + 8.0 * edges
    if covered.all():
        return np.array([np.clip(at[0], x[0], x[-1]), top + ABOVE / scale])
    return np.asarray(spots[int(np.argmin(np.where(covered, np.inf, cost)))])
