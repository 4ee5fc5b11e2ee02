"""Order of work, and moments by their directions."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from postprocess.level.bending import directions, sizes
from postprocess.level.order import work_order
from postprocess.level.problem import LevelProblem, LoadLimits, MomentLimits, Surface
from postprocess.level.straightedge import Straightedges

Floats = NDArray[np.float64]


def test_sizes_of_moments_are_eigenvalues() -> None:
    """Against numpy's eigenvalues of the tensor of moments; rounding. The direction's weights give the same size, and
    less for any other moment of the same direction (they are the greatest)."""
    triples = np.random.default_rng(0).normal(size=(200, 3))
    tensors = triples[:, [0, 2, 2, 1]].reshape(-1, 2, 2)
    expected = np.abs(np.linalg.eigvalsh(tensors)).max(axis=1)
    np.testing.assert_allclose(sizes(triples), expected, rtol=1e-12)
    weights = directions(triples)
    np.testing.assert_allclose(np.sum(weights * triples, axis=1), expected, rtol=1e-12)
    assert np.all(weights @ triples.T <= expected[None, :] + 1e-12)


def chain(limit: float) -> LevelProblem:
    """Four jacks in a row whose moments between neighbours are the differences of their turns, 1 kN·m/m a quarter."""
    eye, none = np.eye(4), Straightedges(np.zeros((0, 2)), np.zeros((0, 3), np.int64), np.zeros(0))
    change = np.zeros((3, 3, 4))
    for place in range(3):
        change[place, 0, place], change[place, 0, place + 1] = -1e6, 1e6
    return LevelProblem(
        names=("A", "B", "C", "D"),
        jacks=Surface(np.zeros(4), eye, np.zeros((4, 1))),
        samples=Surface(np.zeros(0), np.zeros((0, 4)), np.zeros((0, 1))),
        straightedges=none,
        loads=(LoadLimits("bare", np.full(4, 5e3), np.zeros(4), np.full(4, 2e4)),),
        load_change=np.zeros((4, 4)),
        moments=(MomentLimits("bare", np.zeros((3, 3)), limit),),
        moment_change=change,
        step=0.001,
        most=40,
        overall=0.003,
        straightedge=0.003,
    )


def test_every_turn_is_made_and_the_peak_is_that_of_the_steps() -> None:
    """All four jacks by 4 quarters: whichever is first, a difference of 4 stands beside it (by hand), so the peak is
    4 kN·m/m at every order that grows from one jack on."""
    order = work_order(chain(4.5e3), np.full(4, 4))
    assert sorted(order.jacks) == [0, 1, 2, 3]
    assert order.rounds == 1
    assert order.kept
    assert order.peak is not None
    assert order.peak.moment == 4e3


def test_turns_are_shared_out_where_one_after_the_other_bends_too_much() -> None:
    """A limit of 2.5 kN·m/m: in two rounds of 2 quarters the difference is 2 (by hand)."""
    order = work_order(chain(2.5e3), np.full(4, 4))
    assert order.rounds == 2
    assert order.kept
    assert max(step.moment for step in order.steps) == 2e3
    done = np.zeros(4)
    for step in order.steps:
        done[step.jack] += step.quarter_turns
    np.testing.assert_array_equal(done, np.full(4, 4))


def test_a_limit_that_no_order_keeps_is_said() -> None:
    order = work_order(chain(0.5e3), np.full(4, 4))
    assert not order.kept


def test_no_turns_need_no_order() -> None:
    order = work_order(chain(1e3), np.zeros(4, np.int64))
    assert order.steps == ()
    assert order.peak is None
