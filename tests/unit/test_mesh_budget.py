"""Whether a case asks for more triangles than can be solved."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from shapely import Polygon, box

from preprocess import meshing
from preprocess.mesh_budget import DEFAULT_SIZE, MOST_TRIANGLES, estimated_triangles, mesh_problems
from preprocess.meshing import Sizes, mesh_plan


def messages(plan: Polygon, jacks: int, **sizes: Any) -> list[str]:
    return [str(problem) for problem in mesh_problems(plan, jacks, {"mesh": sizes})]


@pytest.mark.parametrize(("side", "size"), [(12, 0.6), (12, 0.2), (40, 1.0)])
def test_estimate_on_a_plain_square(side: float, size: float) -> None:
    """Within 10 %: the edges of the square bring some triangles that are smaller than those inside."""
    mesh = mesh_plan(box(0, 0, side, side), Sizes(size, size))
    assert len(mesh.triangles) == pytest.approx(estimated_triangles(side**2, size), rel=0.10)


@pytest.mark.parametrize("jack_size", [0.1, 0.01])
def test_estimate_around_jacks_is_on_the_safe_side(jack_size: float) -> None:
    """Not below the mesh, and not above three times its number, or sound cases would be refused."""
    x, y = np.meshgrid([2.0, 4.0, 6.0, 8.0, 10.0], [2.0, 4.0, 6.0, 8.0, 10.0])
    spots = np.column_stack([x.ravel(), y.ravel()])
    mesh = mesh_plan(box(0, 0, 12, 12), Sizes(0.6, 0.15, spots, np.full(len(spots), jack_size)))
    estimate = estimated_triangles(144, 0.6, len(spots), jack_size)
    assert len(mesh.triangles) <= estimate <= 3 * len(mesh.triangles)


def test_default_size_is_not_above_that_of_the_mesh() -> None:
    assert min(meshing.SIZE, meshing.LARGE_SIZE) >= DEFAULT_SIZE


def test_a_slab_of_100_m_with_6000_jacks_is_allowed() -> None:
    assert messages(box(0, 0, 100, 100), 6000) == []


def test_openings_do_not_count() -> None:
    frame = box(0, 0, 200, 200) - box(1, 1, 199, 199)
    assert isinstance(frame, Polygon)
    assert messages(frame, 20) == []


@pytest.mark.parametrize("size", [10, 600, 1500])
def test_the_size_that_a_message_names_is_allowed(size: float) -> None:
    plan = box(0, 0, 900, 900)
    [message] = messages(plan, 20, size_mm=size)
    assert message.startswith(f"case.toml: mesh.size_mm: got {size} on 810,000 m2, about ")
    assert "mesh.size_mm at least 3530, or the slab in parts" in message
    assert messages(plan, 20, size_mm=3530) == []
    assert messages(plan, 20, size_mm=3510) != []


def test_the_size_at_jacks_that_a_message_names_is_allowed() -> None:
    plan = box(0, 0, 100, 100)
    [message] = messages(plan, 6000, jack_size_mm=50)
    place, _, allowed = message.partition(": at most ")
    assert place.startswith("case.toml: mesh.jack_size_mm: got 50, about 376,000 triangles around 6000 jacks")
    least = int(allowed.partition("at least ")[2].partition(",")[0])
    assert messages(plan, 6000, jack_size_mm=least) == []
    assert messages(plan, 6000, jack_size_mm=least - 10) != []


def test_fine_sizes_at_few_jacks_are_allowed() -> None:
    assert messages(box(0, 0, 9, 6), 35, jack_size_mm=10) == []


@pytest.mark.parametrize("size", [0.5, "fine", True])
def test_a_size_that_is_refused_anyway_brings_no_second_problem(size: object) -> None:
    assert messages(box(0, 0, 900, 900), 20, size_mm=size) == []


def test_without_a_plan_there_is_nothing_to_say() -> None:
    assert mesh_problems(None, 20, {}) == []
    assert estimated_triangles(900**2, DEFAULT_SIZE) > MOST_TRIANGLES
