"""The cells in which slab and structural floor may touch: a tiling of the plan by squares, cut at its edges."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, STRtree

Polygons = NDArray[np.object_]

LEAST_SHARE: Final = 0.2
"""A piece with less than this share of its square is joined to a neighbour."""

INSIDE: Final = 0.05
"""How far within its cell a point stands that had to be moved there, as a share of the squares' width."""

SAME: Final = 1e-6
"""Lengths, m, and areas, m2, that differ by less are alike, so that rounding does not spoil the symmetry."""


@dataclass(frozen=True, eq=False)
class ContactCells:
    """m cells that cover the plan without gap or overlap.

    polygons: of one part each, perhaps with a hole. xy: (m, 2) where the cell's force acts, m: its centroid or, where
    that is off the cell, the nearest place well inside it. area: (m,) m2.
    """

    polygons: tuple[Polygon, ...]
    xy: NDArray[np.float64]
    area: NDArray[np.float64]

    def __len__(self) -> int:
        return len(self.polygons)


@dataclass(frozen=True, eq=False)
class _Pieces:
    """What the squares (m2 in `full`) leave on the plan."""

    polygons: Polygons
    full: NDArray[np.float64]

    @property
    def small(self) -> NDArray[np.bool_]:
        return np.asarray(shapely.area(self.polygons) < LEAST_SHARE * self.full)


def contact_cells(
    plan: Polygon, jack_xy: NDArray[np.float64], size: float, *, near: float | None = None
) -> ContactCells:
    """The cells of a plan in m, openings being its holes.

    The bounds of the plan are divided evenly into rectangles as nearly `size` (m) wide as that allows, so that a
    symmetric plan has symmetric cells. What edges cut off below a fifth of a rectangle goes to the neighbour with the
    longest shared edge. near: rectangles less than this, m, from the centre of a jack, `jack_xy` (n, 2), are halved
    both ways; None for none.
    """
    boxes = _divided(_boxes(plan, size), jack_xy, near)
    pieces = _joined(_cut(boxes, plan), shapely.centroid(shapely.envelope(plan)))
    polygons = pieces.polygons
    return ContactCells(tuple(polygons), _points(polygons, size), np.asarray(shapely.area(polygons)))


def _boxes(plan: Polygon, size: float) -> NDArray[np.float64]:
    """(m, 4) least x and y, greatest x and y."""
    low_x, low_y, high_x, high_y = plan.bounds
    x = np.linspace(low_x, high_x, max(1, round((high_x - low_x) / size)) + 1)
    y = np.linspace(low_y, high_y, max(1, round((high_y - low_y) / size)) + 1)
    left, bottom = (part.ravel() for part in np.meshgrid(x[:-1], y[:-1]))
    right, top = (part.ravel() for part in np.meshgrid(x[1:], y[1:]))
    return np.column_stack([left, bottom, right, top])


def _divided(boxes: NDArray[np.float64], jack_xy: NDArray[np.float64], near: float | None) -> NDArray[np.float64]:
    """The boxes, those near a jack in four."""
    if near is None or not len(jack_xy):
        return boxes
    tree = STRtree(np.asarray(shapely.points(jack_xy)))
    found = tree.query(shapely.box(*boxes.T), predicate="dwithin", distance=near - SAME)[0]
    close = np.isin(np.arange(len(boxes)), found)
    left, bottom, right, top = boxes[close].T
    x, y = (left + right) / 2, (bottom + top) / 2
    quarters = [(left, bottom, x, y), (x, bottom, right, y), (left, y, x, top), (x, y, right, top)]
    return np.vstack([boxes[~close], *(np.column_stack(quarter) for quarter in quarters)])


def _cut(boxes: NDArray[np.float64], plan: Polygon) -> _Pieces:
    """The parts of the boxes on the plan; a box whose part is in several pieces gives several."""
    squares = np.asarray(shapely.box(*boxes.T))
    shapely.prepare(plan)
    whole = np.asarray(shapely.covers(plan, squares))
    crossed = ~whole & np.asarray(shapely.intersects(plan, squares))
    parts, owner = shapely.get_parts(shapely.intersection(squares[crossed], plan), return_index=True)
    solid = np.asarray(shapely.area(parts) > 0)
    full = np.asarray(shapely.area(squares))
    return _Pieces(np.append(squares[whole], parts[solid]), np.append(full[whole], full[crossed][owner[solid]]))


def _joined(pieces: _Pieces, middle: shapely.Point) -> _Pieces:
    """The pieces without small ones, as far as those have neighbours."""
    while True:
        groups = list(_groups(pieces, middle))
        if not groups:
            return pieces
        kept = np.ones(len(pieces.polygons), dtype=bool)
        kept[np.concatenate(groups)] = False
        unions = np.array([shapely.union_all(pieces.polygons[group]) for group in groups], dtype=object)
        full = [float(pieces.full[group].max()) for group in groups]
        pieces = _Pieces(np.append(pieces.polygons[kept], unions), np.append(pieces.full[kept], full))


def _groups(pieces: _Pieces, middle: shapely.Point) -> Iterator[Sequence[int]]:
    """Pieces to be joined now: a large one with all small ones that go to it, or two small ones.

    The smallest choose first. Ties go by the distance from the middle of the plan, which keeps symmetry.
    """
    polygons, small = pieces.polygons, pieces.small
    area = np.round(shapely.area(polygons) / SAME)
    away = np.round(shapely.distance(shapely.centroid(polygons), middle) / SAME)
    numbers = np.flatnonzero(small)
    tree = STRtree(polygons)
    taken: set[int] = set()
    groups: dict[int, list[int]] = {}
    for number in numbers[np.lexsort((-away[numbers], area[numbers]))]:
        others = tree.query(polygons[number], predicate="intersects")
        shared = _shared_edges(polygons[number], polygons[others])
        others, shared = others[(others != number) & (shared > 0)], shared[(others != number) & (shared > 0)]
        if number in taken or not len(others):
            continue
        target = int(others[np.lexsort((away[others], area[others], -np.round(shared / SAME)))[0]])
        if target in taken:
            continue
        groups.setdefault(target, [target]).append(int(number))
        taken.update((int(number), target) if small[target] else (int(number),))
    yield from groups.values()


def _shared_edges(polygon: Polygon, others: Polygons) -> NDArray[np.float64]:
    """Length, m, of the edges that a polygon shares with each of the others."""
    return np.asarray(shapely.length(shapely.intersection(shapely.boundary(polygon), shapely.boundary(others))))


def _points(polygons: Polygons, size: float) -> NDArray[np.float64]:
    """(m, 2) a point in each polygon."""
    centroids = np.asarray(shapely.centroid(polygons))
    off = ~np.asarray(shapely.contains_properly(polygons, centroids))
    inner = np.asarray(shapely.buffer(polygons[off], -INSIDE * size, join_style="mitre"))
    inner = np.where(shapely.is_empty(inner), shapely.point_on_surface(polygons[off]), inner)
    centroids[off] = shapely.get_point(shapely.shortest_line(inner, centroids[off]), 0)
    return np.asarray(shapely.get_coordinates(centroids))
