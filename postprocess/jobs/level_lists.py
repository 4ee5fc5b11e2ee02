"""The list of the turns that bring a slab level."""

from __future__ import annotations

from pathlib import Path

from postprocess.jobs.lift_lists import plain_turns
from postprocess.jobs.swap_lists import kilonewtons
from postprocess.level.views import LevelView
from postprocess.schedule import JackSchedule
from postprocess.tables import fixed, write_table

TURNS = (
    *("id", "quarter_turns", "turns", "height_before_mm", "height_done_mm", "height_after_mm"),
    *("height_service_mm", "survey_before_mm", "survey_done_mm", "survey_after_mm"),
    *("load_before_kN", "load_after_kN", "load_service_kN", "order"),
)


def write_level_turns(schedule: JackSchedule, level: LevelView, path: Path) -> None:
    """Write one row a jack, up positive; `order`: its place in the work, empty where it is left as it is.

    height: above the mean level aimed at, before the first turn, right after the jack's own last turn, after all turns
    in the state of the survey, and after all turns in the state in which the slab is to be level. survey: the same as
    the surveyor reads it, in the datum of the last survey.
    """
    place = {jack: str(number) for number, jack in enumerate(level.order, 1)}
    surveyed = level.heights_before, level.heights_done, level.heights_after
    heights = [fixed(1e3 * values, 3) for values in (*surveyed, level.heights_service)]
    heights += [fixed(1e3 * (values + level.level_aimed), 3) for values in surveyed]
    loads = [list(map(kilonewtons, q)) for q in (level.loads_before, level.loads_after, level.loads_service)]
    rows = [
        (name, str(quarters), plain_turns(quarters / 4), *states, place.get(jack, ""))
        for jack, (name, quarters, *states) in enumerate(
            zip(schedule.ids, level.quarter_turns.tolist(), *heights, *loads, strict=True)
        )
    ]
    write_table(TURNS, rows, path)
