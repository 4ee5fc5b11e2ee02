"""Jacks along edges that rows cannot follow: slanted, curved, or stepped off the common rows; and along jack lines."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely import LineString, Polygon

from preprocess.case import JackLine
from preprocess.plan import RE_ENTRANT_TURN
from preprocess.setout.division import STEP, Demand, Line, divide
from preprocess.setout.ground import Floats, Ground

STEEP: Final = 60.0
"""Edges at this angle or more from the rows, degrees, are followed by the ends of rows."""

CLEARLY: Final = 0.98
"""Share of the reach within which the jack of a sharp corner has to be from its tip."""

PARALLEL: Final = 1.0
"""Edges within this angle of rows or columns, degrees, run along them."""


@dataclass(frozen=True)
class Run:
    """A stretch of an edge between corners, moved into the slab: (n, 2) points, and whether it is a closed curve."""

    points: Floats
    closed: bool

    @property
    def angles(self) -> Floats:
        """Angles of its chords from the rows, degrees, 0 to 90."""
        steps = np.diff(self.points, axis=0)
        turned = np.degrees(np.arctan2(steps[:, 1], steps[:, 0])) % 180
        return np.asarray(np.minimum(turned, 180 - turned))

    @property
    def walked(self) -> bool:
        """Whether neither rows nor their ends follow it."""
        return bool(np.any((self.angles > PARALLEL) & (self.angles < STEEP)))

    @property
    def across(self) -> bool:
        """Whether it runs along columns."""
        return bool(np.all(self.angles > 90 - PARALLEL))

    @property
    def along(self) -> bool:
        """Whether it runs along rows."""
        return bool(np.all(self.angles < PARALLEL))


def edge_runs(ground: Ground, inset: float) -> list[list[Run]]:
    """The runs of every edge ring of the slab, inset by a distance, m."""
    shrunk = ground.outer.buffer(-inset, join_style="mitre", mitre_limit=10)
    rings = []
    for polygon in shapely.get_parts(shrunk):
        if isinstance(polygon, Polygon) and not polygon.is_empty:
            rings += [polygon.exterior, *polygon.interiors]
    centre = shapely.get_coordinates(ground.plan.centroid)[0]
    return [_ring_runs(shapely.get_coordinates(ring)[:-1, :2], centre) for ring in rings]


def _ring_runs(corners: Floats, centre: Floats) -> list[Run]:
    before = corners - np.roll(corners, 1, axis=0)
    after = np.roll(corners, -1, axis=0) - corners
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.abs(np.arctan2(cross, np.sum(before * after, axis=1)))
    breaks = np.flatnonzero(turn >= RE_ENTRANT_TURN)
    if not len(breaks):
        return [Run(_from_east(corners, centre), closed=True)]
    rolled = np.roll(corners, -breaks[0], axis=0)
    marks = [*(breaks - breaks[0]), len(corners)]
    whole = np.concatenate([rolled, rolled[:1]])
    return [Run(whole[start : end + 1], closed=False) for start, end in pairwise(marks)]


def _from_east(corners: Floats, centre: Floats) -> Floats:
    """A closed curve from where the ray from the centre along the rows leaves it."""
    ring = LineString(np.concatenate([corners, corners[:1]]))
    ray = LineString([centre, centre + np.array([1e4, 0])])
    spots = shapely.get_coordinates(ray.intersection(ring))
    start = 0.0 if not len(spots) else float(ring.line_locate_point(shapely.Point(spots[np.argmax(spots[:, 0])])))
    along = np.asarray(shapely.line_locate_point(ring, shapely.points(corners)))
    order = np.argsort((along - start) % ring.length, kind="stable")
    first = shapely.get_coordinates(ring.interpolate(start))
    return np.concatenate([first, corners[order], first])


def walked_jacks(ground: Ground, inset: float, rows: Floats, columns: Floats) -> Floats:
    """(n, 2) jacks along the runs that neither rows nor their ends follow, divided evenly between corners."""
    found = []
    for runs in edge_runs(ground, inset):
        for index, run in enumerate(runs):
            if not run.walked:
                continue
            points = run.points.copy()
            if not run.closed:
                points[0] = _corner(ground, points[0], points[1], runs[index - 1], (rows, columns))
                points[-1] = _corner(ground, points[-1], points[-2], runs[(index + 1) % len(runs)], (rows, columns))
            found.append(along_path(ground, points, ground.rules.greatest_spacing, run.closed))
    return spaced(np.concatenate(found), ground.rules.least_spacing) if found else np.empty((0, 2))


def _corner(ground: Ground, end: Floats, beside: Floats, neighbour: Run, lines: tuple[Floats, Floats]) -> Floats:
    """The end of a run, moved onto the row or column that follows the neighbouring edge, or into a sharp corner."""
    along = (end - beside) / max(float(np.linalg.norm(end - beside)), 1e-9)
    for follows, axis, places in ((neighbour.along, 1, lines[0]), (neighbour.across, 0, lines[1])):
        if follows and len(places) and abs(along[axis]) > 0.1:
            nearest = float(places[np.argmin(np.abs(places - end[axis]))])
            shift = (nearest - end[axis]) / along[axis]
            moved = end + shift * along
            tip = np.linalg.norm(shapely.get_coordinates(ground.outer)[:, :2] - end, axis=1).argmin()
            far = np.linalg.norm(shapely.get_coordinates(ground.outer)[tip, :2] - moved) > CLEARLY * ground.reach
            if abs(shift) < ground.rules.least_spacing and not far and ground.allows(moved[None])[0]:
                return np.asarray(moved)
    return _into_sharp_corner(ground, end)


def _into_sharp_corner(ground: Ground, end: Floats) -> Floats:
    """As near to the tip of a sharp outer corner as reach asks for and the edges allow."""
    corners = shapely.get_coordinates(ground.outer)[:, :2]
    tip = corners[np.argmin(np.linalg.norm(corners - end, axis=1))]
    reach = float(np.linalg.norm(end - tip))
    inset = float(ground.outer.boundary.distance(shapely.Point(end)))
    wanted = CLEARLY * ground.reach
    if reach <= wanted or reach > 4 * inset or inset <= 0:
        return end
    share = max(wanted / reach, (ground.rules.least_edge + 1e-3) / inset)
    moved = tip + min(share, 1.0) * (end - tip)
    return np.asarray(moved) if ground.allows(moved[None])[0] else end


def along_path(ground: Ground, points: Floats, spacing: float, closed: bool) -> Floats:
    """(n, 2) jacks along a path, its ends first, divided evenly; shifted past what is in the way."""
    path = LineString(points)
    least = ground.rules.least_spacing * 1.0005
    gaps = max(int(np.ceil(path.length / spacing - 1e-6)), 1)
    if closed:
        gaps = max(gaps + gaps % 2, 4)
    if path.length / gaps < least:
        gaps = max(int(path.length / least), 1)
    along = np.linspace(0, path.length, gaps + 1)[: gaps if closed else gaps + 1]
    if path.length < least and not closed:
        along = np.array([path.length / 2])
    even = _points_along(path, along)
    if ground.allows(even).all():
        return even
    steps = np.arange(0, path.length + 1e-9, STEP)
    size = len(steps)
    ends = (Demand(0, spacing / 4, 3.0), Demand(path.length - spacing / 4, steps[-1], 3.0))
    line = Line(
        0.0,
        ground.allows(_points_along(path, steps)),
        np.zeros(size),
        np.full(size, spacing),
        np.zeros(size, dtype=int),
        ends,
        least,
        folded=False,
    )
    return _points_along(path, divide(line))


def line_jacks(ground: Ground, line: JackLine) -> Floats:
    """(n, 2) jacks on a jack line, half a gap from its ends, shifted past what is in the way."""
    path = LineString(line.path)
    least = ground.rules.least_spacing * 1.0005
    number = max(int(np.ceil(path.length / line.spacing - 1e-6)), 1)
    if number > 1 and path.length < (number - 1) * least:
        number -= 1
    gap = max(path.length / number, least)
    even = _points_along(path, path.length / 2 + (np.arange(number, dtype=np.float64) - (number - 1) / 2) * gap)
    if ground.allows(even).all():
        return even
    steps = np.arange(0, path.length + 1e-9, STEP)
    ends = (Demand(0, line.spacing / 2, 3.0), Demand(path.length - line.spacing / 2, steps[-1], 3.0))
    size = len(steps)
    divided = Line(
        0.0,
        ground.allows(_points_along(path, steps)),
        np.zeros(size),
        np.full(size, line.spacing),
        np.zeros(size, dtype=int),
        ends,
        least,
        folded=False,
    )
    return _points_along(path, divide(divided))


def spaced(points: Floats, least: float) -> Floats:
    """The (n, 2) points without those nearer than `least` to an earlier one."""
    if len(points) < 2:
        return points.reshape(-1, 2)
    taken = np.ones(len(points), dtype=bool)
    pairs = np.sort(cKDTree(points).query_pairs(least - 1e-9, output_type="ndarray"), axis=1)
    for earlier, later in pairs[np.lexsort((pairs[:, 0], pairs[:, 1]))]:
        if taken[earlier]:
            taken[later] = False
    return points[taken]


def _points_along(path: LineString, along: NDArray[np.floating]) -> Floats:
    return shapely.get_coordinates(shapely.line_interpolate_point(path, along)).reshape(-1, 2)
