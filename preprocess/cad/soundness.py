"""Whether an entity lies flat in the plan and has coordinates that can be worked with."""

from __future__ import annotations

from collections.abc import Iterator
from math import isfinite
from typing import Final

from ezdxf.entities.dxfgfx import DXFGraphic
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.polyline import Polyline
from ezdxf.entities.spline import Spline
from ezdxf.math import Vec2, Vec3

SOLID_KINDS: Final = frozenset(
    [
        *("3DFACE", "3DSOLID", "BODY", "REGION", "MESH", "SURFACE", "PLANESURFACE"),
        *("EXTRUDEDSURFACE", "LOFTEDSURFACE", "REVOLVEDSURFACE", "SWEPTSURFACE"),
    ]
)
FLATTEN: Final = "a flat drawing; flatten it, or draw the outline with lines, arcs and polylines at one height"

_FARTHEST: Final = 1e14
"""Units of a drawing beyond which doubles do not tell millimetres apart."""
_TILT: Final = 1e-9


def fault(entity: DXFGraphic, closing: float) -> tuple[str, str]:
    """What keeps an entity from being used and what to do, both empty if nothing does.

    closing: greatest difference in height, in units of the drawing, that passes for flat.
    """
    try:
        return _fault(entity, closing)
    except Exception:  # the library hands on what a damaged file holds without a look at it
        return f"{entity.dxftype()} that is damaged", "sound entities; delete it and draw it anew"


def _fault(entity: DXFGraphic, closing: float) -> tuple[str, str]:
    kind = entity.dxftype()
    if kind in SOLID_KINDS or (isinstance(entity, Polyline) and not (entity.is_2d_polyline or entity.is_3d_polyline)):
        return f"{kind}, a face or solid", FLATTEN
    values = list(_values(entity))
    wrong = [value for value in values if not (isfinite(value) and abs(value) < _FARTHEST)]
    if wrong:
        return f"{kind} with the coordinate {wrong[0]:g}", "finite numbers; delete it and draw it anew"
    extrusion = Vec3(entity.dxf.get("extrusion", (0, 0, 1)))
    if entity.dxf.hasattr("extrusion") and (extrusion.magnitude == 0 or _tilt(extrusion) > _TILT):
        return f"{kind} that is tilted out of the plan", FLATTEN
    heights = [point.z for point in _vertices(entity)]
    if heights and max(heights) - min(heights) > closing:
        return f"{kind} from z = {min(heights):g} to {max(heights):g}", FLATTEN
    return "", ""


def _tilt(extrusion: Vec3) -> float:
    flat = extrusion.normalize()
    return float(max(abs(flat.x), abs(flat.y)))


def _values(entity: DXFGraphic) -> Iterator[float]:
    """Every number of the entity that counts for its place and shape."""
    for value in entity.dxfattribs().values():
        if isinstance(value, float):
            yield value
        elif isinstance(value, Vec2 | Vec3):
            yield from (value.x, value.y, Vec3(value).z)
    if isinstance(entity, LWPolyline):
        for point in entity.get_points("xyb"):
            yield from point
    for vertex in _vertices(entity):
        yield from (vertex.x, vertex.y, vertex.z)
    if isinstance(entity, Polyline):
        yield from (vertex.dxf.get("bulge", 0.0) for vertex in entity.vertices)
    if isinstance(entity, Spline):
        yield from (*entity.knots, *entity.weights)


def _vertices(entity: DXFGraphic) -> Iterator[Vec3]:
    """Points in space that give the entity its height."""
    if entity.dxftype() == "LINE":
        yield from (entity.dxf.start, entity.dxf.end)
    elif isinstance(entity, Polyline):
        yield from (Vec3(vertex.dxf.location) for vertex in entity.vertices)
    elif isinstance(entity, Spline):
        yield from (Vec3(point) for point in (*entity.control_points, *entity.fit_points))
