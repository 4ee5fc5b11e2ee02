"""Gaps under straightedges, by arithmetic."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, box

from postprocess.level.straightedge import Straightedges

PLAN = box(0, 0, 6, 4) - box(2.5, 1.5, 3.5, 2.5)


@pytest.fixture(scope="module")
def edges() -> Straightedges:
    return Straightedges.on_plan(PLAN, 2.0)


def test_they_lie_on_the_slab_and_in_a_row(edges: Straightedges) -> None:
    """Ends no farther apart than the straightedge, all on the plan; the middle where its share says, to the rounding
    of coordinates, 1 µm."""
    first, middle, last = (edges.xy[edges.triples[:, part]] for part in range(3))
    assert np.linalg.norm(last - first, axis=1).max() == pytest.approx(2.0, abs=3e-6)
    on_chord = edges.share[:, None] * first + (1 - edges.share[:, None]) * last
    np.testing.assert_allclose(middle, on_chord, atol=3e-6)
    ground = PLAN.buffer(1e-5)
    assert all(ground.covers(LineString(pair)) for pair in np.stack([first, last], axis=1))


def test_a_plane_has_no_gaps(edges: Straightedges) -> None:
    """1e-7 m: coordinates are rounded to 1 µm, on a slope of 0.02."""
    heights = 0.3 + edges.xy @ np.array([0.02, -0.01])
    np.testing.assert_allclose(edges.gaps(heights), 0, atol=1e-7)


def test_bowl_and_dome(edges: Straightedges) -> None:
    """Under a chord of length L on a parabola κ r²/2 the gap is κ L²/8 (arithmetic): a hollow is positive, a hump
    negative. 1e-7 m for rounded coordinates."""
    bowl = 0.5 * 0.004 * np.sum(edges.xy**2, axis=1)
    assert edges.gaps(bowl).max() == pytest.approx(0.004 * 2**2 / 8, abs=1e-7)
    assert edges.gaps(-bowl).min() == pytest.approx(-0.004 * 2**2 / 8, abs=1e-7)


def test_the_greatest_gap_is_that_under_the_upper_hull() -> None:
    """For one straightedge on five stations, against the hull found by trying every chord (independent formulation)."""
    edges = Straightedges.on_plan(box(0, 0, 2.2, 0.3), 2.0)
    random = np.random.default_rng(0)
    for _ in range(20):
        heights = random.normal(size=len(edges.xy))
        worst = 0.0
        for y in np.unique(edges.xy[:, 1]):
            for x in np.unique(edges.xy[:, 0]):
                stations = [np.flatnonzero(np.hypot(*(edges.xy - [x + s, y]).T) < 1e-5) for s in np.linspace(0, 2, 5)]
                if all(len(found) for found in stations):
                    h = heights[[int(found[0]) for found in stations]]
                    hull = [
                        max(h[i] + (h[j] - h[i]) * (k - i) / (j - i) for i in range(k) for j in range(k + 1, 5))
                        for k in range(1, 4)
                    ]
                    worst = max(worst, float(np.max(np.array(hull) - h[1:4])))
        assert edges.gaps(heights).max() == pytest.approx(worst, abs=1e-12)


def test_a_slab_too_small_has_none() -> None:
    edges = Straightedges.on_plan(box(0, 0, 1.2, 1.0), 2.0)
    assert len(edges.gaps(np.zeros(len(edges.xy)))) == 0
