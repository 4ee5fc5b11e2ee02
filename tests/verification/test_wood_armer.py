"""Design moments against published and computed triples, and the property that they are made for."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from fem.plate import Plate
from postprocess.strength.wood_armer import design_moments, normal_moment

MOMENT = st.floats(-1e6, 1e6)


def test_published_triple() -> None:
    """Wood, Concrete 2(2), 1968, 69–76: Mx 103.393, My 20.679, Mxy 2.784 → 106.177, 23.463 below, 0, 0 above."""
    found = design_moments(np.array([103.393, 20.679, 2.784]))
    np.testing.assert_allclose(found, [106.177, 23.463, 0, 0], atol=0.0005)


@pytest.mark.parametrize(
    ("triple", "expected"),
    [
        ((-60, 60, 40), (0, 260 / 3, -260 / 3, 0)),
        ((60, -60, 40), (260 / 3, 0, 0, -260 / 3)),
        ((10, 20, -5), (15, 25, 0, 0)),
        ((-10, -20, 5), (0, 0, -15, -25)),
        ((5, 5, 10), (15, 15, -5, -5)),
        ((-5, 20, 10), (5, 30, -10, 0)),
        ((-0.9, 0.5, 0.3), (0, 0.6, -1.08, 0)),
        ((-50, 1, 5), (0, 1.5, -55, -4)),
        ((-50, 1, 10), (0, 3, -60, -9)),
        ((-50, -1, 5), (0, 0, -55, -6)),
        ((0, 0, 7), (7, 7, -7, -7)),
        ((0, 0, 0), (0, 0, 0, 0)),
        ((-8, 0, 0), (0, 0, -8, 0)),
    ],
)
def test_special_cases(triple: tuple[float, ...], expected: tuple[float, ...]) -> None:
    """Every branch, worked out by hand from Wood and Armer's rules (|Mxy²/Mx| where Mx + |Mxy| < 0); rounding."""
    np.testing.assert_allclose(design_moments(np.array(triple, dtype=float)), expected, atol=1e-12)


def test_shape_and_order() -> None:
    """Thousands of places and several states at once give what each place gives by itself."""
    triples = np.random.default_rng(1).normal(0, 1e4, (2000, 3, 3)).swapaxes(1, 2)
    found = design_moments(triples)
    assert found.shape == (2000, 3, 4)
    np.testing.assert_array_equal(found[7, 2], design_moments(triples[7, 2]))
    assert found[..., :2].min() >= 0 >= found[..., 2:].max()
    assert not np.signbit(design_moments(np.ones(3))).any(), "no −0 in tables"


@given(mx=MOMENT, my=MOMENT, mxy=MOMENT, angle=st.floats(0, np.pi))
@example(mx=-60.0, my=60.0, mxy=40.0, angle=2.0)
@example(mx=-1e-300, my=1.0, mxy=1e-301, angle=1.0)
@example(mx=-1e6, my=-1e6, mxy=1e6, angle=np.pi / 4)
def test_resistance_covers_every_direction(mx: float, my: float, mxy: float, angle: float) -> None:
    """Johansen's criterion, on which Wood and Armer build: the steel's normal moment mx cos² + my sin² reaches Mn
    in any direction, sagging and hogging. Slack: rounding of the largest moment.
    """
    triple = np.array([mx, my, mxy])
    normal = float(normal_moment(triple, angle))
    bottom_x, bottom_y, top_x, top_y = design_moments(triple)
    cos, sin = np.cos(angle) ** 2, np.sin(angle) ** 2
    slack = 1e-12 * np.abs(triple).max()
    assert bottom_x * cos + bottom_y * sin >= normal - slack
    assert top_x * cos + top_y * sin <= normal + slack


@given(mx=MOMENT, my=MOMENT, mxy=MOMENT)
def test_no_more_than_needed(mx: float, my: float, mxy: float) -> None:
    """Where steel is asked for on a face, some direction uses it wholly: least slack over 7200 directions.

    Tolerance: a direction missed by up to 0.00022 rad costs the moment's second derivative, 4 |M|, times 0.00022²/2.
    """
    triple = np.array([mx, my, mxy])
    angle = np.linspace(0, np.pi, 7201)
    normal = normal_moment(triple, angle)
    for pair, sign in ((design_moments(triple)[:2], 1), (design_moments(triple)[2:], -1)):
        slack = sign * (pair[0] * np.cos(angle) ** 2 + pair[1] * np.sin(angle) ** 2 - normal)
        if np.abs(pair).max() > 0:
            assert slack.min() <= 2e-7 * np.abs(triple).max()


@pytest.mark.parametrize("angle", [0.0, 0.3, 1.0, 2.0, -0.7])
def test_normal_moment_has_the_sign_of_the_plate(angle: float) -> None:
    """A plate bent to w = xᵀQx/2, seen from axes turned by `angle`, has the Mx′ that `normal_moment` gives; rounding.

    It fixes the sign of the twisting term: both moments come from `Plate.moment_matrix`.
    """
    plate = Plate(0.125, 33e9, 0.2, 312.5)
    Q = np.array([[0.3, -0.5], [-0.5, -0.2]])
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    turned = turn.T @ Q @ turn
    triple, seen = (plate.moment_matrix @ [q[0, 0], q[1, 1], q[0, 1]] for q in (Q, turned))
    assert float(normal_moment(triple, angle)) == pytest.approx(seen[0], rel=1e-12, abs=1e-9 * np.abs(triple).max())
