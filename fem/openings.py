"""Where air gets out from under a slab: openings along its edges, and the pieces of mesh edges that they cover."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from fem.errors import ModelError
from fem.mesh import LOCAL_EDGES, Mesh

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NEAR = 2e-3
"""A path may lie this far off the edge of the mesh, m: rounding of drawings to a millimetre."""
_LEAST_SHARE = 1e-9
"""Pieces shorter than this part of a mesh edge are left out."""


@dataclass(frozen=True, eq=False)
class Opening:
    """Part of the perimeter of a thin air cavity that lets air through.

    path: (n, 2) along the edge of the slab or of an opening in it, m. admittance: a in ∂p/∂n = −a p, 1/m, 0 (tight) to
    np.inf (p = 0). A slot of width s and depth t beside a cavity of height h has a = s/(h t): the air in it moves as a
    rigid column of density ρ under p, and what flows through it comes out of the cavity's height.
    """

    path: Floats
    admittance: float


@dataclass(frozen=True, eq=False)
class EdgePieces:
    """Pieces of the boundary edges of a mesh. triangle, side: (k,) triangle and local side, as in `LOCAL_EDGES`.

    low, high: (k,) ends of each piece along its side, in 0..1. admittance: (k,) 1/m.
    """

    triangle: Ints
    side: Ints
    low: Floats
    high: Floats
    admittance: Floats


def edge_pieces(mesh: Mesh, openings: Sequence[Opening]) -> EdgePieces:
    """The pieces that openings cover; where several lie on one another, the one with the greatest admittance counts.

    Raises ModelError for an admittance that is negative or not a number, and for a path that leaves the edge.
    """
    ends = _boundary(mesh)
    found: dict[int, list[tuple[float, float, float]]] = {}
    for number, opening in enumerate(openings):
        if not opening.admittance >= 0:
            raise ModelError(
                f"opening {number} of the cavity: its admittance is {opening.admittance}, 0 or more wanted"
            )
        edge, low, high = _covered(mesh, ends, opening.path, number)
        for place, start, end in zip(edge.tolist(), low.tolist(), high.tolist(), strict=True):
            found.setdefault(place, []).append((start, end, opening.admittance))
    rows = [(edge, *piece) for edge in sorted(found) for piece in _greatest(found[edge])]
    edge, low, high, admittance = np.array(rows).reshape(-1, 4).T
    triangle, side = ends[edge.astype(np.int64)].T
    return EdgePieces(triangle, side, low, high, admittance)


def even_openings(rings: Sequence[Floats], length: float, parts: int) -> list[Floats]:
    """Paths (k, 2) of openings of `length` m in all, in `parts` equal parts evenly along closed rings (n, 2), m.

    A part that runs over the end of a ring goes on along the next one, as a path of its own. Raises ModelError for a
    length that is not positive or more than there is, and for less than one part.
    """
    closed = [np.vstack([ring, ring[:1]]) for ring in (np.asarray(ring, dtype=float) for ring in rings)]
    stations = [np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(ring, axis=0).T))]) for ring in closed]
    first = np.concatenate([[0.0], np.cumsum([station[-1] for station in stations])])
    if not (0 < length <= first[-1] * (1 + 1e-12) and parts >= 1):
        raise ModelError(f"{length} m of openings in {parts} parts do not fit the perimeter of {first[-1]:.3f} m")
    middles = (np.arange(parts) + 0.5) * first[-1] / parts
    paths = []
    for start in middles - length / parts / 2:
        for ring, station, at in zip(closed, stations, first[:-1], strict=True):
            path = _stretch(ring, station, start - at, start - at + length / parts)
            if len(path):
                paths.append(path)
    return paths


def _stretch(ring: Floats, station: Floats, start: float, end: float) -> Floats:
    """(k, 2) the part of a ring between two stations, with the corners in between; none if it lies off the ring."""
    start, end = max(start, 0.0), min(end, float(station[-1]))
    if end - start <= 1e-9 * station[-1]:
        return np.zeros((0, 2))
    inner = (station > start + 1e-9) & (station < end - 1e-9)
    at = np.concatenate([[start], station[inner], [end]])
    return np.column_stack([np.interp(at, station, axis) for axis in ring.T])


def _boundary(mesh: Mesh) -> Ints:
    """(e, 2) triangle and local side of each boundary edge."""
    uses = np.bincount(mesh.triangle_edges.ravel(), minlength=len(mesh.edges))
    return np.argwhere(uses[mesh.triangle_edges] == 1)


def _covered(mesh: Mesh, ends: Ints, path: Floats, number: int) -> tuple[Ints, Floats, Floats]:
    """Boundary edges (c,) along a path and the parts of them, in 0..1, that it covers."""
    path = np.asarray(path, dtype=float).reshape(-1, 2)
    start, end = (mesh.corners[ends[:, 0], LOCAL_EDGES[ends[:, 1], k]][:, None] for k in (0, 1))
    along = end - start
    square = np.sum(along**2, axis=-1)
    t = [np.sum((point - start) * along, axis=-1) / square for point in (path[:-1], path[1:])]
    low, high = np.clip(np.minimum(*t), 0, 1), np.clip(np.maximum(*t), 0, 1)
    near = [_distance(start + s[..., None] * along, path[:-1], path[1:]) <= NEAR for s in (low, high)]
    edge, part = np.nonzero((high - low > _LEAST_SHARE) & near[0] & near[1])
    low, high = low[edge, part], high[edge, part]
    length = np.hypot(*np.diff(path, axis=0).T).sum()
    found = np.sum((high - low) * np.sqrt(square[edge, 0]))
    if not found >= length - NEAR * len(path) or length == 0:
        x, y = path[0]
        raise ModelError(
            f"opening {number} of the cavity, {length:.3f} m from ({x:.3f}, {y:.3f}) m, lies along only {found:.3f} m "
            "of the slab's edges"
        )
    return edge, low, high


def _distance(points: Floats, start: Floats, end: Floats) -> Floats:
    """(e, s) of points (e, s, 2) from the straight parts (s, 2) to (s, 2)."""
    along = end - start
    square = np.maximum(np.sum(along**2, axis=-1), np.finfo(float).tiny)
    t = np.clip(np.sum((points - start) * along, axis=-1) / square, 0, 1)
    away = points - start - t[..., None] * along
    return np.asarray(np.hypot(away[..., 0], away[..., 1]))


def _greatest(spans: Sequence[tuple[float, float, float]]) -> Iterator[tuple[float, float, float]]:
    """Parts of an edge that follow one another, each with the greatest admittance of the spans over it."""
    at = sorted({end for span in spans for end in span[:2]})
    for low, high in pairwise(at):
        over = [admittance for start, end, admittance in spans if start <= low and high <= end]
        if over and high - low > _LEAST_SHARE:
            yield low, high, max(over)
