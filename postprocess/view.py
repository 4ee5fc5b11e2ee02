"""One floor as its papers show it: plan, items on it, schedule, fields and modes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fem.modes import ModalResult
from postprocess.fields import Fields
from postprocess.schedule import JackSchedule
from postprocess.strength.result import Strength

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class PlanItem:
    """Something that stands on the slab, drawn on the plan.

    kind: "equipment", "line load" or "finish". shape: its feet (multi-polygon), area (polygon) or path (line), m.
    note: its mass, load or pressure in words with the unit, such as "840 kg".
    """

    name: str
    kind: str
    note: str
    shape: BaseGeometry


@dataclass(frozen=True, eq=False)
class FloorView:
    """Everything that drawings and scenes need, SI units.

    plan: the slab with its openings as holes, m. thickness, footprint (diameter of a jack housing): m.
    re_entrant_corners: (c, 2) in m, where moments of thin-plate theory are singular. strength: None for a slab whose
    reinforcement is not known.
    """

    title: str
    reference: str
    revision: str
    plan: Polygon
    thickness: float
    footprint: float
    re_entrant_corners: Floats
    items: tuple[PlanItem, ...]
    schedule: JackSchedule
    fields: Fields
    modes: ModalResult
    strength: Strength | None = None
