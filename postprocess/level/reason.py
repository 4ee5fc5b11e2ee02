"""Why a slab cannot be brought within its limits: what would have to give way for the least excess to be less."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from postprocess.level.problem import LevelProblem
from postprocess.level.programme import Found
from postprocess.level.rows import first_rows
from postprocess.level.search import Deadline, least_of

Floats = NDArray[np.float64]

SECONDS = 3.0
BETTER = 0.05
"""Share of the limits by which the excess has to be less for something to count as the reason."""


def reasons(problem: LevelProblem, level: float) -> tuple[str, ...]:
    """Sentences why the excess of level is not less than `level`, a share of the limits."""
    if level <= BETTER:
        return ()
    found = []
    sure = replace(problem, sureness=0.0)
    if _least(sure) < level - BETTER:
        found.append(
            "The doubt that the survey leaves takes much of the limits: a survey of more points, or a finer one, would "
            "help."
        )
    if (problem.loads or problem.moments) and _least(_unbound(problem)) < level - BETTER:
        found.append("The load limits of the springs, or the moment at which the slab may crack, stand against it.")
    if _least(replace(problem, most=20 * problem.most)) < level - BETTER:
        more = f"{problem.most / 4:g} {'turn' if problem.most == 4 else 'turns'}"
        found.append(f"More than {more} of a jack would bring it nearer.")
    if not found or _least(replace(_unbound(sure), most=20 * problem.most)) > BETTER:
        found.append(
            "What remains are waves too short for turns: the slab is stiff and follows its jacks only over lengths of "
            "several jack spacings. Grinding or a levelling compound can take them off."
        )
    return tuple(found)


def _unbound(problem: LevelProblem) -> LevelProblem:
    return replace(problem, loads=(), moments=(), moment_change=np.zeros((0, 3, len(problem))))


def _least(problem: LevelProblem) -> float:
    """The least excess of level, by turns that need not be whole."""
    _, found = least_of(problem, first_rows(problem), np.full(len(problem), float(problem.most)), Deadline(SECONDS))
    return _level(found)


def _level(found: Found) -> float:
    return float("inf") if found.turns is None else float(found.others[0])
