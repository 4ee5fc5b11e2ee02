"""Where a slab bears on the structural floor: cells all over it, and its rim, on which a slab stands that is tilted.

The force of a cell acts in its middle on the whole, half a cell inside the edge; a slab of which one side is lifted
stands on its edge. So a strip along the edge bears by itself, as lines, and convex corners as points.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient
from shapely.ops import substring

from fem.sampling import Footprints, Sampler
from preprocess.contact import ContactCells

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STRIP = 0.05
"""Width of the strip that bears as the rim, m: an assumption. Twice of it moves a slab of 125 mm by 0.04 mm at most
while one side of it is lifted, and its bending by nothing."""
PARTS = 2
"""Lines along the edge of one cell."""
SHORTEST = 0.02
"""Edges of cells shorter than this have no line, m."""
ROUNDING = 1e-6
"""Cells cut along a slanted edge are off it by less than this, m."""
CORNER = np.deg2rad(20.0)
"""From this turn on two edges meet in a corner; below, they are one curve."""


@dataclass(frozen=True, eq=False)
class Bearing:
    """Cells, then lines along the rim, then points at convex corners: m places in all.

    lines: (k, 2) paths, m. points: (p, 2), m. area: (m,) of slab that each stands for, m2, the plan's in sum.
    cell: (m,) number of the cell that each belongs to.
    """

    cells: ContactCells
    lines: tuple[Floats, ...]
    points: Floats
    area: Floats
    cell: Ints

    def __len__(self) -> int:
        """Number m of places."""
        return len(self.area)

    def footprints(self, sampler: Sampler) -> Footprints:
        """What the places feel of the slab."""
        found = sampler.polygons(list(self.cells.polygons))
        if self.lines:
            found = found.joined(sampler.lines(self.lines))
        return found.joined(sampler.points(self.points)) if len(self.points) else found

    def touching(self, contact: Floats) -> NDArray[np.bool_]:
        """(cells,) whether a cell bears anywhere; contact: (m,) forces."""
        return np.bincount(self.cell, contact != 0, len(self.cells)) > 0


def bearing(plan: Polygon, cells: ContactCells) -> Bearing:
    """The cells of a plan with its rim."""
    area = cells.area.copy()
    lines: list[Floats] = []
    line_area: list[float] = []
    owner: list[int] = []
    outline = plan.boundary
    shapely.prepare(outline)
    polygons = np.array(cells.polygons, dtype=object)
    reach = shapely.buffer(polygons, ROUNDING, join_style="mitre")
    for number in np.flatnonzero(shapely.intersects(outline, reach)):
        paths = list(_paths(shapely.intersection(outline, reach[number])))
        shares = STRIP * np.array([path.length for path in paths])
        if shares.sum() > area[number] / 2:
            shares *= area[number] / 2 / shares.sum()
        area[number] -= shares.sum()
        lines += [shapely.get_coordinates(path) for path in paths]
        line_area += shares.tolist()
        owner += [int(number)] * len(paths)
    points, at = _corners(plan, lines)
    point_area = np.array([min(STRIP**2, line_area[line] / 2) for line in at])
    for line, taken in zip(at, point_area, strict=True):
        line_area[line] -= taken
    return Bearing(
        cells,
        tuple(lines),
        points,
        np.concatenate([area, line_area, point_area]),
        np.concatenate([np.arange(len(cells)), owner, [owner[line] for line in at]]).astype(np.int64),
    )


def _paths(edge: BaseGeometry) -> Iterator[BaseGeometry]:
    """The edge of a cell in straight or gently curved parts of about the same length, PARTS of each side."""
    merged = shapely.line_merge(edge) if edge.geom_type == "MultiLineString" else edge
    for part in shapely.get_parts(merged):
        if part.geom_type != "LineString":
            continue
        for side in _sides(shapely.get_coordinates(part)):
            line = LineString(side)
            if line.length < SHORTEST:
                continue
            steps = np.linspace(0.0, line.length, PARTS + 1)
            yield from (substring(line, start, end) for start, end in pairwise(steps))


def _sides(xy: Floats) -> list[Floats]:
    """A path (k, 2) cut at its corners."""
    cuts = 1 + np.flatnonzero(np.abs(_turns(np.diff(xy, axis=0))) > CORNER)
    ends = np.concatenate([[0], cuts, [len(xy) - 1]])
    return [xy[start : end + 1] for start, end in pairwise(ends)]


def _turns(along: Floats) -> Floats:
    """(k − 1,) angles from each of the edges (k, 2) to the next, anticlockwise."""
    before, after = along[:-1], along[1:]
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    return np.asarray(np.arctan2(cross, np.sum(before * after, axis=1)))


def _corners(plan: Polygon, lines: list[Floats]) -> tuple[Floats, list[int]]:
    """Convex corners of the outline (p, 2), and the number of a line that ends at each."""
    ring = shapely.get_coordinates(orient(plan).exterior)[:-1]
    along = np.diff(np.vstack([ring[-1], ring, ring[0]]), axis=0)
    corners = ring[_turns(along) > CORNER]
    if not lines or not len(corners):
        return np.zeros((0, 2)), []
    ends = np.array([[line[0], line[-1]] for line in lines])
    apart = np.hypot(*(corners[:, None, None] - ends).transpose(3, 0, 1, 2)).min(axis=2)
    near = apart.min(axis=1) < SHORTEST
    return corners[near], apart[near].argmin(axis=1).tolist()
