"""Limits, heights and what is reached by levelling, in the words of its papers."""

from __future__ import annotations

from postprocess.doubt.words import percent
from postprocess.jobs.lift_words import mm
from postprocess.level.views import LevelView

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
    return (
        f"Greatest departure from level before: {mm(level.overall_before)} mm.",
        f"After: {against(level.overall_after, level.overall_limit)}.",
        f"Greatest gap under the straightedge before: {mm(level.straightedge_before)} mm.",
        f"After: {against(level.straightedge_after, level.straightedge_limit)}.",
    )


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
