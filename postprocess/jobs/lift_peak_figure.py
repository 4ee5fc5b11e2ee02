"""The peaks of bending during a lift: where and in which pass; jack loads and travel left over the passes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from postprocess.drawing import DRAWING, Box, new_sheet, number, plan_axes
from postprocess.jobs.crew_form import warn_unsafe
from postprocess.jobs.lift_charts import peak_chart, range_chart
from postprocess.jobs.lift_figure import ALIKE, SAME_PLACE
from postprocess.jobs.lift_words import day_words, mm, number_list, peak_words, use_percent
from postprocess.lift.views import LiftView, PeakView
from postprocess.side_notes import SideNotes
from postprocess.strength_marks_figure import Marks, draw_jacks
from postprocess.view import PlanView

SIDE: Final = 142.0
"""Width of charts and notes beside the plan, mm."""
LEFT: Final = DRAWING.left + DRAWING.width - SIDE
PLACE: Final = Box(DRAWING.left, DRAWING.bottom, DRAWING.width - SIDE - 4.0, DRAWING.height)
CHARTS: Final = tuple(Box(LEFT + 9.0, DRAWING.bottom + bottom, SIDE - 11.0, 45.0) for bottom in (197.0, 136.0, 75.0))
NOTES: Final = Box(LEFT, DRAWING.bottom, SIDE, 62.0)
MARKED: Final = 6
"""Places that are marked on the plan, the worst first."""


def lift_peak_figure(view: PlanView, lift: LiftView) -> Figure:
    """Sheet with the places of the worst peaks on the plan, their size pass by pass, loads and travel left."""
    figure = new_sheet(view, "Lift: greatest bending at any turn", "plan m; moments kN·m/m")
    ax = plan_axes(figure, PLACE, view, fill=True)
    draw_jacks(ax, view)
    _mark_peaks(ax, view, lift)
    peak_chart(CHARTS[0].axes(figure), lift)
    loads, travel = [each.loads / 1e3 for each in lift.passes], [each.reserves * 1e3 for each in lift.passes]
    range_chart(CHARTS[1].axes(figure), lift, loads, "Jack loads after the pass, kN")
    range_chart(CHARTS[2].axes(figure), lift, travel, "Travel of the springs left to solid after the pass, mm")
    _notes(SideNotes(figure, NOTES), view, lift)
    return figure


def peak_places(lift: LiftView) -> list[tuple[PeakView, list[int]]]:
    """The worst peak at each place and the passes that peak there, the worst place first."""
    places: list[tuple[PeakView, list[int]]] = []
    for each in sorted(lift.passes, key=lambda one: -one.peak.use):
        found = next((p for p in places if np.hypot(*np.subtract(p[0].xy, each.peak.xy)) < SAME_PLACE), None)
        if found is None:
            places.append((each.peak, [each.number]))
        else:
            found[1].append(each.number)
    return places


def _mark_peaks(ax: Axes, view: PlanView, lift: LiftView) -> None:
    places = peak_places(lift)[:MARKED]
    marks = Marks(ax, view, np.array([peak.xy for peak, _ in places]))
    for peak, passes in places:
        marks.ring(np.array(peak.xy), place_words(lift, peak, passes))


def place_words(lift: LiftView, peak: PeakView, passes: Sequence[int]) -> str:
    """The worst peak at a place, and how great those of the other passes are that peak there too."""
    said = f"{use_percent(peak.use)} in pass {peak.pass_number}"
    uses = {each.number: each.peak.use for each in lift.passes if each.number in passes}
    others = sorted(number for number in uses if number != peak.pass_number)
    if not others:
        return said
    same = [number for number in others if uses[number] > peak.use - ALIKE]
    runs_on = same == list(range(peak.pass_number + 1, peak.pass_number + 1 + len(same)))
    if same:
        said += f",\nabout the same {f'to pass {same[-1]}' if runs_on else f'in {_passes(same)}'}"
    less = [number for number in others if number not in same]
    if less:
        low, high = (use_percent(pick(uses[number] for number in less)) for pick in (min, max))
        span = high if low == high else f"{low.removesuffix(' %')} to {high}"
        said += f",\n{span} in {_passes(less)}"
    return said


def _passes(numbers: list[int]) -> str:
    return f"pass{'es' if len(numbers) > 1 else ''} {number_list(numbers)}"


def _notes(notes: SideNotes, view: PlanView, lift: LiftView) -> None:
    over = [each.number for each in lift.passes if each.peak.use > 1]
    warn_unsafe(notes, lift.not_met)
    notes.heading("NOT SAFE as planned" if over else "No pass reaches the cracking moment")
    if over:
        notes.line(f"The slab may crack in pass {number_list(over)} at {day_words(lift.age)}.")
    moment = number(lift.cracking_moment / 1e3, 2)
    notes.line(
        f"The slab may crack at {moment} kN·m/m with concrete of {day_words(lift.age)}. Order: {lift.order_name}."
    )
    notes.line(f"Worst: {peak_words(lift.worst, view)}.")
    worst_step = max(lift.passes, key=lambda each: each.step)
    ids = [view.schedule.ids[jack] for jack in worst_step.step_jacks]
    notes.line(
        f"Screws of neighbours part by up to {mm(worst_step.step)} mm: {ids[0]} and {ids[1]} in pass "
        f"{worst_step.number}."
    )
