"""From a case to load patterns, mass and jack rows."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fem.gravity import GRAVITY
from preprocess.floor import Floor, build_floor
from preprocess.loads import PATTERNS, applied_loads, state_factors
from preprocess.reader import read_case


@pytest.fixture(scope="module")
def floor(tmp_path_factory: pytest.TempPathFactory, small_case_files: dict[str, str]) -> Floor:
    """The small case on its default mesh."""
    folder = tmp_path_factory.mktemp("cases") / "small"
    folder.mkdir()
    for name, text in small_case_files.items():
        (folder / name).write_text(text, encoding="utf-8")
    return build_floor(read_case(folder))


HAND = {
    "self-weight": 9 * 6 * 0.125 * 2500 * GRAVITY,
    "finishes": 9 * 6 * 300 + 2 * 2 * 500,
    "equipment": (840 + 600) * GRAVITY,
    "line loads": 800 * (1.2 + 3.0),
    "imposed": 9 * 6 * 5000,
}
"""Forces of the small case by hand, N."""


def test_resultants_by_hand(floor: Floor) -> None:
    """Weights and the places where they act, from the numbers of the case."""
    np.testing.assert_allclose(floor.resultants[0], [HAND[name] for name in PATTERNS], rtol=1e-12)
    equipment = floor.resultants[1:, PATTERNS.index("equipment")] / GRAVITY
    np.testing.assert_allclose(equipment, [840 * 1.6 + 600 * 5.0, 840 * 3.8 + 600 * 1.75], rtol=1e-12)
    lines = floor.resultants[1:, PATTERNS.index("line loads")]
    np.testing.assert_allclose(lines, [800 * (1.2 * 3 + 3 * 1.5), 800 * (1.2 * 5.4 + 3 * 4.8)], rtol=1e-12)


def test_load_vectors_carry_these_resultants(floor: Floor) -> None:
    """Force and moments of the vectors on the mesh equal those of plan geometry; rounding."""
    rigid = floor.model.space.rigid_motions()
    np.testing.assert_allclose(rigid.T @ floor.patterns, floor.resultants, rtol=1e-9)


def test_mass_is_weight_without_imposed_load(floor: Floor) -> None:
    rigid = floor.model.space.rigid_motions()
    first = rigid.T @ (floor.model.mass @ rigid[:, 0])
    permanent = floor.resultants[:, :4].sum(axis=1)
    np.testing.assert_allclose(first, permanent / GRAVITY, rtol=1e-9)


def test_concentrated_forces(floor: Floor) -> None:
    """Jacks push up by their loads, feet press down by the share of the equipment in each column. A square of side a
    and its disc have one polar second moment: a²/6 = c²/2 (both in closed form)."""
    loads = np.random.default_rng(0).uniform(1e3, 2e3, (35, 3))
    found = floor.magnitudes(loads, np.array([0.0, 1.0, 1.0]))
    np.testing.assert_array_equal(found[:35], -loads)
    np.testing.assert_allclose(found[35:], 840 / 4 * GRAVITY * np.array([[0, 1, 1]] * 4), rtol=1e-12)
    np.testing.assert_allclose(floor.concentrated.radius[35:] ** 2 / 2, 0.100**2 / 6, rtol=1e-12)
    np.testing.assert_allclose(floor.concentrated.radius[:35], 0.075)
    edge = floor.concentrated.reach[0]
    assert edge == pytest.approx(0.45, rel=1e-6), "the first jack is 450 mm from two edges"
    rows = floor.footprint_rows() @ floor.model.space.rigid_motions()
    np.testing.assert_allclose(rows[:, 1:], floor.concentrated.xy, atol=1e-9)


def test_states(floor: Floor) -> None:
    factors = state_factors(floor.case)
    assert list(factors) == ["bare", "service", "full"]
    np.testing.assert_array_equal(factors["service"], [1, 1, 1, 1, 0.1])
    totals = floor.resultants[0] @ floor.state_matrix()
    permanent = sum(HAND[name] for name in PATTERNS[:4])
    expected = [HAND["self-weight"], permanent + 0.1 * HAND["imposed"], permanent + HAND["imposed"]]
    np.testing.assert_allclose(totals, expected, rtol=1e-12)


def test_refined_floor_is_the_same_case_on_a_finer_mesh(floor: Floor) -> None:
    fine = floor.refined()
    assert len(fine.model.space.mesh.triangles) == 4 * len(floor.model.space.mesh.triangles)
    np.testing.assert_allclose(fine.resultants, floor.resultants, rtol=1e-14)
    assert "jacks      35" in repr(fine)


def test_no_imposed_load_leaves_an_empty_pattern(floor: Floor) -> None:
    case = replace(floor.case, imposed=replace(floor.case.imposed, pressure=0.0))
    assert "imposed" not in {load.pattern for load in applied_loads(case)}


def test_small_case_fixture_is_the_one_computed_by_hand(small_case: Path) -> None:
    assert read_case(small_case).slab.mass == pytest.approx(HAND["self-weight"] / GRAVITY)
