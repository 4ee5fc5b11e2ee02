"""Limits, heights and what is reached by levelling, in the words of its papers."""

from __future__ import annotations

from postprocess.doubt.words import percent
from postprocess.jobs.lift_words import mm
from postprocess.level.views import LevelView

STATES = {"bare": "bare, as lifted", "service": "in service", "full": "fully loaded"}
ONE_SURVEY = "One survey: unit, datum and sense of the heights could not be checked against an earlier one."
MOST = 5
"""Decimals of mm beyond which a value is not told from its limit."""


def against(value: float, limit: float) -> str:
    """A length and its limit, m, in mm, with as many decimals as tell which is greater, and the verdict."""
    digits = next((d for d in range(1, MOST) if value == limit or mm(value, d) != mm(limit, d)), MOST)
    verdict = "met" if value <= limit else "NOT MET"
    return f"{mm(value, digits)} mm, limit {mm(limit, digits if value > limit else 1)} mm: {verdict}"


def all_met(level: LevelView) -> bool:
    """Whether both limits are met after the turns."""
    return level.overall_after <= level.overall_limit and level.straightedge_after <= level.straightedge_limit


def limit_words(level: LevelView) -> tuple[str, ...]:
    """Departure from level and gap under the straightedge, before and after."""
    state = state_words(level.state_level)
    return (
        f"Departure from level {state}, anywhere on the slab: before {mm(level.overall_before)} mm, after "
        f"{against(level.overall_after, level.overall_limit)}.",
        f"Gap under the straightedge {state}, anywhere on the slab: before {mm(level.straightedge_before)} mm, after "
        f"{against(level.straightedge_after, level.straightedge_limit)}.",
    )


def state_words(state: str) -> str:
    """A load state within a sentence."""
    return STATES.get(state, state)


def rise_words(level: LevelView) -> str:
    """In which state heights and loads before and after hold, and in which the slab is judged."""
    surveyed, judged = state_words(level.state_surveyed), state_words(level.state_level)
    if level.state_surveyed == level.state_level:
        return f"All heights and loads are those of the slab {surveyed}, as surveyed."
    return f"Before, after: the slab {surveyed}, as surveyed. Judged: the slab {judged}, after the turns."


def one_survey_words(level: LevelView) -> tuple[str, ...]:
    """What a single survey leaves unchecked."""
    return () if level.surveys > 1 else (ONE_SURVEY,)


def gap_words(level: LevelView) -> str:
    """How far these turns may be from the best."""
    if level.gap <= 0:
        return "Proven: no other quarter turns are better by the measure of the search."
    return f"Other quarter turns may be better by the measure of the search, by {percent(level.gap)} at most."


def summary(level: LevelView) -> str:
    """How many jacks are turned, and by how much."""
    quarters = level.quarter_turns
    up, down = int((quarters > 0).sum()), int((quarters < 0).sum())
    return f"{len(quarters)} jacks: {up} go up, {down} go down, {len(quarters) - up - down} are left as they are."
