"""Spot heights of the structural floor: what the file may hold, and what lies between the spots."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.interpolate import RegularGridInterpolator
from shapely import box

from preprocess.case import FloorHeights
from preprocess.errors import InputError
from preprocess.floor_heights import read_floor_heights
from preprocess.reader import read_case

HEADER = "x_mm,y_mm,height_mm\n"
PLAN = box(0, 0, 9, 6)


def messages(text: str) -> list[str]:
    return [str(problem) for problem in read_floor_heights(text, "floor.csv", PLAN)[1]]


def heights_on(x: list[float], y: list[float], height: np.ndarray) -> FloorHeights:
    columns, rows = np.meshgrid(x, y)
    return FloorHeights(np.column_stack([columns.ravel(), rows.ravel()]), height.ravel(), "follows")


def test_a_plane_is_met_everywhere_within() -> None:
    """Linear interpolation is exact on a plane, also on the edges of the hull. 1e-9 of the width is moved inward."""
    rng = np.random.default_rng(3)
    datum = np.array([400, -300])
    xy = datum + np.vstack([rng.uniform(0, 9, (60, 2)), [(0, 0), (9, 0), (9, 9), (0, 9)]])
    floor = FloorHeights(xy, 0.02 + xy @ [1e-3, -2e-3], "follows")
    points = datum + np.vstack([rng.uniform(0, 9, (200, 2)), [(0, 0), (4.5, 0), (9, 3.3), (9, 9)]])
    np.testing.assert_allclose(floor.at(points), 0.02 + points @ [1e-3, -2e-3], atol=1e-9)


def test_one_triangle_by_barycentric_coordinates() -> None:
    """Heights 0, 3 and 6 mm at three corners: at (0.2, 0.5) of the sides 0.2 · 3 + 0.5 · 6 = 3.6 mm. Rounding."""
    floor = FloorHeights(np.array([(0.0, 0.0), (2.0, 0.0), (0.0, 4.0)]), np.array([0, 0.003, 0.006]), "plane")
    np.testing.assert_allclose(floor.at(np.array([(0.4, 2.0)])), 0.0036, rtol=1e-12)


def test_beyond_the_spots_heights_are_those_of_the_nearest_place() -> None:
    """A square of 1 m with a slope along x: left and right its edges' heights, above and below the slope's own."""
    floor = heights_on([0, 1], [0, 1], np.array([[0, 0.01], [0, 0.01]]))
    points = np.array([(-3, 0.5), (4, 0.2), (0.3, 2), (0.7, -5), (2, 2)])
    np.testing.assert_allclose(floor.at(points), [0, 0.01, 0.003, 0.007, 0.01], atol=1e-9)


def test_against_linear_interpolation_on_a_grid() -> None:
    """scipy's interpolator for grids agrees along the lines of the grid, where diagonals do not matter. Rounding."""
    x, y = [0.0, 2.0, 5.0, 9.0], [0.0, 1.5, 6.0]
    height = np.random.default_rng(5).uniform(-0.01, 0.01, (3, 4))
    along = np.linspace(0, 9, 37)
    points = np.vstack([np.column_stack([along, np.full(37, level)]) for level in y])
    reference = RegularGridInterpolator((y, x), height)(points[:, ::-1])
    np.testing.assert_allclose(heights_on(x, y, height).at(points), reference, atol=1e-9)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ["row 1: got nothing: columns x_mm,y_mm,height_mm"]),
        ("x_mm;y_mm;height_mm\n", ["row 1: got cells separated by semicolons"]),
        ("x_mm,y_mm\n0,0\n", ["row 1, column height_mm: required, but missing"]),
        (HEADER, ["column height_mm: got 0 heights: heights at three points or more"]),
        (HEADER + "0,0,1\n9000,0,2\n", ["column height_mm: got 2 heights"]),
        (HEADER + "0,0,1\n3000,0,2\n6000,50,3\n", ["column height_mm: got 3 heights in one line"]),
        (HEADER + "0,0,1\n9000,0\n0,6000,3\n", ["row 3: got 2 cells: 3 cells, as in row 1"]),
        (HEADER + "0,0,low\n9000,0,2\n0,6000,3\n", ["row 2, column height_mm: got 'low': a number in mm"]),
        (HEADER + "0,0,nan\n9000,0,2\n0,6000,\n", ["row 2, column height_mm: got 'nan'", "row 4: got 2 cells"]),
        (HEADER + "0,0,1\n9000,0,2\n0,6000,3\n14001,0,1\n", ["row 5: got (14001, 0) mm: at most 5 m off the slab"]),
        (HEADER + "0,0,1\n9000,0,2\n0,6000,3\n5,5,1\n", ["row 5: got (5, 5) mm: each point once; row 2 has it"]),
        (HEADER + "0,0,1\n9000,0,-99.5\n0,6000,3\n", ["got -99.5 in row 3 and 3 in row 4: heights in mm above one"]),
    ],
)
def test_refusals(text: str, expected: list[str]) -> None:
    found = messages(text)
    assert len(found) == len(expected)
    for message, part in zip(sorted(found), sorted(expected), strict=True):
        assert message.startswith("floor.csv: ")
        assert part in message


def test_more_heights_than_are_read() -> None:
    rows = "".join(f"{number % 9000},{number // 9000},1\n" for number in range(10_001))
    assert messages(HEADER + rows) == ["floor.csv: rows: got 10,001 heights: at most 10,000 heights"]


def with_heights(folder: Path, text: str) -> None:
    (folder / "floor.csv").write_text(text, encoding="utf-8")
    path = folder / "case.toml"
    lift = 'floor_heights = "floor.csv"\nunderside = "plane"\nage_days = 4'
    path.write_text(path.read_text(encoding="utf-8").replace("age_days = 4", lift), encoding="utf-8")


def test_a_case_with_an_uneven_floor_in_metres(small_case: Path) -> None:
    with_heights(small_case, HEADER + "0,0,1\n9000,0,-2\n0,6000,30.5\n")
    lift = read_case(small_case).lift
    assert lift is not None
    assert lift.floor is not None
    assert lift.floor.underside == "plane"
    assert lift.floor.xy.tolist() == [[0, 0], [9, 0], [0, 6]]
    assert lift.floor.height.tolist() == [0.001, -0.002, 0.0305]


def test_problems_of_the_heights_stand_beside_those_of_the_case(small_case: Path) -> None:
    with_heights(small_case, HEADER + "0,0,1\n9000,0,x\n0,6000,30.5\n")
    path = small_case / "case.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("pitch_mm = 3.0", "pitch_mm = 0"), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_case(small_case)
    assert [problem.where for problem in caught.value.problems] == ["lift.pitch_mm", "row 3, column height_mm"]
