"""Strips at re-entrant corners and the bars across them."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Polygon, box

from postprocess.strength.corner import corner_strips

PLAN = Polygon([(0, 0), (6, 0), (6, 2), (2, 2), (2, 6), (0, 6)])
CORNER = np.array([[2.0, 2.0]])


@pytest.mark.parametrize("plan", [PLAN, PLAN.reverse()], ids=["anticlockwise", "clockwise"])
def test_strip_runs_into_the_slab(plan: Polygon) -> None:
    strips = corner_strips(plan, CORNER, 0.3)
    away = strips.points[0] - CORNER[0]
    np.testing.assert_allclose(away[:, 0], away[:, 1])
    assert away.max() < 0
    assert np.hypot(*away.T).max() < 0.3
    assert np.cos(strips.across[0] - 3 * np.pi / 4) ** 2 == pytest.approx(1)


def test_corners_of_an_opening() -> None:
    """Every corner of a square opening has its strip on the slab's side."""
    slab = box(0, 0, 6, 6).difference(box(2, 2, 3, 3))
    corners = np.array([[2.0, 2], [3, 2], [3, 3], [2, 3]])
    strips = corner_strips(slab, corners, 0.4)
    outward = strips.points.mean(axis=1) - [2.5, 2.5]
    assert np.all(np.abs(outward) > 0.5)


@pytest.mark.parametrize("power", [-0.5, -0.4556, -0.3, 0.0, 1.0])
def test_mean_of_a_singular_moment(power: float) -> None:
    """∫ s^p ds over the strip is b^(p+1)/(p+1). In t = s^(1/3) the integrand is t^(3p + 2), a polynomial or, at
    worst, a root of t, for which sixteen Gauss points leave some 1e-5; −1/2 is the limit, the tip of a crack.
    """
    strips = corner_strips(PLAN, CORNER, 0.25)
    s = np.hypot(*(strips.points[0] - CORNER[0]).T)
    triples = np.stack([s**power, s**power, 0 * s], axis=-1)[None]
    assert strips.mean_moments(triples)[0] == pytest.approx(0.25**power / (power + 1), rel=1e-4)


def test_moment_across_the_bisector() -> None:
    """At this corner the trimmers lie at 135°: M = (Mx + My)/2 − Mxy; several states at once. Rounding."""
    strips = corner_strips(PLAN, CORNER, 0.25)
    triples = np.broadcast_to(np.array([[3e3, 1e3, -4e3], [3e3, 1e3, 4e3]]).T, (1, len(strips.weights), 3, 2))
    np.testing.assert_allclose(strips.mean_moments(triples), [[6e3, -2e3]], rtol=1e-12)


def test_strip_ends_with_the_slab() -> None:
    """An opening 150 mm from two edges: 150 √2 mm along the bisector, then nothing. Rounding."""
    slab = box(0, 0, 6, 6).difference(box(0.15, 0.15, 1, 1))
    strips = corner_strips(slab, np.array([[0.15, 0.15], [1.0, 1.0]]), 0.3)
    np.testing.assert_allclose(strips.widths, [0.15 * np.sqrt(2), 0.3], rtol=1e-9)
    assert strips.points.min() > 0


def test_not_a_corner() -> None:
    with pytest.raises(ValueError, match="no corner of the plan"):
        corner_strips(PLAN, np.array([[2.0, 2.1]]), 0.3)


def test_strips_to_both_sides_of_the_bisector() -> None:
    """Turned by 45°: along the edges of the square corner drawn on into the slab, −y and −x; trimmers stay as they are.
    Rounding."""
    for turn, gone in ((np.pi / 4, 0), (-np.pi / 4, 1)):
        strips = corner_strips(PLAN, CORNER, 0.3, turn)
        away = strips.points[0] - CORNER[0]
        np.testing.assert_allclose(away[:, gone], 0, atol=1e-12)
        assert away[:, 1 - gone].max() < 0
        assert strips.widths[0] == pytest.approx(0.3)
        assert np.cos(strips.across[0] - 3 * np.pi / 4) ** 2 == pytest.approx(1)
