"""Plan geometry: rings of corners, the slab's plan with its openings, and its re-entrant corners."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.polygon import orient

from preprocess.errors import Problem
from preprocess.wording import count, point

MIN_GAP: Final = 1e-3
"""Least distance, m, between corners and between edges that do not meet; less is a slip of the pen."""

RE_ENTRANT_TURN: Final = np.radians(25)
"""Least turn of the edge at a re-entrant corner: a circle drawn with fifteen chords or more has none."""

Corners = NDArray[np.float64]


def open_ring(corners: Corners) -> Corners:
    """The (n, 2) corners without the last one if it only repeats the first to close the ring."""
    if len(corners) > 1 and np.linalg.norm(corners[0] - corners[-1]) < MIN_GAP:
        return corners[:-1]
    return corners


def ring_problems(corners: Corners, file: str, where: str) -> list[Problem]:
    """What keeps (n, 2) corners in m from being a polygon: too few, repeated, crossing edges, no area."""
    corners = open_ring(corners)
    if len(corners) < 3:
        return [Problem(file, where, count(len(corners), "corner"), "at least three corners")]
    repeated = _repeated_corners(corners)
    if repeated:
        allowed = "each corner once, 1 mm or more from the others"
        values = [f"{point(*corners[later])}, as corner {first + 1}" for first, later in repeated]
        places = [f"{where}, corner {later + 1}" for _, later in repeated]
        return [Problem(file, place, value, allowed) for place, value in zip(places, values, strict=True)]
    crossing = _crossing(corners)
    if crossing:
        return [Problem(file, where, crossing, "edges that do not cross each other")]
    if Polygon(corners).area < MIN_GAP**2:
        return [Problem(file, where, "all corners in one line, area 0", "corners that enclose an area")]
    touching = _touching(corners)
    if touching:
        return [Problem(file, where, touching, "edges that do not touch each other, 1 mm or more apart")]
    return []


def slab_plan(
    outline: Corners | None, openings: Sequence[tuple[str, Corners]], file: str, where: str
) -> tuple[Polygon | None, list[Problem]]:
    """The plan of the slab, outline anticlockwise, with its usable openings, and the problems of both.

    outline: (n, 2) corners in m, None if not usable; then the plan is None.
    openings: where each stands in the file, and its corners. They have to keep clear of the outline and
    of each other, so the plan stays in one piece.
    """
    problems = [] if outline is None else ring_problems(outline, file, where)
    shell = None if problems or outline is None else Polygon(open_ring(outline))
    holes: list[tuple[str, Polygon]] = []
    for place, corners in openings:
        found = ring_problems(corners, file, place)
        if not found:
            hole = Polygon(open_ring(corners))
            found = _opening_problems(hole, shell, holes, file, place)
            if not found:
                holes.append((place, hole))
        problems += found
    if shell is None:
        return None, problems
    return orient(Polygon(shell.exterior, [hole.exterior for _, hole in holes])), problems


def re_entrant_corners(plan: Polygon) -> Corners:
    """(n, 2) corners at which the slab's own angle exceeds 180° by RE_ENTRANT_TURN or more, also at openings.

    Shallower ones are taken for the chords of a curve.
    """
    found = [np.empty((0, 2))]
    oriented = orient(plan)
    for ring in (oriented.exterior, *oriented.interiors):
        corners = np.asarray(ring.coords)[:-1]
        before = corners - np.roll(corners, 1, axis=0)
        after = np.roll(corners, -1, axis=0) - corners
        cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
        turn = np.arctan2(cross, np.sum(before * after, axis=1))  # the slab lies to the left of every edge
        found.append(corners[turn <= -RE_ENTRANT_TURN])
    return np.concatenate(found)


def _repeated_corners(corners: Corners) -> list[tuple[int, int]]:
    """(earlier, later) indices of corners on one spot, each later one once."""
    distance = np.linalg.norm(corners[:, None] - corners[None, :], axis=2)
    first = np.argmax(distance < MIN_GAP, axis=1)
    return [(int(earlier), later) for later, earlier in enumerate(first) if earlier < later]


def _edges(corners: Corners) -> NDArray[np.object_]:
    return np.asarray(shapely.linestrings(np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)))


def _crossing(corners: Corners) -> str:
    """The first two edges that cross and how many more pairs do; empty if none."""
    edges = _edges(corners)
    pairs = shapely.STRtree(edges).query(edges, predicate="crosses").T
    pairs = pairs[pairs[:, 0] < pairs[:, 1]]
    if not len(pairs):
        return ""
    first, second = pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))[0]]
    spot = shapely.intersection(edges[first], edges[second]).representative_point()
    more = f", and {count(len(pairs) - 1, 'more crossing')}" if len(pairs) > 1 else ""
    return f"edges {first + 1} and {second + 1} crossing at {point(spot.x, spot.y)}{more}"


def _touching(corners: Corners) -> str:
    """The first corner that lies on an edge which it does not end; empty if none."""
    number = len(corners)
    tips = np.asarray(shapely.points(corners))
    distance = np.asarray(shapely.distance(tips[:, None], _edges(corners)[None, :]))
    own = np.arange(number)
    distance[own, own] = distance[own, own - 1] = np.inf
    corner, edge = np.unravel_index(np.argmin(distance), distance.shape)
    if distance[corner, edge] >= MIN_GAP:
        return ""
    return f"corner {corner + 1} touching edge {edge + 1} at {point(*corners[corner])}"


def _opening_problems(
    hole: Polygon, shell: Polygon | None, others: Sequence[tuple[str, Polygon]], file: str, where: str
) -> list[Problem]:
    """How an opening clashes with the outline and with the openings before it."""
    problems = []
    if shell is not None and not (shell.covers(hole) and shell.exterior.distance(hole) >= MIN_GAP):
        beyond = hole.difference(shell)
        spot = (hole if beyond.is_empty else beyond).representative_point()
        how = "on or across" if shell.intersects(hole) else "outside"
        allowed = "inside the outline, 1 mm or more from it; a notch in the edge belongs to the outline"
        problems.append(Problem(file, where, f"{how} the outline near {point(spot.x, spot.y)}", allowed))
    for place, other in others:
        if other.distance(hole) < MIN_GAP:
            shared = other.intersection(hole)
            spot = (hole if shared.is_empty else shared).representative_point()
            value = f"on or touching {place} near {point(spot.x, spot.y)}"
            problems.append(Problem(file, where, value, "openings 1 mm or more apart"))
    return problems
