"""What stands and presses on the slab: each load as a plan shape with a force spread evenly over it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from fem.gravity import GRAVITY
from preprocess.case import Case

Floats = NDArray[np.float64]

PATTERNS = ("self-weight", "finishes", "equipment", "line loads", "imposed")
"""Load patterns, in the order of every array that has one column a pattern."""


@dataclass(frozen=True)
class AppliedLoad:
    """A downward force in N spread evenly over `shape`, in m: an area, a line, or the pads of equipment.

    has_mass: whether it takes part in the modes (imposed load does not).
    """

    name: str
    pattern: str
    shape: BaseGeometry
    force: float
    has_mass: bool = True

    @property
    def resultant(self) -> Floats:
        """(3,) force in N and its moments ∫q x and ∫q y about the datum in N·m, from the shape alone."""
        centre = self.shape.centroid
        return self.force * np.array([1.0, centre.x, centre.y])


def applied_loads(case: Case) -> tuple[AppliedLoad, ...]:
    """Every load of the case, in the order of `PATTERNS`."""
    plan = case.slab.plan
    loads = [AppliedLoad("Slab", "self-weight", plan, case.slab.mass * GRAVITY)]
    for finish in case.finishes:
        area = finish.area or plan
        loads.append(AppliedLoad(finish.name, "finishes", area, finish.pressure * area.area))
    for item in case.equipment:
        shape = item.area if item.feet is None else pads(item.feet, item.foot)
        assert shape is not None  # a case has feet or an area: `preprocess.case.Equipment`
        loads.append(AppliedLoad(item.name, "equipment", shape, item.mass * GRAVITY))
    for line in case.line_loads:
        path = LineString(line.path)
        loads.append(AppliedLoad(line.name, "line loads", path, line.load * path.length))
    if case.imposed.pressure:
        force = case.imposed.pressure * plan.area
        loads.append(AppliedLoad("Imposed load", "imposed", plan, force, has_mass=False))
    return tuple(load if plan.covers(load.shape) else _clipped(load, plan) for load in loads)


def _clipped(load: AppliedLoad, plan: Polygon) -> AppliedLoad:
    """An area that overhangs the slab by no more than rounding of slanted edges, cut to the slab; lines stay."""
    if not load.shape.area:
        return load
    parts = [part.intersection(plan) for part in shapely.get_parts(load.shape)]
    return replace(load, shape=MultiPolygon(parts) if isinstance(load.shape, MultiPolygon) else parts[0])


def pads(centres: Floats, side: float) -> MultiPolygon:
    """Square pads of `side` m, parallel to the axes, at `centres` (n, 2)."""
    low, high = centres - side / 2, centres + side / 2
    return MultiPolygon(list(shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])))


def state_factors(case: Case) -> Mapping[str, Floats]:
    """Load state -> (5,) multipliers of `PATTERNS`: bare, service and full."""
    return {
        "bare": np.array([1.0, 0.0, 0.0, 0.0, 0.0]),
        "service": np.array([1.0, 1.0, 1.0, 1.0, case.imposed.service_fraction]),
        "full": np.ones(5),
    }
