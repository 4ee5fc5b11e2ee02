"""Trimmer bars as they are drawn: length, number and places against hand calculations."""

from __future__ import annotations

from math import pi, sqrt
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest
from shapely import box

from jackfield.drawings import case_details
from postprocess.fabric.trimmers import Bar, corner_bars
from postprocess.strength.factors import RECOMMENDED
from postprocess.strength.materials import Materials
from postprocess.strength.result import CornerVerdict, Strength
from preprocess.reader import read_case

CASES = Path(__file__).parents[2] / "cases"
BAR = Bar(0.012, 0.85)
PLAN = box(0, 0, 6, 6) - box(3, 3, 6, 6)
"""Its re-entrant corner at (3, 3) opens to the upper right: trimmers run at 135 degrees."""


def corner(number: int, zone: float) -> CornerVerdict:
    return CornerVerdict((3.0, 3.0), -pi / 4, 0.3, zone, {}, {}, 0.0, 0.0, {"bottom": number, "top": 0})


def opened(number: int, zone: float, plan: object = PLAN) -> np.ndarray:
    """Distances of the bars from the corner along the line that halves it, m; all of them lie into the slab."""
    (found,) = corner_bars([corner(number, zone)], "bottom", BAR, plan, 0.02)  # type: ignore[arg-type]
    middles = np.array([line.centroid.coords[0] for line in found.lines]) - 3.0
    np.testing.assert_allclose(middles[:, 0], middles[:, 1], atol=1e-12)
    assert all(line.length == pytest.approx(0.85, rel=1e-12) for line in found.lines)
    return np.asarray(-middles.sum(axis=1) / sqrt(2))


@pytest.mark.parametrize("number", [1, 2, 5, 9])
def test_each_bar_stands_for_its_share_of_the_zone(number: int) -> None:
    np.testing.assert_allclose(opened(number, 0.5), 0.5 / number * (np.arange(number) + 0.5), atol=1e-12)


def test_crowded_bars_keep_apart_and_keep_their_cover() -> None:
    """Eleven bars in 0.5 m: 50 mm apart, the first with 20 mm of concrete beside it."""
    np.testing.assert_allclose(opened(11, 0.5), 0.026 + 0.05 * np.arange(11), atol=1e-12)


def test_corner_without_bars_has_none() -> None:
    assert corner_bars([corner(2, 0.5)], "top", BAR, PLAN, 0.02) == ()


def test_bars_end_where_the_slab_ends() -> None:
    """An edge at x = 2.7 m: at 0.25 m from the corner, a bar that would pass it ends with its axis 26 mm before it."""
    (found,) = corner_bars([corner(1, 0.5)], "bottom", BAR, PLAN & box(2.7, 0, 6, 6), 0.02)
    assert found.shortened == 1
    assert found.lines[0].bounds[0] == pytest.approx(2.726, abs=2e-6)
    assert found.bar.length == 0.85


def test_bars_are_as_long_as_they_are_ordered() -> None:
    """EN 1992-1-1:2004, 8.4.2 and 8.4.3: fbd = 2.25 fctk/1.5 near the bottom, lb,rqd = 12/4 · fyd/fbd, both ways,
    rounded up to 50 mm. fctk,0.05 = 0.7 · 0.3 fck^(2/3) (Table 3.1)."""
    case = read_case(CASES / "weights-room")
    assert case.reinforcement is not None
    fck, fyk = case.slab.concrete.fck, case.reinforcement.fyk
    materials = Materials(fck, fyk, RECOMMENDED)
    known = SimpleNamespace(corners=(corner(3, 0.5),), trimmer_diameter=0.012, materials=materials)
    details = case_details(case, cast("Strength", known))
    fbd = 2.25 * 0.7 * 0.3 * (fck / 1e6) ** (2 / 3) / 1.5
    needed = 2 * 12 / 4 * fyk / 1e6 / 1.15 / fbd
    (bars,) = details.trimmers["bottom"]
    length = 1e3 * bars.bar.length
    assert length % 50 == pytest.approx(0, abs=1e-6)
    assert 0 <= length - needed < 50
    assert not details.no_trimmers


def test_unknown_strength_is_said_where_there_are_corners() -> None:
    assert "not known" in case_details(read_case(CASES / "weights-room")).no_trimmers
    assert case_details(read_case(CASES / "studio")).no_trimmers == ""
