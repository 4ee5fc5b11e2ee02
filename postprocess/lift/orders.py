"""Named orders in which a crew turns the jacks of a pass."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.csgraph import shortest_path
from scipy.spatial import KDTree
from shapely import Polygon

from fem.errors import ModelError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ORDER_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "listed": "as the jacks stand in the list",
        "rows": "row by row along the longer side of the slab, to and fro",
        "from-middle": "from the middle of the slab outwards, ring by ring, each ring once round",
        "from-edges": "from the edges of the slab inwards, ring by ring, each ring once round",
        "search": "in the order found by the search, with the least bending",
    }
)
"""The orders of a pass, in words for papers."""

_ROUNDING = 1e-6
"""Places closer than this across a row or along a radius count as level, m."""


def order_named(name: str, jack_xy: Floats, plan: Polygon) -> Ints:
    """(n,) the jacks in the order of that name, one of `ORDER_WORDS` except "search".

    jack_xy: (n, 2) m. plan: of the slab, m. The same jacks always come in the same order. Raises ModelError for
    another name.
    """
    if name not in _ORDERS:
        raise ModelError(f'an order of turning is one of {", ".join(_ORDERS)}, not "{name}"')
    return _ORDERS[name](jack_xy, plan)


def ways_between(jack_xy: Floats, plan: Polygon, pairs: Ints) -> Floats:
    """(n, n) way on foot from jack to jack, m: straight where it lies on the slab, else from neighbour to neighbour.

    pairs: (s, 2) neighbouring jacks. Where these do not lead from one jack to another, the straight line counts.
    """
    straight = np.hypot(*(jack_xy[:, None] - jack_xy).transpose(2, 0, 1))
    first, second = np.triu_indices(len(jack_xy), 1)
    shapely.prepare(plan)
    on_slab = np.zeros(straight.shape, dtype=bool)
    on_slab[first, second] = shapely.covers(plan, shapely.linestrings(np.stack([jack_xy[first], jack_xy[second]], 1)))
    on_slab[tuple(pairs.T)] = True
    along = shortest_path(sparse.csr_array(np.where(on_slab, straight, 0.0)), directed=False)
    return np.where(np.isfinite(along), along, straight)


def walking_distance(ways: Floats, order: Ints) -> float:
    """Way from jack to jack in that order, and back to the first for the next pass, m. ways: (n, n) between jacks."""
    return float(ways[order[:-1], order[1:]].sum() + ways[order[-1], order[0]])


def _listed(jack_xy: Floats, plan: Polygon) -> Ints:
    return np.arange(len(jack_xy))


def _rows(jack_xy: Floats, plan: Polygon) -> Ints:
    """Rows run along the edges of the plan; a row is as deep as half the least distance between two jacks.

    So jacks of one row stand beside each other, and rows that are not quite straight stay whole.
    """
    along, across = _along_the_plan(jack_xy, plan).T
    depth = max(_spacings(jack_xy).min() / 2, _ROUNDING)
    row = np.zeros(len(jack_xy), dtype=np.int64)
    first, number = -np.inf, -1
    for jack in np.argsort(across, kind="stable"):
        if across[jack] > first + depth + _ROUNDING:
            first, number = across[jack], number + 1
        row[jack] = number
    return np.lexsort([np.where(row % 2 == 0, along, -along), row])


def _from_middle(jack_xy: Floats, plan: Polygon) -> Ints:
    """Rings about the centroid of the plan, as wide as the usual distance between neighbours.

    Jacks at like distances follow each other, so that the slab rises as a dome; each ring goes round anticlockwise
    and starts beside the jack at which the last one ended.
    """
    arms = jack_xy - shapely.get_coordinates(plan.centroid)[0]
    radius, angle = np.hypot(*arms.T), np.arctan2(arms[:, 1], arms[:, 0])
    width = max(float(np.median(_spacings(jack_xy))), _ROUNDING)
    ring = np.floor((radius + _ROUNDING) / width).astype(np.int64)
    order: list[int] = []
    for number in np.unique(ring):
        jacks = np.flatnonzero(ring == number)
        jacks = jacks[np.argsort(angle[jacks], kind="stable")]
        if order:
            nearest = np.hypot(*(jack_xy[jacks] - jack_xy[order[-1]]).T).round(6).argmin()
            jacks = np.roll(jacks, -nearest)
        order.extend(jacks)
    return np.array(order, dtype=np.int64)


def _from_edges(jack_xy: Floats, plan: Polygon) -> Ints:
    return _from_middle(jack_xy, plan)[::-1].copy()


def _along_the_plan(jack_xy: Floats, plan: Polygon) -> Floats:
    """(n, 2) places along and across the rows: square to the edges that most of the outline runs with."""
    edges = np.diff(shapely.get_coordinates(plan.exterior), axis=0)
    length, angle = np.hypot(*edges.T), np.arctan2(edges[:, 1], edges[:, 0]) % (np.pi / 2)
    near = np.abs((angle[:, None] - angle + np.pi / 4) % (np.pi / 2) - np.pi / 4) < 1e-3
    main = angle[(near @ length).round(6).argmax()]
    main -= np.pi / 2 if main > np.pi / 4 else 0.0
    axes = np.array([[np.cos(main), np.sin(main)], [-np.sin(main), np.cos(main)]])
    extent = np.ptp(shapely.get_coordinates(plan.exterior) @ axes.T, axis=0)
    return np.asarray(jack_xy @ (axes if extent[0] >= extent[1] - _ROUNDING else axes[::-1]).T)


def _spacings(jack_xy: Floats) -> Floats:
    """(n,) distance of each jack to the next one, m."""
    return np.asarray(KDTree(jack_xy).query(jack_xy, k=2)[0])[:, 1]


_ORDERS: Mapping[str, Callable[[Floats, Polygon], Ints]] = MappingProxyType(
    {"listed": _listed, "rows": _rows, "from-middle": _from_middle, "from-edges": _from_edges}
)
