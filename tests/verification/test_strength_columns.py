"""Load columns superposed against solutions of whole states, against statics by hand, and against young concrete.

A source is not needed: the theory is linear, so sums of solutions are solutions. Tolerance, unless another is given:
1e-6 of the largest value, as columns are solved to some 1e-9 and then summed; a wrong factor would be off by percents.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from jackfield.load_columns import LoadColumns, bare_at, solve_columns, state_columns
from jackfield.pipeline import Solution, solve
from postprocess.strength.combinations import ADVANCE, EQUIPMENT, IMPOSED, PERMANENT
from preprocess.case import Case, MeshSettings
from preprocess.floor import build_floor
from preprocess.loads import applied_loads
from preprocess.patterns import Pattern, imposed_patterns
from preprocess.reader import read_case

Floats = NDArray[np.float64]

CLOSE = 1e-6
COARSE = MeshSettings(1.2, None, 1.2)
"""Superposition holds on any mesh."""
POINTS = np.random.default_rng(21).uniform([0.05, 0.05], [8.95, 5.95], (60, 2))


def write(folder: Path, files: dict[str, str], **changes: tuple[str, str]) -> Path:
    """The small case with screws of its jacks turned by −4 to 4 mm, and texts of case.toml changed."""
    folder.mkdir()
    head, *rows = files["jacks.csv"].split()
    turned = [f"{row},{(7 * i) % 9 - 4}" for i, row in enumerate(rows)]
    text = files["case.toml"]
    for old, new in changes.values():
        assert old in text
        text = text.replace(old, new)
    (folder / "case.toml").write_text(text, encoding="utf-8")
    (folder / "springs.toml").write_text(files["springs.toml"], encoding="utf-8")
    (folder / "jacks.csv").write_text("\n".join([f"{head},advance_mm", *turned]) + "\n", encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory, small_case_files: dict[str, str]) -> Case:
    folder = write(tmp_path_factory.mktemp("columns") / "small", small_case_files)
    return replace(read_case(folder), mesh=COARSE)


@pytest.fixture(scope="module")
def solution(case: Case) -> Solution:
    return solve(build_floor(case))


@pytest.fixture(scope="module")
def columns(solution: Solution) -> LoadColumns:
    return solve_columns(solution.floor, solution.factor)


def close(found: Floats, expected: Floats) -> None:
    """To CLOSE of the largest size."""
    np.testing.assert_allclose(found, expected, rtol=0, atol=CLOSE * np.abs(expected).max())


def patterns_of(case: Case) -> tuple[Pattern, ...]:
    """The patterns for ℓ = (D/k″)^¼, with D = E h³/(12 (1 − ν²)) and the springs' rate over the slab's area."""
    slab, jacks = case.slab, case.jacks
    rigidity = slab.modulus * slab.thickness**3 / (12 * (1 - slab.poissons_ratio**2))
    length = (rigidity / (jacks.rates.sum() / slab.plan.area)) ** 0.25
    return imposed_patterns(slab.plan, jacks.xy, length)


def test_the_three_states(case: Case, solution: Solution, columns: LoadColumns) -> None:
    """Bare, service and full from single loads and screw advances: moments anywhere, jack loads, forces of feet."""
    moments = columns.bending.moments(POINTS)
    whole = solution.bending.moments(POINTS)
    factors = state_columns(case, columns.actions)
    assert list(factors) == list(solution.states)
    for i, (name, state) in enumerate(solution.states.items()):
        close(moments @ factors[name], whole[:, :, i])
        forces = columns.bending.magnitudes @ factors[name]
        close(-forces[: len(case.jacks)], state.jack_load)
        np.testing.assert_allclose(forces[len(case.jacks) :], solution.bending.magnitudes[len(case.jacks) :, i])


def test_factors_of_the_states(case: Case, columns: LoadColumns) -> None:
    """Bare: the slab; service: all, imposed by a tenth; full: all. Screw advances always, patterns never."""
    names = columns.actions.columns
    for state, others, imposed in (("bare", 0.0, 0.0), ("service", 1.0, 0.1), ("full", 1.0, 1.0)):
        expected = dict.fromkeys(names, 0.0) | dict.fromkeys((*PERMANENT, EQUIPMENT), others)
        expected |= {"self-weight": 1.0, ADVANCE: 1.0, IMPOSED: imposed}
        np.testing.assert_array_equal(state_columns(case, columns.actions)[state], list(expected.values()))


def test_each_column_stands_in_balance(case: Case, columns: LoadColumns) -> None:
    """Jack loads balance each load alone in force and in both moments: weights and areas by hand from the plan. The
    screw advances have none: their jack loads cancel out. To 1e-6 of the load (advances: of the largest jack load).
    """
    arms = np.column_stack([np.ones(len(case.jacks)), case.jacks.xy])
    reaction = dict(
        zip(columns.actions.columns, (-columns.bending.magnitudes[: len(case.jacks)].T @ arms), strict=True)
    )
    loads = {name: np.zeros(3) for name in columns.actions.columns}
    for load in applied_loads(case):
        loads[load.pattern] += load.resultant
    patterns = patterns_of(case)
    assert tuple(pattern.name for pattern in patterns) == columns.actions.patterns
    for pattern in patterns:
        centre = shapely.get_coordinates(shapely.centroid(pattern.shape))[0]
        loads[pattern.name] = 5e3 * pattern.shape.area * np.array([1.0, *centre])
    for name, load in loads.items():
        if name != ADVANCE:
            np.testing.assert_allclose(reaction[name], load, rtol=CLOSE, atol=CLOSE * load[0])
            assert load[0] > 100
    advance = columns.bending.magnitudes[: len(case.jacks), columns.actions.columns.index(ADVANCE)]
    assert np.abs(advance).max() > 100
    assert np.abs(reaction[ADVANCE]).max() < CLOSE * np.abs(advance).max() * len(case.jacks)


def test_patterns_against_a_solution_of_their_own(
    case: Case, columns: LoadColumns, tmp_path: Path, small_case_files: dict[str, str]
) -> None:
    """The largest pattern, laid on the slab as finishes on its parts instead: a column of another case. Its parts are
    written in mm, so the case takes them to 1e-6 mm, 1e-8 of their size.
    """
    areas = {
        pattern.name: pattern.shape
        for pattern in patterns_of(case)
        if not any(part.interiors for part in shapely.get_parts(pattern.shape))
    }
    name = max(areas, key=lambda pattern: areas[pattern].area)
    tables = [
        f'[[finishes]]\nname = "part {i}"\npressure_kpa = 5.0\noutline_mm = '
        + str([[round(1e3 * x, 6), round(1e3 * y, 6)] for x, y in part.exterior.coords[:-1]])
        for i, part in enumerate(shapely.get_parts(areas[name]))
    ]
    text = small_case_files["case.toml"]
    old = text[text.index("[[finishes]]") : text.index("[[equipment]]")]
    other = read_case(write(tmp_path / "laid", small_case_files, finishes=(old, "\n\n".join(tables) + "\n\n")))
    floor = build_floor(replace(other, mesh=COARSE))
    laid = solve_columns(floor, floor.model.factor(other.jacks.rates))
    index, alone = columns.actions.columns.index(name), laid.actions.columns.index("finishes")
    close(columns.bending.moments(POINTS)[:, :, index], laid.bending.moments(POINTS)[:, :, alone])
    close(columns.bending.magnitudes[:, index], laid.bending.magnitudes[:, alone])


def test_only_equipment_presses_on_feet(case: Case, columns: LoadColumns) -> None:
    """Four feet of 840 kg: 2059.4 N each, in that column alone."""
    feet = columns.bending.magnitudes[len(case.jacks) :]
    index = columns.actions.columns.index(EQUIPMENT)
    np.testing.assert_allclose(feet[:, index], 840 * 9.80665 / 4)
    assert np.abs(np.delete(feet, index, axis=1)).max() == 0


@pytest.mark.parametrize("age", [1.0, 4.0])
def test_bare_slab_of_young_concrete(
    age: float, solution: Solution, case: Case, tmp_path: Path, small_case_files: dict[str, str]
) -> None:
    """The same as a case whose modulus is that of the age, Ecm(t) = Ecm βcc(t)^0.3 (EN 1992-1-1, Eq. 3.5): moments and
    jack loads of its bare state, screw advances included. Its modulus is written with all digits.
    """
    modulus = case.slab.modulus * float(np.exp(0.25 * (1 - np.sqrt(28 / age)))) ** 0.3
    found = bare_at(solution.floor, modulus)
    softer = write(
        tmp_path / "young",
        small_case_files,
        modulus=("poissons_ratio = 0.2", f"poissons_ratio = 0.2\nmodulus_gpa = {modulus / 1e9!r}"),
    )
    expected = solve(build_floor(replace(read_case(softer), mesh=COARSE)))
    close(found.moments(POINTS)[:, :, 0], expected.bending.moments(POINTS)[:, :, 0])
    close(-found.magnitudes[: len(case.jacks), 0], expected.states["bare"].jack_load)
    change = np.abs(found.moments(POINTS)[:, :, 0] - solution.bending.moments(POINTS)[:, :, 0])
    assert change.max() > 0.01 * np.abs(solution.bending.moments(POINTS)[:, :, 0]).max(), "the modulus matters"


def test_without_imposed_load(tmp_path: Path, small_case_files: dict[str, str]) -> None:
    """No patterns, and the columns of what is not there are empty."""
    text = small_case_files["case.toml"]
    old = text[text.index("[imposed]") : text.index("[target]")]
    case = replace(read_case(write(tmp_path / "plain", small_case_files, imposed=(old, ""))), mesh=COARSE)
    floor = build_floor(case)
    columns = solve_columns(floor, floor.model.factor(case.jacks.rates))
    assert columns.actions.patterns == ()
    assert not columns.actions.has_imposed
    moments = columns.bending.moments(POINTS)
    assert np.abs(moments[:, :, columns.actions.columns.index(IMPOSED)]).max() < 1e-9 * np.abs(moments).max()
