"""The air below the slab of a case, ready to couple with it."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from fem.cavity import Cavity, CavityModes, Opening
from preprocess.case import Case
from preprocess.dynamics import Air
from preprocess.floor import Floor

Floats = NDArray[np.float64]

HIGHEST = 240.0
"""Modes of the air are taken up to this frequency, Hz, about the end of the bands; those above act by their mass."""
LEAST_MODES, MOST_MODES = 110, 300
"""Small slabs have few modes below it, and what is left out then counts; large ones have too many."""


def openings_of(air: Air, plan: Polygon) -> list[Opening]:
    """Where air gets out."""
    if air.edge == "open":
        return [Opening(path, np.inf) for path in edge_rings(plan)]
    return [
        Opening(vent.path, np.inf if vent.width is None else vent.width / (air.gap * vent.depth)) for vent in air.vents
    ]


def edge_rings(plan: Polygon) -> list[Floats]:
    """Outline and openings of the slab, each a closed path (n, 2), m."""
    return [shapely.get_coordinates(ring) for ring in (plan.exterior, *plan.interiors)]


def trapped_air(floor: Floor, case: Case) -> Cavity:
    """The air of a case that has any, on its mesh."""
    air = case.dynamics.air
    assert air is not None  # asked for by callers that have looked
    return Cavity.of(floor.sampler, air.gap, air.exponent, air.loss, openings_of(air, case.slab.plan))


def cavity_modes(cavity: Cavity) -> CavityModes:
    """The modes that couple with the slab in the range of bands."""
    found = cavity.modes_below(HIGHEST, MOST_MODES)
    return found if len(found.frequencies) >= LEAST_MODES else cavity.modes(LEAST_MODES)
