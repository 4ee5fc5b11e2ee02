"""Free places for words on a plan."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, box
from shapely.geometry.base import BaseGeometry

Floats = NDArray[np.float64]

AIR = 0.35
"""Around words, mm of paper."""


class FreePlaces:
    """What is taken on a plan, in model units; `size` of them are a mm of paper."""

    def __init__(self, size: float) -> None:
        self.size = size
        self._taken: list[BaseGeometry] = []

    def take(self, *shapes: BaseGeometry) -> None:
        """No words come on these shapes."""
        self._taken += shapes

    def best(
        self, middles: Sequence[tuple[float, float]], width: float, height: float, inside: Polygon | None = None
    ) -> tuple[float, float]:
        """The place that `find` finds; it is taken then."""
        place, _ = self.find(middles, width, height, inside)
        half = width * self.size / 2, height * self.size / 2
        self.take(box(place[0] - half[0], place[1] - half[1], place[0] + half[0], place[1] + half[1]))
        return place

    def find(
        self, middles: Sequence[tuple[float, float]], width: float, height: float, inside: Polygon | None = None
    ) -> tuple[tuple[float, float], float]:
        """The first of `middles` at which words of `width` and `height` mm are free, or the one with the least covered.

        inside: the words should lie in it. Also returned: how much of them is covered, 0 at a free place.
        """
        air = AIR * self.size
        half = width * self.size / 2 + air, height * self.size / 2 + air
        taken = np.array(self._taken, dtype=object)
        boxes = [box(x - half[0], y - half[1], x + half[0], y + half[1]) for x, y in middles]
        worst = []
        for words in boxes:
            met: Iterable[BaseGeometry] = taken[shapely.intersects(taken, words)] if len(taken) else ()
            covered = sum(_share(shape, words) for shape in met)
            outside = 0.0 if inside is None else 3 * words.difference(inside).area / words.area
            worst.append(covered + outside)
            if worst[-1] == 0.0:
                break
        chosen = int(np.argmin(worst))
        return middles[chosen], worst[chosen]


def _share(shape: BaseGeometry, words: Polygon) -> float:
    """How much of the words a shape covers: areas by their share, lines by their length over the words' width."""
    common = shape.intersection(words)
    if common.area:
        return 0.05 + float(common.area / words.area)
    return 0.02 + 0.1 * float(common.length) / float(words.length)


def around(x: float, y: float, reach: float, half: tuple[float, float]) -> list[tuple[float, float]]:
    """Middles of words of half `half` (width, height) beside a mark of radius `reach`: corners first, then sides."""
    across, up = reach * 0.75 + half[0], reach * 0.75 + half[1]
    corners = [(x + sx * across, y + sy * up) for sx, sy in ((1, 1), (1, -1), (-1, 1), (-1, -1))]
    sides = [(x + reach + half[0], y), (x - reach - half[0], y), (x, y + reach + half[1]), (x, y - reach - half[1])]
    further = [(x + sx * 1.5 * across, y + sy * 1.8 * up) for sx, sy in ((1, 1), (1, -1), (-1, 1), (-1, -1))]
    return corners + sides + further
