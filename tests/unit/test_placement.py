"""What stands on the slab must stand on it wholly."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import Polygon

from preprocess.jack_list import JackRow
from preprocess.placement import (
    area_problems,
    foot_problems,
    foot_spacing_problems,
    jack_plan_problems,
    jack_spacing_problems,
    jack_support_problems,
    path_problems,
)

PLAN = Polygon([(0, 0), (9, 0), (9, 6), (0, 6)], [[(4, 2), (5, 2), (5, 3), (4, 3)]])
FOOTPRINT = 0.150


def jack(number: int, x_mm: float, y_mm: float) -> JackRow:
    return JackRow(number + 1, f"J{number}", x_mm, y_mm, "A7", 0.0)


@pytest.mark.parametrize(
    ("x_mm", "y_mm", "fault"),
    [
        (9500, 3000, "(9500, 3000) mm, off the slab"),
        (4500, 2500, "(4500, 2500) mm, in an opening"),
        (50, 3000, "(50, 3000) mm, footprint 50 mm from an edge or opening"),
        (3950, 2500, "(3950, 2500) mm, footprint 50 mm from an edge or opening"),
        (74.99, 3000, "footprint 74.99 mm from an edge or opening"),
        (0, 0, "footprint 0 mm from an edge or opening"),
    ],
)
def test_jacks_that_are_not_wholly_on_the_slab(x_mm: float, y_mm: float, fault: str) -> None:
    rows = [jack(1, 1000, 1000), jack(2, x_mm, y_mm)]
    [problem] = jack_plan_problems(PLAN, rows, FOOTPRINT, "jacks.csv")
    assert problem.where == 'row 3, jack "J2"'
    assert fault in problem.value
    assert "75 mm (half of jacks.footprint_mm) clear" in problem.allowed


def test_footprint_may_touch_an_edge() -> None:
    rows = [jack(1, 75, 75), jack(2, 8925, 5925), jack(3, 3925, 2500)]
    assert jack_plan_problems(PLAN, rows, FOOTPRINT, "jacks.csv") == []


def test_jacks_on_one_spot() -> None:
    rows = [jack(1, 1000, 1000), jack(2, 2000, 1000), jack(3, 1000, 1000), jack(4, 2000, 1149)]
    first, second = jack_spacing_problems(rows, FOOTPRINT, "jacks.csv")
    assert str(first).startswith(
        'jacks.csv: row 4, jack "J3": got (1000, 1000) mm, 0 mm from the jack of row 2: '
    )
    assert str(second).startswith(
        'jacks.csv: row 5, jack "J4": got (2000, 1149) mm, 149 mm from the jack of row 3'
    )
    assert "150 mm or more apart" in second.allowed


def test_touching_footprints_are_fine() -> None:
    assert jack_spacing_problems([jack(1, 1000, 1000), jack(2, 1150, 1000)], FOOTPRINT, "jacks.csv") == []


@pytest.mark.parametrize(
    ("spots", "fault"),
    [
        ([], "0 jacks"),
        ([(1000, 1000)], "1 jack"),
        ([(1000, 1000), (2000, 2000)], "2 jacks"),
        ([(1000, 1000), (2000, 2000), (4000, 4000)], "3 jacks in one line"),
        ([(1000, 1000), (1000, 2000), (1000.4, 4000)], "3 jacks in one line"),
    ],
)
def test_jacks_that_cannot_hold_a_floor(spots: list[tuple[float, float]], fault: str) -> None:
    rows = [jack(number, *spot) for number, spot in enumerate(spots, start=1)]
    [problem] = jack_support_problems(rows, "jacks.csv")
    assert problem.value == fault
    assert "three jacks" in problem.allowed


def test_three_jacks_in_a_triangle_hold_a_floor() -> None:
    assert jack_support_problems([jack(1, 0, 0), jack(2, 1000, 0), jack(3, 0, 1000)], "jacks.csv") == []


def test_rows_without_usable_place_are_passed_over() -> None:
    rows = [jack(1, np.nan, 1000), jack(2, 2000, np.nan), jack(3, 2000, 1000)]
    assert jack_plan_problems(PLAN, rows, FOOTPRINT, "jacks.csv") == []
    assert jack_spacing_problems(rows, FOOTPRINT, "jacks.csv") == []
    assert jack_support_problems(rows, "jacks.csv") == []


@pytest.mark.parametrize(
    ("centre", "fault"),
    [
        ((9.5, 3), "(9500, 3000) mm, pad off the slab"),
        ((4.5, 2.5), "(4500, 2500) mm, pad off the slab"),
        ((0.04, 3), "(40, 3000) mm, pad over an edge or opening"),
        ((4, 2.5), "(4000, 2500) mm, pad over an edge or opening"),
    ],
)
def test_feet_off_the_slab(centre: tuple[float, float], fault: str) -> None:
    feet = np.array([(1.0, 1.0), centre])
    where = ["foot 1", "foot 2"]
    [problem] = foot_problems(PLAN, feet, 0.1, "case.toml", where)
    assert problem.where == "foot 2"
    assert problem.value == fault
    assert "100 mm square" in problem.allowed


def test_feet_may_touch_edges() -> None:
    feet = np.array([(0.05, 0.05), (8.95, 5.95), (3.95, 2.5)])
    assert foot_problems(PLAN, feet, 0.1, "case.toml", ["1", "2", "3"]) == []


def test_pads_on_one_spot_or_overlapping() -> None:
    feet = np.array([(1, 1), (2, 1), (1, 1), (2.06, 1.09), (5, 5)], dtype=float)
    first, second = foot_spacing_problems(feet, 0.1, "case.toml", ["foot 1", "foot 2", "foot 3", "foot 4", "foot 5"])
    allowed = "feet at least foot_mm, 100 mm, apart in x or in y; pads may touch, not overlap"
    assert str(first) == f"case.toml: foot 3: got (1000, 1000) mm, pad over that of foot 1: {allowed}"
    assert str(second) == f"case.toml: foot 4: got (2060, 1090) mm, pad over that of foot 2: {allowed}"


@pytest.mark.parametrize("other", [(1.1, 1), (1, 0.9), (1.1, 1.1), (0.9, 1.05), (1.1 - 5e-7, 1)])
def test_pads_may_touch(other: tuple[float, float]) -> None:
    assert foot_spacing_problems(np.array([(1, 1), other]), 0.1, "case.toml", ["1", "2"]) == []


@pytest.mark.parametrize(
    ("corners", "fault"),
    [
        ([(8, 1), (10, 1), (10, 2), (8, 2)], "partly off the slab near (9500, 1500) mm"),
        ([(3, 1), (6, 1), (6, 4), (3, 4)], "partly off the slab near (4500, 2500) mm"),
        ([(10, 1), (11, 1), (11, 2), (10, 2)], "off the slab near (10500, 1500) mm"),
    ],
)
def test_areas_off_the_slab(corners: list[tuple[float, float]], fault: str) -> None:
    [problem] = area_problems(PLAN, np.array(corners, dtype=float), "case.toml", "here")
    assert problem.value == fault


def test_area_may_be_the_whole_outline_of_a_slab_without_openings() -> None:
    whole = np.array([(0, 0), (9, 0), (9, 6), (0, 6)], dtype=float)
    assert area_problems(Polygon(whole), whole, "case.toml", "here") == []


@pytest.mark.parametrize(
    ("path", "fault"),
    [
        ([(1, 1), (1, 7)], "partly off the slab near"),
        ([(3, 2.5), (6, 2.5)], "partly off the slab near (4"),
        ([(1, 7), (2, 7)], "off the slab near"),
    ],
)
def test_lines_off_the_slab(path: list[tuple[float, float]], fault: str) -> None:
    [problem] = path_problems(PLAN, np.array(path, dtype=float), "case.toml", "here")
    assert fault in problem.value


def test_line_may_follow_the_edge() -> None:
    assert path_problems(PLAN, np.array([(0, 0), (9, 0), (9, 6)], dtype=float), "case.toml", "here") == []


def test_line_that_stands_still() -> None:
    [problem] = path_problems(PLAN, np.array([(1, 1), (2, 1), (2, 1)], dtype=float), "case.toml", "here")
    assert str(problem) == "case.toml: here, point 3: got (2000, 1000) mm: another point than the one before"


def test_line_that_stands_still_is_found_without_a_plan() -> None:
    still, moving = np.array([(1, 1), (1, 1)], dtype=float), np.array([(1, 1), (99, 1)], dtype=float)
    assert [problem.where for problem in path_problems(None, still, "case.toml", "here")] == ["here, point 2"]
    assert path_problems(None, moving, "case.toml", "here") == []
