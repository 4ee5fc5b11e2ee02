"""Lines, arcs and curves of a drawing as chords that leave them by no more than a tolerance."""

from __future__ import annotations

from dataclasses import dataclass
from math import acos, atan, ceil, hypot, radians, sqrt, tau
from typing import Final

import numpy as np
import shapely
from ezdxf.entities.arc import Arc
from ezdxf.entities.circle import Circle
from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.ellipse import Ellipse
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.polyline import Polyline
from ezdxf.entities.spline import Spline
from ezdxf.math import BSpline
from numpy.typing import NDArray
from shapely import LineString

Floats = NDArray[np.float64]

KINDS: Final = frozenset(("LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE", "LWPOLYLINE", "POLYLINE"))

MOST_CHORDS: Final = 20_000
"""Of a single entity; more come from coordinates or a tolerance gone wrong."""

_LARGEST_STEP: Final = radians(20)
"""Turn between chords: less than a corner of the slab is told by, so that no round hole shows corners."""

_LEAST_PARTS: Final = 16
"""Of a spline between two knots, however straight it is."""

_MEETING: Final = 1e-9
"""Over the size of a spline: its ends this near are one point."""

_MEETING_IN_A_FILE: Final = 1e-6
"""The same for a spline that its file calls closed: its numbers may have six digits."""

_FRAME_POINT: Final = 16
"""Flag of vertices that only control a smoothed polyline."""


@dataclass(frozen=True, eq=False)
class Chords:
    """(n, 2) points of an entity in units of the drawing. curved: whether it has arcs or curves."""

    points: Floats
    closed: bool
    curved: bool


class TooManyChords(ValueError):
    """A curve that would need more than `MOST_CHORDS`."""


def chords(entity: DXFGraphic, chord: float) -> Chords:
    """The entity, flat and with sound coordinates, as chords. chord: greatest departure, in units of the drawing.

    Raises TooManyChords or ValueError.
    """
    match entity:
        case Line() | LWPolyline() | Polyline():
            return _polyline(entity, chord)
        case Arc():
            start = radians(entity.dxf.start_angle)
            return _arc(entity, start, (radians(entity.dxf.end_angle) - start) % tau or tau, chord)
        case Circle():
            return _arc(entity, 0.0, tau, chord)
        case Ellipse():
            return _ellipse(entity, chord)
        case Spline():
            return _spline(entity, chord)
        case _:
            raise ValueError(f"{entity.dxftype()} is no line")


def arc_angles(start: float, turn: float, radius: float, chord: float) -> Floats:
    """Angles along an arc whose chords leave it by `chord` at most, both ends included; signs as that of `turn`."""
    half = 1 - chord / radius if radius > 0 else -1.0
    step = min(2 * acos(max(half, -1.0)) if half < 1 else 0.0, _LARGEST_STEP)
    if step * MOST_CHORDS < abs(turn):
        raise TooManyChords
    return np.asarray(np.linspace(start, start + turn, max(ceil(abs(turn) / step * (1 - 1e-12)), 1) + 1))


def _arc(entity: Circle, start: float, turn: float, chord: float) -> Chords:
    angles = arc_angles(start, turn, abs(entity.dxf.radius), chord)
    centre = np.array(entity.dxf.center.vec2, dtype=float)
    points = _upright(entity, centre + abs(entity.dxf.radius) * np.column_stack([np.cos(angles), np.sin(angles)]))
    return Chords(points[:-1], True, True) if turn == tau else Chords(points, False, True)


def _upright(entity: DXFGraphic, points: Floats) -> Floats:
    """Points of an entity's own plane, seen from above: a plane that faces downward is mirrored in x."""
    mirrored = entity.dxf.get("extrusion", (0, 0, 1))[2] < 0
    return np.asarray(points * np.array([-1.0, 1.0])) if mirrored else points


def _polyline(entity: Line | LWPolyline | Polyline, chord: float) -> Chords:
    """The bulge of a vertex is a quarter of the included angle of the arc to the next one, as its tangent."""
    vertices, closed = _vertices(entity), not isinstance(entity, Line) and entity.is_closed
    parts: list[Floats] = []
    curved = False
    for index, (x, y, bulge) in enumerate(vertices):
        last = index == len(vertices) - 1
        end_x, end_y, _ = vertices[0] if last else vertices[index + 1]
        parts.append(np.array([[x, y]]))
        if bulge and not (last and not closed) and (end_x, end_y) != (x, y):
            parts.append(_bulged((x, y), (end_x, end_y), bulge, chord))
            curved = True
    points = np.concatenate(parts) if parts else np.empty((0, 2))
    in_space = isinstance(entity, Line) or (isinstance(entity, Polyline) and entity.is_3d_polyline)
    return Chords(points if in_space else _upright(entity, points), closed, curved)


def _vertices(entity: Line | LWPolyline | Polyline) -> list[tuple[float, float, float]]:
    """x, y and bulge of each vertex."""
    if isinstance(entity, Line):
        return [(point.x, point.y, 0.0) for point in (entity.dxf.start, entity.dxf.end)]
    if isinstance(entity, LWPolyline):
        return [(x, y, bulge) for x, y, bulge in entity.get_points("xyb")]
    real = [vertex for vertex in entity.vertices if not vertex.dxf.flags & _FRAME_POINT]
    return [(v.dxf.location.x, v.dxf.location.y, v.dxf.get("bulge", 0.0)) for v in real]


def _bulged(start: tuple[float, float], end: tuple[float, float], bulge: float, chord: float) -> Floats:
    """Points between the ends of an arc."""
    turn = 4 * atan(bulge)
    (x, y), (u, v) = start, end
    length = hypot(u - x, v - y)
    radius = length * (1 + bulge**2) / (4 * abs(bulge))
    away = (1 - bulge**2) / (4 * bulge)  # of the centre from the middle of the chord, over the chord, to its left
    centre = np.array([(x + u) / 2 - away * (v - y), (y + v) / 2 + away * (u - x)])
    first = np.arctan2(y - centre[1], x - centre[0])
    angles = arc_angles(float(first), turn, radius, chord)[1:-1]
    return np.asarray(centre + radius * np.column_stack([np.cos(angles), np.sin(angles)]))


def _ellipse(entity: Ellipse, chord: float) -> Chords:
    """An ellipse is a circle about its longer axis pressed flat: its chords depart no more than those of the circle."""
    major, minor = (np.array(axis.vec2, dtype=float) for axis in (entity.dxf.major_axis, entity.minor_axis))
    start = entity.dxf.start_param
    turn = (entity.dxf.end_param - start) % tau
    full = min(turn, tau - turn) < 1e-9
    angles = arc_angles(start, tau if full else turn, float(max(np.hypot(*major), np.hypot(*minor))), chord)
    centre = np.array(entity.dxf.center.vec2, dtype=float)
    points = centre + np.outer(np.cos(angles), major) + np.outer(np.sin(angles), minor)
    return Chords(points[:-1] if full else points, full, True)


def _spline(entity: Spline, chord: float) -> Chords:
    """Points far closer than needed, of which those are kept that the chords leave by more than the tolerance.

    It is closed where its ends meet, whatever its flag says: chords that go on in a line across a gap are no curve.
    """
    curve = entity.construction_tool()
    controls = np.array([point.vec2 for point in curve.control_points], dtype=float)
    span = float(np.ptp(controls, axis=0).max())
    if len(controls) * sqrt(span / chord) > 10 * MOST_CHORDS:
        raise TooManyChords
    points = np.array(LineString(_dense(curve, chord / 20)).simplify(0.9 * chord, preserve_topology=False).coords)
    gap = float(np.hypot(*(points[-1] - points[0])))
    closed = gap <= (_MEETING_IN_A_FILE if entity.closed else _MEETING) * max(span, chord)
    return Chords(points[:-1] if closed else points, closed, True)


def _dense(curve: BSpline, distance: float) -> Floats:
    """(n, 2) points on the curve whose chords it leaves by `distance` at most half way between them.

    The curve exists from the knot after its first `degree` ones to the knot before its last ones (Piegl and Tiller,
    The NURBS Book, 1997, from memory); the knots outside, where an unclamped curve has them, only shape it.
    """
    knots = np.asarray(curve.knots(), dtype=float)[curve.degree : curve.count + 1]
    steps = np.linspace(0, 1, _LEAST_PARTS, endpoint=False)
    spans = np.unique(knots)
    places = np.append((spans[:-1, None] + np.diff(spans)[:, None] * steps).ravel(), spans[-1])
    points = _points(curve, places)
    while True:
        middles = (places[:-1] + places[1:]) / 2
        between = _points(curve, middles)
        far = np.hypot(*(between - (points[:-1] + points[1:]) / 2).T) > distance
        far &= shapely.distance(shapely.points(between), _segments(points)) > distance
        if not far.any():
            return points
        if len(places) + int(far.sum()) > 20 * MOST_CHORDS:
            raise TooManyChords
        after = np.flatnonzero(far) + 1
        places, points = np.insert(places, after, middles[far]), np.insert(points, after, between[far], axis=0)


def _points(curve: BSpline, places: Floats) -> Floats:
    return np.array([point.vec2 for point in curve.points(places)], dtype=float).reshape(-1, 2)


def _segments(points: Floats) -> NDArray[np.object_]:
    return np.asarray(shapely.linestrings(np.stack([points[:-1], points[1:]], axis=1)))
