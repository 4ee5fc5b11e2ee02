"""The active set against every possible set, against non-negative least squares, and against its own conditions.

There is exactly one solution where σ S is a P-matrix (Cottle, Pang and Stone, The Linear Complementarity Problem, 1992,
theorem 3.3.7), so whoever meets the conditions has found it. A symmetric S that is positive definite where σ = 1 and
negative definite where σ = −1 is such a case, whatever couples the two parts.
"""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import nnls

from fem import complementarity
from fem.complementarity import ActiveSet
from fem.errors import ModelError

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
NONE = 1e-12


def quasi_definite(random: np.random.Generator, positive: int, negative: int) -> tuple[Floats, Floats]:
    """S and σ: condition numbers of some hundred, coupling of the same size as the parts."""
    size = positive + negative
    signs = np.concatenate([np.ones(positive), -np.ones(negative)])
    root = random.normal(size=(size, 2 * size))
    definite = root @ root.T / size + 0.05 * np.eye(size)
    same = np.equal.outer(signs, signs)
    coupling = random.normal(size=(size, size))
    S = np.where(same, definite * signs, coupling + coupling.T)
    order = random.permutation(size)
    return S[np.ix_(order, order)], signs[order]


def by_every_set(S: Floats, signs: Floats, right: Floats, held: Flags) -> list[Floats]:
    """The x of each of the 2^N active sets that meets all conditions (to rounding, 1e-10)."""
    found = []
    for flags in product([False, True], repeat=len(right)):
        A = np.array(flags)
        if (held & ~A).any():
            continue
        x = np.zeros(len(right))
        x[A] = np.linalg.solve(S[np.ix_(A, A)], right[A])
        y = signs * (S @ x - right)
        if (x[~held] >= -1e-10).all() and (y[~A] >= -1e-10).all():
            found.append(x)
    return found


def solver(S: Floats, signs: Floats, active: Flags | None = None) -> ActiveSet:
    start = np.zeros(len(signs), dtype=bool) if active is None else active
    return ActiveSet(S, signs, start, least_x=NONE, least_y=NONE)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 2**32 - 1), st.integers(1, 4), st.integers(0, 4), st.booleans())
def test_every_set_of_tiny_problems(seed: int, positive: int, negative: int, holding: bool) -> None:
    """Up to eight places, four right-hand sides one after the other from the set of the last one, some places held.

    All sets that meet the conditions give the same x. 1e-8: conditions of some thousand times rounding.
    """
    random = np.random.default_rng(seed)
    S, signs = quasi_definite(random, positive, negative)
    each = solver(S, signs, random.random(len(signs)) < 0.5)
    held = (random.random(len(signs)) < 0.3) & holding
    for _ in range(4):
        right = random.normal(size=len(signs))
        x = each.solve(right, held)
        expected = by_every_set(S, signs, right, held)
        assert expected
        for other in expected:
            np.testing.assert_allclose(x, other, atol=1e-8 * max(1.0, np.abs(x).max(initial=0.0)))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.integers(-2, 2), min_size=5, max_size=5), st.lists(st.integers(-2, 2), min_size=25, max_size=25))
def test_ties(right: list[int], entries: list[int]) -> None:
    """Small whole numbers, so that x and y are often both nothing: some set is found and meets the conditions."""
    signs = np.array([1.0, 1.0, 1.0, -1.0, -1.0])
    root = np.array(entries, dtype=float).reshape(5, 5)
    same = np.equal.outer(signs, signs)
    S = np.where(same, (root @ root.T + np.eye(5)) * signs, root + root.T)
    b = np.array(right, dtype=float)
    x = solver(S, signs).solve(b, np.zeros(5, dtype=bool))
    (first, *_) = by_every_set(S, signs, b, np.zeros(5, dtype=bool))
    np.testing.assert_allclose(x, first, atol=1e-9)


def test_non_negative_least_squares() -> None:
    """σ = 1 everywhere: min ½ xᵀ S x − b x, x ≥ 0, by Lawson and Hanson's method in scipy on S = L Lᵀ.

    200 places from a set that is wrong at half of them, so that the base set is pivoted. 1e-9 of the greatest x:
    rounding times a condition of some thousand.
    """
    random = np.random.default_rng(5)
    S, signs = quasi_definite(random, 200, 0)
    L = np.linalg.cholesky(S)
    each = solver(S, signs, random.random(200) < 0.5)
    none = np.zeros(200, dtype=bool)
    for _ in range(5):
        right = random.normal(size=200)
        expected = nnls(L.T, np.linalg.solve(L, right))[0]
        x = each.solve(right, none)
        np.testing.assert_allclose(x, expected, atol=1e-9 * expected.max())
        assert 0 < np.count_nonzero(x) < 200


@pytest.mark.parametrize("one_at_a_time", [False, True])
def test_conditions_on_many_places(one_at_a_time: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """240 places of both signs, right-hand sides that jump and creep; also with changes one at a time (Murty).

    1e-9: rounding times the condition; a place on the wrong side breaks it by 1e-3 or so.
    """
    if one_at_a_time:
        monkeypatch.setattr(complementarity, "_PATIENCE", 0)
    random = np.random.default_rng(11)
    S, signs = quasi_definite(random, 160, 80)
    each = solver(S, signs)
    held = np.zeros(240, dtype=bool)
    right = random.normal(size=240)
    for step in (1.0, 0.05, 0.05, 1.0, 0.05):
        right = right + step * random.normal(size=240)
        x = each.solve(right, held)
        y = signs * (S @ x - right)
        scale = np.abs(x).max()
        assert x.min() >= -1e-9 * scale
        assert y.min() >= -1e-9 * np.abs(right).max()
        assert np.abs(x * y).max() <= 1e-9 * scale
        assert 40 < np.count_nonzero(x > 1e-6) < 200


def test_held_places_may_pull() -> None:
    """Two places, by hand: S = [[2, 1], [1, 2]], b = (−3, 3). Free: x = (0, 1.5). The first held: S x = b, (−3, 3)."""
    S = np.array([[2.0, 1.0], [1.0, 2.0]])
    each = solver(S, np.ones(2))
    right = np.array([-3.0, 3.0])
    np.testing.assert_allclose(each.solve(right, np.array([True, False])), [-3.0, 3.0], atol=1e-14)
    np.testing.assert_allclose(each.solve(right, np.zeros(2, dtype=bool)), [0.0, 1.5], atol=1e-14)


def test_no_solution_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    """S = −1 with σ = 1: x ≥ 0 and −x − 1 ≥ 0 contradict each other, so that no set is right."""
    monkeypatch.setattr(complementarity, "_MOST_CHANGES", 50)
    with pytest.raises(ModelError, match="cannot be found"):
        solver(np.array([[-1.0]]), np.ones(1)).solve(np.ones(1), np.zeros(1, dtype=bool))
