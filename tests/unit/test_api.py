"""The functions for scripts: their documentation runs, changes follow the rules of the case files."""

from __future__ import annotations

import doctest
from pathlib import Path

import numpy as np
import pytest

import jackfield
from jackfield import api, open_case, with_springs
from preprocess.errors import InputError

ROOT = Path(__file__).parents[2]


@pytest.fixture(autouse=True)
def at_root(monkeypatch: pytest.MonkeyPatch) -> None:
    """The examples name demo cases as seen from the root of the repository."""
    monkeypatch.chdir(ROOT)


def test_examples_run() -> None:
    found = doctest.testmod(api, optionflags=doctest.ELLIPSIS)
    assert found.failed == 0
    documented = {test.name.rsplit(".", 1)[-1] for test in doctest.DocTestFinder().find(api) if test.examples}
    errors = {"InputError", "NotGiven"}
    assert documented >= set(jackfield.__all__) - errors  # each function has an example
    assert all(issubclass(getattr(jackfield, name), Exception) for name in errors)


def test_changes_are_checked_by_the_rules_of_the_file() -> None:
    with pytest.raises(InputError, match=r"slab\.thickness_mm: got 7: a number from 30 to 1,000 mm"):
        open_case("cases/studio", {"slab.thickness_mm": 7})


def test_changes_without_a_place_are_named_all_at_once() -> None:
    wrong = {"thickness_mm": 100, "equipment.Nobody.mass_kg": 5, "equipment.mass_kg": 5, "slab.a.b": 1}
    with pytest.raises(InputError) as caught:
        open_case("cases/studio", wrong)
    assert [problem.where for problem in caught.value.problems] == [f'"{key}"' for key in wrong]


def test_an_item_is_found_by_name_and_by_number() -> None:
    before = open_case("cases/studio")
    name = before.equipment[0].name
    for key in (f"equipment.{name}.mass_kg", "equipment.1.mass_kg"):
        after = open_case("cases/studio", {key: 123})
        assert after.equipment[0].mass == 123
    assert before.equipment[0].mass != 123


def test_numbers_of_numpy_tuples_and_whole_lists_are_taken() -> None:
    rack = {"name": "Rack", "mass_kg": np.float64(90), "feet_mm": ((1500, 1500), np.array([2000, 1500]))}
    case = open_case("cases/studio", {"slab.thickness_mm": np.int64(110), "equipment": [rack], "finishes": ()})
    assert case.slab.thickness == 0.11
    assert case.equipment[0].feet.tolist() == [[1.5, 1.5], [2.0, 1.5]]
    assert case.finishes == ()


@pytest.mark.parametrize("changes", [["slab.thickness_mm"], {1: 2}])
def test_changes_that_are_no_dictionary_are_refused(changes: object) -> None:
    with pytest.raises(TypeError, match="a dictionary of keys and values"):
        open_case("cases/studio", changes)


def test_a_folder_is_not_a_case() -> None:
    with pytest.raises(TypeError, match="as open_case gives it"):
        api.solve("cases/studio")


def test_springs_and_jacks_that_do_not_exist_are_named() -> None:
    case = open_case("cases/studio")
    with pytest.raises(InputError) as caught:
        with_springs(case, {"nowhere": case.jacks.springs[0].code, case.jacks.ids[0]: "none such"})
    assert len(caught.value.problems) == 2
    assert case.jacks.springs == with_springs(case, {}).jacks.springs


def test_any_mesh_size_that_is_allowed_serves_all_imposed_patterns() -> None:
    """Stripes of imposed load whose corners nearly coincide: cut by some meshes, pieces of them went missing."""
    sizes = {"mesh.size_mm": 1500, "mesh.corner_size_mm": 400, "mesh.jack_size_mm": 400}
    coarse, usual = (api.solve(open_case("cases/studio", changes)).strength for changes in (sizes, {}))
    assert coarse.patterns.keys() == usual.patterns.keys()
    assert coarse.demand.max() == pytest.approx(usual.demand.max(), rel=0.05)  # a mesh of one triangle a span


def test_an_unknown_load_state_is_refused() -> None:
    with pytest.raises(ValueError, match="allowed: bare, service, full"):
        api.solve(open_case("cases/studio")).jack_loads_kN("lifted")
