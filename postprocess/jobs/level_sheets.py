"""All sheets of a levelling by name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from matplotlib.figure import Figure

from postprocess.jobs.level_crew_sheet import level_crew_figure, level_crew_sheets
from postprocess.jobs.level_figure import level_figure
from postprocess.jobs.level_heights_figure import level_heights_figure
from postprocess.jobs.level_table_figure import level_table_figure, level_table_sheets
from postprocess.jobs.lift_sheets import numbered
from postprocess.jobs.survey_sheet import levelled_form, survey_figure, survey_sheets
from postprocess.level.views import LevelView
from postprocess.view import PlanView


def level_sheets(view: PlanView, level: LevelView, cautions: Sequence[str]) -> dict[str, Callable[[], Figure]]:
    """Name of the file without its ending -> sheet, in the order in which they are read."""
    sheets: dict[str, Callable[[], Figure]] = {
        "level-turns": partial(level_figure, view, level),
        "level-heights": partial(level_heights_figure, view, level),
    }
    for sheet in range(level_table_sheets(level)):
        sheets[numbered("level-table", sheet)] = partial(level_table_figure, view, level, sheet)
    for sheet in range(level_crew_sheets(level)):
        sheets[numbered("level-crew", sheet)] = partial(level_crew_figure, view, level, cautions, sheet)
    before, after = (level.level_aimed + heights for heights in (level.heights_before, level.heights_after))
    form = levelled_form(before, after, level.level_aimed)
    for sheet in range(survey_sheets(view)):
        sheets[numbered("survey-after", sheet)] = partial(survey_figure, view, form, cautions, sheet)
    return sheets
