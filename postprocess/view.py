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
class PlanView:
    """What every sheet with a plan of the floor needs, SI units.

    plan: the slab with its openings as holes, m. thickness, footprint (diameter of a jack housing): m.
    """

    title: str
    reference: str
    revision: str
    plan: Polygon
    thickness: float
    footprint: float
    items: tuple[PlanItem, ...]
    schedule: JackSchedule


@dataclass(frozen=True, eq=False)
class FloorView(PlanView):
    """Everything that drawings and scenes of a run need, SI units.

    re_entrant_corners: (c, 2) in m, where moments of thin-plate theory are singular. strength: None for a slab whose
    reinforcement is not known.
    """

    re_entrant_corners: Floats
    fields: Fields
    modes: ModalResult
    strength: Strength | None = None
