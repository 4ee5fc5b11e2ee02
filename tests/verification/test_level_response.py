"""What screws do to a floating slab, from the condensed floor, against new solutions of the full model."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import sparse

from fem.bending import BendingField
from fem.condensed import CondensedFloor
from fem.moment_operator import MomentOperator
from fem.screw_response import MomentSource, ScrewResponse
from fem.statics import StaticResult, solve_states
from preprocess.floor import Floor, build_floor
from preprocess.loads import PATTERNS
from preprocess.reader import read_case

Floats = NDArray[np.float64]
ROOT = Path(__file__).parents[2]


@dataclass(frozen=True, eq=False)
class Pair:
    """The demo floor by its response, and solved anew with other rates and uneven screws."""

    floor: Floor
    condensed: CondensedFloor
    response: ScrewResponse
    rates: Floats
    advance: Floats
    points: sparse.csr_array
    operator: MomentOperator
    solved: tuple[StaticResult, ...]


@pytest.fixture(scope="module")
def pair() -> Pair:
    floor = build_floor(read_case(ROOT / "cases" / "weights-room"))
    model, case = floor.model, floor.case
    random = np.random.default_rng(3)
    nominal, n = case.jacks.rates, len(case.jacks)
    rates, advance = nominal * random.uniform(0.8, 1.25, n), 0.004 * random.normal(size=n)
    factor = model.factor(nominal)
    condensed = CondensedFloor.from_model(model, floor.patterns, nominal, factor)
    points = floor.sampler.points(case.jacks.xy + np.array([0.2, 0.1])).rows
    places = np.vstack([case.jacks.xy + np.array(shift) for shift in ([0.07, 0.03], [0.3, 0.2])])
    operator = MomentOperator.at(floor.sampler, places, floor.concentrated, case.slab.poissons_ratio)
    others = np.outer(floor.foot_forces, floor.state_matrix()[PATTERNS.index("equipment")])
    source = MomentSource.of(model.plate, operator, floor.cap_moves, others, factor)
    response = ScrewResponse.of(condensed, rates, floor.state_matrix(), points, source)
    solved = solve_states(model, floor.state_loads(), rates, advance)
    return Pair(floor, condensed, response, rates, advance, points, operator, solved)


def test_heights_and_loads_are_those_of_the_full_model(pair: Pair) -> None:
    """To 1e-9 of the greatest: both are exact, so only rounding is left."""
    for s, state in enumerate(pair.solved):
        at_jacks, at_points = pair.response.heights(pair.advance, s)
        deep = np.abs(state.jack_deflection).max()
        np.testing.assert_allclose(at_jacks, -state.jack_deflection, rtol=0, atol=1e-9 * deep)
        np.testing.assert_allclose(at_points, -(pair.points @ state.displacement), rtol=0, atol=1e-9 * deep)
        loads = pair.response.loads(pair.advance, s)
        np.testing.assert_allclose(loads, state.jack_load, rtol=0, atol=1e-9 * state.jack_load.max())


def test_heights_and_loads_are_those_of_the_condensed_floor(pair: Pair) -> None:
    """To 1e-9, as above."""
    answer = pair.condensed.solve(pair.rates, pair.floor.state_matrix(), pair.advance)
    for s in range(3):
        at_jacks, _ = pair.response.heights(pair.advance, s)
        np.testing.assert_allclose(-at_jacks, answer.deflection[:, s], rtol=1e-9)
        loads = pair.response.loads(pair.advance, s)
        np.testing.assert_allclose(loads, answer.load[:, s], rtol=0, atol=1e-9 * answer.load.max())


def test_moments_are_those_of_the_full_model(pair: Pair) -> None:
    """Beside jacks and between them, with the caps of the forces; to 1e-9 of the greatest."""
    floor, model = pair.floor, pair.floor.model
    bending = BendingField.from_displacement(
        floor.sampler,
        model.plate,
        displacement=np.column_stack([state.displacement for state in pair.solved]),
        forces=floor.concentrated,
        moves=floor.cap_moves,
        magnitudes=floor.magnitudes(
            np.column_stack([state.jack_load for state in pair.solved]),
            floor.state_matrix()[PATTERNS.index("equipment")],
        ),
        factor=model.factor(pair.rates),
    )
    expected = bending.moments_by(pair.operator)
    found = pair.response.moments + (pair.response.moment_change @ pair.advance)[:, :, None]
    np.testing.assert_allclose(found, expected, rtol=0, atol=1e-9 * np.abs(expected).max())


def test_a_plane_of_screws_tilts_the_slab_and_changes_no_load(pair: Pair) -> None:
    """Screws that lie in a plane move a free slab as a rigid body (statics). To 1e-9 of the rise and of k times it."""
    xy = pair.floor.case.jacks.xy
    plane = 0.01 + xy @ np.array([0.002, -0.001])
    np.testing.assert_allclose(pair.response.rise @ plane, plane, rtol=0, atol=1e-9 * plane.max())
    change = pair.response.load_change @ plane
    np.testing.assert_allclose(change, 0, atol=1e-9 * float((pair.rates * plane).max()))


def test_derivatives_by_the_rates(pair: Pair) -> None:
    """Against central differences of 1e-4 of a rate: their error is the third derivative's, about 1e-8 of the rise."""
    at_jacks, _ = pair.response.heights(pair.advance, 0)
    jacks, points = pair.response.rate_derivative(pair.advance - at_jacks)
    for jack in (0, 17, 40):
        step = np.zeros(len(pair.rates))
        step[jack] = 1e-4 * pair.rates[jack]
        up, down = (
            ScrewResponse.of(pair.condensed, pair.rates + way * step, pair.floor.state_matrix(), pair.points).heights(
                pair.advance, 0
            )
            for way in (1, -1)
        )
        for found, high, low in zip((jacks, points), up, down, strict=True):
            slope = (high - low) / (2 * step[jack])
            np.testing.assert_allclose(found[:, jack], slope, rtol=0, atol=1e-6 * np.abs(slope).max())
