"""The basic control perimeter of punching from the plan of the slab, EN 1992-1-1:2004, 6.4.2.

Everything in m. A loaded area is a disc (a jack's housing) or a square along the axes (an equipment pad).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from math import pi, sqrt
from typing import Final, Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiLineString, MultiPoint, Point, Polygon, affinity
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

Floats = NDArray[np.float64]
Position = Literal["interior", "edge", "corner"]
Shape = Literal["disc", "square"]

POSITIONS: Final[tuple[Position, ...]] = ("interior", "edge", "corner")
"""By the number of free edges that the perimeter runs to."""

ARC_SEGMENTS: Final = 64
"""Chords of a quarter circle: perimeters come out shorter than the true arcs by 25 parts in a million."""
PERIMETER_AT: Final = 2.0
"""Distance of the basic control perimeter from the loaded area over d (6.4.2(1))."""
SHADOW_REACH: Final = 6.0
"""Openings nearer to the loaded area than this many d make part of the perimeter ineffective (6.4.2(3))."""
SIGHT_STEP: Final = 0.05
"""Part of d in which a perimeter that may lie out of sight of its load is looked at."""
SAME_WAY: Final = 0.9
"""Cosine of the angle, 26°, below which two edges face the same way."""
NEGLIGIBLE: Final = 1e-6
"""m: rounding of geometry."""


@dataclass(frozen=True, eq=False)
class Perimeter:
    """The governing control perimeter of one loaded area, complete for drawing.

    effective: the part that counts. ineffective: what openings, or corners of the slab in between, take away.
    length: u1, m, of `effective`. face: u0, m, at the loaded area. loaded: the loaded area.
    """

    loaded: Polygon
    effective: BaseGeometry
    ineffective: BaseGeometry
    length: float
    face: float
    position: Position


def loaded_area(centre: Floats, size: float, shape: Shape) -> Polygon:
    """The disc of diameter `size` or the square of side `size` about `centre` (2,)."""
    if shape == "disc":
        return Polygon(shapely.get_coordinates(Point(centre).buffer(size / 2, quad_segs=ARC_SEGMENTS)))
    return Polygon(centre + size / 2 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]))


def control_perimeters(
    slab: Polygon, centres: Floats, size: Floats | float, shape: Shape, depth: float
) -> tuple[Perimeter, ...]:
    """For each loaded area about `centres` (n, 2) the shortest effective perimeter at 2d on `slab`.

    slab: with its openings as holes. size: diameter or side of each, (n,) or one for all. depth: d, mean of both
    directions (Eq. 6.32). Candidates are the outline at 2d as far as it lies on the slab, and those that run from
    it square to one free edge or to two (6.4.2(4), Figure 6.15).
    """
    plan = _Plan.of(slab)
    sizes = np.broadcast_to(np.asarray(size, dtype=float), len(centres))
    return tuple(_governing(plan, centre, float(one), shape, depth) for centre, one in zip(centres, sizes, strict=True))


@dataclass(frozen=True, eq=False)
class _Plan:
    """outline without openings. inside: the same less its edges. starts, outward: (e, 2) of its e edges."""

    outline: Polygon
    inside: BaseGeometry
    edges: NDArray[np.object_]
    starts: Floats
    outward: Floats
    openings: NDArray[np.object_]

    @classmethod
    def of(cls, slab: Polygon) -> _Plan:
        outline = orient(Polygon(slab.exterior))
        corners = shapely.get_coordinates(outline.exterior)
        ends = np.stack([corners[:-1], corners[1:]], axis=1)
        along = ends[:, 1] - ends[:, 0]
        along /= np.hypot(*along.T)[:, None]
        return cls(
            outline=outline,
            inside=outline.buffer(-NEGLIGIBLE, join_style="mitre"),
            edges=np.asarray(shapely.linestrings(ends)),
            starts=ends[:, 0],
            outward=np.column_stack([along[:, 1], -along[:, 0]]),  # the slab lies to the left of its edges
            openings=np.array([Polygon(ring) for ring in slab.interiors], dtype=object),
        )


def _governing(plan: _Plan, centre: Floats, size: float, shape: Shape, depth: float) -> Perimeter:
    """The shortest of the candidates; of equally short ones that with more edges."""
    loaded = loaded_area(centre, size, shape)
    shadows = _shadows(plan, centre, loaded, depth)
    found: list[tuple[float, int, BaseGeometry, BaseGeometry]] = []
    for edges, swept in _swept(plan, loaded, depth):
        region = swept.buffer(PERIMETER_AT * depth, quad_segs=ARC_SEGMENTS)
        whole, seen = _drawn(plan, region, loaded, centre, depth)
        effective = seen.difference(shadows) if shadows else seen
        found.append((effective.length, max(edges, int(not shapely.is_ring(whole))), whole, effective))
    least = min(length for length, *_ in found)
    length, edges, whole, effective = [each for each in found if each[0] <= least + NEGLIGIBLE][-1]
    cut = length < whole.length - NEGLIGIBLE
    ineffective = whole.difference(effective.buffer(NEGLIGIBLE)) if cut else LineString()
    position = POSITIONS[edges]
    return Perimeter(loaded, effective, ineffective, length, face_perimeter(size, shape, depth, position), position)


def face_perimeter(size: float, shape: Shape, depth: float, position: Position) -> float:
    """u0 (6.4.5(3)): the whole periphery; at an edge c + 3d ≤ 3c, at a corner 3d ≤ 2c, with c a quarter of it."""
    side = size * pi / 4 if shape == "disc" else size
    if position == "edge":
        return min(side + 3 * depth, 3 * side)
    return min(3 * depth, 2 * side) if position == "corner" else 4 * side


def _swept(plan: _Plan, loaded: Polygon, depth: float) -> Iterator[tuple[int, Polygon]]:
    """Number of free edges, and the loaded area drawn out to them: none, each near edge, each two of them.

    A perimeter to an edge at distance a is πR + 2a long, a closed one 2πR, and one to two edges about πR/2 + a1 + a2:
    edges nearer than πR/2 matter by themselves, in pairs those nearer than 3πR/2. Of the farther ones those count
    that face another way than nearer ones, so that a curve of many chords makes few pairs.
    """
    yield 0, loaded
    points = shapely.get_coordinates(loaded.exterior)
    reach = pi / 2 * (PERIMETER_AT * depth + sqrt(loaded.area / pi))
    distance = shapely.distance(plan.edges, loaded.centroid)
    near = np.flatnonzero(distance <= reach)
    moves = {}
    paired = [*near]
    for edge in np.flatnonzero(distance <= 3 * reach)[np.argsort(distance[distance <= 3 * reach], kind="stable")]:
        moves[edge] = max(float(np.max((plan.starts[edge] - points) @ plan.outward[edge])), 0.0) * plan.outward[edge]
        if edge not in paired and np.all(plan.outward[paired] @ plan.outward[edge] <= SAME_WAY):
            paired.append(edge)
    for edges in [*combinations(near, 1), *combinations(paired, 2)]:
        chosen = [moves[edge] for edge in edges]
        steps = np.array([np.zeros(2), *chosen, np.sum(chosen, axis=0)])
        yield len(chosen), MultiPoint((points[:, None] + steps[None]).reshape(-1, 2)).convex_hull  # type: ignore[misc]


def _drawn(
    plan: _Plan, region: Polygon, loaded: Polygon, centre: Floats, depth: float
) -> tuple[BaseGeometry, BaseGeometry]:
    """The boundary of `region` inside the outline, and the part of it that is in sight of the load.

    Where the outline cuts `region` into parts, that of the part with the load.
    """
    if plan.inside.contains(region):
        return region.exterior, region.exterior
    parts = shapely.get_parts(plan.outline.intersection(region))
    own = parts[int(np.argmax(shapely.area(shapely.intersection(parts, loaded))))]
    line = _joined(own.boundary.intersection(plan.inside))
    convex = own.convex_hull.area <= own.area + NEGLIGIBLE**2
    return line, line if convex else _in_sight(plan, line, centre, depth)


def _in_sight(plan: _Plan, line: BaseGeometry, centre: Floats, depth: float) -> BaseGeometry:
    """The part of a perimeter from which a straight line to the centre stays within the outline."""
    ends = []
    for part in shapely.get_parts(shapely.segmentize(line, SIGHT_STEP * depth)):
        coordinates = shapely.get_coordinates(part)
        ends.append(np.stack([coordinates[:-1], coordinates[1:]], axis=1))
    segments = np.concatenate([np.empty((0, 2, 2)), *ends])
    middle = segments.mean(axis=1)
    sights = shapely.linestrings(np.stack([np.broadcast_to(centre, middle.shape), middle], axis=1))
    lines = np.asarray(shapely.linestrings(segments))
    return _joined(MultiLineString(shapely.multilinestrings(lines[shapely.covers(plan.outline, sights)])))


def _joined(line: BaseGeometry) -> BaseGeometry:
    """Pieces of a line that meet made one."""
    return shapely.line_merge(line) if isinstance(line, MultiLineString) else line


def _shadows(plan: _Plan, centre: Floats, loaded: Polygon, depth: float) -> BaseGeometry:
    """What lies between the tangents from the centre to openings within 6d (6.4.2(3), Figure 6.14)."""
    near = plan.openings[shapely.distance(plan.openings, loaded) <= SHADOW_REACH * depth]
    reach = 10 * (PERIMETER_AT + SHADOW_REACH) * depth + 10 * sqrt(loaded.area)
    return shapely.union_all([_shadow(opening, centre, reach) for opening in near])


def _shadow(opening: Polygon, centre: Floats, reach: float) -> Polygon:
    """The sector of radius `reach` between the tangents to an opening, which does not hold the centre.

    An opening that is longer (l1) than wide (l2), seen from the centre, counts as √(l1 l2) wide (Figure 6.14, from
    memory).
    """
    towards = shapely.get_coordinates(opening.centroid)[0] - centre
    bearing = float(np.arctan2(towards[1], towards[0]))
    seen = affinity.rotate(opening, -bearing, origin=tuple(centre), use_radians=True)
    low_x, low_y, high_x, high_y = seen.bounds
    ahead = low_x > centre[0]  # one that reaches round the centre is wide as it is
    widened = max(sqrt((high_x - low_x) / (high_y - low_y)), 1.0) if ahead else 1.0
    ring = shapely.get_coordinates(affinity.scale(seen, 1.0, widened).exterior) - centre
    angles = np.unwrap(np.arctan2(ring[:, 1], ring[:, 0])) + bearing
    rays = np.linspace(angles.min(), angles.max(), 2 * ARC_SEGMENTS)
    rim = centre + reach * np.column_stack([np.cos(rays), np.sin(rays)])
    return Polygon([tuple(centre), *rim])
