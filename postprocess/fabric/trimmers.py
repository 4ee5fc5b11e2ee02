"""Trimmer bars where they come to lie: across the bisector of a re-entrant corner, spread over its zone."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from postprocess.strength.corner_verdicts import TRIMMER_PITCH
from postprocess.strength.layers import Face
from postprocess.strength.result import CornerVerdict

Floats = NDArray[np.float64]
ROUNDING = 1e-6
"""By which a bar may come nearer to an edge than its cover, m."""
SHORTENED = 1e-3
"""A bar that loses more than this to edges and their cover, m, is shortened."""


@dataclass(frozen=True)
class Bar:
    """A trimmer as it is ordered. diameter, length: m."""

    diameter: float
    length: float


@dataclass(frozen=True, eq=False)
class CornerBars:
    """The trimmers near one face at the re-entrant corner `xy`, all of one kind, nearest to the corner first.

    spacing: between bars, 0 for a single one; first: from the corner to the first, both between axes along the
    bisector. lines: what of each has room within the slab. shortened: how many of them the slab's edges cut short.
    All in m.
    """

    xy: tuple[float, float]
    bar: Bar
    spacing: float
    first: float
    lines: tuple[LineString, ...]
    shortened: int

    @property
    def number(self) -> int:
        """Of bars."""
        return len(self.lines)


def corner_bars(
    corners: Iterable[CornerVerdict], face: Face, bar: Bar, plan: Polygon, cover: float
) -> tuple[CornerBars, ...]:
    """Those corners that have trimmers near `face`, with them. cover: least from an edge to a bar, m."""
    region = plan.buffer(ROUNDING - cover - bar.diameter / 2, quad_segs=32)
    return tuple(
        _bars(corner, corner.trimmers[face], bar, region, cover) for corner in corners if corner.trimmers.get(face)
    )


def _bars(corner: CornerVerdict, number: int, bar: Bar, region: BaseGeometry, cover: float) -> CornerBars:
    """Each stands for an equal share of the zone, but no nearer to the next than `TRIMMER_PITCH`, to the corner than
    the cover."""
    spacing = max(corner.zone / number, TRIMMER_PITCH)
    first = max(spacing / 2, cover + bar.diameter / 2)
    along = np.array([np.cos(corner.across), np.sin(corner.across)])
    inward = np.array([along[1], -along[0]])  # the trimmers' direction is the bisector's turned by +90 degrees
    middles = np.asarray(corner.xy) + (first + spacing * np.arange(number))[:, None] * inward
    lines = tuple(_within(region, middle, along * bar.length / 2) for middle in middles)
    shortened = sum(line.length < bar.length - SHORTENED for line in lines)
    return CornerBars(corner.xy, bar, spacing if number > 1 else 0.0, first, lines, shortened)


def _within(region: BaseGeometry, middle: Floats, half: Floats) -> LineString:
    """The stretch of a bar about its middle that lies in the region."""
    parts = shapely.get_parts(LineString([middle - half, middle + half]).intersection(region))
    lines = [part for part in parts if isinstance(part, LineString)]
    return min(lines, key=lambda part: float(part.distance(Point(middle))), default=LineString())
