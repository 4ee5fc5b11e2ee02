"""Lists of a new revision: the springs to swap, and the loads of all jacks before and after."""

from __future__ import annotations

from collections import Counter
from math import isnan
from pathlib import Path

from postprocess.jobs.setout_lists import millimetres
from postprocess.jobs.views import RevisionView
from postprocess.schedule import JackSchedule
from postprocess.tables import write_table

SWAPS = (
    *("jack", "x_mm", "y_mm", "out", "in", "load_before_kN", "load_with_old_springs_kN", "load_after_kN"),
    "ratio_after",
)
COILS = ("coil", "to_bring", "come_out")
LOADS = (
    *("jack", "x_mm", "y_mm", "spring_before", "spring_after", "load_before_kN", "load_with_old_springs_kN"),
    *("load_after_kN", "ratio_after", "status"),
)


def write_swaps(schedule: JackSchedule, changes: RevisionView, path: Path) -> None:
    """Write one row a swap in the order of the crew; service loads before the change and after all swaps."""
    rows = []
    for swap in changes.swaps:
        x, y = schedule.xy[swap.jack]
        loads = (kilonewtons(load) for load in (swap.load_before, swap.load_unswapped, swap.load_after))
        words = schedule.ids[swap.jack], millimetres(x), millimetres(y), swap.out, swap.into, *loads
        rows.append((*words, f"{swap.ratio_after:z.3f}"))
    write_table(SWAPS, rows, path)


def write_swap_coils(changes: RevisionView, path: Path) -> None:
    """Write one row a kind of coil: how many go in, and how many come out."""
    into = Counter(coil for swap in changes.swaps for coil in swap.in_coils)
    out = Counter(coil for swap in changes.swaps for coil in swap.out_coils)
    write_table(COILS, [(coil, str(into[coil]), str(out[coil])) for coil in sorted(into | out)], path)


def write_load_changes(schedule: JackSchedule, changes: RevisionView, path: Path) -> None:
    """Write one row a jack: service loads of the old layout, of the new one on the old springs, and after the swaps."""
    ratios, after, status = schedule.load_ratio("service"), schedule.loads["service"], schedule.status
    rows = []
    for jack, name in enumerate(schedule.ids):
        x, y = schedule.xy[jack]
        loads = changes.loads_before[jack], changes.loads_unswapped[jack], after[jack]
        springs = changes.old_springs[jack], schedule.springs[jack]
        words = name, millimetres(x), millimetres(y), *springs, *map(kilonewtons, loads)
        rows.append((*words, f"{ratios[jack]:z.3f}", status[jack]))
    write_table(LOADS, rows, path)


def kilonewtons(force: float, digits: int = 3, none: str = "") -> str:
    """A force in N as kN; `none` where there is no such force (NaN)."""
    return none if isnan(force) else f"{force / 1e3:z.{digits}f}"
