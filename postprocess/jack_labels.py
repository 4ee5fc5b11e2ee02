"""Labels of jacks on a plan: how large they can be, and where each stands clear of lines and of the others."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import shapely
from matplotlib.axes import Axes
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely.geometry.base import BaseGeometry

from postprocess.colours import INK
from postprocess.drawing import MM_PER_POINT, paper_scale, text_width
from postprocess.view import FloorView

Floats = NDArray[np.float64]

LABELLED = 400
"""Jacks beyond which a plan has symbols only."""
LARGEST, SMALLEST = 7.0, 3.6
"""Sizes of labels, points."""
SHARES = (1.0, 0.88, 0.76, 0.64)
"""Sizes of labels that are tried, over the size that would fit evenly spaced jacks."""
CLEAR = 0.03
"""Share of a label that may lie under another: less than the white around its words."""
GAP = 2.1
"""From the middle of a jack to its label, mm."""
LINE = 1.2
"""Pitch of lines over the size of the font."""


def label_size(view: FloorView, labels: Sequence[str], ax: Axes) -> float:
    """Size in points at which two labels fit between neighbours; 0 where that would be too small to read."""
    if len(labels) > LABELLED:
        return 0.0
    xy = view.schedule.xy
    room = float(np.median(np.asarray(cKDTree(xy).query(xy, k=2)[0])[:, 1])) * paper_scale(ax)
    width = max(text_width(line, 1.0) for line in {line for label in labels for line in label.split("\n")})
    rows = max(label.count("\n") for label in labels) + 1
    facing = (room / 2 - GAP) / (rows * LINE * MM_PER_POINT)
    size = min(LARGEST, 0.85 * room / width, facing)
    return size if size >= SMALLEST else 0.0


def label_jacks(ax: Axes, view: FloorView, labels: Sequence[str], size: float, marks: Sequence[Floats] = ()) -> None:
    """Write each jack's label below, above or beside it, where it crosses the fewest lines and other labels.

    marks: points that are taken already, m. Where labels would cover each other, all of them are made smaller.
    """
    for share in SHARES:
        places, covered = _places(view, labels, share * size, paper_scale(ax), marks)
        if covered < CLEAR:
            break
    paper = {"fc": "white", "ec": "none", "alpha": 0.7, "pad": 0.3}
    style: dict[str, Any] = {"fontsize": share * size, "color": INK, "linespacing": LINE, "bbox": paper}
    for (x, y), label in zip(places, labels, strict=True):
        ax.text(x, y, label, ha="center", va="center", zorder=3.8, parse_math=False, **style)


def _places(
    view: FloorView, labels: Sequence[str], size: float, scale: float, marks: Sequence[Floats]
) -> tuple[Floats, float]:
    """(n, 2) middles of the labels in m, and the largest covered share of one. The most hemmed in come first."""
    xy = view.schedule.xy
    extents = np.array([_extent(label, size) for label in labels]) / scale
    centres = np.stack([place + _offsets(extent, GAP / scale) for place, extent in zip(xy, extents, strict=True)])
    boxes = np.concatenate([centres - extents[:, None] / 2, centres + extents[:, None] / 2], axis=2)
    drawn = shapely.box(*np.moveaxis(boxes, 2, 0))
    cost = np.tile(0.01 * np.arange(boxes.shape[1]), (len(xy), 1))
    for line, weight in _lines_to_avoid(view):
        cost += weight * shapely.length(shapely.intersection(drawn, line)) / extents.min()
    taken = np.vstack([_boxes(xy, 2.2 / scale), *(_boxes(mark[None], 5.0 / scale) for mark in marks)])
    chosen, covered = np.zeros(len(xy), dtype=np.int64), 0.0
    for jack in np.argsort(-np.median(cost, axis=1), kind="stable"):
        hidden = _overlap(boxes[jack], np.delete(taken, jack, axis=0)) / extents[jack].prod()
        chosen[jack] = best = int(np.argmin(cost[jack] + 10 * hidden))
        taken = np.vstack([taken, boxes[jack, best]])
        covered = max(covered, float(hidden[best]))
    return centres[np.arange(len(xy)), chosen], covered


def _extent(label: str, size: float) -> tuple[float, float]:
    """Width and height of a label on paper, mm."""
    rows = label.split("\n")
    return max(text_width(row, 1.0) for row in rows) * size, len(rows) * LINE * size * MM_PER_POINT


def _boxes(centres: Floats, side: float) -> Floats:
    """(n, 4) x0, y0, x1, y1 of squares about the centres (n, 2)."""
    return np.column_stack([centres - side / 2, centres + side / 2])


def _overlap(boxes: Floats, others: Floats) -> Floats:
    """(n,) area of each box that the others cover, counted once for each of them."""
    low = np.maximum(boxes[:, None, :2], others[None, :, :2])
    high = np.minimum(boxes[:, None, 2:], others[None, :, 2:])
    return np.asarray(np.clip(high - low, 0.0, None).prod(axis=2).sum(axis=1))


def _lines_to_avoid(view: FloorView) -> list[tuple[BaseGeometry, float]]:
    """Lines that labels keep clear of, with the weight of crossing each: the slab's edge counts most."""
    weights = {"equipment": 1.0, "line load": 1.0, "finish": 0.3}
    items = [(item.shape.boundary if item.shape.area else item.shape, weights[item.kind]) for item in view.items]
    return [(view.plan.boundary, 3.0), *items]


def _offsets(extent: Floats, gap: float) -> Floats:
    """(8, 2) from a jack to the middle of its label, the preferred first: below, above, beside, askew."""
    across, down = extent / 2 + gap * np.array([1.3, 1.0])
    askew = 0.4 * extent[0]
    upright = [(0.0, -down), (0.0, down), (across, 0.0), (-across, 0.0)]
    return np.array(upright + [(side * askew, height) for height in (-down, down) for side in (1, -1)])
