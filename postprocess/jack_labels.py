"""Labels of jacks on a plan: how large they can be, and where each stands clear of lines and of the others."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from matplotlib.axes import Axes
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely import contains_xy
from shapely.geometry.base import BaseGeometry

from postprocess.colours import INK, PENCIL
from postprocess.drawing import MM_PER_POINT, paper_scale, text_width
from postprocess.view import PlanView

Floats = NDArray[np.float64]

LABELLED = 400
"""Jacks beyond which a plan has symbols only."""
LARGEST, COMFORTABLE, SMALLEST = 7.5, 7.0, 3.6
"""Sizes of labels, points: the largest, the one below which words are shortened, and the smallest."""
LENGTHS = (14, 10, 7)
"""Characters to which the words of labels are shortened until they are of a comfortable size."""
SHARES = (1.0, 0.93, 0.86, 0.76, 0.64)
"""Sizes of labels that are tried, over the size that would fit evenly spaced jacks."""
CLEAR = 0.03
"""Share of a label that may lie under another: less than the white around its words."""
GAP = 2.1
"""From the middle of a jack to a label below it, mm; beside it a little more."""
FAR = 4.5
"""Farther away by this, mm, a label is joined to its jack by a line."""
APART, COMPANY = 0.5, 5.0
"""White between two labels, mm, and the distance below which they begin to look like one."""
NEARER = 2.0
"""A label is to be this many times nearer to its own jack than to any other."""
LINE = 1.2
"""Pitch of lines over the size of the font."""


def shortened(words: str, length: int) -> str:
    """Words of at most `length` characters: an ellipsis stands for the middle of longer ones."""
    if len(words) <= length:
        return words
    tail = (length - 1) // 2
    return f"{words[: length - 1 - tail]}…{words[-tail:]}"


def fitted(view: PlanView, labels: Sequence[str], ax: Axes) -> tuple[list[str], float]:
    """Labels, their lines shortened if need be, and their size in points; 0 where it would be too small to read."""
    best, size = list(labels), 0.0
    for length in LENGTHS:
        short = ["\n".join(shortened(line, length) for line in label.split("\n")) for label in labels]
        reached = _size(view, short, ax)
        if reached > size:
            best, size = short, reached
        if size >= COMFORTABLE:
            break
    return best, size


def _size(view: PlanView, labels: Sequence[str], ax: Axes) -> float:
    """Size in points at which a label fits beside or below its jack, well before the next; or 0."""
    if len(labels) > LABELLED:
        return 0.0
    xy = view.schedule.xy
    room = float(np.median(np.asarray(cKDTree(xy).query(xy, k=2)[0])[:, 1])) * paper_scale(ax)
    width = max(text_width(line, 1.0) for line in {line for label in labels for line in label.split("\n")})
    height = (max(label.count("\n") for label in labels) + 1) * LINE * MM_PER_POINT
    between, across = room - (1 + NEARER) * GAP, 0.9 * room
    size = min(LARGEST, max(min(between / width, across / height), min(across / width, between / height)))
    return size if size >= SMALLEST else 0.0


def label_jacks(ax: Axes, view: PlanView, labels: Sequence[str], size: float) -> Floats:
    """Write each jack's label beside, below or above it, where it crosses the fewest lines and other labels.

    Where labels would cover each other, all of them are made smaller. Returns (n, 4) their boxes x0, y0, x1, y1, m.
    """
    scale = paper_scale(ax)
    for share in SHARES:
        tried = max(share * size, SMALLEST)
        boxes, far, covered = _places(view, labels, tried, scale)
        if covered < CLEAR or tried == SMALLEST:
            break
    paper = {"fc": "white", "ec": "none", "alpha": 0.7, "pad": 0.3}
    style: dict[str, Any] = {"fontsize": tried, "color": INK, "linespacing": LINE, "bbox": paper}
    for jack, box, leader, label in zip(view.schedule.xy, boxes, far, labels, strict=True):
        x, y = (box[:2] + box[2:]) / 2
        side = "left" if box[0] > jack[0] else "right" if box[2] < jack[0] else "center"
        ax.text(x, y, label, ha="center", va="center", ma=side, zorder=3.8, parse_math=False, **style)
        if leader:
            near = np.clip(jack, box[:2], box[2:])
            ax.plot(*np.transpose([jack, near]), color=PENCIL, lw=0.5, zorder=3.7)
    return boxes


def _places(
    view: PlanView, labels: Sequence[str], size: float, scale: float
) -> tuple[Floats, NDArray[np.bool_], float]:
    """Boxes of the labels, which are far from their jacks, and the largest covered share of one.

    The most hemmed in come first.
    """
    xy = view.schedule.xy
    extents = np.array([_extent(label, size) for label in labels]) / scale
    centres = np.stack([place + _offsets(extent, scale) for place, extent in zip(xy, extents, strict=True)])
    half = extents[:, None] / 2
    boxes = np.concatenate([centres - half, centres + half], axis=2)
    ring = boxes.shape[1] // 2
    cost = np.tile(0.06 * np.arange(2 * ring), (len(xy), 1))
    cost += 1.5 * ~contains_xy(view.plan, *np.moveaxis(centres, 2, 0))
    cost[:, ring:] += 0.5
    cost += 3 * np.clip(_doubt(boxes, xy) - np.repeat([0.0, 0.5], ring), 0.0, None)
    drawn = shapely.box(*np.moveaxis(_grown(boxes, APART / scale), 2, 0))
    for line, weight in _lines_to_avoid(view):
        cost += weight * shapely.length(shapely.intersection(drawn, line)) / extents.min()
    taken = _grown(np.hstack([xy, xy]), 1.3 / scale)
    chosen, covered = np.zeros(len(xy), dtype=np.int64), 0.0
    for jack in np.argsort(-np.median(cost, axis=1), kind="stable"):
        hidden = _overlap(_grown(boxes[jack], APART / scale), np.delete(taken, jack, axis=0)) / extents[jack].prod()
        company = _overlap(_grown(boxes[jack], COMPANY / scale), taken[len(xy) :]) / extents[jack].prod()
        chosen[jack] = best = int(np.argmin(cost[jack] + 10 * hidden + 1.5 * company))
        taken = np.vstack([taken, boxes[jack, best]])
        covered = max(covered, float(hidden[best]))
    return boxes[np.arange(len(xy)), chosen], chosen >= ring, covered


def _doubt(boxes: Floats, xy: Floats) -> Floats:
    """(n, k) by how much each label's nearness to its own jack falls short of `NEARER`, 0 where it does not."""
    flat = boxes.reshape(-1, 4)
    gap = np.maximum(np.maximum(flat[:, None, :2] - xy, xy - flat[:, None, 2:]), 0.0)
    distance = np.hypot(gap[..., 0], gap[..., 1]).reshape(*boxes.shape[:2], len(xy))
    jacks = np.arange(len(xy))
    own = distance[jacks, :, jacks].copy()
    distance[jacks, :, jacks] = np.inf
    return np.asarray(np.clip(1 - distance.min(axis=2) / (NEARER * own), 0.0, None))


def _extent(label: str, size: float) -> tuple[float, float]:
    """Width and height of a label on paper, mm."""
    rows = label.split("\n")
    return max(text_width(row, 1.0) for row in rows) * size, len(rows) * LINE * size * MM_PER_POINT


def _grown(boxes: Floats, margin: float) -> Floats:
    """Boxes (…, 4) that are larger by a margin on all sides."""
    return boxes + margin * np.array([-1, -1, 1, 1])


def _overlap(boxes: Floats, others: Floats) -> Floats:
    """(n,) area of each box that the others cover, counted once for each of them."""
    low = np.maximum(boxes[:, None, :2], others[None, :, :2])
    high = np.minimum(boxes[:, None, 2:], others[None, :, 2:])
    return np.asarray(np.clip(high - low, 0.0, None).prod(axis=2).sum(axis=1))


def _lines_to_avoid(view: PlanView) -> list[tuple[BaseGeometry, float]]:
    """Lines that labels keep clear of, with the weight of crossing each: the slab's edge counts most."""
    weights = {"equipment": 1.0, "line load": 1.5, "finish": 0.1}
    items = [(item.shape.boundary if item.shape.area else item.shape, weights[item.kind]) for item in view.items]
    return [(view.plan.boundary, 3.0), *items]


def _offsets(extent: Floats, scale: float) -> Floats:
    """(16, 2) in m from a jack to the middle of its label, the preferred first: right, below, left, above, askew.

    The second half repeats the first farther away.
    """
    places = []
    for gap in (GAP / scale, (GAP + FAR) / scale):
        across, down = extent / 2 + gap * np.array([1.15, 1.0])
        x, y = extent / 2 + 0.6 * gap
        places += [(across, 0.0), (0.0, -down), (-across, 0.0), (0.0, down)]
        places += [(x, -y), (x, y), (-x, -y), (-x, y)]
    return np.array(places)
