"""Invented lifts and levellings of any floor, with smooth heights, as their papers see them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.text import Text
from numpy.typing import NDArray
from shapely import Polygon

from fem.mesh import Mesh
from postprocess.jobs.marks import schedule_of
from postprocess.level.views import LevelView, RatesView
from postprocess.lift.views import FaultView, LiftView, PassView, PeakView, SizeView
from postprocess.view import PlanView
from tests.unit.laid_out import lay_out

Floats = NDArray[np.float64]

CAUTIONS = ("Local codes rule over this sheet.", "Nobody goes under a slab that is not packed.")
TURNS, PITCH = 2.0, 3e-3
OVER = ("cracking, turn by turn: 9.98 kN·m/m, over the limit of 9.60 (pass 3)",)


def start_of(view: PlanView, xy: Floats) -> Floats:
    """Travel of the screws at which the slab leaves the floor at places (k, 2), m: 9 mm and a wave."""
    x0, y0, x1, y1 = view.plan.bounds
    return np.asarray(9e-3 + 4e-3 * np.sin(3 * (xy[:, 0] - x0) / (x1 - x0)) * np.cos(2 * (xy[:, 1] - y0) / (y1 - y0)))


def lift_of(view: PlanView, mesh: Mesh, passes: int = 10) -> LiftView:
    """A lift in rows to and fro by the jack list; its peak is greatest in the third pass, over the cracking moment."""
    order = tuple(int(jack) for jack in np.lexsort([view.schedule.xy[:, 0], view.schedule.xy[:, 1].round(1)]))
    made = tuple(_pass_of(view, mesh, number, order) for number in range(1, passes + 1))
    worst = max((each.peak for each in made), key=lambda peak: peak.use)
    sizes = tuple(
        SizeView(turns, PeakView(order[0], 3, 9.6e3 * use, use, worst.place, worst.xy, "top"), age)
        for turns, use, age in ((0.5, 0.47, 2), (1.0, 0.71, 3), (2.0, 1.04, 6), (4.0, 1.62, None))
    )
    last = len(view.schedule) - 1
    faults = (
        FaultView("a jack stuck from pass 3 on", last, 5.2e-3, 3.1e3, 1.31, "in the survey after pass 4", True),
        FaultView("a turn missed in pass 2", 1, 1.4e-3, 0.9e3, 0.94, "not before the last survey", False),
        FaultView("a jack turned twice in pass 2", 2, 2.2e-3, 1.7e3, 1.12, "in the survey after pass 2, late", True),
        FaultView("a spring of the wrong type", 3, 0.8e-3, 0.5e3, 0.9, "no: it shows less than a reading errs", False),
    )
    notes = ("Passes of 1 turn instead of 2 lower the peak to 71 %.", "Two more days raise the cracking moment by 8 %.")
    rest = np.zeros(len(view.schedule))
    return LiftView(mesh, 4.0, 9.6e3, PITCH, made, sizes, faults, rest, notes, worst, "rows to and fro", OVER)


def _pass_of(view: PlanView, mesh: Mesh, number: int, order: tuple[int, ...]) -> PassView:
    schedule, travel = view.schedule, number * TURNS * PITCH
    start, everywhere = start_of(view, schedule.xy), start_of(view, mesh.vertices)
    heights = np.maximum(travel - start, 0.0)
    squeezed = np.minimum(travel, start)
    lying = (everywhere[mesh.triangles] > travel).all(axis=1)
    contact = shapely.union_all(shapely.polygons(mesh.corners[lying]))
    use = 1.04 - 0.11 * abs(number - 3) if number < 9 else 0.35
    peak_jack = order[(5 * number) % len(order)]
    corner = np.asarray(view.plan.interiors[0].coords if view.plan.interiors else view.plan.exterior.coords)[2]
    place = "a re-entrant corner" if number < 4 else f"jack {schedule.ids[peak_jack]}"
    xy = corner if number < 4 else schedule.xy[peak_jack]
    return PassView(
        number=number,
        turns=TURNS,
        order=order,
        advance=np.full(len(schedule), travel),
        heights=heights,
        loads=schedule.rates * squeezed,
        reserves=schedule.solid_deflections - squeezed,
        contact_share=contact.area / view.plan.area,
        contact=contact,
        mesh_heights=np.maximum(travel - everywhere, 0.0),
        peak=PeakView(
            peak_jack, number, 9.6e3 * use, use, place, (float(xy[0]), float(xy[1])), "top" if number < 4 else "bottom"
        ),
        step=TURNS * PITCH,
        step_jacks=(order[0], order[1]),
    )


def level_of(view: PlanView, touched: int = 3) -> LevelView:
    """Every `touched`-th jack is turned, up and down in turn; a bow and a tilt before, a ripple after."""
    schedule = view.schedule
    count = len(schedule)
    x = np.ptp(schedule.xy[:, 0])
    place = (schedule.xy[:, 0] - schedule.xy[:, 0].min()) / (x or 1.0)
    before = 4.2e-3 * (place - 0.5) + 1.1e-3 * np.sin(5 * place)
    after, service = 0.9e-3 * np.sin(9 * place), 0.7e-3 * np.cos(8 * place)
    quarters = np.zeros(count, dtype=np.int64)
    chosen = np.arange(0, count, touched)
    quarters[chosen] = [(1 + i % 7) * (-1) ** i for i in range(len(chosen))]
    done = np.where(quarters == 0, before, 0.3 * before + 0.7 * after)
    loads = schedule.loads["bare"]
    rng = np.random.default_rng(5)
    return LevelView(
        quarter_turns=quarters,
        order=tuple(int(jack) for jack in chosen),
        heights_before=before,
        heights_after=after,
        heights_service=service,
        loads_before=loads,
        loads_after=1.05 * loads,
        loads_service=schedule.loads["service"],
        overall_before=float(np.abs(before).max()),
        overall_after=float(np.abs(after).max()),
        overall_limit=3e-3,
        straightedge_before=3.4e-3,
        straightedge_after=1.2e-3,
        straightedge_limit=3e-3,
        points_xy=schedule.xy,
        points_before=before,
        points_after=after,
        reach="Within both limits everywhere; a ripple of 0.9 mm shorter than two jacks cannot be reached by turns.",
        gap=0.004,
        notes=("Equipment still to come is allowed for.",),
        rates=RatesView(schedule.rates, schedule.rates * rng.normal(1.0, 0.04, count), 0.02 * schedule.rates),
        level_aimed=0.1234,
        heights_done=done,
        steps=tuple((int(jack), int(quarters[jack])) for jack in chosen),
        step_heights=done[chosen],
        surveys=2,
        state_surveyed="bare",
        state_level="service",
    )


def words(thing: Figure | Axes) -> str:
    """All words, without breaks of lines."""
    return " ".join(text.get_text() for text in thing.findobj(Text)).replace("\n", " ")


def with_jacks(view: PlanView, ids: tuple[str, ...], xy: Floats, plan: Polygon) -> PlanView:
    """The view with other jacks, whose springs and loads are those of its own in turn."""
    pick, old = np.arange(len(ids)) % len(view.schedule), view.schedule
    schedule = replace(schedule_of(old, pick), ids=ids, xy=xy)
    return replace(view, plan=plan, items=(), schedule=schedule)


def many_jacks(view: PlanView) -> PlanView:
    """300 jacks at 1.25 m, over a slab that is larger than the mesh of the pictures."""
    x, y = np.meshgrid(0.3 + 1.25 * np.arange(20), 0.3 + 1.25 * np.arange(15))
    plan = shapely.box(0, 0, x.max() + 0.3, y.max() + 0.3)
    return with_jacks(view, tuple(f"K{i}" for i in range(300)), np.column_stack([x.ravel(), y.ravel()]), plan)


def few_jacks(view: PlanView) -> PlanView:
    """Four jacks near the corners."""
    xy = np.array([[0.5, 0.5], [5.5, 0.5], [0.5, 3.5], [5.5, 3.5]])
    return with_jacks(view, ("P", "Q", "R", "S"), xy, view.plan)


def odd_names(view: PlanView) -> PlanView:
    """Ids with characters of markup, some of them long."""
    tails = ("", "-of-the-long-wall-by-the-stair", " & <b>")
    ids = tuple(f"$5^{{a}}_b{i}{tails[i % 3]}" for i in range(len(view.schedule)))
    return with_jacks(view, ids, view.schedule.xy, view.plan)


def sheet_clashes(figure: Figure) -> tuple[list[str], list[tuple[str, str]]]:
    """Words that leave the sheet, and pairs of words over each other.

    Boxes of lines have room for accents above and below, which may touch: a seventh of the smaller at most.
    """
    lay_out(figure)
    inside = shapely.box(*figure.bbox.extents).buffer(-0.02 * figure.bbox.width)
    seen = [text for text in figure.findobj(Text) if text.get_text().strip() and text.get_visible()]
    frames = np.array([shapely.box(*Text.get_window_extent(text).extents) for text in seen])
    outside = [text.get_text() for text, frame in zip(seen, frames, strict=True) if not inside.contains(frame)]
    first, second = shapely.STRtree(frames).query(frames, predicate="intersects")
    apart = first < second
    shared = shapely.area(shapely.intersection(frames[first[apart]], frames[second[apart]]))
    least = np.minimum(shapely.area(frames[first[apart]]), shapely.area(frames[second[apart]]))
    pairs = zip(first[apart][shared > 0.15 * least], second[apart][shared > 0.15 * least], strict=True)
    return outside, [(seen[i].get_text(), seen[j].get_text()) for i, j in pairs]
