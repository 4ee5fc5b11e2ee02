"""Passes of a lift: peaks after every turn, and passes that are taken from the one before instead of solved."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import box

from fem.bending import cap_moves
from fem.concentrated import ConcentratedForces
from fem.lift import Lifter, Turn
from fem.lift_bending import LiftBending
from fem.moment_operator import MomentOperator
from postprocess.lift import record
from postprocess.lift.record import LiftBench, PassRecord, further_passes, lifted
from tests.unit.lift_cases import CONCRETE, GRID, SlabOnFloor, criss_cross, rounds
from tests.unit.strength_cases import some_places

Floats = NDArray[np.float64]
ORDER = [4, 0, 2, 5, 1, 3]


@pytest.fixture(scope="module")
def bench() -> LiftBench:
    """3 × 2.4 m on six springs of different rates, judged on a mesh of 0.5 m and at the jacks."""
    slab = SlabOnFloor.on(criss_cross(3.0, 2.4, 4, 3), GRID)
    rates = slab.springs() * np.array([0.7, 1.2, 1.0, 1.1, 0.8, 1.3])
    model = slab.lift_model(rates, solids=0.05)
    places = some_places(box(0, 0, 3.0, 2.4), slab.model.jack_xy, np.zeros((0, 2)), thickness=CONCRETE.thickness)
    forces = ConcentratedForces(slab.model.jack_xy, np.full(6, 0.075), np.full(6, 0.29))
    operator = MomentOperator.at(slab.sampler, places.points, forces, CONCRETE.poissons_ratio)
    moves = cap_moves(slab.sampler, forces, slab.model.jacks.rows)
    bending = LiftBending.of(model, CONCRETE, operator, moves, slab.model.factor(rates))
    return LiftBench(bending, places)


def solved(bench: LiftBench, passes: list[list[Turn]], lifter: Lifter | None = None) -> list[PassRecord]:
    """Every pass solved turn by turn."""
    lifter = lifter or Lifter(bench.model)
    found = []
    for number, turns in enumerate(passes, start=1):
        path = lifter.states(turns)
        found.append(PassRecord(number, tuple(turns), path, *bench.peaks(path)))
    return found


def assert_same(one: PassRecord, other: PassRecord) -> None:
    """1e-9 of the forces and moments, 1e-12 m: rounding."""
    assert one.number == other.number
    assert one.turns == other.turns
    assert one.afloat == other.afloat
    for name in ("advance", "jack_deflection", "cell_deflection"):
        np.testing.assert_allclose(getattr(one.path, name), getattr(other.path, name), atol=1e-12)
    for name in ("jack_load", "contact"):
        np.testing.assert_allclose(getattr(one.path, name), getattr(other.path, name), rtol=1e-9, atol=1e-6)
    np.testing.assert_array_equal(one.path.turned, other.path.turned)
    np.testing.assert_allclose(one.moments, other.moments, rtol=1e-9)


def test_passes_afloat_are_those_solved(bench: LiftBench) -> None:
    """Ten equal passes: those taken over from the one before are what a solution of each turn gives.

    Two of them at least are taken over, or nothing would be tested: then the moments are the very same.
    """
    passes = rounds(6, 0.006, 10, ORDER)
    records = list(lifted(bench, passes))[1:]
    for one, other in zip(records, solved(bench, passes), strict=True):
        assert_same(one, other)
    assert sum(before.moments is after.moments for before, after in pairwise(records)) >= 2
    assert records[-1].afloat
    assert not records[0].afloat


def test_passes_that_differ_are_solved(bench: LiftBench) -> None:
    """Afloat, but then one jack turned more than the others, another order, or larger turns."""
    up = rounds(6, 0.006, 5, ORDER)
    passes = [*up, *rounds(6, 0.006, 2), *rounds(6, 0.003, 2), *[[(0, 0.001), *rounds(6, 0.003)[0]]] * 3]
    for one, other in zip(list(lifted(bench, passes))[1:], solved(bench, passes), strict=True):
        assert_same(one, other)


def test_equal_passes_down_end_on_the_floor(bench: LiftBench) -> None:
    """What floats in one pass down need not float in the next: five up, then five down, by which it lies again."""
    passes = rounds(6, 0.006, 5, ORDER) + rounds(6, -0.006, 5, ORDER)
    records = list(lifted(bench, passes))
    for one, other in zip(records[1:], solved(bench, passes), strict=True):
        assert_same(one, other)
    assert records[6].afloat
    np.testing.assert_allclose(records[-1].end.contact, records[0].path.contact, atol=1e-9 * bench.model.weight)


def test_further_passes_go_on(bench: LiftBench) -> None:
    """Four passes and then three more from the lifter as it was left are seven passes."""
    passes = rounds(6, 0.006, 7, ORDER)
    lifter = Lifter(bench.model)
    first = list(lifted(bench, passes[:4], lifter))[1:]
    aside = lifter.copy()
    aside.states(rounds(6, 0.002)[0])
    rest = list(further_passes(bench, passes[4:], lifter, first=5))
    for one, other in zip(first + rest, solved(bench, passes), strict=True):
        assert_same(one, other)


def test_peaks_are_the_greatest_principal_moments(bench: LiftBench, monkeypatch: pytest.MonkeyPatch) -> None:
    """Eigenvalues of [[Mx, Mxy], [Mxy, My]] at every vertex judged, by LAPACK: no greater one, and it is at `places`.

    At jacks the mean over a strip counts instead of the point's value. Turns judged two by two make no difference.
    """
    monkeypatch.setattr(record, "STATES_AT_ONCE", 2)
    vertices = len(bench.places.mesh.vertices)
    judged = np.flatnonzero(bench.places.cracking[:vertices])
    at_vertex = 0
    for each in list(lifted(bench, rounds(6, 0.006, 4, ORDER)))[1:]:
        M = bench.bending.moments(each.path)[:vertices]
        tensor = np.stack([M[:, [0, 2]], M[:, [2, 1]]], axis=1).transpose(0, 3, 1, 2)
        size = np.abs(np.linalg.eigvalsh(tensor)).max(axis=2)
        assert (each.moments >= size[judged].max(axis=0) * (1 - 1e-9)).all()
        for state, place in enumerate(each.places):
            assert bench.places.cracking[place]
            if place < vertices:
                assert each.moments[state] == pytest.approx(size[place, state], rel=1e-9)
                at_vertex += 1
        assert each.moments[each.worst] == each.moments.max()
    assert at_vertex


def test_solid_springs_are_not_afloat(bench: LiftBench) -> None:
    """Travel of 12 mm under springs of 0.7 to 1.3 times W/(6 · 10 mm): clear of the floor, the softest is solid."""
    lifter = Lifter(replace(bench.model, solids=np.full(6, 0.012)))
    *_, last = lifted(bench, rounds(6, 0.006, 6), lifter)
    assert not last.path.contact.any()
    assert last.path.solid.any()
    assert not last.afloat
    *_, before, after = solved(bench, rounds(6, 0.006, 2), lifter)
    np.testing.assert_allclose(after.path.jack_load, before.path.jack_load, rtol=1e-6)
