"""What a layout of jacks keeps of the rules, measured with the place of each figure.

Reach is exact: within the cell of the points that are nearer to one jack than to any other, clipped to the slab,
the point farthest from the jack is a corner of the cell. Overhang is measured along the edges every EDGE_STEP.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from preprocess.case import JackLine, SetOutRules
from preprocess.setout.ground import TOLERANCE, Floats, Ground
from preprocess.setout.overhang import edge_points, overhangs

ON_LINE: Final = 0.005
"""How far, m, a jack may be from a line on which it counts as standing."""

AT_EDGE: Final = 0.01
"""A jack line ends at an edge if it ends this near to one, m."""

Closer = Sequence[tuple[Polygon, float]]
"""Areas in which jacks stand closer, with the greatest spacing in each, m."""


@dataclass(frozen=True)
class Figure:
    """A measured distance, m, where it was found, and the rule's limit there, m."""

    value: float
    at: tuple[float, float]
    limit: float

    @property
    def excess(self) -> float:
        """By how much the value is above its limit, m."""
        return self.value - self.limit


@dataclass(frozen=True)
class LineFigure:
    """The greatest gap between neighbouring jacks of a jack line, and the greatest from one of its ends to a jack."""

    name: str
    gap: Figure
    end: Figure


@dataclass(frozen=True)
class Kept:
    """The governing figures of a layout. reach, overhang: those with the greatest excess over their limits.

    closer: the reach in each area where jacks stand closer. in_zones: indices of jacks in zones.
    """

    least_spacing: Figure
    least_edge: Figure
    reach: Figure
    overhang: Figure
    closer: tuple[Figure, ...]
    lines: tuple[LineFigure, ...]
    in_zones: tuple[int, ...]

    @property
    def all_kept(self) -> bool:
        """Whether every rule is kept within the tolerance."""
        least = all(-figure.excess <= TOLERANCE for figure in (self.least_spacing, self.least_edge))
        most = [self.reach, self.overhang, *self.closer]
        most += [figure for line in self.lines for figure in (line.gap, line.end)]
        return least and not self.in_zones and all(figure.excess <= TOLERANCE for figure in most)

    def as_good_as(self, other: Kept) -> bool:
        """Whether every rule is kept within the tolerance, or as well as in another layout over the same plan."""
        pairs = [(self.reach, other.reach), (self.overhang, other.overhang)]
        pairs += zip(self.closer, other.closer, strict=True)
        for line, its in zip(self.lines, other.lines, strict=True):
            pairs += [(line.gap, its.gap), (line.end, its.end)]
        most = all(own.excess <= max(TOLERANCE, its.excess + 1e-6) for own, its in pairs)
        leasts = [(self.least_spacing, other.least_spacing), (self.least_edge, other.least_edge)]
        least = all(-own.excess <= max(TOLERANCE, -its.excess + 1e-6) for own, its in leasts)
        return most and least and len(self.in_zones) <= len(other.in_zones)


def kept(plan: Polygon, rules: SetOutRules, xy: Floats, closer: Closer = ()) -> Kept:
    """The measured figures of jacks at xy (n, 2), m; n of one or more."""
    ground = Ground(plan, rules)
    edge = np.asarray(shapely.distance(plan.boundary, shapely.points(xy)))
    edge = np.where(shapely.covers(plan, shapely.points(xy)), edge, -edge)
    nearest = int(np.argmin(edge))
    closers = tuple(farthest(area.intersection(plan), xy, spacing / np.sqrt(2)) for area, spacing in closer)
    zones = [shapely.contains_properly(zone.area.buffer(-1e-4), shapely.points(xy)) for zone in rules.zones]
    inside = np.flatnonzero(np.any(zones, axis=0)) if zones else np.empty(0, dtype=np.intp)
    return Kept(
        least_spacing=_closest(xy, rules.least_spacing),
        least_edge=Figure(float(edge[nearest]), _place(xy[nearest]), rules.least_edge),
        reach=farthest(ground.reachable, xy, ground.reach),
        overhang=_worst_overhang(ground, xy),
        closer=closers,
        lines=tuple(line_figure(plan, rules, line, xy) for line in rules.lines),
        in_zones=tuple(int(jack) for jack in inside),
    )


def far_points(area: BaseGeometry, xy: Floats) -> tuple[Floats, Floats]:
    """(m, 2) corners of the jacks' cells within an area, and (m,) their distances from the nearest jack, m.

    They are the corners of the cells that the area covers, the crossings of their sides with its boundary, and its
    own corners. Only lines are cut, since cells whose corners nearly coincide may not be sound as polygons.
    """
    if area.is_empty:
        return np.empty((0, 2)), np.empty(0)
    rims = [piece.boundary if isinstance(piece, Polygon) else piece for piece in shapely.get_parts(area)]
    lines = [line for line in shapely.get_parts(rims) if isinstance(line, LineString)]
    boundary = shapely.multilinestrings(lines)
    corners = [shapely.get_coordinates(area)]
    if len(xy) > 1:
        sides = shapely.get_parts(shapely.voronoi_polygons(shapely.multipoints(xy), extend_to=area, only_edges=True))
        nodes = shapely.get_coordinates(sides)
        shapely.prepare([area, boundary])
        cut = sides[shapely.intersects(boundary, sides)]
        crossings = shapely.get_coordinates(shapely.intersection(cut, boundary))
        corners += [nodes[shapely.intersects_xy(area, nodes)], crossings]
    found: Floats = np.unique(np.round(np.concatenate(corners), 9), axis=0)
    return found, np.asarray(cKDTree(xy).query(found)[0])


def farthest(area: BaseGeometry, xy: Floats, limit: float) -> Figure:
    """The point of an area farthest from a jack."""
    corners, distance = far_points(area, xy)
    if not len(corners):
        return Figure(0.0, (0.0, 0.0), limit)
    worst = int(np.argmax(distance))
    return Figure(float(distance[worst]), _place(corners[worst]), float(limit))


def line_figure(plan: Polygon, rules: SetOutRules, line: JackLine, xy: Floats) -> LineFigure:
    """The gaps along a jack line; with no jack on it the whole line is a gap."""
    path = shapely.LineString(line.path)
    on = np.asarray(shapely.distance(path, shapely.points(xy))) <= ON_LINE
    along = np.sort(np.asarray(shapely.line_locate_point(path, shapely.points(xy[on]))))
    if not len(along):
        whole = Figure(float(path.length), _place(line.path.mean(axis=0)), line.spacing)
        return LineFigure(line.name, whole, Figure(whole.value, whole.at, line.spacing / 2))
    ends = []
    for start, gap in ((line.path[0], along[0]), (line.path[-1], path.length - along[-1])):
        at_edge = plan.boundary.distance(shapely.Point(start)) <= AT_EDGE
        limit = max(line.spacing / 2, rules.greatest_overhang if at_edge else 0.0)
        ends.append(Figure(float(gap), _place(start), limit))
    gaps = np.diff(along)
    if not len(gaps):
        only = Figure(0.0, _place(xy[on][0]), line.spacing)
        return LineFigure(line.name, only, max(ends, key=lambda end: end.excess))
    widest = int(np.argmax(gaps))
    middle = path.interpolate((along[widest] + along[widest + 1]) / 2)
    gap_figure = Figure(float(gaps[widest]), (middle.x, middle.y), line.spacing)
    return LineFigure(line.name, gap_figure, max(ends, key=lambda end: end.excess))


def _worst_overhang(ground: Ground, xy: Floats) -> Figure:
    edge = edge_points(ground)
    distance = overhangs(ground, xy, edge.at)
    worst = int(np.argmax(distance - edge.limit))
    return Figure(float(distance[worst]), _place(edge.at[worst]), float(edge.limit[worst]))


def _closest(xy: Floats, limit: float) -> Figure:
    """The least distance between two jacks, infinite for a single one."""
    if len(xy) < 2:
        return Figure(np.inf, _place(xy[0]), limit)
    found = cKDTree(xy).query(xy, k=2)
    distance, neighbour = np.asarray(found[0]), np.asarray(found[1])
    jack = int(np.argmin(distance[:, 1]))
    middle = (xy[jack] + xy[neighbour[jack, 1]]) / 2
    return Figure(float(distance[jack, 1]), _place(middle), limit)


def _place(point: Floats) -> tuple[float, float]:
    return float(point[0]), float(point[1])
