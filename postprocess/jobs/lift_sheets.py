"""All sheets of a lift by name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from matplotlib.figure import Figure

from postprocess.jobs.lift_crew_sheet import STOP_DIFFERENCE, lift_crew_figure, lift_crew_sheets
from postprocess.jobs.lift_figure import lift_figure, lift_figure_sheets
from postprocess.jobs.lift_peak_figure import lift_peak_figure
from postprocess.jobs.lift_tables_figure import lift_tables_figure
from postprocess.jobs.survey_sheet import lifted_form, survey_figure, survey_sheets, zero_form
from postprocess.lift.views import LiftView
from postprocess.view import PlanView


def lift_sheets(
    view: PlanView, lift: LiftView, cautions: Sequence[str], *, stop_difference: float = STOP_DIFFERENCE
) -> dict[str, Callable[[], Figure]]:
    """Name of the file without its ending -> sheet, in the order in which they are read.

    stop_difference: from the expected height, at which the crew stops, m.
    """
    sheets: dict[str, Callable[[], Figure]] = {
        "lift-peaks": partial(lift_peak_figure, view, lift),
        "lift-safe-passes": partial(lift_tables_figure, view, lift),
    }
    for sheet in range(lift_figure_sheets(lift)):
        sheets[numbered("lift-heights", sheet)] = partial(lift_figure, view, lift, sheet)
    for sheet in range(survey_sheets(view)):
        sheets[numbered("survey-zero", sheet)] = partial(survey_figure, view, zero_form(lift.not_met), cautions, sheet)
    digits = max(2, len(str(lift.passes[-1].number)))
    for index, each in enumerate(lift.passes):
        for sheet in range(lift_crew_sheets(each)):
            name = numbered(f"lift-pass-{each.number:0{digits}d}", sheet)
            draw = partial(lift_crew_figure, view, lift, index, cautions, sheet, stop_difference=stop_difference)
            sheets[name] = draw
    last = lift.passes[-1]
    form = lifted_form(f"after pass {last.number}", last.heights, lift.not_met)
    for sheet in range(survey_sheets(view)):
        sheets[numbered("survey", sheet)] = partial(survey_figure, view, form, cautions, sheet)
    return sheets


def numbered(name: str, sheet: int) -> str:
    """The name of one sheet of several, the first without a number."""
    return f"{name}-{sheet + 1}" if sheet else name
