"""A floor as a rigid body on the lateral rates of its springs and on strips round its edge.

Heights, from the slab's top: finishes at it, slab and strips half its thickness below, equipment and line loads at
the height that the case gives for equipment, springs at the slab's underside: a spring between parallel seats acts at
the middle of its length, which in a jack whose spring stands in the slab is near there. Equipment on feet has its mass
over its feet. What the imposed load may bring has no mass here, as in all modes.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon
from shapely.geometry.polygon import orient

from fem.gravity import GRAVITY
from fem.lateral_rate import loaded_lateral_rate
from fem.rigid_slab import Masses, RigidSlab, Springs
from postprocess.dynamics.sideways_notes import sideways_notes
from postprocess.dynamics.views import SidewaysView
from preprocess.case import Case, Spring
from preprocess.dynamics import Sideways
from preprocess.floor import Floor
from preprocess.loads import AppliedLoad

Floats = NDArray[np.float64]


def sideways_view(floor: Floor) -> SidewaysView:
    """The slab in service, six freedoms, as the case springs it sideways."""
    case, sideways = floor.case, floor.case.dynamics.sideways
    middle = np.asarray(case.slab.plan.centroid.coords)[0]
    lateral = lateral_rates(case, service_deflections(floor, middle), sideways.lateral_share)
    masses = slab_masses(floor, sideways, middle)
    springs = slab_springs(case, sideways, lateral, masses, middle)
    modes = RigidSlab.of(masses, springs).modes()
    used = [(spring.code, spring.lateral_rate, rate) for spring, rate in zip(case.jacks.springs, lateral, strict=True)]
    return SidewaysView(
        frequencies=modes.frequencies,
        kinds=modes.kinds,
        shares=modes.shares,
        sway_rates=springs.sway_rates,
        notes=sideways_notes(
            modes,
            unknown=[code for code, known, _ in used if known is None],
            loaded=[code for code, known, rate in used if known not in {None, rate}],
            given_way=[code for code, _, rate in used if rate <= 0],
            share=sideways.lateral_share,
            strips=bool(sideways.strips),
        ),
    )


def service_deflections(floor: Floor, middle: Floats) -> Floats:
    """(n,) deflection of the springs in service under a rigid slab, m. middle: any place near the slab's, m."""
    service = floor.resultants @ floor.state_matrix()[:, 1]
    return _plane_deflections(floor.case, service[0], service[1:] / service[0] - middle, middle)


def _plane_deflections(case: Case, force: float, arm: Floats, middle: Floats) -> Floats:
    """(n,) deflections w + advance, m, under `force` N at `arm` (2,) from the middle: w = a + b x + c y in plan."""
    rates, advance = case.jacks.rates, case.jacks.advance
    plane = np.column_stack([np.ones(len(rates)), case.jacks.xy - middle])
    load = force * np.array([1.0, *arm]) - plane.T @ (rates * advance)
    return np.asarray(plane @ np.linalg.solve(plane.T @ (rates[:, None] * plane), load) + advance)


def lateral_rates(case: Case, deflections: Floats, share: float) -> Floats:
    """(n,) lateral rates of the springs at their deflections (n,), N/m.

    Where the coils' geometry is known it is that under load; a rate of the catalogue stands as it is; of neither, the
    `share` of the vertical rate.
    """
    springs = zip(case.jacks.springs, deflections, strict=True)
    return np.array([_lateral_rate(case, spring, float(deflection), share) for spring, deflection in springs])


def _lateral_rate(case: Case, spring: Spring, deflection: float, share: float) -> float:
    """The sum of the coils, N/m. A catalogue's own lateral rate differs from that of the geometry."""
    if spring.lateral_rate is None:
        return share * spring.rate
    coils = [case.catalogue[part] for part in spring.parts if part in case.catalogue] or [spring]
    rates = [coil.lateral_rate for coil in coils]
    if None in rates or not np.isclose(sum(rate for rate in rates if rate is not None), spring.lateral_rate):
        return spring.lateral_rate
    return sum(_loaded(coil, deflection) for coil in coils)


def _loaded(spring: Spring, deflection: float) -> float:
    """Of a single coil, N/m."""
    coil, rate = spring.coil, spring.lateral_rate
    assert rate is not None
    if coil is None or not np.isclose(rate, coil.lateral_rate):
        return rate
    ratio = coil.shear_modulus / coil.elastic_modulus
    return float(loaded_lateral_rate(coil.rate, coil.free_length, coil.diameter, ratio, deflection))


def slab_masses(floor: Floor, sideways: Sideways, middle: Floats) -> Masses:
    """All that moves with the slab, about the middle of its plan and its top."""
    thickness = floor.case.slab.thickness
    heights = {"self-weight": -thickness / 2, "finishes": 0.0}
    parts = []
    for load in floor.loads:
        if load.has_mass:
            height = heights.get(load.pattern, sideways.equipment_height)
            parts.append(_mass(load, height, thickness if load.pattern == "self-weight" else 0.0, middle))
    return Masses.joined(parts)


def _mass(load: AppliedLoad, height: float, thickness: float, middle: Floats) -> Masses:
    """Of one load: pads have equal parts of it."""
    mass, shape = load.force / GRAVITY, load.shape
    if isinstance(shape, Polygon | MultiPolygon):
        pieces = shapely.get_parts(shape)
        layers = [Masses.layer(_rings(p, middle), mass / len(pieces), height, thickness) for p in pieces]
        return Masses.joined(layers)
    assert isinstance(shape, LineString)  # `preprocess.loads.AppliedLoad`
    return Masses.line(shapely.get_coordinates(shape) - middle, mass, height)


def _rings(polygon: Polygon, middle: Floats) -> list[Floats]:
    """Outline and openings about the middle, the openings turning the other way."""
    turned = orient(polygon)
    return [np.asarray(ring.coords) - middle for ring in (turned.exterior, *turned.interiors)]


def slab_springs(case: Case, sideways: Sideways, lateral: Floats, masses: Masses, middle: Floats) -> Springs:
    """Jacks at the slab's underside, with the weight of the masses, and strips at its mid-thickness."""
    thickness, jacks = case.slab.thickness, case.jacks
    total = masses.kilograms.sum()
    arm = masses.kilograms @ masses.xyz[:, :2] / total
    loads = jacks.rates * _plane_deflections(case, GRAVITY * total, arm, middle)
    xyz = np.column_stack([jacks.xy - middle, np.full(len(jacks), -thickness)])
    rates = np.column_stack([lateral, lateral, jacks.rates])
    strips = [
        Springs.strip(
            strip.path - middle,
            -thickness / 2,
            normal=strip.rate,
            along=strip.shear_share * strip.rate,
            vertical=strip.shear_share * strip.rate,
        )
        for strip in sideways.strips
    ]
    return Springs.joined([Springs.single(xyz, rates, loads), *strips])
