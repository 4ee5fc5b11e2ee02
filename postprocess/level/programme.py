"""Programmes over the quarter turns, solved by HiGHS (Huangfu and Hall 2018) in scipy, integer or not.

With z the quarter turns, rows g z ≤ b in units of their limits, t the excess of level, v those of loads and moments,
y_j = 1 where jack j is touched:
    least excess    min t + W Σ v            g z ≤ b + t or b + v,  t, v ≥ 0
    most room       min s                    g z ≤ b + s or b + s/5,  s ≥ −1
    least turns     min Σ c_j |z_j|          g z ≤ b
    least work      min Σ y_j + |z_j| / V    g z ≤ b,  |z_j| ≤ most_j y_j,  V turns being worth a visit
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.optimize import Bounds, LinearConstraint, milp

from postprocess.level.measure import HEAVY
from postprocess.level.rows import LEVEL, LOAD_ROOM, Rows
from postprocess.quiet_solver import unheard

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

VISIT = 4.0
"""Going to a jack counts as much as this many quarter turns of its screw: one full turn. An assumption."""
LEAST_SECONDS = 0.05


@dataclass(frozen=True, eq=False)
class Found:
    """turns: (n,) quarter turns or None. bound: no less than this is possible for what is minimised, by the rows given;
    infinite where nothing keeps them. others: what else was solved for: t and v. settled: whether it is the least."""

    turns: Floats | None
    bound: float
    others: Floats
    settled: bool


def least_excess(rows: Rows, slacks: int, most: Floats, seconds: float, *, whole: bool) -> Found:
    """The least excess. most: (n,) greatest quarter turns either way. whole: only whole quarter turns."""
    n = rows.weights.shape[1]
    level = rows.kind == LEVEL
    count = np.arange(len(rows))
    t = sparse.coo_array((-np.ones(level.sum()), (count[level], np.zeros(level.sum(), int))), (len(rows), 1))
    v = sparse.coo_array((-np.ones((~level).sum()), (count[~level], rows.slack[~level])), (len(rows), slacks))
    aim = np.concatenate([np.zeros(n), [1.0], np.full(slacks, HEAVY)])
    low, high = np.concatenate([-most, np.zeros(1 + slacks)]), np.concatenate([most, np.full(1 + slacks, np.inf)])
    return _solve(
        aim,
        [rows.weights, t, v],
        rows.reach,
        (low, high),
        integral=_first(n if whole else 0, aim),
        n=n,
        seconds=seconds,
    )


def most_room(rows: Rows, most: Floats, seconds: float) -> Found:
    """Turns, not whole ones, that lie farthest inside all rows; `others` holds s, positive where rows are broken.

    most: (n,) greatest quarter turns either way, 0 for jacks left alone.
    """
    part = np.flatnonzero(most > 0)
    room = -np.where(rows.kind == LEVEL, 1.0, LOAD_ROOM)[:, None]
    aim = np.concatenate([np.zeros(len(part)), [1.0]])
    limits = np.append(-most[part], -1.0), np.append(most[part], np.inf)
    found = _solve(
        aim, [rows.weights[:, part], room], rows.reach, limits, integral=_first(0, aim), n=len(part), seconds=seconds
    )
    return _on_all(found, part, len(most))


def least_turns(rows: Rows, cost: Floats, most: Floats, seconds: float, *, whole: bool) -> Found:
    """The least weighted turns of the jacks that may be turned. cost: (n,); most: (n,), 0 for jacks left alone."""
    part = np.flatnonzero(most > 0)
    weights, size = rows.weights[:, part], len(part)
    eye, none = sparse.eye_array(size), sparse.coo_array((len(rows), size))
    blocks = [sparse.vstack([sparse.csr_array(weights), eye, -eye]), sparse.vstack([none, -eye, -eye])]
    reach = np.concatenate([rows.reach, np.zeros(2 * size)])
    aim = np.concatenate([np.zeros(size), cost[part]])
    limits = np.concatenate([-most[part], np.zeros(size)]), np.concatenate([most[part], most[part]])
    found = _solve(aim, blocks, reach, limits, integral=_first(size if whole else 0, aim), n=size, seconds=seconds)
    return _on_all(found, part, len(cost))


def work(turns: Floats) -> float:
    """What quarter turns (n,) take the crew: jacks that are touched, and turns in units of a visit."""
    return float(np.count_nonzero(turns) + np.abs(turns).sum() / VISIT)


def least_work(rows: Rows, most: Floats, below: float, seconds: float) -> Found:
    """The least work, where it is less than `below`. most: (n,) greatest quarter turns either way."""
    n, r = len(most), len(rows)
    eye = sparse.eye_array(n)
    last = sparse.csr_array((1, n)), np.full((1, n), 1 / VISIT), np.ones((1, n))
    blocks = [
        sparse.vstack([sparse.csr_array(rows.weights), eye, -eye, sparse.coo_array((n, n)), last[0]]),
        sparse.vstack([sparse.coo_array((r, n)), -eye, -eye, eye, sparse.csr_array(last[1])]),
        sparse.vstack([sparse.coo_array((r + 2 * n, n)), sparse.diags_array(-most), sparse.csr_array(last[2])]),
    ]
    reach = np.concatenate([rows.reach, np.zeros(3 * n), [below]])
    aim = np.concatenate([np.zeros(n), np.full(n, 1 / VISIT), np.ones(n)])
    low, high = np.concatenate([-most, np.zeros(2 * n)]), np.concatenate([most, most, np.ones(n)])
    integral = np.concatenate([np.ones(n), np.zeros(n), np.ones(n)])
    return _solve(aim, blocks, reach, (low, high), integral=integral, n=n, seconds=seconds)


def _first(count: int, aim: Floats) -> Floats:
    """1 for the first `count` unknowns, else 0."""
    return (np.arange(len(aim)) < count).astype(float)


def _on_all(found: Found, part: NDArray[np.intp], n: int) -> Found:
    """What was found for the jacks `part`, with all others left alone."""
    if found.turns is None:
        return found
    turns = np.zeros(n)
    turns[part] = found.turns
    return Found(turns, found.bound, found.others, found.settled)


def _solve(
    aim: Floats,
    blocks: list[Any],
    reach: Floats,
    limits: tuple[Floats, Floats],
    *,
    integral: Floats,
    n: int,
    seconds: float,
) -> Found:
    """Minimise aim · x with the blocks side by side. integral: 1 for whole unknowns; the first n are the turns."""
    whole = bool(integral.any())
    matrix = sparse.csr_array(sparse.hstack([sparse.csr_array(block) for block in blocks]))
    with unheard():
        result = milp(
            aim,
            integrality=integral.astype(np.int_),
            bounds=Bounds(*limits),
            constraints=[LinearConstraint(matrix, -np.inf, reach)],
            options={"time_limit": max(seconds, LEAST_SECONDS), "mip_rel_gap": 0.0},
        )
    if result.status == 2:  # infeasible
        return Found(None, np.inf, np.zeros(0), True)
    bound = result.mip_dual_bound if whole else (result.fun if result.status == 0 else None)
    least = 0.0 if np.all(aim >= 0) else -np.inf
    bound = least if bound is None else float(bound)
    if result.x is None:
        return Found(None, bound, np.zeros(0), False)
    turns = np.asarray(result.x[:n], dtype=float)
    return Found(np.round(turns) if integral[0] else turns, bound, np.asarray(result.x[n:]), result.status == 0)
