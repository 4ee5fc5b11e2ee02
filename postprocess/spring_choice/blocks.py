"""Better springs by looking at every way to place the types under a few jacks at once, the others kept."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.trial import Trial

Ints = NDArray[np.intp]


def blockwise(trial: Trial, allowed: Ints, most: int, idle: int) -> Trial:
    """Swap the springs of block after block of jacks for the best of all ways to place the types `allowed` there.

    A block has as many jacks as leave at most `most` ways. First come the jacks beside each jack, again until none
    helps, then blocks drawn from a fixed start, so that the same floor gets the same springs, until `idle` in a row
    have not helped.
    """
    n, count = len(trial.indices), _size(len(trial.indices), len(allowed), most)
    if count < 2:
        return trial
    ways = allowed[np.indices((len(allowed),) * count).reshape(count, -1).T]
    near = np.argsort(-np.abs(trial.flexibility), axis=1, kind="stable")[:, :count]
    helped = True
    while helped:
        helped = False
        for jacks in near:
            better = _best(trial, jacks, ways)
            trial, helped = better or trial, helped or better is not None
    random, without = np.random.default_rng(20), 0
    while without < idle:
        better = _best(trial, random.choice(n, count, replace=False), ways)
        trial, without = better or trial, 0 if better else without + 1
    return trial


def _size(n: int, m: int, most: int) -> int:
    """The greatest number of jacks that can be given m types in at most `most` ways."""
    return min(n, int(np.log(most) / np.log(m) + 1e-9)) if m > 1 else 0


def _best(trial: Trial, jacks: Ints, ways: Ints) -> Trial | None:
    """The springs of the best of the `ways` (c, q) at `jacks` (q,), if that is better than what stands there."""
    at = np.broadcast_to(jacks, ways.shape)
    place, _ = trial.best(at, ways, trial.bounds(at, ways))
    if place < 0:
        return None
    indices = trial.indices.copy()
    indices[jacks] = ways[place]
    found = Trial.of(trial.goal, indices)
    return found if found.value < trial.value - 1e-12 else None
