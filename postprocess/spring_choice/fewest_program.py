"""Fewest swaps as a mixed-integer linear programme on the condensed floor.

x_js = 1 where jack j stands on type s; v_js is the compression of jack j if it does and 0 if not, in each state:
    Σ_s x_js = 1,   Σ_s v_js + Σ_l F_jl Σ_s (k_s − k0_l) v_ls = v0_j,   lower_s x_js ≤ v_js ≤ upper_s x_js
with the bounds of a state: the band in service, 0 and what is left to solid in full, 0 and any compression in bare.
It is exact: nothing is linearised. Minimise Σ_j (1 − x_j,kept). Solved by HiGHS (Huangfu and Hall 2018) in scipy.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.optimize import Bounds, LinearConstraint, milp

from postprocess.quiet_solver import unheard
from postprocess.spring_choice.problem import BARE, FULL, SERVICE, ChoiceProblem

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

MARGIN = 2e-6
"""Share by which bounds are drawn in, since the solver lets rows be off by 1e-6."""


@dataclass(frozen=True, eq=False)
class Programme:
    """What the solver found. indices: (n,) or None. bound: no fewer swaps are possible than this; infinite where
    nothing meets the conditions. settled: whether the solver finished."""

    indices: Ints | None
    bound: float
    settled: bool


def solve_programme(
    problem: ChoiceProblem,
    kept: Ints,
    states: Sequence[int],
    cuts: Sequence[tuple[Floats, float]],
    *,
    swaps: tuple[int, int],
    most_types: int | None,
    seconds: float,
    fewest: bool = True,
) -> Programme:
    """The fewest swaps from `kept` (n,) that meet the bounds of `states`.

    cuts: rows (n, m) over x and the most that each may come to. swaps: least and greatest number that is looked for.
    fewest: else any number of them will do, which is found sooner.
    """
    n, m = len(problem), len(problem.types)
    size = n * m
    columns = size * (1 + len(states)) + m
    stays = np.zeros((n, m))
    stays[np.arange(n), kept] = 1.0
    aim = np.zeros(columns)
    aim[:size] = -stays.ravel() if fewest else 0.0
    choices = sparse.kron(sparse.eye_array(n), np.ones((1, m)))
    rows = [
        _rows([choices], 0, columns, 1.0, 1.0),
        _rows([-stays.reshape(1, -1)], 0, columns, swaps[0] - n, swaps[1] - n),
    ]
    for place, state in enumerate(states):
        rows += _state_rows(problem, state, size * (1 + place), columns)
    rows += [_rows([row.reshape(1, -1)], 0, columns, -np.inf, most) for row, most in cuts]
    if most_types is not None:
        rows += _type_rows(n, m, columns, most_types)
    upper = np.ones(columns)
    upper[size : columns - m] = np.inf
    integral = np.zeros(columns, dtype=np.int_)
    integral[:size] = 1
    with unheard():
        result = milp(
            aim,
            integrality=integral,
            bounds=Bounds(0, upper),
            constraints=rows,
            options={"time_limit": max(seconds, 0.1), "mip_rel_gap": 0.0},
        )
    infeasible = result.status == 2
    bound = np.inf if infeasible else n + (-n if result.mip_dual_bound is None else float(result.mip_dual_bound))
    indices = None if result.x is None else np.argmax(result.x[:size].reshape(n, m), axis=1)
    return Programme(indices, bound, result.status in (0, 2))


def _rows(
    blocks: Sequence[Any], first: int, columns: int, low: Floats | float, high: Floats | float
) -> LinearConstraint:
    """low ≤ A z ≤ high with the blocks of A, sparse or not, side by side from column `first`."""
    block = sparse.hstack([sparse.csr_array(part) for part in blocks])
    before = sparse.coo_array((block.shape[0], first))
    after = sparse.coo_array((block.shape[0], columns - first - block.shape[1]))
    return LinearConstraint(sparse.csr_array(sparse.hstack([before, block, after])), low, high)


def _state_rows(problem: ChoiceProblem, state: int, first: int, columns: int) -> list[LinearConstraint]:
    """Equilibrium and bounds of one state. Compressions in units of the usual rated deflection."""
    n, m, unit = len(problem), len(problem.types), problem.usual_deflection
    floor, types = problem.floor, problem.types
    change = types.rates - floor.reference_rates[:, None]
    system = (floor.flexibility[:, :, None] * change).reshape(n, n * m) + np.kron(np.eye(n), np.ones(m))
    right = problem.reference_compression[state] / unit
    low, high = _limits(problem, state)
    size = n * m
    one, gap = sparse.eye_array(size), sparse.coo_array((size, first - size))
    found = [_rows([system], first, columns, right, right)]
    for limit, least, most in ((high, -np.inf, 0.0), (low, 0.0, np.inf)):
        if limit.any():
            scaled = sparse.diags_array(np.tile(-limit / unit, n))
            found.append(_rows([scaled, gap, one], 0, columns, least, most))
    return found


def _limits(problem: ChoiceProblem, state: int) -> tuple[Floats, Floats]:
    """Least and greatest compression (m,) of each type in a state, m."""
    types = problem.types
    if state == SERVICE:
        low, high = problem.band
        return low * (1 + MARGIN) * types.rated_deflections, high * (1 - MARGIN) * types.rated_deflections
    if state == FULL:
        return np.zeros(len(types)), np.maximum(types.solid_deflections - problem.solid_reserve, 0.0) * (1 - MARGIN)
    assert state == BARE
    most = np.abs(problem.reference_compression[BARE]).sum() * problem.floor.reference_rates.max()
    return np.zeros(len(types)), np.minimum(most / types.rates, 20 * types.solid_deflections)


def _type_rows(n: int, m: int, columns: int, most: int) -> list[LinearConstraint]:
    """No more than `most` types: x_js ≤ z_s, Σ z_s ≤ most."""
    size = n * m
    gap = sparse.coo_array((size, columns - m - size))
    used = sparse.kron(np.ones((n, 1)), sparse.eye_array(m))
    return [
        _rows([sparse.eye_array(size), gap, -used], 0, columns, -np.inf, 0.0),
        _rows([np.ones((1, m))], columns - m, columns, -np.inf, most),
    ]
