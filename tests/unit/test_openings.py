"""Openings of a cavity along the edges of a mesh."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import Polygon

from fem.cavity import Cavity, Opening, even_openings
from fem.errors import ModelError
from fem.mesh import Mesh
from fem.openings import edge_pieces
from fem.sampling import Sampler
from fem.space import PlateSpace
from preprocess.meshing import Sizes, mesh_plan

OUTER = np.array([[0, 0], [8, 0], [10, 5], [0, 6]], dtype=float)
INNER = np.array([[3, 2], [3, 3], [4, 3], [4, 2]], dtype=float)


@pytest.fixture(scope="module")
def mesh() -> Mesh:
    """A slanted plan with an opening."""
    return mesh_plan(Polygon(OUTER, [INNER]), Sizes(0.9, 0.9))


def lengths(mesh: Mesh, openings: list[Opening]) -> dict[float, float]:
    """Length of edge with each admittance, m."""
    pieces = edge_pieces(mesh, openings)
    edge = mesh.triangle_edges[pieces.triangle, pieces.side]
    length = (pieces.high - pieces.low) * mesh.edge_lengths[edge]
    return {float(a): float(length[pieces.admittance == a].sum()) for a in np.unique(pieces.admittance)}


def test_openings_on_one_another_count_once(mesh: Mesh) -> None:
    """The greater admittance counts where both lie, whatever their direction and order."""
    slot = Opening(np.array([[1.03, 0], [5, 0]]), 2.0)
    tighter = Opening(np.array([[6.5, 0], [4, 0]]), 0.5)
    for openings in ([slot, tighter], [tighter, slot], [slot, tighter, slot]):
        assert lengths(mesh, openings) == pytest.approx({2.0: 3.97, 0.5: 1.5})


def test_openings_round_corners_and_holes(mesh: Mesh) -> None:
    """A path round a corner, and one round the opening, drawn a millimetre off."""
    corner = Opening(np.array([[7.0, 0], [8, 0], [9, 2.5]]), np.inf)
    hole = Opening(np.vstack([INNER, INNER[:1]]) + 0.001, 1.0)
    assert lengths(mesh, [corner, hole]) == pytest.approx({np.inf: 1 + np.hypot(1, 2.5), 1.0: 4.0}, abs=5e-3)


@pytest.mark.parametrize("path", [[[1, 0.1], [3, 0.1]], [[1, 0], [1, 3]], [[6, 0], [9, 0]]])
def test_paths_off_the_edge_are_refused(path: list[list[float]], mesh: Mesh) -> None:
    """Inside, across and beyond the slab."""
    with pytest.raises(ModelError, match="opening 0 of the cavity"):
        edge_pieces(mesh, [Opening(np.array(path, dtype=float), 1.0)])


@pytest.mark.parametrize("admittance", [-1.0, np.nan])
def test_admittances_that_are_none_are_refused(admittance: float, mesh: Mesh) -> None:
    """Neither negative nor not a number."""
    with pytest.raises(ModelError, match="admittance"):
        edge_pieces(mesh, [Opening(OUTER[:2], admittance)])


def path_length(path: NDArray[np.float64]) -> float:
    """Length of a path, m."""
    return float(np.hypot(*np.diff(path, axis=0).T).sum())


@pytest.mark.parametrize(("length", "parts"), [(0.5, 1), (6.0, 7), (20.0, 40), (30.0, 3)])
def test_even_openings_have_the_length_and_lie_on_the_edges(length: float, parts: int, mesh: Mesh) -> None:
    """Their length adds up, and every path is found on the mesh."""
    paths = even_openings([OUTER, INNER], length, parts)
    assert sum(path_length(path) for path in paths) == pytest.approx(length)
    assert lengths(mesh, [Opening(path, np.inf) for path in paths])[np.inf] == pytest.approx(length, abs=1e-6)


def test_even_openings_all_round_are_everything(mesh: Mesh) -> None:
    """As long as the perimeter: every boundary edge is covered; longer is refused."""
    perimeter = mesh.edge_lengths[mesh.boundary_edges].sum()
    paths = even_openings([OUTER, INNER], perimeter, 5)
    assert lengths(mesh, [Opening(path, np.inf) for path in paths])[np.inf] == pytest.approx(perimeter)
    with pytest.raises(ModelError, match="perimeter"):
        even_openings([OUTER, INNER], 1.001 * perimeter, 5)


def test_other_openings_are_those_of_a_new_cavity(mesh: Mesh) -> None:
    """`with_openings` leaves nothing of the old ones, tight ones are sealed, and a cavity needs a height."""
    sampler = Sampler(PlateSpace(mesh))
    first, second = Opening(OUTER[:2], np.inf), Opening(OUTER[1:3], 0.3)
    changed = Cavity.of(sampler, 0.04, 1.2, 0.1, [first]).with_openings([second])
    new = Cavity.of(sampler, 0.04, 1.2, 0.1, [second])
    np.testing.assert_array_equal(changed.modes(4).frequencies, new.modes(4).frequencies)
    assert changed.with_openings([Opening(OUTER[:2], 0.0)]).modes(2).frequencies[0] == 0.0
    with pytest.raises(ModelError, match="height"):
        Cavity.of(sampler, 0.0, 1.2, 0.1, [])


def test_modes_below_a_frequency_are_all_of_them(mesh: Mesh) -> None:
    """As many as among more modes, and one at least."""
    cavity = Cavity.of(Sampler(PlateSpace(mesh)), 0.04, 1.2, 0.1, [])
    many = cavity.modes(60).frequencies
    assert len(cavity.modes_below(90.0, 500).frequencies) == np.sum(many <= 90.0)
    assert len(cavity.modes_below(1.0, 500).frequencies) == 1
