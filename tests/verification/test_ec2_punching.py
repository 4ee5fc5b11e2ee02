"""Punching against a published example, with the perimeter found from a plan."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from shapely import box

from postprocess.strength.materials import Materials
from postprocess.strength.perimeter import control_perimeters
from postprocess.strength.punching import face_strength, punching, steel_ratio
from postprocess.strength.shear import shear_strength

MATERIALS = Materials(fck=30e6, fyk=500e6)


def test_flat_slab_example() -> None:
    """The Concrete Centre, Worked examples to Eurocode 2 (CCIP-041), 3.4.10: column 400 × 400, d 260 and 240 mm,
    ρ 0.0085 and 0.0048, fck 30, V 1204.8 kN, β 1.15 → u1 4741 mm, vEd 1.17, vRd,c 0.61, vRd,max 5.28 MPa.

    Tolerance: half a unit of the last printed digit; u1 = 1600 + 1000π = 4741.6 mm is printed cut off, so one unit.
    """
    depth = (0.260 + 0.240) / 2
    found = control_perimeters(box(0, 0, 12, 10), np.array([[6.0, 5.0]]), 0.400, "square", depth)
    assert found[0].position == "interior"
    assert found[0].length == pytest.approx(4.741, abs=0.001)
    result = punching(np.array([1204.8e3]), found, depth, steel_ratio(0.0085, 0.0048), MATERIALS)
    assert result.stress[0] == pytest.approx(1.17e6, abs=0.005e6)
    assert result.strength == pytest.approx(0.61e6, abs=0.005e6)
    assert result.face_limit == pytest.approx(5.28e6, abs=0.005e6)
    assert result.face_stress[0] == pytest.approx(1.15 * 1204.8e3 / (1.6 * depth), rel=1e-12)
    assert result.use[0] == pytest.approx(1.17 / 0.61, rel=0.01)


@pytest.mark.parametrize(
    ("place", "position", "around", "face", "beta"),
    [
        ((4.0, 3.0), "interior", 1.6 + pi, 1.6, 1.15),
        ((4.0, 0.2), "edge", 1.2 + pi / 2, 0.4 + 3 * 0.25, 1.4),
        ((0.2, 0.2), "corner", 0.8 + pi / 4, 3 * 0.25, 1.5),
    ],
)
def test_columns_flush_with_the_edge(
    place: tuple[float, float], position: str, around: float, face: float, beta: float
) -> None:
    """EN 1992-1-1, 6.4.2(4) Figure 6.15, 6.4.5(3) and 6.4.3(6) by hand: a square of 400 mm, d 250 mm, so 2d = 0.5 m.

    Tolerance: arcs are drawn with 64 chords a quarter, shorter by 25 parts in a million.
    """
    perimeters = control_perimeters(box(0, 0, 9, 6), np.array([place]), 0.4, "square", 0.25)
    (perimeter,) = perimeters
    assert perimeter.position == position
    assert perimeter.length == pytest.approx(around, rel=3e-5)
    assert perimeter.face == pytest.approx(face, rel=1e-12)
    result = punching(np.array([100e3]), perimeters, 0.25, 0.005, MATERIALS)
    assert result.stress[0] == pytest.approx(beta * 100e3 / (around * 0.25), rel=3e-5)


def test_strengths_by_hand() -> None:
    """Eq. 6.47 for d 100 mm: k 2, 0.12 · 2 · (100 · 0.009 · 30)^(1/3) = 0.24 · 3 = 0.72 MPa; ρl ≤ 0.02. Rounding."""
    assert shear_strength(0.1, steel_ratio(0.0081, 0.01), MATERIALS) == pytest.approx(0.72e6, rel=1e-12)
    assert steel_ratio(0.03, 0.03) == 0.02
    assert face_strength(MATERIALS) == pytest.approx(0.5 * 0.6 * (1 - 30 / 250) * 20e6, rel=1e-12)
