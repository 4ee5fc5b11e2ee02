"""Sampled footprints: what a point, disc, pad, polygon or line on the slab feels of the displacement field.

A footprint is the mean over an area, a line or a point, so its row r gives the mean displacement r·u; the same
row, times a force, is the load vector of that force spread evenly over the footprint. The mesh need not know
about footprints: they are cut by the triangles here and integrated exactly, triangle by triangle.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import sparse
from shapely import MultiPolygon, Polygon, STRtree

from fem import argyris
from fem.errors import ModelError
from fem.quadrature import line_rule, triangle_rule
from fem.space import PlateSpace

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

COVERAGE = 1e-9
"""Largest part of an area's measure that may lie off the mesh, for rounding."""
GRID = 1e-12
"""Corners of areas come to lie on a grid of this size, m: far below `COVERAGE`, far above rounding."""
REACH = 2e-6
"""A point this far off the mesh, in m, counts as on its edge: twice what input checking lets pass."""
DISC_RINGS = 4
"""A disc is this many rings of points at least: exact for polynomials up to degree 7 in one triangle."""
_CHUNK = 20_000


@dataclass(frozen=True, eq=False)
class Footprints:
    """Weighted points of `count` footprints, grouped in pieces that lie in one triangle each.

    piece_row, piece_triangle: (p,) footprint and triangle of each piece. piece: (s,) ascending piece number of
    each point; points: (s, 2) reference coordinates; weights: (s,) summing to 1 for each footprint, to make means.
    """

    space: PlateSpace
    count: int
    piece_row: Ints
    piece_triangle: Ints
    piece: Ints
    points: Floats
    weights: Floats

    @property
    def plan_points(self) -> Floats:
        """(s, 2) the points in plan, m."""
        triangle = self.piece_triangle[self.piece]
        along = np.einsum("sij,sj->si", self.space.jacobians[triangle], self.points)
        return np.asarray(self.space.mesh.corners[triangle, 0] + along)

    @property
    def centroids(self) -> Floats:
        """(count, 2) the weighted middle of each footprint in plan, m."""
        row, xy = self.piece_row[self.piece], self.plan_points
        return np.column_stack([np.bincount(row, self.weights * x, self.count) for x in xy.T])

    def joined(self, other: Footprints) -> Footprints:
        """These footprints, then others on the same space."""
        return Footprints(
            self.space,
            self.count + other.count,
            np.concatenate([self.piece_row, self.count + other.piece_row]),
            np.concatenate([self.piece_triangle, other.piece_triangle]),
            np.concatenate([self.piece, len(self.piece_row) + other.piece]),
            np.concatenate([self.points, other.points]),
            np.concatenate([self.weights, other.weights]),
        )

    @cached_property
    def rows(self) -> sparse.csr_array:
        """(count, unknowns) mean displacement of each footprint."""
        return self._matrix(self._integrals(((0, 0),)))

    @cached_property
    def curvature_rows(self) -> sparse.csr_array:
        """(3 count, unknowns) means of w,xx over every footprint, then those of w,yy, then those of w,xy, 1/m."""
        plan = self.space.curvature_map[self.piece_triangle] @ self._integrals(argyris.CURVATURES)
        return self._matrix(plan)

    @cached_property
    def laplacian_rows(self) -> sparse.csr_array:
        """(count, unknowns) mean of ∇²w over each footprint, 1/m."""
        G = self.space.curvature_map[self.piece_triangle]
        return self._matrix((G[:, :1] + G[:, 1:2]) @ self._integrals(argyris.CURVATURES))

    @cached_property
    def laplacian_slope_rows(self) -> sparse.csr_array:
        """(2 count, unknowns) means of (∇²w),x over every footprint, then those of (∇²w),y, 1/m2."""
        plan = self.space.laplacian_slope_map[self.piece_triangle] @ self._integrals(argyris.THIRDS)
        return self._matrix(plan)

    def mass(self, masses: Floats) -> sparse.csr_array:
        """(unknowns, unknowns) matrix of `masses` (count,) in kg, each spread evenly over its footprint."""
        blocks = np.zeros((len(self.piece_row), argyris.UNKNOWNS, argyris.UNKNOWNS))
        for pieces, points in self._batches():
            basis = argyris.reference_basis(self.points[points.ravel()]).reshape(*points.shape, -1)
            weights = self.weights[points]
            blocks[pieces] = basis.transpose(0, 2, 1) @ (weights[:, :, None] * basis)
        V = self.space.to_reference[self.piece_triangle]
        blocks = masses[self.piece_row, None, None] * (V.transpose(0, 2, 1) @ blocks @ V)
        numbers = self.space.numbers[self.piece_triangle]
        rows = np.repeat(numbers, argyris.UNKNOWNS, axis=1).ravel()
        columns = np.tile(numbers, (1, argyris.UNKNOWNS)).ravel()
        shape = (self.space.unknowns, self.space.unknowns)
        return sparse.csr_array(sparse.coo_array((blocks.ravel(), (rows, columns)), shape=shape))

    def _integrals(self, derivatives: Sequence[tuple[int, int]]) -> Floats:
        """(p, k, 21) weighted sums of k derivatives of the reference basis over each piece."""
        sums = np.zeros((len(self.piece_row), argyris.UNKNOWNS))
        for pieces, points in self._batches():
            monomials = argyris.monomials(self.points[points.ravel()]).reshape(*points.shape, -1)
            sums[pieces] = (self.weights[points][:, None] @ monomials)[:, 0]
        return np.stack([sums @ argyris.basis_coefficients(d) for d in derivatives], axis=1)

    def _batches(self) -> Iterator[tuple[Ints, Ints]]:
        """Pieces (g,) with equally many points, and the numbers of these points (g, q); not too many at a time."""
        count = np.bincount(self.piece, minlength=len(self.piece_row))
        first = np.cumsum(count) - count
        for q in np.unique(count):
            pieces = np.flatnonzero(count == q)
            for batch in np.array_split(pieces, len(pieces) * q // _CHUNK + 1):
                yield batch, first[batch][:, None] + np.arange(q)

    def _matrix(self, reference: Floats) -> sparse.csr_array:
        """(k count, unknowns) from k rows (p, k, 21) of each piece; the first rows of all footprints come first."""
        kinds = reference.shape[1]
        parts = np.array_split(np.arange(len(reference)), len(reference) // _CHUNK + 1)
        V = self.space.to_reference
        values = np.concatenate([reference[part] @ V[self.piece_triangle[part]] for part in parts])
        rows = np.repeat(self.count * np.arange(kinds) + self.piece_row[:, None], argyris.UNKNOWNS)
        columns = np.tile(self.space.numbers[self.piece_triangle], (1, kinds)).ravel()
        shape = (kinds * self.count, self.space.unknowns)
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
        number = np.arange(len(xy))
        return self._footprints(len(xy), number, self.locate(xy), owner=number, xy=xy, weights=np.ones(len(xy)))

    def locate(self, xy: Floats) -> Ints:
        """(n,) a triangle that holds each point (n, 2); a point on an edge belongs to either side.

        Raises ModelError for points further than REACH from the mesh.
        """
        result = self._nearest(xy)
        _require_all(result >= 0, "point", xy)
        return result

    def _nearest(self, xy: Floats) -> Ints:
        """(n,) as `locate`, and -1 for points off the mesh."""
        geometry = np.asarray(shapely.points(xy))
        result = np.full(len(xy), -1, dtype=np.int64)
        point, triangle = self._tree.query(geometry, predicate="intersects")
        result[point] = triangle
        lost = np.flatnonzero(result < 0)
        if lost.size:
            point, triangle = self._tree.query_nearest(geometry[lost], max_distance=REACH, all_matches=False)
            result[lost[point]] = triangle
        return result

    def clearance(self, xy: Floats) -> Floats:
        """(n,) distance of each point (n, 2) from the edges of the slab and of its openings, m."""
        mesh = self.space.mesh
        outer = np.bincount(mesh.triangle_edges.ravel()) == 1
        edges = shapely.multilinestrings(list(mesh.vertices[mesh.edges[outer]]))
        shapely.prepare(edges)
        return np.asarray(shapely.distance(edges, shapely.points(xy)))

    def edge_length(self, xy: Floats) -> Floats:
        """(n,) length of edges around each point (n, 2), m."""
        mesh = self.space.mesh
        return np.asarray(mesh.vertex_sizes[mesh.triangles[self.locate(xy)]].mean(axis=1))

    def discs(self, xy: Floats, diameter: float) -> Footprints:
        """Discs of `diameter` m centred at (n, 2), as rings of points; more rings where the mesh is fine."""
        xy = np.asarray(xy, dtype=float).reshape(-1, 2)
        rings = np.maximum(DISC_RINGS, np.ceil(2 * diameter / self.edge_length(xy)).astype(int))
        rules = [polar_rule(int(count)) for count in rings]
        return self.rounds(len(xy), np.arange(len(xy)), xy, np.full(len(xy), diameter / 2), rules)

    def rounds(
        self, count: int, row: Ints, centres: Floats, radius: Floats, rules: Sequence[tuple[Floats, Floats]]
    ) -> Footprints:
        """`count` footprints, of which those numbered `row` (r,) are round: rules of points in the unit disc and
        weights, scaled to `radius` (r,) about `centres` (r, 2), m. Raises ModelError for one that leaves the mesh."""
        place = np.repeat(np.arange(len(rules)), [len(weight) for _, weight in rules])
        offset = np.concatenate([np.zeros((0, 2)), *(points for points, _ in rules)])
        weights = np.concatenate([np.zeros(0), *(weight for _, weight in rules)])
        xy = centres[place] + radius[place, None] * offset
        home = self._nearest(xy)
        _require_all(np.bincount(place, home < 0, len(centres)) == 0, "disc", centres)
        pairs, owner = np.unique(row[place] * np.int64(len(self._triangles)) + home, return_inverse=True)
        piece_row, triangle = np.divmod(pairs, len(self._triangles))
        return self._footprints(count, piece_row, triangle, owner=owner, xy=xy, weights=weights)

    def pads(self, xy: Floats, side: float) -> Footprints:
        """Square pads of `side` m, parallel to the axes, centred at (n, 2)."""
        square = side / 2 * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        return self._areas(np.asarray(shapely.polygons(np.asarray(xy).reshape(-1, 1, 2) + square)), 5)

    def polygons(self, areas: Sequence[Polygon]) -> Footprints:
        """Areas of any polygonal shape, exact for mass matrices too."""
        return self._areas(_gridded(areas), 10)

    def regions(self, areas: Sequence[Polygon | MultiPolygon]) -> Footprints:
        """Areas in any number of parts, exact for loads but not for mass matrices."""
        return self._areas(_gridded(areas), 5)

    def lines(self, paths: Sequence[Floats]) -> Footprints:
        """Lines through the points (k, 2) of each path; the mean is taken over the length.

        Each straight part is cut where it crosses an edge of the mesh, and every piece goes to the triangle that
        holds its middle, so that lines along edges count once.
        """
        start = np.concatenate([np.asarray(path)[:-1] for path in paths])
        along = np.concatenate([np.diff(np.asarray(path), axis=0) for path in paths])
        row = np.repeat(np.arange(len(paths)), [len(path) - 1 for path in paths])
        part, low, high = self._cuts(start, along)
        position, rule = line_rule(10)
        t = low[:, None] + position * (high - low)[:, None]
        xy = start[part, None] + t[:, :, None] * along[part, None]
        triangle = self._nearest(xy[:, len(rule) // 2])
        length = np.hypot(along[:, 0], along[:, 1])
        middle = [np.asarray(path).mean(axis=0) for path in paths]
        _require_all(np.bincount(row[part], triangle < 0, len(paths)) == 0, "line", np.array(middle))
        weights = ((high - low) * length[part])[:, None] * rule / np.bincount(row, length)[row[part], None]
        owner = np.repeat(np.arange(len(part)), len(rule))
        xy, weights = xy.reshape(-1, 2), weights.ravel()
        return self._footprints(len(paths), row[part], triangle, owner=owner, xy=xy, weights=weights)

    def _cuts(self, start: Floats, along: Floats) -> tuple[Ints, Floats, Floats]:
        """Pieces of straight parts between crossings with the lines of near edges: (c,) part, from and to in 0..1."""
        parts = np.asarray(shapely.linestrings(np.stack([start, start + along], axis=1)))
        part, triangle = self._tree.query(parts, predicate="dwithin", distance=REACH)
        corner = self.space.mesh.corners[triangle]
        side = corner[:, [1, 2, 0]] - corner
        offset = start[part, None] - corner
        rise = along[part, None, 0] * side[:, :, 1] - along[part, None, 1] * side[:, :, 0]
        height = offset[:, :, 0] * side[:, :, 1] - offset[:, :, 1] * side[:, :, 0]
        with np.errstate(divide="ignore", invalid="ignore"):
            t = -height / rise
        real = np.isfinite(t) & (t > 0) & (t < 1)
        number = np.arange(len(parts))
        owner = np.concatenate([number, number, np.repeat(part, 3).reshape(-1, 3)[real]])
        cut = np.concatenate([np.zeros(len(parts)), np.ones(len(parts)), t[real]])
        order = np.lexsort((cut, owner))
        owner, cut = owner[order], cut[order]
        whole = (owner[1:] == owner[:-1]) & (cut[1:] - cut[:-1] > 1e-12)
        return owner[:-1][whole], cut[:-1][whole], cut[1:][whole]

    def _areas(self, areas: NDArray[np.object_], degree: int) -> Footprints:
        row, triangle = self._tree.query(areas, predicate="intersects")
        cut = np.array(self._triangles[triangle])
        shapely.prepare(areas)
        parted = ~shapely.covers(areas[row], cut)
        cut[parted] = shapely.intersection(areas[row[parted]], cut[parted])
        corner, owner = _fans(cut)
        side_a, side_b = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
        measure = 0.5 * (side_a[:, 0] * side_b[:, 1] - side_a[:, 1] * side_b[:, 0])
        position, rule = triangle_rule(degree)
        xy = corner[:, None, 0] + position[None, :, :1] * side_a[:, None] + position[None, :, 1:] * side_b[:, None]
        weights = measure[:, None] * rule / shapely.area(areas)[row[owner], None]
        points = np.repeat(owner, len(rule))
        covered = np.bincount(row[points], weights.ravel(), len(areas))
        _require_all(np.abs(covered - 1) <= COVERAGE, "area", shapely.get_coordinates(shapely.centroid(areas)))
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


def _require_all(good: NDArray[np.bool_], kind: str, xy: Floats) -> None:
    if not good.all():
        bad = np.flatnonzero(~good)
        places = ", ".join(f"{i} at ({xy[i, 0]:.3f}, {xy[i, 1]:.3f}) m" for i in bad[:5])
        raise ModelError(f"{len(bad)} of {len(good)} {kind} footprints lie wholly or partly off the mesh: {places}")


def _gridded(areas: Sequence[Polygon | MultiPolygon]) -> NDArray[np.object_]:
    """The areas with corners nearer than `GRID` to each other made one: cutting them would lose whole pieces."""
    return np.asarray(shapely.set_precision(np.array(areas, dtype=object), GRID))


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
    place = np.arange(len(ring))
    first, last = (np.searchsorted(ring, np.arange(len(rings)), side=side) for side in ("left", "right"))
    start = np.flatnonzero((place > first[ring]) & (place < last[ring] - 2))  # sides through the apex have no area
    corner = np.stack([xy[first[ring[start]]], xy[start], xy[start + 1]], axis=1)
    return corner, part_owner[ring_part[ring[start]]]


@cache
def polar_rule(rings: int) -> tuple[Floats, Floats]:
    """Points (q, 2) in the unit disc and weights (q,) summing to 1: Gauss points in r², even steps around.

    Exact up to degree 2 · rings − 1; all points lie inside.
    """
    s, weight = line_rule(2 * rings - 1)
    return ring_rule(np.sqrt(s), weight)


def ring_rule(radii: Floats, weights: Floats) -> tuple[Floats, Floats]:
    """Points (q, 2) on rings about the origin, three to a ring for every ring there is, and their weights (q,)."""
    spokes = 3 * len(radii)
    angle = 2 * np.pi * (np.arange(spokes) + 0.5) / spokes
    points = radii[:, None, None] * np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    return points.reshape(-1, 2), np.repeat(weights / spokes, spokes)
