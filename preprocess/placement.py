"""Whether what stands on the slab stands on it wholly: jacks, feet, spread loads and line loads."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from shapely import LineString, Polygon

from preprocess.errors import Problem
from preprocess.jack_list import JackRow
from preprocess.plan import Corners
from preprocess.wording import count, point

TOLERANCE: Final = 1e-6
"""How far, m, something may reach over an edge: it forgives rounding, so that touching an edge is fine."""

LEAST_SPREAD: Final = 1e-3
"""How far, m, jacks must lie out of one line."""


def jack_plan_problems(plan: Polygon, rows: Sequence[JackRow], footprint: float, file: str) -> list[Problem]:
    """Jacks off the slab, in an opening, or with a footprint (diameter in m) that reaches over an edge."""
    located = [row for row in rows if np.isfinite(row.x_mm + row.y_mm)]
    if not located:
        return []
    centres = shapely.points(_centres(located))
    on_slab = np.atleast_1d(shapely.covers(plan, centres))
    in_outline = np.atleast_1d(shapely.covers(Polygon(plan.exterior), centres))
    edge = np.atleast_1d(shapely.distance(plan.boundary, centres))
    allowed = f"on the slab, {500 * footprint:g} mm (half of jacks.footprint_mm) clear of edges and openings"
    problems = []
    for row, inside, outlined, gap in zip(located, on_slab, in_outline, edge, strict=True):
        if inside and gap >= footprint / 2 - TOLERANCE:
            continue
        fault = f"footprint {1000 * gap:.4g} mm from an edge or opening"
        if not inside:
            fault = "in an opening" if outlined else "off the slab"
        spot = point(row.x_mm / 1000, row.y_mm / 1000)
        problems.append(Problem(file, row.where, f"{spot}, {fault}", allowed))
    return problems


def jack_spacing_problems(rows: Sequence[JackRow], footprint: float, file: str) -> list[Problem]:
    """Jacks whose footprints (diameter in m) overlap, each jack named once."""
    located = [row for row in rows if np.isfinite(row.x_mm + row.y_mm)]
    if not located:
        return []
    centres = _centres(located)
    problems = []
    for earlier, later in too_close(centres, footprint, norm=2):
        gap = 1000 * float(np.linalg.norm(centres[later] - centres[earlier]))
        value = f"{point(*centres[later])}, {gap:.4g} mm from the jack of {located[earlier].place}"
        allowed = f"jacks {1000 * footprint:g} mm or more apart (jacks.footprint_mm)"
        problems.append(Problem(file, located[later].where, value, allowed))
    return problems


def jack_support_problems(rows: Sequence[JackRow], file: str) -> list[Problem]:
    """Fewer than three jacks, or all in one line: nothing would keep the floor from tipping."""
    allowed = "at least three jacks that are not in one line"
    if len(rows) < 3:
        return [Problem(file, "rows", count(len(rows), "jack"), allowed)]
    centres = _centres(rows)
    if not np.isfinite(centres).all() or not in_one_line(centres, LEAST_SPREAD):
        return []
    return [Problem(file, "rows", f"{len(rows)} jacks in one line", allowed)]


def in_one_line(points: NDArray[np.float64], spread: float) -> bool:
    """Whether no point (n, 2) lies `spread`, m, or more out of the line through the others."""
    offsets = points - points.mean(axis=0)
    across = np.linalg.svd(offsets, full_matrices=False)[2][-1]
    return bool(np.ptp(offsets @ across) < spread)


def foot_problems(
    plan: Polygon, feet: NDArray[np.float64], foot: float, file: str, where: Sequence[str]
) -> list[Problem]:
    """Square pads of side `foot` m at `feet` (n, 2), named by `where`, that are not wholly on the slab."""
    slab = _forgiving(plan)
    half = foot / 2
    pads = shapely.box(feet[:, 0] - half, feet[:, 1] - half, feet[:, 0] + half, feet[:, 1] + half)
    allowed = f"the whole pad, {1000 * foot:g} mm square, on the slab, clear of edges and openings"
    problems = []
    for place, centre, pad in zip(where, feet, pads, strict=True):
        if slab.covers(pad):
            continue
        fault = "pad over an edge or opening" if slab.intersects(pad) else "pad off the slab"
        problems.append(Problem(file, place, f"{point(*centre)}, {fault}", allowed))
    return problems


def foot_spacing_problems(feet: NDArray[np.float64], foot: float, file: str, where: Sequence[str]) -> list[Problem]:
    """Square pads of side `foot` m at `feet` (n, 2), named by `where`, that overlap, each pad named once."""
    allowed = f"feet at least foot_mm, {1000 * foot:g} mm, apart in x or in y; pads may touch, not overlap"
    return [
        Problem(file, where[later], f"{point(*feet[later])}, pad over that of foot {earlier + 1}", allowed)
        for earlier, later in too_close(feet, foot, norm=np.inf)
    ]


def area_problems(plan: Polygon, corners: Corners, file: str, where: str) -> list[Problem]:
    """A spread load over the polygon of (n, 2) `corners` that is not wholly on the slab."""
    allowed = "an area wholly on the slab, clear of edges and openings"
    return _off_slab(plan, Polygon(corners), file, where, allowed)


def path_problems(plan: Polygon | None, path: Corners, file: str, where: str) -> list[Problem]:
    """A line load along `path` (n, 2), n ≥ 2, that stands still or, if there is a plan, leaves the slab."""
    steps = np.linalg.norm(np.diff(path, axis=0), axis=1)
    still = np.flatnonzero(steps < TOLERANCE) + 1
    if len(still):
        allowed = "another point than the one before"
        return [Problem(file, f"{where}, point {index + 1}", point(*path[index]), allowed) for index in still]
    if plan is None:
        return []
    return _off_slab(plan, LineString(path), file, where, "a line wholly on the slab, clear of openings")


def _off_slab(plan: Polygon, load: Polygon | LineString, file: str, where: str, allowed: str) -> list[Problem]:
    slab = _forgiving(plan)
    if slab.covers(load):
        return []
    spot = load.difference(slab).representative_point()
    how = "partly off" if slab.intersects(load) else "off"
    return [Problem(file, where, f"{how} the slab near {point(spot.x, spot.y)}", allowed)]


def _forgiving(plan: Polygon) -> Polygon:
    """The plan, larger by the tolerance all round."""
    grown = plan.buffer(TOLERANCE, join_style="mitre")
    assert isinstance(grown, Polygon)  # openings are far wider than the tolerance, so it stays one piece
    return grown


def too_close(centres: NDArray[np.float64], distance: float, norm: float) -> list[tuple[int, int]]:
    """(earlier, later) indices of (n, 2) centres nearer than `distance` m in the given norm, each later one once."""
    pairs = cKDTree(centres).query_pairs(distance - TOLERANCE, p=norm, output_type="ndarray")
    pairs = np.sort(pairs, axis=1)
    pairs = pairs[np.lexsort((pairs[:, 0], pairs[:, 1]))]
    _, first = np.unique(pairs[:, 1], return_index=True)
    return [(int(earlier), int(later)) for earlier, later in pairs[first]]


def _centres(rows: Sequence[JackRow]) -> NDArray[np.float64]:
    """(n, 2) centres in m."""
    return np.array([(row.x_mm, row.y_mm) for row in rows]) / 1000
