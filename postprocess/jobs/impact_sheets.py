"""All sheets of the floor in motion by name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial

from matplotlib.figure import Figure

from postprocess.dynamics.views import DynamicsView
from postprocess.jobs.impact_bands_figure import impact_bands_figure
from postprocess.jobs.impact_history_figure import impact_history_figure
from postprocess.jobs.impact_map_figure import impact_map_figure
from postprocess.jobs.impact_modes_figure import coupled_modes_figure
from postprocess.jobs.impact_steady_figure import steady_figure, steady_sheets
from postprocess.jobs.impact_summary_figure import impact_summary_figure
from postprocess.jobs.impact_transmissibility_figure import transmissibility_figure, transmissibility_sheets
from postprocess.jobs.lift_sheets import numbered
from postprocess.view import PlanView


def impact_sheets(
    plan: PlanView, view: DynamicsView, cautions: Sequence[str], *, acceleration_limit: float | None = None
) -> dict[str, Callable[[], Figure]]:
    """Name of the file without its ending -> sheet, in the order in which they are read.

    acceleration_limit: of the slab under groups and machines, m/s2, where the case has one. There is no sheet for what
    the case does not hold: drops, their map, groups and machines.
    """
    sheets: dict[str, Callable[[], Figure]] = {"impact-summary": partial(impact_summary_figure, plan, view, cautions)}
    for number in range(len(view.drops)):
        sheets[f"impact-{number + 1}-history"] = partial(impact_history_figure, plan, view, number, cautions)
        sheets[f"impact-{number + 1}-bands"] = partial(impact_bands_figure, plan, view, number, cautions)
    if view.drop_map is not None:
        sheets["impact-map"] = partial(impact_map_figure, plan, view, view.drop_map, cautions)
    if view.transmissibility.names:
        for sheet in range(transmissibility_sheets(view)):
            sheets[numbered("transmissibility", sheet)] = partial(transmissibility_figure, plan, view, cautions, sheet)
    sheets["coupled-modes"] = partial(coupled_modes_figure, plan, view, cautions)
    for sheet in range(steady_sheets(view)):
        draw = partial(steady_figure, plan, view, cautions, sheet, acceleration_limit=acceleration_limit)
        sheets[numbered("steady", sheet)] = draw
    return sheets
