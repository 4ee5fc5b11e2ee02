"""The wiring from a case to its papers: each number comes from where its name says."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from fem.sampling import Sampler
from jackfield.papers import floor_view, jack_schedule
from jackfield.pipeline import Solution, check_mesh, solve
from preprocess.case import MeshSettings
from preprocess.floor import build_floor
from preprocess.reader import read_case


@pytest.fixture(scope="module")
def solution(tmp_path_factory: pytest.TempPathFactory, small_case_files: dict[str, str]) -> Solution:
    """The small case on a coarse mesh."""
    folder: Path = tmp_path_factory.mktemp("cases") / "small"
    folder.mkdir()
    for name, text in small_case_files.items():
        (folder / name).write_text(text, encoding="utf-8")
    case = replace(read_case(folder), mesh=MeshSettings(1.2, None, 1.2))
    return solve(build_floor(case))


def test_strip_is_footprint_plus_thickness(solution: Solution) -> None:
    assert solution.moments["bare"].strip == pytest.approx(0.150 + 0.125)


def test_tributary_estimate_shares_the_service_load(solution: Solution) -> None:
    """All of it, and its centre: nearest-jack shares keep neither moments nor loads of single jacks."""
    schedule = jack_schedule(solution.floor, solution.states)
    assert schedule.tributary_loads.sum() == pytest.approx(schedule.loads["service"].sum(), rel=1e-6)
    assert schedule.tributary_loads.sum() < 0.6 * schedule.loads["full"].sum()


def test_mesh_check_compares_with_a_finer_mesh(solution: Solution) -> None:
    """On a coarse mesh the change is there to see, and it is that of the refined floor."""
    found = check_mesh(solution)
    fine = solve(solution.floor.refined())
    assert found.moment == pytest.approx(100 * (fine.largest_moment / solution.largest_moment - 1), rel=1e-6)
    assert found.jack_load == pytest.approx(100 * (fine.largest_jack_load / solution.largest_jack_load - 1), rel=1e-6)
    assert found.frequency == pytest.approx(100 * (fine.heave_frequency / solution.heave_frequency - 1), rel=1e-6)
    assert abs(found.moment) > 1e-2
    changes = [
        np.abs(getattr(solution.moments[state], places) - getattr(fine.moments[state], places)).max() / key.largest
        for state, key in fine.moments.items()
        for places in ("at_jacks", "in_spans")
    ]
    assert found.moment_anywhere == pytest.approx(100 * max(changes), rel=1e-6)
    assert found.frequency < 0, "a finer mesh is softer"


def test_fields_show_each_state_as_it_is(solution: Solution) -> None:
    """Deflection and moments on the display mesh against point sampling of each state's own solution."""
    fields = floor_view(solution, jack_schedule(solution.floor, solution.states)).fields
    places = np.linspace(0, len(fields.mesh.vertices) - 1, 50).astype(int)
    xy = fields.mesh.vertices[places]
    points = Sampler(solution.floor.model.space).points(xy)
    triple = solution.bending.moments(xy)
    assert list(fields.deflection) == list(fields.moments) == ["bare", "service", "full"]
    for s, (state, result) in enumerate(solution.states.items()):
        np.testing.assert_allclose(fields.deflection[state][places], points.rows @ result.displacement, rtol=1e-9)
        np.testing.assert_allclose(fields.moments[state][places], triple[:, :, s], rtol=1e-7, atol=1e-3)
    np.testing.assert_allclose(np.abs(fields.shapes).max(axis=0), 1.0)
    shape = points.rows @ solution.modes.shapes[:, 2]
    assert abs(np.corrcoef(shape, fields.shapes[places, 2])[0, 1]) == pytest.approx(1, abs=1e-9)


def test_bare_slab_carries_no_feet(solution: Solution) -> None:
    """Moments of the bare state beside a foot are smooth: the foot is not there yet."""
    foot = np.array([[1.0, 4.3]])
    beside = foot + np.array([0.08, 0.0])
    jump = np.abs(solution.bending.moments(foot) - solution.bending.moments(beside))[0, 0]
    assert jump[0] < 0.3 * jump[1]
