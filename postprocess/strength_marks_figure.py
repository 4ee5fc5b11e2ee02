"""Marks on the plans of strength: rings around places, with short words that keep clear of jacks and of each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf, isinf
from typing import Any

import numpy as np
import shapely
from matplotlib.axes import Axes
from numpy.typing import NDArray
from shapely import STRtree, get_parts
from shapely.geometry.base import BaseGeometry

from postprocess.colours import INK
from postprocess.drawing import MM_PER_POINT, number, paper_scale, text_width
from postprocess.view import PlanView

Floats = NDArray[np.float64]

RING: dict[str, Any] = {"marker": "o", "mfc": "none", "mec": INK, "mew": 1.3, "ms": 8}
JACK: dict[str, Any] = {"marker": "o", "mfc": INK, "mec": "white", "mew": 0.4, "ms": 2.2}
FOOT: dict[str, Any] = {"marker": "s", "mfc": "white", "mec": INK, "mew": 0.5, "ms": 2.4}
CORNER: dict[str, Any] = {"marker": "D", "mfc": "white", "mec": INK, "mew": 1.0, "ms": 5}
FRAME: dict[str, Any] = {"boxstyle": "round,pad=0.25,rounding_size=0.4", "fc": "white", "ec": INK, "lw": 0.7}
SIZE = 7.0
"""Font of the words, points."""
LINE = 1.25
"""Pitch of lines over the size of the font."""
MANY = 400
"""Jacks from which their dots would hide the plan."""
BEARINGS = np.radians(np.arange(0, 360, 30) + 45)
GAPS = (2.2, 4.5, 7.5, 11.0, 15.0, 20.0)
"""From a place to the nearest side of its words, mm."""
MOST = 9
"""Decimals beyond which a value is not told from its limit."""
RADIUS = 1.6
"""Half of a ring, mm."""


@dataclass(eq=False)
class Marks:
    """Writes marks on one plan; each keeps clear of those before it, of jacks, of places and of boxes.

    places: (n, 2), m. boxes: (k, 4) x0, y0, x1, y1 of other words, m.
    """

    ax: Axes
    view: PlanView
    places: Floats
    boxes: Floats = field(default_factory=lambda: np.zeros((0, 4)))
    taken: list[BaseGeometry] = field(init=False)

    def __post_init__(self) -> None:
        scale = paper_scale(self.ax)
        self.taken = list(get_parts(shapely.buffer(shapely.points(self.view.schedule.xy), 0.6 / scale, quad_segs=2)))
        self.taken += list(get_parts(shapely.buffer(shapely.points(self.places.reshape(-1, 2)), RADIUS / scale)))
        self.taken += list(get_parts(shapely.box(*self.boxes.T)))

    def ring(self, place: Floats, words: str, *, radius: float = RADIUS) -> None:
        """A ring of `radius` mm on paper around a place (2,) m, joined to its words; white below shows it on dark."""
        ring = RING | {"ms": 2 * (radius - RADIUS) / MM_PER_POINT + RING["ms"]}
        self.ax.plot(*place, zorder=4.9, **ring | {"mec": "white", "mew": 3.2})
        self.ax.plot(*place, zorder=5, gid="ring", **ring)
        self.words(place, words, start=radius)

    def words(self, place: Floats, words: str, *, size: float = SIZE, start: float = 0.0) -> None:
        """Words in a frame near a place (2,) m, joined to it by a line from `start` mm off it."""
        scale = paper_scale(self.ax)
        lines = words.split("\n")
        height = LINE * size * MM_PER_POINT * len(lines)
        extent = np.array([max(text_width(line, size) for line in lines) + 2.2, height + 1.6]) / scale
        spot = self._spot(place, extent, scale)
        first = place + (spot - place) * start / scale / np.hypot(*(spot - place))
        for colour, width in (("white", 2.0), (INK, 0.6)):
            self.ax.plot(*np.transpose([first, spot]), color=colour, lw=width, zorder=4.95)
        style: dict[str, Any] = {"fontsize": size, "linespacing": LINE, "color": INK, "parse_math": False}
        self.ax.text(spot[0], spot[1], words, ha="center", va="center", zorder=6, bbox=FRAME, gid="mark", **style)
        self.taken.append(shapely.box(*(spot - extent / 2), *(spot + extent / 2)).buffer(0.4 / scale))

    def _spot(self, place: Floats, extent: Floats, scale: float) -> Floats:
        """The middle of the frame that covers least, inside the axes and near to its place."""
        around = np.column_stack([np.cos(BEARINGS), np.sin(BEARINGS)])
        spots = place + np.concatenate([(extent / 2 + gap / scale) * around for gap in GAPS])
        frames = np.asarray(shapely.box(*(spots - extent / 2).T, *(spots + extent / 2).T))
        (left, right), (bottom, top) = self.ax.get_xlim(), self.ax.get_ylim()
        tree = STRtree(self.taken)
        frame, other = tree.query(frames, predicate="intersects")
        shared = shapely.intersection(frames[frame], np.array(self.taken, dtype=object)[other])
        weight = shapely.area(shared) * scale**2 + shapely.length(shared) * scale / 4
        covered = np.bincount(frame, weight, minlength=len(spots))
        leaders = shapely.linestrings(np.stack([np.broadcast_to(place, spots.shape), spots], axis=1))
        crossed = np.bincount(tree.query(leaders, predicate="crosses")[0], minlength=len(spots))
        cost = 40.0 * covered + 4.0 * crossed + scale * np.hypot(*(spots - place).T)
        cost += 1e4 * ~shapely.contains(shapely.box(left, bottom, right, top), frames)
        cost += 3.0 * shapely.intersects(frames, self.view.plan.boundary)
        return np.asarray(spots[int(np.argmin(cost))])


def draw_jacks(ax: Axes, view: PlanView) -> None:
    """A dot at each jack, smaller on a plan of very many."""
    smaller = {"ms": 1.3, "mew": 0.2} if len(view.schedule) > MANY else {}
    ax.plot(*view.schedule.xy.T, ls="none", zorder=4, **JACK | smaller)


def shown(value: float, digits: int) -> str:
    """A number with a true minus sign; ∞ for one without bound."""
    return number(value, digits) if abs(value) < inf else "∞" if value > 0 else "\N{MINUS SIGN}∞"


def shown_pair(value: float, limit: float) -> tuple[str, str]:
    """A value and its limit with about three digits each, more where rounding would hide which is the greater."""
    if all(isinf(each) or each == round(each) for each in (value, limit)):
        return shown(value, 0), shown(limit, 0)
    texts = shown(value, _digits(value)), shown(limit, _digits(limit))
    more = max(_digits(value), _digits(limit))
    while value != limit and texts[0] == texts[1] and more < MOST:
        more += 1
        texts = shown(value, more), shown(limit, more)
    return texts


def _digits(value: float) -> int:
    """Decimals that leave about three digits."""
    return next((digits for digits, bound in enumerate((100.0, 10.0, 1.0)) if abs(value) >= bound), 3)


def point_words(xy: Sequence[float] | Floats) -> str:
    """Coordinates in words, kept on one line."""
    return f"({number(xy[0], 3)},\N{NO-BREAK SPACE}{number(xy[1], 3)})\N{NO-BREAK SPACE}m"
