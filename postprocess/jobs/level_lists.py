"""The list of the turns that bring a slab level."""

from __future__ import annotations

from pathlib import Path

from postprocess.jobs.lift_lists import plain_turns
from postprocess.jobs.swap_lists import kilonewtons
from postprocess.level.views import LevelView
from postprocess.schedule import JackSchedule
from postprocess.tables import fixed, write_table

TURNS = (
    *("id", "quarter_turns", "turns", "height_before_mm", "height_after_mm", "height_service_mm"),
    *("load_before_kN", "load_after_kN", "load_service_kN", "order"),
)


def write_level_turns(schedule: JackSchedule, level: LevelView, path: Path) -> None:
    """Write one row a jack, up positive; `order`: its place in the work, empty where it is left as it is."""
    place = {jack: str(number) for number, jack in enumerate(level.order, 1)}
    heights = [fixed(1e3 * h, 3) for h in (level.heights_before, level.heights_after, level.heights_service)]
    loads = [list(map(kilonewtons, q)) for q in (level.loads_before, level.loads_after, level.loads_service)]
    rows = [
        (name, str(quarters), plain_turns(quarters / 4), *states, place.get(jack, ""))
        for jack, (name, quarters, *states) in enumerate(
            zip(schedule.ids, level.quarter_turns.tolist(), *heights, *loads, strict=True)
        )
    ]
    write_table(TURNS, rows, path)
