"""The plan of the jacks as people look things up on it: what stands where, and the figures of each jack by state."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from postprocess.view import PlanItem

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Quantity:
    """A figure of each jack. key: short, of letters and hyphens. unit: "" for a ratio. digits: after the point.

    values: state -> (n,) in `unit`; NaN where a jack has none. A quantity that does not depend on the state has the
    one state "all". limits: (least, greatest) that is allowed, NaN where there is none.
    """

    key: str
    name: str
    unit: str
    digits: int
    values: Mapping[str, Floats]
    limits: tuple[float, float]


@dataclass(frozen=True)
class StateWords:
    """short: for controls and headings, such as "lift peak". full: what acts, in a sentence."""

    short: str
    full: str


@dataclass(frozen=True)
class PaperColumn:
    """A column of the one table of all jacks on paper. quantity: its key; state: in which it is shown, or "all"."""

    heading: str
    quantity: str
    state: str


@dataclass(frozen=True, eq=False)
class JackPlan:
    """n jacks on a plan, lengths in m. status: (n,) "ok", "under" or "over" in service. states: by key, in order.

    quantities: in the order in which they are offered. springs: (n,) codes. footprint: diameter of a housing.
    governing: index of the jack that governs. paper: columns of the table on paper, after id, spring and place.
    """

    plan: Polygon
    items: tuple[PlanItem, ...]
    ids: tuple[str, ...]
    xy: Floats
    springs: tuple[str, ...]
    footprint: float
    status: tuple[Literal["ok", "under", "over"], ...]
    states: Mapping[str, StateWords]
    quantities: tuple[Quantity, ...]
    governing: int
    paper: tuple[PaperColumn, ...]
