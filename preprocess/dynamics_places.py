"""Whether what moves the floor lies where it can: drops and machines on the slab, vents on its edges, bays under it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import combinations
from typing import Any, Final

import numpy as np
import shapely
from shapely import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from preprocess.dynamics_tables import ImpactTable
from preprocess.entries import FOOTPRINT_MM, POINT, POINTS, RECTANGLE
from preprocess.errors import Problem
from preprocess.jack_list import JackRow
from preprocess.lengths import metres
from preprocess.placement import TOLERANCE, path_problems
from preprocess.plan import MIN_GAP, Corners
from preprocess.schema import CASE_FILE
from preprocess.validation import location, tables_of, usable
from preprocess.wording import point

Tables = Mapping[str, Any]

OFF_EDGE: Final = 1e-3
"""How far, m, a path along an edge may lie from it: it forgives coordinates in whole millimetres."""

_DEFAULT_FOOTPRINT = ImpactTable.model_fields["footprint_mm"].default


def dynamics_place_problems(plan: Polygon | None, rows: Sequence[JackRow], data: Tables) -> list[Problem]:
    """All of it, as far as plan, jacks (none where they are still to be set out) and keys are usable."""
    problems = [*_bay_problems(rows, data), *_path_problems(plan, data)]
    if plan is None:
        return problems
    for index, item in tables_of(data, "impacts"):
        footprint = usable(FOOTPRINT_MM, item.get("footprint_mm", _DEFAULT_FOOTPRINT))
        if footprint is not None:
            problems += _spot_problems(plan, data, "impacts", index, footprint / 1000)
    for kind in ("machines", "response_points"):
        for index, _ in tables_of(data, kind):
            problems += _spot_problems(plan, data, kind, index, 0.0)
    return problems


def _spot_problems(plan: Polygon, data: Tables, kind: str, index: int, footprint: float) -> list[Problem]:
    """A round of `footprint` m diameter, or a point where that is 0, that is not wholly on the slab."""
    place = usable(POINT, data[kind][index].get("place_mm"))
    if place is None:
        return []
    spot = Point(place[0] / 1000, place[1] / 1000)
    inside = plan.buffer(TOLERANCE, join_style="mitre").covers(spot)
    gap = plan.boundary.distance(spot)
    if inside and (not footprint or gap >= footprint / 2 - TOLERANCE):
        return []
    fault = f"footprint {1000 * gap:.4g} mm from an edge or opening" if inside else "off the slab"
    if not inside and Polygon(plan.exterior).covers(spot):
        fault = "in an opening"
    allowed = f"on the slab, {500 * footprint:g} mm (half of footprint_mm) clear of edges and openings"
    where = location(data, (kind, index, "place_mm"))
    return [Problem(CASE_FILE, where, f"{point(spot.x, spot.y)}, {fault}", allowed if footprint else "on the slab")]


def _path_problems(plan: Polygon | None, data: Tables) -> list[Problem]:
    """Vents and edge strips off the perimeter or going back over themselves, vents on one another."""
    problems = []
    sound: dict[str, LineString] = {}
    for kind in ("vents", "edge_strips"):
        for index, item in tables_of(data, kind):
            path = usable(POINTS, item.get("path_mm"))
            if path is None or len(path) < 2:
                continue
            where = location(data, (kind, index, "path_mm"))
            found = path_problems(None, metres(path), CASE_FILE, where)
            found = found or _edge_problems(plan, metres(path), where)
            if not found and kind == "vents":
                found = _vent_overlaps(sound, LineString(metres(path)), where)
                sound[location(data, (kind, index))] = LineString(metres(path))
            problems += found
    return problems


def _edge_problems(plan: Polygon | None, path: Corners, where: str) -> list[Problem]:
    """A path (n, 2) that leaves outline and edges of openings, or runs over a place twice."""
    line = LineString(path)
    if plan is not None:
        beside = line.difference(plan.boundary.buffer(OFF_EDGE + TOLERANCE))
        if not beside.is_empty:
            spot = _middle(beside)
            gap = plan.boundary.distance(spot)
            value = f"a path off the perimeter near {point(spot.x, spot.y)}, by {1000 * gap:.4g} mm"
            allowed = "a path along the slab's outline or the edge of an opening, with a point at each of its corners"
            return [Problem(CASE_FILE, where, value, allowed)]
    if line.is_simple:
        return []
    return [Problem(CASE_FILE, where, "a path that meets itself", "a path that runs along each place once")]


def _middle(line: BaseGeometry) -> Point:
    """The middle of the longest part of a line."""
    longest = max(shapely.get_parts(line), key=lambda part: float(part.length))
    return Point(longest.interpolate(0.5, normalized=True))


def _vent_overlaps(earlier: Mapping[str, LineString], line: LineString, where: str) -> list[Problem]:
    """A stretch of the edge that an earlier vent has already."""
    problems = []
    for name, other in earlier.items():
        shared = line.intersection(other.buffer(OFF_EDGE, cap_style="flat"))
        if shared.length > 4 * OFF_EDGE:
            spot = _middle(shared)
            value = f"a path on that of {name} near {point(spot.x, spot.y)}"
            problems.append(Problem(CASE_FILE, where, value, "each part of the edge in one vent only"))
    return problems


def _bay_problems(rows: Sequence[JackRow], data: Tables) -> list[Problem]:
    """Bays that overlap, and bays below no jack."""
    bays = {
        index: box(*np.ravel(metres(corners)))
        for index, item in tables_of(data, "bays")
        if (corners := usable(RECTANGLE, item.get("corners_mm"))) is not None
    }
    problems = []
    for earlier, later in combinations(bays, 2):
        shared = bays[earlier].intersection(bays[later])
        if not shared.buffer(-MIN_GAP / 2).is_empty:
            spot = shared.representative_point()
            value = f"a rectangle that overlaps {location(data, ('bays', earlier))} near {point(spot.x, spot.y)}"
            where = location(data, ("bays", later, "corners_mm"))
            problems.append(Problem(CASE_FILE, where, value, "bays that meet at their edges at most"))
    return problems + _bays_without_jack(bays, rows, data)


def _bays_without_jack(bays: Mapping[int, Polygon], rows: Sequence[JackRow], data: Tables) -> list[Problem]:
    """Left out where a row of the jack list has no usable place, since that jack may be the one."""
    centres = np.array([(row.x_mm, row.y_mm) for row in rows]).reshape(-1, 2) / 1000
    if not len(centres) or not np.isfinite(centres).all():
        return []
    jacks = shapely.points(centres)
    allowed = "a rectangle with one jack or more inside it; on its edges the bay does not move"
    return [
        Problem(CASE_FILE, location(data, ("bays", index, "corners_mm")), "a rectangle without a jack", allowed)
        for index, bay in bays.items()
        if not shapely.contains(bay.buffer(-TOLERANCE), jacks).any()
    ]
