"""Strength combinations against lists worked out by hand from EN 1990, Eq. 6.10 with Table A1.2(B).

Factors recommended there: 1.35 and 1.0 on what is permanent, 1.5 or nothing on what is variable.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from postprocess.strength.combinations import Actions, Combinations, strength_combinations
from postprocess.strength.factors import RECOMMENDED

COLUMNS = ("self-weight", "finishes", "line loads", "equipment", "advance", "imposed")


def as_dict(found: Combinations) -> dict[str, tuple[float, ...]]:
    """Name -> factors; also: no name twice."""
    assert len(set(found.names)) == len(found.names) == len(found) == found.factors.shape[1]
    return {name: tuple(float(f) for f in column) for name, column in zip(found.names, found.factors.T, strict=True)}


def test_columns_in_order() -> None:
    """What is permanent, equipment, screw advances, imposed load everywhere, then the patterns."""
    actions = Actions(("the west", "the east"), equipment_stays=False, has_imposed=True, has_equipment=True)
    assert actions.columns == (*COLUMNS, "the west", "the east")


def test_variable_equipment_and_one_pattern() -> None:
    """Both signs of what is permanent × equipment there or not × imposed load in four ways, and the bare slab."""
    actions = Actions(("the west",), equipment_stays=False, has_imposed=True, has_equipment=True)
    found = as_dict(strength_combinations(actions, RECOMMENDED))
    expected = {"1.35 self-weight": (1.35, 0, 0, 0, 1, 0, 0), "1 self-weight": (1, 0, 0, 0, 1, 0, 0)}
    for g, words in ((1.35, "1.35 permanent"), (1.0, "1 permanent")):
        for e, equipment, gone in ((1.5, " + 1.5 equipment", ""), (0.0, "", ", equipment gone")):
            name = words + equipment
            expected[name + gone] = (g, g, g, e, 1, 0, 0)
            expected[f"{name} + 1.5 imposed everywhere{gone}"] = (g, g, g, e, 1, 1.5, 0)
            expected[f"{name} + 1.5 imposed on the west{gone}"] = (g, g, g, e, 1, 0, 1.5)
            expected[f"{name} + 1.5 imposed on all but the west{gone}"] = (g, g, g, e, 1, 1.5, -1.5)
    assert found == expected


def test_equipment_that_stays() -> None:
    """It goes with what is permanent."""
    actions = Actions((), equipment_stays=True, has_imposed=True, has_equipment=True)
    found = as_dict(strength_combinations(actions, RECOMMENDED))
    assert found == {
        "1.35 self-weight": (1.35, 0, 0, 0, 1, 0),
        "1.35 permanent": (1.35, 1.35, 1.35, 1.35, 1, 0),
        "1.35 permanent + 1.5 imposed everywhere": (1.35, 1.35, 1.35, 1.35, 1, 1.5),
        "1 self-weight": (1, 0, 0, 0, 1, 0),
        "1 permanent": (1, 1, 1, 1, 1, 0),
        "1 permanent + 1.5 imposed everywhere": (1, 1, 1, 1, 1, 1.5),
    }


def test_neither_imposed_load_nor_equipment() -> None:
    """What is left are the slab and what lies on it for good, each with both factors."""
    actions = Actions((), equipment_stays=False, has_imposed=False, has_equipment=False)
    found = as_dict(strength_combinations(actions, RECOMMENDED))
    assert {name: factors[:3] for name, factors in found.items()} == {
        "1.35 self-weight": (1.35, 0, 0),
        "1.35 permanent": (1.35, 1.35, 1.35),
        "1 self-weight": (1, 0, 0),
        "1 permanent": (1, 1, 1),
    }


def test_no_imposed_load() -> None:
    """Equipment that comes and goes is there or not."""
    actions = Actions((), equipment_stays=False, has_imposed=False, has_equipment=True)
    found = as_dict(strength_combinations(actions, RECOMMENDED))
    assert {name: factors[3] for name, factors in found.items() if "self-weight" not in name} == {
        "1.35 permanent + 1.5 equipment": 1.5,
        "1.35 permanent, equipment gone": 0,
        "1 permanent + 1.5 equipment": 1.5,
        "1 permanent, equipment gone": 0,
    }


def test_values_of_a_country() -> None:
    """Each factor where it belongs, and in the names."""
    values = replace(RECOMMENDED, gamma_g=1.2, gamma_g_favourable=0.9, gamma_q=1.6)
    actions = Actions(("the west",), equipment_stays=False, has_imposed=True, has_equipment=True)
    found = as_dict(strength_combinations(actions, values))
    assert found["1.2 permanent + 1.6 equipment + 1.6 imposed on all but the west"] == (
        1.2, 1.2, 1.2, 1.6, 1, 1.6, -1.6,
    )  # fmt: skip
    assert found["0.9 permanent + 1.6 imposed on the west, equipment gone"] == (0.9, 0.9, 0.9, 0, 1, 0, 1.6)
    assert found["0.9 self-weight"] == (0.9, 0, 0, 0, 1, 0, 0)
    assert len(found) == 18


@pytest.mark.parametrize("equipment_stays", [False, True])
def test_many_patterns(equipment_stays: bool) -> None:
    """28 patterns: every name once, screw advances always as they are, and load on a pattern and on all but it
    make up the load everywhere, whatever the columns do. Rounding.
    """
    patterns = tuple(f"bay {i}" for i in range(28))
    actions = Actions(patterns, equipment_stays=equipment_stays, has_imposed=True, has_equipment=True)
    combinations = strength_combinations(actions, RECOMMENDED)
    found = {name: np.array(factors) for name, factors in as_dict(combinations).items()}
    assert len(found) == 2 * (1 + (1 if equipment_stays else 2) * (2 + 2 * 28))
    np.testing.assert_array_equal(combinations.factors[COLUMNS.index("advance")], 1.0)
    effects = np.random.default_rng(3).normal(size=len(actions.columns))
    start = "1.35 permanent" if equipment_stays else "1.35 permanent + 1.5 equipment"
    whole = (found[f"{start} + 1.5 imposed everywhere"] + found[start]) @ effects
    for name in patterns:
        on, off = (found[f"{start} + 1.5 imposed on {words}{name}"] for words in ("", "all but "))
        assert on[len(COLUMNS) + patterns.index(name)] == 1.5
        assert (on + off) @ effects == pytest.approx(whole, rel=1e-12)


def test_one_factor_for_all_that_is_permanent() -> None:
    """A case may set gamma_g = 1, as the favourable factor: no combination twice."""
    actions = Actions((), equipment_stays=False, has_imposed=True, has_equipment=True)
    as_dict(strength_combinations(actions, replace(RECOMMENDED, gamma_g=1.0)))
