"""Straight sections of the slab through given places, over which moments are averaged."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from fem.quadrature import line_rule

Floats = NDArray[np.float64]

SECTION_DEGREE = 31
"""Sixteen Gauss points across a section: moments bend sharply at the rim of a housing."""


@dataclass(frozen=True, eq=False)
class Sections:
    """n sections. points: (n, q, 2) where moments are wanted, m. weights: (q,) that make their mean."""

    points: Floats
    weights: Floats

    def means(self, values: Floats) -> Floats:
        """(n, ...) means over each section of values (n, q, ...) at its points."""
        return np.asarray(np.tensordot(values, self.weights, axes=([1], [0])))


def strip_sections(plan: Polygon, xy: Floats, widths: Floats, along: Literal["x", "y"]) -> Sections:
    """Sections of `widths` (n,) m centred on places (n, 2) of the slab and cut at its edge.

    along: the direction of the sections; those along y serve moments Mx, which stress the slab across them.
    """
    half = np.outer(widths / 2, [1.0, 0.0] if along == "x" else [0.0, 1.0])
    ends = np.stack([xy - half, xy + half], axis=1).reshape(-1, 2, 2)
    shapely.prepare(plan)
    for i in np.flatnonzero(~shapely.covers(plan, shapely.linestrings(ends))):
        parts = shapely.get_parts(shapely.intersection(plan, shapely.linestrings(ends[i])))
        nearest = int(np.argmin(shapely.distance(parts, shapely.points(xy[i]))))
        ends[i] = shapely.get_coordinates(parts[nearest])[[0, -1]]
    position, weight = line_rule(SECTION_DEGREE)
    start, end = ends[:, 0], ends[:, 1]
    return Sections(start[:, None] + position[None, :, None] * (end - start)[:, None], weight)
