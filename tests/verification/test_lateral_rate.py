"""The lateral rate of a loaded spring against its limits and against a column integrated step by step."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import expm

from fem.helical_spring import buckling_share, lateral_rate
from fem.lateral_rate import loaded_lateral_rate

RATIO = 79.5 / 206


def column(rate: float, free_length: float, diameter: float, deflection: float) -> float:
    """F/u of a column between parallel seats under a thrust, N/m: independent of the closed form.

    Haringx, 1948, from memory: shear acts square to the turned section, so with w the movement sideways, θ the turn of
    the section, M the moment, F the force sideways and N the thrust along the axis: w' = θ + (F + N θ)/S, θ' = −M/B,
    M' = N w' + F; B and S shrink with the length. Integrated from seat to seat by the matrix exponential.
    """
    share = 1 - deflection / free_length
    bending = rate * free_length * diameter**2 / (2 + 4 * RATIO) * share
    shear = rate * free_length / RATIO * share
    thrust = rate * deflection
    slope = np.zeros((4, 4))  # of (w, θ, M, F)
    slope[0, 1], slope[0, 3] = 1 + thrust / shear, 1 / shear
    slope[1, 2] = -1 / bending
    slope[2] = thrust * slope[0]
    slope[2, 3] += 1
    through = expm(slope * free_length * share)
    moment = -through[1, 3] / through[1, 2]  # so that the far seat does not turn under F = 1
    return float(1 / abs(through[0, 2] * moment + through[0, 3]))


@pytest.mark.parametrize("slenderness", [1.5, 2.2, 2.6, 3.5])
@pytest.mark.parametrize("share", [1e-3, 0.1, 0.25])
def test_against_a_column(slenderness: float, share: float) -> None:
    """Both stable and near giving way. 1e-6: the columns lose digits to cancellation at small thrust, not the model."""
    found = loaded_lateral_rate(3e5, slenderness * 0.08, 0.08, RATIO, share * slenderness * 0.08)
    assert found == pytest.approx(column(3e5, slenderness * 0.08, 0.08, share * slenderness * 0.08), rel=1e-6)


def test_without_load() -> None:
    """The limit that `helical_spring.lateral_rate` has from EN 13906-1; linear in the load, so 1e-5 of it is 1e-4."""
    rate = lateral_rate(2e5, 0.15, 0.08, RATIO)
    found = loaded_lateral_rate(2e5, 0.15, 0.08, RATIO, np.array([0.0, 1e-12, 1.5e-6]))
    np.testing.assert_allclose(found, rate, rtol=1e-4)
    assert found[2] < rate


@pytest.mark.parametrize("slenderness", [2.8, 3.5, 4.5])
def test_none_is_left_where_the_spring_gives_way(slenderness: float) -> None:
    """EN 13906-1, ν = 1: parallel seats, one of which may move sideways. 1e-6 short of it 3e-6 of the rate is left at
    most, 1e-6 beyond it is negative."""
    length = slenderness * 0.08
    end = float(buckling_share(length, 0.08, 1.0, RATIO)) * length
    before, after = loaded_lateral_rate(1e5, length, 0.08, RATIO, end * np.array([1 - 1e-6, 1 + 1e-6]))
    assert 0 < before < 1e5 * 3e-5
    assert -1e5 * 3e-5 < after < 0


def test_a_hinged_rod_where_both_seats_would_not_help() -> None:
    """Far beyond it: −N/L, exact."""
    length, deflection = 0.8, 0.3
    found = loaded_lateral_rate(1e5, length, 0.06, RATIO, deflection)
    assert found == pytest.approx(-1e5 * deflection / (length - deflection), rel=1e-9)
