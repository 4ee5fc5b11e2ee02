"""Where things stand on the plan of jacks: its scale on paper, sizes of symbols and words, places of marks."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely import get_coordinates, get_parts
from shapely.geometry.base import BaseGeometry

from postprocess.report.jack_plan import JackPlan
from postprocess.view import PlanItem

Floats = NDArray[np.float64]

WIDTH, HEIGHT = 178.0, 205.0
"""Greatest extent of the sheet, mm."""
LEFT, RIGHT, TOP, BOTTOM = 10.0, 5.0, 5.0, 14.5
"""Paper around the plan, mm; grid figures and scale bar stand on it."""
SYMBOL = (0.75, 2.3)
"""Least and greatest radius of a jack's symbol, mm."""
WORDS = (1.3, 2.7)
"""Least and greatest size of words beside jacks, mm."""
CHARACTER = 0.64
"""Width of a figure of DejaVu Sans as a share of its size."""


@dataclass(frozen=True, eq=False)
class PlanSheet:
    """scale: mm of paper per m. corner: (x, y) of the plan's lower left extent, m. size: (width, height), mm.

    radius: of a symbol, mm. words: size of words beside jacks, 0 where they would be too small to read on paper; room:
    the size up to which they keep clear of each other, mm. named: whether ids fit beside the jacks as well.
    """

    plan: JackPlan
    scale: float
    corner: tuple[float, float]
    size: tuple[float, float]
    radius: float
    words: float
    room: float
    named: bool

    def at(self, points: Floats) -> Floats:
        """(n, 2) mm from the upper left of the sheet, y down, of points in m."""
        x = LEFT + (points[:, 0] - self.corner[0]) * self.scale
        y = self.size[1] - BOTTOM - (points[:, 1] - self.corner[1]) * self.scale
        return np.column_stack([x, y])

    @cached_property
    def jacks(self) -> Floats:
        """(n, 2) places of the jacks, mm."""
        return self.at(np.asarray(self.plan.xy, dtype=float).reshape(-1, 2))

    def path(self, shape: BaseGeometry) -> str:
        """The shape as data of an SVG path; rings are closed."""
        parts = []
        for part in get_parts(shape):
            rings = [part.exterior, *part.interiors] if part.geom_type == "Polygon" else [part]
            end = "Z" if part.geom_type == "Polygon" else ""
            parts += ["M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in self.at(get_coordinates(r))) + end for r in rings]
        return "".join(parts)


def plan_sheet(plan: JackPlan) -> PlanSheet:
    """The plan as large as fits, with symbols and words that keep clear of their neighbours."""
    x0, y0, x1, y1 = plan.plan.bounds
    scale = min((WIDTH - LEFT - RIGHT) / (x1 - x0), (HEIGHT - TOP - BOTTOM) / (y1 - y0))
    size = (x1 - x0) * scale + LEFT + RIGHT, (y1 - y0) * scale + TOP + BOTTOM
    spacing = _spacing(np.asarray(plan.xy, dtype=float).reshape(-1, 2)) * scale
    radius = min(max(0.2 * spacing, SYMBOL[0]), SYMBOL[1])
    values = max((_characters(quantity.digits, quantity.values) for quantity in plan.quantities), default=4)
    room = min(1.6 * WORDS[1], 0.95 * spacing / (CHARACTER * values), (spacing - 2 * radius) / 2.3)
    words = min(room, WORDS[1]) if room >= WORDS[0] else 0.0
    longest = max((len(name) for name in plan.ids), default=0)
    named = CHARACTER * longest * max(words, room) <= 0.95 * spacing
    return PlanSheet(plan, scale, (x0, y0), size, radius, words, room, named)


def _spacing(xy: Floats) -> float:
    """A distance between neighbours that few pairs fall below, m."""
    if len(xy) < 2:
        return 5.0
    nearest = np.asarray(cKDTree(xy).query(xy, k=2)[0])[:, 1]
    return float(max(np.quantile(nearest, 0.1), 1e-3))


def _characters(digits: int, values: Mapping[str, Floats]) -> int:
    """Length of the longest value as text."""
    parts = [np.abs(part[np.isfinite(part)]).max(initial=0.0) for part in values.values()]
    return max(math.floor(math.log10(max([1.0, *parts]))) + 1 + (digits + 1 if digits else 0), 3)


def ground(item: PlanItem) -> BaseGeometry:
    """What an item stands over: the hull of its feet, or its shape."""
    on_feet = item.kind == "equipment" and len(get_parts(item.shape)) > 1
    return item.shape.convex_hull if on_feet else item.shape


def mark_places(sheet: PlanSheet) -> Floats:
    """(m, 2) places of the items' marks, mm: on the item, clear of jacks, their words and other marks."""
    taken = [sheet.jacks]
    places = np.zeros((len(sheet.plan.items), 2))
    for number in sorted(range(len(places)), key=lambda i: sheet.plan.items[i].shape.area):
        spots = sheet.at(_candidates(ground(sheet.plan.items[number])))
        clearance = cKDTree(np.concatenate(taken)).query(spots)[0] if sum(map(len, taken)) else np.full(len(spots), 9.0)
        off_centre = np.hypot(*(spots - spots.mean(axis=0)).T)
        best = np.argmax(np.minimum(clearance, 3.2 * sheet.radius + 2 * sheet.words) - 0.05 * off_centre)
        places[number] = spots[best]
        taken.append(spots[best][None])
    return places


def _candidates(shape: BaseGeometry) -> Floats:
    """(k, 2) points on a shape, m: along its longest line, or over its area."""
    if shape.area == 0:
        longest = max(get_parts(shape), key=lambda part: part.length)
        return np.asarray(get_coordinates(longest.interpolate(np.linspace(0.04, 0.96, 60), normalized=True)))
    x0, y0, x1, y1 = shape.bounds
    x, y = (part.ravel() for part in np.meshgrid(np.linspace(x0, x1, 33)[1:-1], np.linspace(y0, y1, 33)[1:-1]))
    inside = shapely.contains_xy(shape, x, y)
    spots = np.column_stack([x, y])[inside]
    return spots if len(spots) else np.asarray(get_coordinates(shape.representative_point()))
