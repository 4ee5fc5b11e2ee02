"""Rules for setting out that cannot be kept are refused by name, with what was received and what is allowed."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import Polygon, box

from preprocess.case import JackLine, NoJackZone
from preprocess.setout.rules import rule_problems
from tests.unit.setout_plans import FURNISHED, OTHERS, RECTILINEAR, some_rules

RULES = some_rules()
PLAN = box(0, 0, 9, 6)


@pytest.mark.parametrize("name", [*RECTILINEAR, *OTHERS])
def test_sound_rules_pass(name: str) -> None:
    assert rule_problems({**RECTILINEAR, **OTHERS}[name], RULES, housing=0.2) == []


def test_sound_lines_and_zones_pass() -> None:
    assert rule_problems(*FURNISHED, housing=0.2) == []


@pytest.mark.parametrize(("changed", "housing", "where", "value"), [
    ({"least_spacing": 1.5}, 0.2, "setout.least_spacing_mm", "1500"),
    ({"least_spacing": 1.0}, 0.2, "setout.least_spacing_mm", "1000"),  # above 1400/√2 = 990
    ({"least_edge": 0.5}, 0.2, "setout.least_edge_mm", "500"),
    ({"least_edge": 0.09}, 0.2, "setout.least_edge_mm", "90"),
    ({"least_spacing": 0.15}, 0.2, "setout.least_spacing_mm", "150"),
    ({"greatest_spacing": 0.0}, 0.2, "setout.greatest_spacing_mm", "0"),
    ({"greatest_overhang": float("nan")}, 0.2, "setout.greatest_overhang_mm", "nan"),
])
def test_contradictory_lengths(changed: dict[str, float], housing: float, where: str, value: str) -> None:
    problems = rule_problems(PLAN, replace(RULES, **changed), housing)
    assert [(problem.where, problem.value) for problem in problems] == [(where, value)]
    assert problems[0].file == "case.toml"
    assert problems[0].allowed


def test_plan_too_narrow_for_one_row() -> None:
    problems = rule_problems(box(0, 0, 9, 0.4), RULES)
    assert [problem.where for problem in problems] == ["slab.outline_mm"]


def test_arm_too_narrow_for_a_jack() -> None:
    """An arm 0.4 m wide and 3 m long: its end is 3 m from where a jack may stand."""
    plan = Polygon([(0, 0), (6, 0), (6, 2), (9, 2), (9, 2.4), (6, 2.4), (6, 5), (0, 5)])
    problems = rule_problems(plan, RULES)
    assert [problem.where for problem in problems] == ["slab.outline_mm"]
    assert "too narrow" in problems[0].allowed


def test_zones_that_take_all_room() -> None:
    problems = rule_problems(PLAN, some_rules(zones=[NoJackZone("all", box(-1, -1, 10, 10))]))
    assert len(problems) == 1
    assert '"all"' in problems[0].value


def test_zone_too_large_to_reach_over() -> None:
    """The middle of a zone 3 × 3 m is 1.5 m from its border, more than 0.99 m."""
    problems = rule_problems(PLAN, some_rules(zones=[NoJackZone("pool", box(3, 1, 6, 4))]))
    assert len(problems) == 1
    assert '"pool"' in problems[0].allowed


@pytest.mark.parametrize(("path", "spacing", "said"), [
    ([[1, 3], [12, 3]], 1.2, "off the slab"),
    ([[1, 0.1], [8, 0.1]], 1.2, "no place for a jack"),
    ([[1, 3], [8, 3]], 0.5, "spacing 500"),
    ([[4.2, 3], [4.8, 3]], 1.2, "no place for a jack on it"),
    ([[2, 3], [8, 3]], 1.2, "no place for a jack over"),
    ([[2, 2], [2, 2]], 1.2, "points on one spot"),
])
def test_lines_without_room_for_jacks(path: list[list[float]], spacing: float, said: str) -> None:
    zone = NoJackZone("pit", box(4, 2.5, 5.5, 3.5))
    rules = some_rules([JackLine("wall", np.array(path, dtype=float), spacing)], [zone])
    problems = rule_problems(PLAN, rules)
    assert len(problems) == 1
    assert said in problems[0].value
    assert '"wall"' in problems[0].where
