"""Envelopes of many load columns against the plain way: every place and combination by itself."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from postprocess.strength import demand
from postprocess.strength.combinations import Combinations
from postprocess.strength.demand import Envelope, design_envelope
from postprocess.strength.effects import LiftStage, across_extremes, crack_moments, spot_forces
from postprocess.strength.places import JudgedMoments
from postprocess.strength.wood_armer import design_moments

Floats = NDArray[np.float64]

V, N, C, S, K = 40, 5, 2, 6, 17


@pytest.fixture(scope="module")
def moments() -> JudgedMoments:
    """40 vertices, five spots, two corners by strip and by zone, six load columns; kN·m/m size."""
    rng = np.random.default_rng(11)
    m = V + N + 2 * C
    for_x = rng.normal(0, 4e3, (m, 3, S))
    for_y = for_x.copy()
    for_y[V : V + N] = rng.normal(0, 4e3, (N, 3, S))
    return JudgedMoments(for_x, for_y, slice(V, V + N), rng.normal(0, 3e3, (C, S)), rng.normal(0, 3e3, (C, S)))


@pytest.fixture(scope="module")
def factors() -> Floats:
    return np.random.default_rng(12).normal(0, 1, (S, K))


def plainly(moments: JudgedMoments, factors: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """(m, 4) greatest sizes and their combinations, one Wood-Armer at a time; steel along y from the y-sections."""
    m = len(moments.for_x)
    size, column = np.zeros((m, 4)), np.zeros((m, 4), dtype=np.int64)
    for place in range(m):
        for k in range(factors.shape[1]):
            by_x = np.abs(design_moments(moments.for_x[place] @ factors[:, k]))
            by_y = np.abs(design_moments(moments.for_y[place] @ factors[:, k]))
            for side, found in enumerate((by_x[0], by_y[1], by_x[2], by_y[3])):
                if found > size[place, side]:
                    size[place, side], column[place, side] = found, k
    return size, column


@pytest.mark.parametrize("batch", [1, 100, 200_000])
def test_envelope_is_the_greatest_of_all(
    moments: JudgedMoments, factors: Floats, batch: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In one go or in batches of any size. Rounding: products are summed in another order."""
    monkeypatch.setattr(demand, "_BATCH", batch)
    found = design_envelope(moments, factors)
    size, column = plainly(moments, factors)
    np.testing.assert_allclose(found.size, size, rtol=1e-10)
    np.testing.assert_array_equal(found.column, column)
    assert len(np.unique(column)) > 5, "or the columns would not be tested"


def test_sections_along_x_govern_steel_along_y_at_spots(moments: JudgedMoments, factors: Floats) -> None:
    """With them left out, design moments of spots change and those of all other places do not."""
    plain = JudgedMoments(moments.for_x, moments.for_x, moments.strips, moments.across, moments.across_zone)
    change = np.abs(design_envelope(moments, factors).size - design_envelope(plain, factors).size)
    assert np.all(change[V : V + N, 1] + change[V : V + N, 3] > 1.0)
    assert change[:, [0, 2]].max() == change[:V].max() == change[V + N :].max() == 0


def test_where_nothing_bends(factors: Floats) -> None:
    """Sizes are never below 0."""
    nothing = np.zeros((3, 3, S))
    found = design_envelope(JudgedMoments(nothing, nothing, slice(1, 2), np.zeros((0, S)), np.zeros((0, S))), factors)
    np.testing.assert_array_equal(found.size, 0)


def test_worst_place() -> None:
    """Of those that count, for each face and direction by itself; also where all that count are at 0."""
    size = np.array([[1.0, 9, 0, 0], [5, 2, 0, 0], [7, 3, 4, 0]])
    envelope = Envelope(size, np.zeros((3, 4), dtype=np.int64))
    among = np.array([True, True, False])
    assert [envelope.worst(side, among) for side in range(3)] == [1, 0, 0]
    assert envelope.worst(0, np.ones(3, dtype=bool)) == 2
    assert envelope.worst(3, np.array([False, True, False])) == 1


def test_moments_that_crack(moments: JudgedMoments) -> None:
    """Greatest principal size at vertices (by eigenvalues), strip means Mx and My at spots, across the bisector at
    corners by their strips. Rounding.
    """
    found = crack_moments(moments)
    for place in range(V):
        for s in range(S):
            Mx, My, Mxy = moments.for_x[place, :, s]
            principal = np.abs(np.linalg.eigvalsh([[Mx, Mxy], [Mxy, My]])).max()
            assert found[place, s] == pytest.approx(principal, rel=1e-10)
    at_spots = np.maximum(np.abs(moments.for_x[V : V + N, 0]), np.abs(moments.for_y[V : V + N, 1]))
    np.testing.assert_array_equal(found[V : V + N], at_spots)
    np.testing.assert_array_equal(found[V + N : V + N + C], np.abs(moments.across))


def test_forces_at_spots(factors: Floats) -> None:
    """Upward at jacks, downward at feet, each from the combination with the most; 0 where it is never that way."""
    magnitudes = np.random.default_rng(13).normal(0, 1e3, (5, S))
    magnitudes[1], magnitudes[4] = 0, 0
    magnitudes[1, 0], magnitudes[4, 0] = 7e3, -8e3
    factors = factors.copy()
    factors[0] = np.abs(factors[0])
    names = tuple(f"c{k}" for k in range(K))
    found = spot_forces(magnitudes, 3, Combinations(names, factors))
    for spot in range(5):
        upward = -1 if spot < 3 else 1
        each = [upward * float(magnitudes[spot] @ factors[:, k]) for k in range(K)]
        assert found.force[spot] == pytest.approx(max(*each, 0.0), rel=1e-12)
        if max(each) > 0:
            assert found.column[spot] == int(np.argmax(each))
    assert found.force[1] == found.force[4] == 0


def test_extremes_across_corners(moments: JudgedMoments, factors: Floats) -> None:
    """Most sagging ≥ 0 and most hogging ≤ 0, over zones and not strips."""
    combinations = Combinations(tuple(f"c{k}" for k in range(K)), factors)
    found, columns = across_extremes(moments, combinations)
    each = np.array([[moments.across_zone[c] @ factors[:, k] for k in range(K)] for c in range(C)])
    np.testing.assert_allclose(found, np.column_stack([each.max(axis=1), each.min(axis=1)]), rtol=1e-10)
    np.testing.assert_array_equal(columns, np.column_stack([each.argmax(axis=1), each.argmin(axis=1)]))
    sagging = JudgedMoments(moments.for_x, moments.for_y, moments.strips, moments.across, np.abs(moments.across_zone))
    only, _ = across_extremes(sagging, Combinations(("c",), np.ones((S, 1))))
    np.testing.assert_array_equal(only[:, 1], 0.0)
    assert np.all(only[:, 0] > 0)


def test_a_stage_of_the_lift(moments: JudgedMoments) -> None:
    """Of one column: moments that crack and Wood-Armer sizes, with the y-sections at spots."""
    one = np.eye(S)[:, [2]]
    stage = LiftStage.of("bare slab", moments.combined(one), np.array([1.0, 2.0]))
    np.testing.assert_allclose(stage.crack, crack_moments(moments)[:, 2], rtol=1e-12)
    np.testing.assert_allclose(stage.design, plainly(moments, one)[0], rtol=1e-12)
    assert stage.name == "bare slab"
