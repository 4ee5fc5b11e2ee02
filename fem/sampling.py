"""Sampled footprints: what a point, disc, pad, polygon or line on the slab feels of the displacement field.

A footprint is the mean over an area, a line or a point, so its row r gives the mean displacement r·u; the same
row, times a force, is the load vector of that force spread evenly over the footprint. The mesh need not know
about footprints: they are cut by the triangles here and integrated exactly, triangle by triangle.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import sparse
from shapely import Polygon, STRtree

from fem import argyris
from fem.errors import ModelError
from fem.quadrature import line_rule, triangle_rule
from fem.space import PlateSpace

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DISC_SIDES = 32
"""A disc is a regular polygon of the same area: its second moment is 1 + (2π/32)⁴/180 = 1.000008 of the disc's."""
COVERAGE = 1e-7
"""Largest part of a footprint that may lie off the mesh, for rounding."""
_CHUNK = 50_000


@dataclass(frozen=True, eq=False)
class Footprints:
    """Weighted points of `count` footprints, grouped in pieces that lie in one triangle each.

    piece_row, piece_triangle: (p,) footprint and triangle of each piece. piece: (s,) ascending piece number of
    each point; points: (s, 2) reference coordinates; weights: (s,) summing to 1 for each footprint.
    """

    space: PlateSpace
    count: int
    piece_row: Ints
    piece_triangle: Ints
    piece: Ints
    points: Floats
    weights: Floats

    @cached_property
    def rows(self) -> sparse.csr_array:
        """(count, unknowns) mean displacement of each footprint."""
        return self._matrix(self._integrals((0, 0)))

    @cached_property
    def curvature_rows(self) -> tuple[sparse.csr_array, sparse.csr_array, sparse.csr_array]:
        """Three (count, unknowns) matrices: the means of w,xx, w,yy and w,xy over each footprint, 1/m."""
        reference = np.stack([self._integrals(d) for d in argyris.CURVATURES], axis=1)
        plan = self.space.curvature_map[self.piece_triangle] @ reference
        return self._matrix(plan[:, 0]), self._matrix(plan[:, 1]), self._matrix(plan[:, 2])

    def mass(self, masses: Floats) -> sparse.csr_array:
        """(unknowns, unknowns) matrix of `masses` (count,) in kg, each spread evenly over its footprint."""
        blocks = np.zeros((len(self.piece_row), argyris.UNKNOWNS, argyris.UNKNOWNS))
        for points in self._chunks(_CHUNK // argyris.UNKNOWNS):
            basis = argyris.reference_basis(self.points[points])
            weighted = self.weights[points, None] * basis
            self._add_by_piece(blocks, points, weighted[:, :, None] * basis[:, None, :])
        V = self.space.to_reference[self.piece_triangle]
        blocks = masses[self.piece_row, None, None] * (V.transpose(0, 2, 1) @ blocks @ V)
        numbers = self.space.numbers[self.piece_triangle]
        rows = np.repeat(numbers, argyris.UNKNOWNS, axis=1).ravel()
        columns = np.tile(numbers, (1, argyris.UNKNOWNS)).ravel()
        shape = (self.space.unknowns, self.space.unknowns)
        return sparse.csr_array(sparse.coo_array((blocks.ravel(), (rows, columns)), shape=shape))

    def _integrals(self, derivative: tuple[int, int]) -> Floats:
        """(p, 21) weighted sums of a derivative of the reference basis over each piece."""
        result = np.zeros((len(self.piece_row), argyris.UNKNOWNS))
        for points in self._chunks(_CHUNK):
            basis = argyris.reference_basis(self.points[points], derivative)
            self._add_by_piece(result, points, self.weights[points, None] * basis)
        return result

    def _chunks(self, size: int) -> Iterator[slice]:
        """Parts of the points that fit in memory however many there are."""
        for start in range(0, len(self.piece), size):
            yield slice(start, start + size)

    def _add_by_piece(self, total: Floats, points: slice, values: Floats) -> None:
        """Add the values of some points to the totals (p, ...) of their pieces, which ascend."""
        pieces, first = np.unique(self.piece[points], return_index=True)
        total[pieces] += np.add.reduceat(values, first, axis=0)

    def _matrix(self, reference: Floats) -> sparse.csr_array:
        values = np.einsum("pi,pij->pj", reference, self.space.to_reference[self.piece_triangle])
        rows = np.repeat(self.piece_row, argyris.UNKNOWNS)
        columns = self.space.numbers[self.piece_triangle].ravel()
        shape = (self.count, self.space.unknowns)
        return sparse.csr_array(sparse.coo_array((values.ravel(), (rows, columns)), shape=shape))

    def __repr__(self) -> str:
        return f"Footprints\n  count   {self.count}\n  pieces  {len(self.piece_row)}\n  points  {len(self.piece)}"


class Sampler:
    """Makes footprints on one space; keeps the search tree of its triangles."""

    def __init__(self, space: PlateSpace) -> None:
        self.space = space
        self._triangles = np.asarray(shapely.polygons(space.mesh.corners))
        self._tree = STRtree(self._triangles)
        self._inverse = np.linalg.inv(space.jacobians)

    def points(self, xy: Floats) -> Footprints:
        """One footprint for each point (n, 2), in m.

        Raises ModelError for points off the mesh.
        """
        xy = np.asarray(xy, dtype=float).reshape(-1, 2)
        triangle = self.locate(xy)
        number = np.arange(len(xy))
        return self._footprints(len(xy), number, triangle, owner=number, xy=xy, weights=np.ones(len(xy)))

    def locate(self, xy: Floats) -> Ints:
        """(n,) a triangle that holds each point (n, 2); a point on an edge belongs to either side.

        Raises ModelError for points further than rounding from the mesh.
        """
        geometry = np.asarray(shapely.points(xy))
        reach = 1e-7 * float(np.ptp(self.space.mesh.vertices, axis=0).max())
        result = np.full(len(xy), -1, dtype=np.int64)
        point, triangle = self._tree.query(geometry, predicate="intersects")
        result[point] = triangle
        lost = np.flatnonzero(result < 0)
        if lost.size:
            point, triangle = self._tree.query_nearest(geometry[lost], max_distance=reach, all_matches=False)
            result[lost[point]] = triangle
        _require_all(result >= 0, "point", xy)
        return result

    def discs(self, xy: Floats, diameter: float) -> Footprints:
        """Discs of `diameter` m centred at (n, 2): see `DISC_SIDES`."""
        turn = 2 * np.pi / DISC_SIDES
        radius = diameter / 2 * np.sqrt(np.pi / (DISC_SIDES / 2 * np.sin(turn)))
        angle = turn * np.arange(DISC_SIDES)
        ring = radius * np.column_stack([np.cos(angle), np.sin(angle)])
        return self._areas(np.asarray(shapely.polygons(np.asarray(xy).reshape(-1, 1, 2) + ring)), 5)

    def pads(self, xy: Floats, side: float) -> Footprints:
        """Square pads of `side` m, parallel to the axes, centred at (n, 2)."""
        square = side / 2 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        return self._areas(np.asarray(shapely.polygons(np.asarray(xy).reshape(-1, 1, 2) + square)), 5)

    def polygons(self, areas: Sequence[Polygon]) -> Footprints:
        """Areas of any polygonal shape, exact for mass matrices too."""
        return self._areas(np.array(areas, dtype=object), 10)

    def lines(self, paths: Sequence[Floats]) -> Footprints:
        """Lines through the points (k, 2) of each path; the mean is taken over the length."""
        lines = np.array([shapely.linestrings(path) for path in paths], dtype=object)
        row, triangle = self._tree.query(lines, predicate="intersects")
        part, piece = shapely.get_parts(shapely.intersection(lines[row], self._triangles[triangle]), return_index=True)
        keep = shapely.length(part) > 1e-12
        part, piece = part[keep], piece[keep]
        part, piece = self._without_twins(part, piece, row)
        ends, segment = shapely.get_coordinates(part, return_index=True)
        start = np.flatnonzero(segment[1:] == segment[:-1])
        along = ends[start + 1] - ends[start]
        position, rule = line_rule(10)
        xy = ends[start, None] + position[None, :, None] * along[:, None]
        total = shapely.length(lines)
        measure = np.hypot(along[:, 0], along[:, 1])
        weights = measure[:, None] * rule / total[row[piece[segment[start]]], None]
        owner = np.repeat(piece[segment[start]], len(rule))
        self._require_covered(np.bincount(row[owner], weights.ravel(), len(lines)), "line", shapely.centroid(lines))
        xy, weights = xy.reshape(-1, 2), weights.ravel()
        return self._footprints(len(lines), row, triangle, owner=owner, xy=xy, weights=weights)

    def _without_twins(self, part: NDArray[np.object_], piece: Ints, row: Ints) -> tuple[NDArray[np.object_], Ints]:
        """A line along an edge lies in both its triangles: keep the first of parts with the same middle."""
        middle = shapely.get_coordinates(shapely.line_interpolate_point(part, 0.5, normalized=True))
        grain = 1e-9 * np.ptp(self.space.mesh.vertices, axis=0).max()
        key = np.column_stack([np.round(middle / grain / 10).astype(np.int64), row[piece]])
        _, first = np.unique(key, axis=0, return_index=True)
        return part[first], piece[first]

    def _areas(self, areas: NDArray[np.object_], degree: int) -> Footprints:
        row, triangle = self._tree.query(areas, predicate="intersects")
        cut = np.asarray(shapely.intersection(areas[row], self._triangles[triangle]))
        corner, owner = _fans(cut)
        side_a, side_b = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
        measure = 0.5 * (side_a[:, 0] * side_b[:, 1] - side_a[:, 1] * side_b[:, 0])
        position, rule = triangle_rule(degree)
        xy = corner[:, None, 0] + position[None, :, :1] * side_a[:, None] + position[None, :, 1:] * side_b[:, None]
        weights = measure[:, None] * rule / shapely.area(areas)[row[owner], None]
        points = np.repeat(owner, len(rule))
        covered = np.bincount(row[points], weights.ravel(), len(areas))
        self._require_covered(covered, "area", shapely.centroid(areas))
        xy, weights = xy.reshape(-1, 2), weights.ravel()
        return self._footprints(len(areas), row, triangle, owner=points, xy=xy, weights=weights)

    def _footprints(
        self, count: int, row: Ints, triangle: Ints, *, owner: Ints, xy: Floats, weights: Floats
    ) -> Footprints:
        """owner: (s,) the piece, i.e. the place in `row` and `triangle`, of each point."""
        order = np.argsort(owner, kind="stable")
        used, piece = np.unique(owner[order], return_inverse=True)
        home = triangle[owner[order]]
        origin = self.space.mesh.corners[home, 0]
        points = np.einsum("sij,sj->si", self._inverse[home], xy[order] - origin)
        return Footprints(self.space, count, row[used], triangle[used], piece, points, weights[order])

    def _require_covered(self, covered: Floats | Ints, kind: str, centre: NDArray[np.object_]) -> None:
        _require_all(np.abs(covered - 1) <= COVERAGE, kind, shapely.get_coordinates(centre))


def _require_all(good: NDArray[np.bool_], kind: str, xy: Floats) -> None:
    if not good.all():
        bad = np.flatnonzero(~good)
        places = ", ".join(f"{i} at ({xy[i, 0]:.3f}, {xy[i, 1]:.3f}) m" for i in bad[:5])
        raise ModelError(f"{len(bad)} of {len(good)} {kind} footprints lie wholly or partly off the mesh: {places}")


def _fans(areas: NDArray[np.object_]) -> tuple[Floats, Ints]:
    """Triangles (t, 3, 2) with signed areas that add up to each polygon, and (t,) the polygon's number.

    Outer rings count positive and holes negative, whatever their direction. The triangles may reach outside the
    polygon; sums of polynomials over them are exact all the same.
    """
    parts, part_owner = shapely.get_parts(areas, return_index=True)
    polygonal = shapely.get_type_id(parts) == shapely.GeometryType.POLYGON
    parts, part_owner = parts[polygonal], part_owner[polygonal]
    rings, ring_part = shapely.get_rings(parts, return_index=True)
    hole = np.concatenate([[False], ring_part[1:] == ring_part[:-1]]) if len(rings) else np.zeros(0, dtype=bool)
    wrong = shapely.is_ccw(rings) == hole
    rings = np.where(wrong, shapely.reverse(rings), rings)
    xy, ring = shapely.get_coordinates(rings, return_index=True)
    first = np.searchsorted(ring, np.arange(len(rings)))
    start = np.flatnonzero(ring[1:] == ring[:-1])
    corner = np.stack([xy[first[ring[start]]], xy[start], xy[start + 1]], axis=1)
    return corner, part_owner[ring_part[ring[start]]]
