"""Small slabs and the loads on them, which the tests of the strength checks share."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon, box

from postprocess.strength.age import YoungConcrete
from postprocess.strength.demand import Envelope
from postprocess.strength.design import Design
from postprocess.strength.effects import Effects, LiftDay, LiftStage, ShearPeak, SpanSag, SpotForces
from postprocess.strength.fabric import Fabric
from postprocess.strength.factors import RECOMMENDED, NationalValues
from postprocess.strength.layers import Layers
from postprocess.strength.materials import Materials
from postprocess.strength.places import Places, Spots
from preprocess.concrete import Concrete
from preprocess.meshing import Sizes, mesh_plan
from preprocess.plan import re_entrant_corners

Floats = NDArray[np.float64]

RECTANGLE = box(0, 0, 6, 4)
ANGLE = Polygon([(0, 0), (6, 0), (6, 2), (2, 2), (2, 4), (0, 4)])
"""A slab with one re-entrant corner, at (2, 2), whose trimmers lie at 135°."""
SLAB = 0.125
JACKS = np.array([[1.0, 1.0], [4.0, 1.0], [1.5, 3.5]])
FEET = np.array([[2.5, 1.2], [3.0, 1.6]])
CAUSES = ("1.35 permanent", "1 permanent", "1 permanent + 1.5 imposed on the west")


def square(diameter: float, pitch: float = 0.2) -> Fabric:
    """A mat of one diameter and pitch, m, both ways."""
    return Fabric(f"{diameter * 1e3:g} at {pitch * 1e3:g}", diameter, pitch, diameter, pitch)


A142, A193, A252, A393 = (square(diameter) for diameter in (0.006, 0.007, 0.008, 0.010))


def a_design(
    bottom: Fabric = A252,
    top: Fabric = A193,
    *,
    thickness: float = SLAB,
    covers: tuple[float, float] = (0.025, 0.025),
    strength_class: str = "C32/40",
    values: NationalValues = RECOMMENDED,
) -> Design:
    """Wires along x outermost near both faces, fyk 500 MPa, trimmers of 12 mm."""
    concrete = Concrete.of_class(strength_class)
    layers = Layers(thickness, bottom, top, *covers)
    return Design(layers, Materials(concrete.fck, 500e6, values), concrete.fctm, concrete.modulus, 0.012)


def some_places(
    plan: Polygon = RECTANGLE, jacks: Floats = JACKS, feet: Floats = FEET, *, thickness: float = SLAB
) -> Places:
    """Jacks J1, J2 … of 150 mm, then feet of one rack of 100 mm, on a mesh of 0.5 m."""
    spots = Spots(
        names=(
            *(f"jack J{i + 1}" for i in range(len(jacks))),
            *(f"Rack, foot {i + 1}" for i in range(len(feet))),
        ),
        xy=np.vstack([jacks, feet]),
        size=np.concatenate([np.full(len(jacks), 0.15), np.full(len(feet), 0.1)]),
        jacks=len(jacks),
    )
    return Places.on_plan(
        plan,
        mesh_plan(plan, Sizes(0.5, 0.25)),
        spots,
        re_entrant_corners(plan),
        thickness=thickness,
        corner_strip=0.15 + thickness,
    )


def no_effects(plan: Polygon = RECTANGLE, places: Places | None = None, lift: LiftDay | None = None) -> Effects:
    """A slab that feels nothing; tests put single effects in with `dataclasses.replace`."""
    places = places or some_places(plan)
    m, n, c = len(places.xy), len(places.spots.names), len(places.corners.xy)
    states = ("bare", "service", "full")
    return Effects(
        plan=plan,
        places=places,
        combinations=CAUSES,
        design=Envelope(np.zeros((m, 4)), np.zeros((m, 4), dtype=np.int64)),
        service=np.zeros((m, 4)),
        crack={state: np.zeros(m) for state in states},
        across={state: np.zeros(c) for state in states},
        across_zone={state: np.zeros(c) for state in states},
        across_design=np.zeros((c, 2)),
        across_column=np.zeros((c, 2), dtype=np.int64),
        zone_moments=np.zeros((3 * c, 3, len(CAUSES))),
        patterns={},
        remarks=(),
        spots=SpotForces(np.zeros(n), np.zeros(n, dtype=np.int64)),
        shear=ShearPeak(0.0, (2.0, 1.0), 0),
        sag=SpanSag(0.0, 3.0, ("J1", "J2"), (2.5, 1.0)),
        lift=lift,
    )


def young(age: float, cement_class: str = "N", strength_class: str = "C32/40") -> YoungConcrete:
    """Concrete of an age in days."""
    concrete = Concrete.of_class(strength_class, cement_class)
    return YoungConcrete(age, concrete.fcm_at(age), concrete.fctm_at(age), concrete.modulus_at(age), concrete.fck)


def a_stage(
    places: Places, crack: float = 0.0, design: Sequence[float] = (0.0,) * 4, jacks: Sequence[float] = (0.0,) * 3
) -> LiftStage:
    """The same moments at all places, N·m/m; forces of the jacks, N."""
    m = len(places.xy)
    return LiftStage("bare slab on all jacks", np.full(m, crack), np.tile(design, (m, 1)), np.array(jacks, dtype=float))
