"""Design values of the weights room on its default mesh against one of half the edge length, 10 mm at the corners.

What is designed for must not depend on the mesh: both are judged at the same places, which depend on the plan alone.
No source is needed: the finer mesh is the reference. With 10 mm at the re-entrant corners their values have settled:
from there to 4.5 mm they move by less than 1 %. One unfavourable pattern in six stands for all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

import jackfield.judged
import jackfield.load_columns
import jackfield.strength
from fem.moment_operator import MomentOperator
from jackfield.load_columns import solve_columns
from postprocess.strength.combinations import strength_combinations
from postprocess.strength.demand import design_envelope
from postprocess.strength.effects import across_extremes, crack_moments, spot_forces
from postprocess.strength.factors import RECOMMENDED
from postprocess.strength.places import Places
from preprocess.case import Case
from preprocess.floor import Floor, build_floor, default_sizes, floor_on
from preprocess.meshing import mesh_plan
from preprocess.patterns import imposed_patterns
from preprocess.reader import read_case

Floats = NDArray[np.float64]

ROOM = Path(__file__).parents[2] / "cases" / "weights-room"


@dataclass(frozen=True, eq=False)
class Judged:
    """design: (m, 4) greatest design moments. zones: (c, 2) extremes across corners. strips: (c, k) across corners by
    their short strips. crack: (m, k). forces: (n,). All in SI."""

    design: Floats
    zones: Floats
    strips: Floats
    crack: Floats
    forces: Floats


def judged(floor: Floor, places: Places) -> Judged:
    case = floor.case
    columns = solve_columns(floor, floor.model.factor(case.jacks.rates))
    combinations = strength_combinations(columns.actions, RECOMMENDED)
    operator = MomentOperator.at(floor.sampler, places.points, floor.concentrated, case.slab.poissons_ratio)
    moments = places.judge(columns.bending.moments_by(operator))
    combined = moments.combined(combinations.factors)
    return Judged(
        design_envelope(moments, combinations.factors).size,
        across_extremes(moments, combinations),
        combined.across,
        crack_moments(combined),
        spot_forces(columns.bending.magnitudes, len(case.jacks), combinations).force,
    )


@dataclass(frozen=True, eq=False)
class Pair:
    case: Case
    places: Places
    default: Judged
    fine: Judged


@pytest.fixture(scope="module")
def pair() -> Pair:
    case = read_case(ROOM)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(jackfield.load_columns, "imposed_patterns", lambda *given: imposed_patterns(*given)[::6])
        floor = build_floor(case)
        places = jackfield.judged.judged_places(floor)
        fine = floor_on(case, mesh_plan(case.slab.plan, replace(default_sizes(case).times(0.5), corner_size=0.010)))
        assert fine.model.space.unknowns > 1.8 * floor.model.space.unknowns
        return Pair(case, places, judged(floor, places), judged(fine, places))


def change(default: Floats, fine: Floats) -> float:
    """The greatest change, as a share of the largest value."""
    return float(np.abs(default - fine).max() / np.abs(fine).max())


def test_places_depend_on_the_plan_alone(pair: Pair) -> None:
    """The same points whatever the case's own mesh is."""
    other = replace(pair.case, mesh=replace(pair.case.mesh, size=2.0, jack_size=2.0))
    np.testing.assert_array_equal(jackfield.judged.judged_places(build_floor(other)).points, pair.places.points)


def test_strips_at_jacks_and_feet(pair: Pair) -> None:
    """Design moments and those that crack the slab. Found: 0.13 % and 0.14 % of the largest; feet 0.04 %. Allowed
    0.5 %, 0.5 % and 0.3 %, as another plan gives other triangles: a point at a jack would move by tens of percent.
    """
    first, count = len(pair.places.mesh.vertices), len(pair.places.spots.names)
    jacks, feet = slice(first, first + len(pair.case.jacks)), slice(first + len(pair.case.jacks), first + count)
    assert change(pair.default.design[jacks], pair.fine.design[jacks]) < 0.005
    assert change(pair.default.design[feet], pair.fine.design[feet]) < 0.003
    assert change(pair.default.crack[jacks], pair.fine.crack[jacks]) < 0.005


def test_greatest_bending_of_each_face_and_direction(pair: Pair) -> None:
    """What the checks say. Found: 0.03 %; allowed 0.2 %, less than any rounding of bars and pitches."""
    regular = pair.places.regular
    default, fine = (found.design[regular].max(axis=0) for found in (pair.default, pair.fine))
    np.testing.assert_allclose(default, fine, rtol=0.002)
    assert fine.min() > 1e3


def test_bending_at_every_place(pair: Pair) -> None:
    """Of the maps of use, corners' zones left out. Found: 0.55 % of the largest of each side; allowed 1.5 %."""
    regular = pair.places.regular
    for side in range(4):
        assert change(pair.default.design[regular, side], pair.fine.design[regular, side]) < 0.015


def test_forces(pair: Pair) -> None:
    """Integrals settle fast. Found: 0.0007 %; allowed 0.01 %."""
    np.testing.assert_allclose(pair.default.forces, pair.fine.forces, rtol=1e-4)


def test_corners(pair: Pair) -> None:
    """Means over zone and strip at the re-entrant corners, singular at the corner itself. Found: 0.3 %; allowed 1 %.
    A point value would double each time that the edges there become a quarter as long (s^−0.46).
    """
    np.testing.assert_allclose(pair.default.zones, pair.fine.zones, rtol=0.01)
    assert change(pair.default.strips, pair.fine.strips) < 0.01
