"""Where the moments of a floor's slab are judged."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
import shapely
from shapely import MultiPolygon

from fem.moment_operator import MomentOperator
from postprocess.strength.age import YoungConcrete
from postprocess.strength.places import Places, Spots
from preprocess.case import Slab
from preprocess.floor import Floor
from preprocess.meshing import CORNER_SHARE, Sizes, mesh_plan
from preprocess.plan import re_entrant_corners

VIEW_SIZE = 0.15
"""Edge length of the mesh on which the slab is judged, m: about the diameter of a housing."""
VIEW_POINTS = 25_000
"""Largest number of its vertices, about: for a large slab its edges are longer."""


@dataclass(frozen=True, eq=False)
class Judged:
    """Where a slab is judged, and its moments there by any load column."""

    places: Places
    operator: MomentOperator


def judge(floor: Floor) -> Judged:
    """The places of a floor and the moments there: its strength and its lift share them."""
    places = judged_places(floor)
    return Judged(places, judged_moments(floor, places))


def judged_places(floor: Floor) -> Places:
    """A fine mesh of the plan, the jacks and feet, and the re-entrant corners."""
    case = floor.case
    slab, jacks = case.slab, case.jacks
    size = max(VIEW_SIZE, sqrt(slab.plan.area / (sqrt(3) / 2 * VIEW_POINTS)))  # each vertex has the area of a hexagon
    feet = [(load.name, load.shape) for load in floor.loads if isinstance(load.shape, MultiPolygon)]
    pads = [pad for _, shape in feet for pad in shape.geoms]
    spots = Spots(
        names=(
            *(f"jack {name}" for name in jacks.ids),
            *(f"{name}, foot {number + 1}" for name, shape in feet for number in range(len(shape.geoms))),
        ),
        xy=np.vstack([jacks.xy, shapely.get_coordinates(shapely.centroid(pads)).reshape(-1, 2)]),
        size=np.concatenate([np.full(len(jacks), jacks.footprint), np.sqrt(shapely.area(pads))]),
        jacks=len(jacks),
    )
    return Places.on_plan(
        slab.plan,
        mesh_plan(slab.plan, Sizes(size, CORNER_SHARE * size)),
        spots,
        re_entrant_corners(slab.plan),
        thickness=slab.thickness,
        corner_strip=jacks.footprint + slab.thickness,
    )


def judged_moments(floor: Floor, places: Places) -> MomentOperator:
    """The moments at these places, by any load column."""
    return MomentOperator.at(floor.sampler, places.points, floor.concentrated, floor.case.slab.poissons_ratio)


def concrete_at(slab: Slab, age: float) -> YoungConcrete:
    """The concrete of a slab at an age in days; a modulus that the case gives grows in proportion."""
    concrete = slab.concrete
    modulus = concrete.modulus_at(age) / concrete.modulus * slab.modulus
    return YoungConcrete(age, concrete.fcm_at(age), concrete.fctm_at(age), modulus, concrete.fck)
