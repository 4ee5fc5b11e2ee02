"""A shape for each type of spring: open for single springs, filled for nested pairs."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from postprocess.cad.details import SpringType
from postprocess.cad.pen import Pen

Symbol = Callable[[Pen, tuple[float, float], float, str], None]

SHAPES: tuple[tuple[int, float], ...] = ((0, 0), (4, 45), (3, 90), (4, 0), (3, -90), (6, 0), (5, 90), (3, 0))
"""(corners, angle of the first in degrees); no corners: a circle."""


def symbols(types: Sequence[SpringType]) -> dict[str, Symbol]:
    """Code -> symbol that draws itself with a pen about a place, with a radius, on a layer."""
    counts = {True: 0, False: 0}
    found: dict[str, Symbol] = {}
    for kind in types:
        pair = len(kind.parts) > 1
        turn, shape = divmod(counts[pair], len(SHAPES))
        found[kind.code] = _symbol(*SHAPES[shape], pair, turn)
        counts[pair] += 1
    return found


def _symbol(corners: int, start: float, filled: bool, bars: int) -> Symbol:
    """bars: lines through the symbol, which tell it from an earlier one of its shape."""

    def draw(pen: Pen, at: tuple[float, float], radius: float, layer: str) -> None:
        x, y = at
        angles = np.radians(start + np.arange(corners or 24) * 360 / (corners or 24))
        reach = radius * {0: 0.9, 3: 1.2, 4: 1.12}.get(corners, 1.0)
        ring = np.column_stack([x + reach * np.cos(angles), y + reach * np.sin(angles)])
        if filled:
            pen.area([ring], layer)
        if corners:
            pen.ring(ring, layer)
        else:
            pen.circle(at, reach, layer)
        for bar in range(bars):
            low = y + (bar - (bars - 1) / 2) * 0.5 * radius
            pen.line((x - 1.5 * radius, low), (x + 1.5 * radius, low), layer)

    return draw
