"""The choice of a spring for each jack."""

from __future__ import annotations

import numpy as np

from postprocess.spring_choice.every_set import best_of_every_set
from postprocess.spring_choice.objective import Goal
from postprocess.spring_choice.problem import ChoiceProblem
from postprocess.spring_choice.programme_choice import by_programme
from postprocess.spring_choice.search import jacks_miss, searched
from postprocess.spring_choice.verdict import Choice, judge

SECONDS = 8.0
"""Time given to the integer programme where the search leaves a jack with a missed condition."""

PROGRAMME_JACKS = 150
"""Jacks up to which the programme is asked; beyond, it does not finish in that time."""


def choose(problem: ChoiceProblem, seconds: float = SECONDS) -> Choice:
    """A spring for each jack by the objective of `postprocess.spring_choice.objective`.

    Where there are few enough sets of springs (eight jacks on four types), all are looked at: exact. Elsewhere a local
    search finds springs (`search`); where these miss a condition at a jack, the integer programme is asked for others
    that do not, or for the proof that there are none (`programme_choice`), for at most `seconds`.
    """
    goal = Goal(problem)
    every = best_of_every_set(goal)
    if every is not None:
        return judge(problem, every[0], impossible=every[1] >= goal.weight)
    trial, impossible = searched(goal), False
    if jacks_miss(trial) and len(problem) <= PROGRAMME_JACKS:
        trial, impossible = by_programme(trial, seconds)
    return judge(problem, np.asarray(trial.indices), impossible=impossible)
