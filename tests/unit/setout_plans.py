"""Plans over which jacks are set out, and measurements of layouts that share nothing with the code under test.

All plans are invented. Lengths in m.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely import Polygon, affinity, box
from shapely.ops import unary_union

from preprocess.case import JackLine, NoJackZone, SetOutRules

Floats = NDArray[np.float64]

MILLIMETRE = 0.0015
"""Jacks are given in whole millimetres: two of them may be 2 · 0.5 · √2 = 1.4 mm nearer or further than meant."""


def some_rules(lines: Sequence[JackLine] = (), zones: Sequence[NoJackZone] = ()) -> SetOutRules:
    """Spacing 900 to 1400 mm, 250 mm to edges, overhang 450 mm."""
    return SetOutRules(1.4, 0.9, 0.25, 0.45, tuple(lines), tuple(zones))


def _with_openings(outline: Polygon, openings: Sequence[Polygon]) -> Polygon:
    return Polygon(outline.exterior, [opening.exterior for opening in openings])


def _turned(points: int, start: float, end: float, width: float, height: float) -> list[tuple[float, float]]:
    angles = np.linspace(start, end, points)
    return [(float(width * np.cos(angle)), float(height * np.sin(angle))) for angle in angles]


RECTANGLE = box(0, 0, 9.3, 6.2)
COLUMNS = [box(x - 0.2, y - 0.2, x + 0.2, y + 0.2) for x in (3.2, 7.0, 10.8) for y in (3.1, 6.3)]
U_SHAPE = Polygon([(0, 0), (11, 0), (11, 9.35), (7.8, 9.35), (7.8, 4.35), (4.5, 4.35), (4.5, 10.6), (0, 10.6)])
CIRCLE = Polygon(_turned(61, 0, 2 * np.pi, 5, 5)[:-1])

RECTILINEAR: dict[str, Polygon] = {
    "rectangle": RECTANGLE,
    "square": box(0, 0, 8, 8),
    "L": Polygon([(0, 0), (10, 0), (10, 4.1), (4.6, 4.1), (4.6, 9.2), (0, 9.2)]),
    "U": U_SHAPE,
    "T": Polygon([(0, 6), (3.5, 6), (3.5, 0), (7.5, 0), (7.5, 6), (11, 6), (11, 10), (0, 10)]),
    "ring": _with_openings(box(0, 0, 12, 10), [box(4, 3.5, 8, 6.5)]),
    "columns": _with_openings(box(0, 0, 14, 9.4), COLUMNS),
    "one row": box(0, 0, 8, 0.85),
    "two rows": box(0, 0, 8, 1.9),
    "cross": unary_union([box(4, 0, 8, 12), box(0, 4, 12, 8)]),
    "H": unary_union([box(0, 0, 3.5, 10), box(7.5, 0, 11, 10), box(3.5, 4, 7.5, 6.2)]),
    "hall": box(0, 0, 24.6, 18.2),
}
OTHERS: dict[str, Polygon] = {
    "slanted": Polygon([(0, 0), (10, 0), (9, 7.5), (0.8, 6)]),
    "trapezium": Polygon([(0, 0), (10, 0), (7.5, 6), (2.5, 6)]),
    "corner cut off": Polygon([(0, 0), (11, 0), (11, 5), (7, 9), (0, 9)]),
    "sharp": Polygon([(0, 0), (12, 0), (3, 6)]),
    "arched": Polygon([(-5, 0), (5, 0), *((x, y + 5) for x, y in _turned(31, 0, np.pi, 5, 3))]),
    "circle": CIRCLE,
    "turned by 17°": affinity.rotate(RECTANGLE, 17, origin=(0, 0)),
    "steps": Polygon([(0, 0), (9, 0), (9, 3), (7.5, 3), (7.5, 4.1), (6.3, 4.1), (6.3, 5.7), (4, 5.7), (4, 8), (0, 8)]),
    "Z": Polygon([(0, 0), (8, 0), (8, 4), (12, 4), (12, 9), (4, 9), (4, 5), (0, 5)]),
}
WALL = JackLine("wall", np.array([[1.0, 5.1], [9.0, 5.1]]), 1.0)
RACK = JackLine("rack", np.array([[2.0, 1.0], [5.0, 3.0]]), 1.2)
ROW_OF_RACKS = JackLine("row of racks", np.array([[10.3, 0.0], [10.3, 8.0]]), 1.2)
PIT = NoJackZone("pit", box(6, 2, 7.2, 3.2))
DOOR = NoJackZone("door", box(-0.1, 6.3, 0.9, 7.2))
FURNISHED = (box(0, 0, 12, 8), some_rules((WALL, RACK, ROW_OF_RACKS), (PIT, DOOR)))


@dataclass(frozen=True)
class Measured:
    """Distances, m, found by brute force: least between jacks, least from edges, greatest from a point to a jack."""

    apart: float
    edge: float
    reach: float


def measured(plan: Polygon, xy: Floats, step: float = 0.04) -> Measured:
    """Brute force: all pairs of jacks; points of the slab on a grid and along its edges.

    The reach that is found is at most step/√2 less than the true one.
    """
    apart = np.linalg.norm(xy[:, None] - xy[None], axis=2) + np.diag(np.full(len(xy), np.inf))
    distance, _ = cKDTree(xy).query(slab_points(plan, step))
    edge = min(float(plan.boundary.distance(shapely.Point(*jack))) for jack in xy)
    assert all(plan.contains(shapely.Point(*jack)) for jack in xy)
    return Measured(float(apart.min()), edge, float(distance.max()))


def slab_points(plan: Polygon, step: float) -> Floats:
    """(n, 2) points of the slab on a grid and along outline and openings."""
    low_x, low_y, high_x, high_y = plan.bounds
    grid = np.stack(np.meshgrid(np.arange(low_x, high_x, step), np.arange(low_y, high_y, step)), axis=-1).reshape(-1, 2)
    inside = grid[shapely.contains_xy(plan, grid[:, 0], grid[:, 1])]
    return np.concatenate([inside, shapely.get_coordinates(shapely.segmentize(plan.boundary, step))])


def overhang_excess(plan: Polygon, xy: Floats, rules: SetOutRules, step: float = 0.05) -> float:
    """The most by which a point of an edge is further from the ties of neighbouring jacks than allowed, m.

    A formulation of its own: distances from points to segments by projection; whether a tie leaves the slab by
    points every 20 mm on it, of which all have to lie on the slab or in an opening of at most the least spacing.
    """
    solid = Polygon(plan.exterior, [ring for ring in plan.interiors if _diameter(ring) > rules.least_spacing])
    first, second = np.triu_indices(len(xy), 1)
    near = np.linalg.norm(xy[first] - xy[second], axis=1) <= rules.greatest_spacing + MILLIMETRE
    starts, ends = xy[first[near]], xy[second[near]]
    shares = np.linspace(0, 1, 71)[None, :, None]
    spots = starts[:, None] + shares * (ends - starts)[:, None]
    whole = shapely.contains_xy(solid, spots[..., 0], spots[..., 1]).all(axis=1)
    starts, ends = np.concatenate([starts[whole], xy]), np.concatenate([ends[whole], xy])
    worst = -np.inf
    for ring in (solid.exterior, *solid.interiors):
        points = shapely.get_coordinates(shapely.segmentize(ring, step))
        worst = max(worst, float(np.max(_to_segments(points, starts, ends) - _allowed(points, ring, solid, rules))))
    return worst


def _to_segments(points: Floats, starts: Floats, ends: Floats) -> Floats:
    along = ends - starts
    length = np.maximum(np.sum(along**2, axis=1), 1e-12)
    share = np.clip(np.einsum("pij,ij->pi", points[:, None] - starts[None], along) / length, 0, 1)
    return np.linalg.norm(points[:, None] - (starts + share[..., None] * along), axis=2).min(axis=1)


def _allowed(points: Floats, ring: shapely.LinearRing, solid: Polygon, rules: SetOutRules) -> Floats:
    """The overhang as set_out's docstring has it: more around corners that turn by 25° or more."""
    limit = np.full(len(points), rules.greatest_overhang)
    corners = shapely.get_coordinates(ring)[:-1]
    for index, corner in enumerate(corners):
        back, forth = corners[index - 1] - corner, corners[(index + 1) % len(corners)] - corner
        angle = np.arccos(np.clip(back @ forth / np.linalg.norm(back) / np.linalg.norm(forth), -1, 1))
        if np.degrees(np.pi - angle) < 25 - 1e-9:
            continue
        spot = corner + 1e-4 * (back / np.linalg.norm(back) + forth / np.linalg.norm(forth))
        half = angle / 2 if solid.contains(shapely.Point(*spot)) else np.pi / 4
        wide = rules.greatest_overhang * max(np.sqrt(2), 1 / np.sin(half))
        about = max(rules.greatest_overhang, wide * np.cos(half))
        near = np.linalg.norm(points - corner, axis=1) <= about
        limit[near] = np.maximum(limit[near], wide)
    return limit


def on_shared_lines(plan: Polygon, rules: SetOutRules, angle: float, xy: Floats) -> NDArray[np.int_]:
    """(n,) on how many lines each jack stands on which three or more do, within 2 mm across.

    In the directions of rows and columns (angle in degrees), of the edges at least 1.8 m long, and of jack lines;
    2 mm since rounding to millimetres moves a jack by 0.7 mm at most, and lines are followed to 1 mm.
    """
    paths = [np.asarray(ring.coords)[:, :2] for ring in (plan.exterior, *plan.interiors)]
    steps = np.concatenate([np.diff(path, axis=0) for path in (*paths, *(line.path for line in rules.lines))])
    long = steps[np.linalg.norm(steps, axis=1) >= 1.8]
    angles = np.degrees(np.arctan2(long[:, 1], long[:, 0]))
    number = np.zeros(len(xy), dtype=np.int_)
    for direction in np.unique(np.round(np.concatenate([[angle, angle + 90], angles]) % 180, 3) % 180):
        off = xy @ np.array([-np.sin(np.radians(direction)), np.cos(np.radians(direction))])
        number += (np.abs(off[:, None] - off[None]) <= 0.002).sum(axis=1) >= 3
    return number


def _diameter(ring: shapely.LinearRing) -> float:
    """Length of the longer side of the smallest of the rectangles round a ring, tried degree by degree, m."""
    points = shapely.get_coordinates(ring)
    sides = []
    for angle in np.radians(np.arange(0, 90, 1.0)):
        turned = points @ np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        sides.append(np.ptp(turned, axis=0))
    return float(max(min(sides, key=np.prod)))
