"""The slab-strength part of a run: load columns solved once, judged everywhere, held against two layers of steel."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from math import sqrt

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from fem.moment_operator import MomentOperator
from fem.shear_operator import ShearOperator, principal_shear
from jackfield.judged import Judged, concrete_at, judge
from jackfield.load_columns import LoadColumns, bare_at, solve_columns, state_columns
from jackfield.pipeline import Solution
from postprocess.key_moments import span_pairs
from postprocess.strength.assess import assess
from postprocess.strength.combinations import Combinations, strength_combinations
from postprocess.strength.demand import design_envelope
from postprocess.strength.design import Design
from postprocess.strength.effects import (
    Effects,
    LiftDay,
    LiftStage,
    ShearPeak,
    SpanSag,
    across_extremes,
    crack_moments,
    spot_forces,
)
from postprocess.strength.fabric import Fabric
from postprocess.strength.factors import RECOMMENDED, NationalValues
from postprocess.strength.layers import Layers
from postprocess.strength.materials import Materials
from postprocess.strength.places import Places
from postprocess.strength.result import Strength
from preprocess.case import Case, Mat, Reinforcement
from preprocess.floor import Floor
from preprocess.reinforcement import candidates

Floats = NDArray[np.float64]

SHEAR_SIZE, SHEAR_POINTS = 0.20, 8_000
"""Step of the lattice on which shear forces are looked at, m, and the largest number of its points."""
SHEAR_CLEARANCE = 2.0
"""Shear forces are looked at from this many thicknesses off loaded areas on; nearer, punching governs (6.4.2)."""


def slab_strength(solution: Solution, judged: Judged | None = None) -> Strength | None:
    """The strength of the slab of a solved floor; None where the case has no reinforcement.

    judged: where it is judged, if that is at hand.
    """
    floor = solution.floor
    case, steel = floor.case, floor.case.reinforcement
    if steel is None:
        return None
    judged = judged or judge(floor)
    places, operator = judged.places, judged.operator
    lift_at = _lift_days(floor, places, operator)
    return assess(
        _effects(solution, places, operator, lift_at),
        _designs(case, steel),
        lift_at if case.lift else None,
    )


def _effects(
    solution: Solution, places: Places, operator: MomentOperator, lift_at: Callable[[float], LiftDay]
) -> Effects:
    floor = solution.floor
    case = floor.case
    columns = solve_columns(floor, solution.factor)
    combinations = strength_combinations(columns.actions, _values(case))
    moments = places.judge(columns.bending.moments_by(operator))
    states = state_columns(case, columns.actions)
    factors = np.column_stack(list(states.values()))
    in_states = moments.combined(factors)
    across_design, across_column = across_extremes(moments, combinations)
    return Effects(
        plan=case.slab.plan,
        places=places,
        combinations=combinations.names,
        design=design_envelope(moments, combinations.factors),
        service=design_envelope(moments, states["service"][:, None]).size,
        crack=dict(zip(states, crack_moments(in_states).T, strict=True)),
        across=dict(zip(states, in_states.across.T, strict=True)),
        across_zone=dict(zip(states, in_states.across_zone.T, strict=True)),
        across_design=across_design,
        across_column=across_column,
        zone_moments=moments.for_x[places.at_strips.stop :] @ combinations.factors,
        spots=spot_forces(columns.bending.magnitudes, len(case.jacks), combinations),
        shear=_shear_peak(floor, places, columns, combinations),
        sag=_span_sag(solution),
        patterns={pattern.name: pattern.shape for pattern in columns.patterns},
        remarks=_remarks(case, -columns.bending.magnitudes[: len(case.jacks)] @ combinations.factors),
        lift=lift_at(case.lift.age_days) if case.lift else None,
    )


def _remarks(case: Case, loads: Floats) -> tuple[str, ...]:
    """Where springs would be solid or would have to pull under the combinations, jack loads (n, k) in N."""
    jacks = case.jacks
    most, least = loads.max(axis=1) / jacks.rates, loads.min(axis=1)
    solid, pulling = most > jacks.solid_deflections, least < 0
    found = []
    if solid.any():
        worst = int(np.argmax(most - jacks.solid_deflections))
        found.append(
            f"{solid.sum()} of {len(jacks)} springs would be solid in a strength combination, most of all at jack "
            f"{jacks.ids[worst]} ({most[worst] * 1e3:.0f} mm, solid at {jacks.solid_deflections[worst] * 1e3:.0f} mm). "
            "A solid spring takes more load than the linear ones that are computed with, so punching and bearing there "
            "are larger than shown: give it travel, or check its jack by hand."
        )
    if pulling.any():
        worst = int(np.argmin(least))
        found.append(
            f"{pulling.sum()} of {len(jacks)} jacks would have to pull in a strength combination, most of all jack "
            f"{jacks.ids[worst]} ({-least[worst] / 1e3:.2f} kN). The slab would come off them, which is not followed "
            "here."
        )
    return tuple(found)


def _lift_days(floor: Floor, places: Places, operator: MomentOperator) -> Callable[[float], LiftDay]:
    """The lift at an age in days. Today it has one stage; those of a lift jack by jack come in here."""
    slab = floor.case.slab

    @cache
    def lift_at(age: float) -> LiftDay:
        concrete = concrete_at(slab, age)
        bending = bare_at(floor, concrete.modulus)
        moments = places.judge(bending.moments_by(operator))
        jacks = -bending.magnitudes[: len(floor.case.jacks), 0]
        return LiftDay(concrete, (LiftStage.of("bare slab on all jacks", moments, jacks),))

    return lift_at


def _shear_peak(floor: Floor, places: Places, columns: LoadColumns, combinations: Combinations) -> ShearPeak:
    """Over a lattice of points that are clear of loaded areas and re-entrant corners, and a thickness off free edges,
    where thin-plate shear forces mean little."""
    slab, spots = floor.case.slab, places.spots
    loaded = shapely.buffer(shapely.points(spots.xy), spots.size / 2 + SHEAR_CLEARANCE * slab.thickness, quad_segs=16)
    singular = shapely.buffer(shapely.points(places.corners.xy), places.zones.widths)
    xy = _lattice(slab.plan, max(SHEAR_SIZE, sqrt(slab.plan.area / SHEAR_POINTS)))
    near = shapely.STRtree(np.concatenate([loaded, singular])).query(shapely.points(xy), predicate="intersects")[0]
    off_edge = shapely.distance(shapely.points(xy), slab.plan.boundary) >= slab.thickness
    xy = xy[off_edge & ~np.isin(np.arange(len(xy)), near)]
    if not len(xy):
        return ShearPeak(0.0, None, 0)
    operator = ShearOperator.at(floor.sampler, xy, floor.concentrated)
    shear = principal_shear(columns.bending.shear_forces_by(operator) @ combinations.factors)
    place, column = (int(i) for i in np.unravel_index(int(shear.argmax()), shear.shape))
    x, y = xy[place]
    return ShearPeak(float(shear[place, column]), (float(x), float(y)), column)


def _lattice(plan: Polygon, step: float) -> Floats:
    """(p, 2) points of a square lattice that lie on the plan, m."""
    x0, y0, x1, y1 = plan.bounds
    x, y = np.meshgrid(np.arange(x0 + step / 2, x1, step), np.arange(y0 + step / 2, y1, step))
    xy = np.column_stack([x.ravel(), y.ravel()])
    return np.asarray(xy[shapely.contains_xy(plan, *xy.T)])


def _span_sag(solution: Solution) -> SpanSag:
    """The span between neighbouring jacks that sags (or rises) most for its length."""
    floor, state = solution.floor, solution.states["service"]
    jacks = floor.case.jacks
    pairs = span_pairs(floor.case.slab.plan, jacks.xy)
    ends = jacks.xy[pairs]
    middle = ends.mean(axis=1)
    length = np.hypot(*(ends[:, 1] - ends[:, 0]).T)
    sag = floor.sampler.points(middle).rows @ state.displacement - state.jack_deflection[pairs].mean(axis=1)
    worst = int(np.argmax(np.abs(sag) / length))
    first, second = pairs[worst]
    x, y = middle[worst]
    return SpanSag(
        abs(float(sag[worst])), float(length[worst]), (jacks.ids[first], jacks.ids[second]), (float(x), float(y))
    )


def _designs(case: Case, steel: Reinforcement) -> tuple[Design, ...]:
    """Every pair of mats that the case leaves open, lightest first."""
    concrete = case.slab.concrete
    materials = Materials(concrete.fck, steel.fyk, _values(case))
    return tuple(
        Design(
            Layers(
                case.slab.thickness,
                _fabric(bottom),
                _fabric(top),
                steel.bottom_cover,
                steel.top_cover,
                steel.bottom_outer,
                steel.top_outer,
            ),
            materials,
            concrete.fctm,
            case.slab.modulus,
            steel.trimmer_diameter,
        )
        for bottom, top in candidates(case)
    )


def _fabric(mat: Mat) -> Fabric:
    return Fabric(mat.name, mat.diameter[0], mat.pitch[0], mat.diameter[1], mat.pitch[1])


def _values(case: Case) -> NationalValues:
    return replace(RECOMMENDED, **case.factors.changes)
