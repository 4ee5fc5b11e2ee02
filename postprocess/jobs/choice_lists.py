"""Lists of a choice of springs: what to buy, why each nested pair, and where the tributary habit would have erred."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from postprocess.jobs.views import BuyingRow, ChoiceView
from postprocess.schedule import JackSchedule
from postprocess.tables import write_table

BUYING = ("coil", "rate_N_mm", "rated_load_kN", "under_jacks", "spares", "total")
PAIRS = ("jack", "pair", "outer", "inner", "reason")
HABIT = ("jack", "chosen", "ratio_chosen", "habit_spring", "ratio_habit", "wrong")


def write_buying_list(buying: Sequence[BuyingRow], path: Path) -> None:
    """Write one row a kind of coil; the coils of nested pairs are counted one by one."""
    rows = [
        (
            row.coil,
            f"{row.rate / 1e3:.6g}",
            f"{row.rated_load / 1e3:.6g}",
            *(str(count) for count in (row.under_jacks, row.spares, row.total)),
        )
        for row in buying
    ]
    write_table(BUYING, rows, path)


def write_nested_pairs(schedule: JackSchedule, choice: ChoiceView, path: Path) -> None:
    """Write one row a jack with two coils, and why it has them."""
    rows = [
        (schedule.ids[jack], schedule.springs[jack], *coils, choice.pair_reasons.get(jack, ""))
        for jack, coils in enumerate(choice.coils)
        if len(coils) == 2
    ]
    write_table(PAIRS, rows, path)


def write_habit(schedule: JackSchedule, choice: ChoiceView, path: Path) -> None:
    """Write one row a jack: the chosen spring and its load ratio, and the same for the habit's spring."""
    ratios, habit = schedule.load_ratio("service"), choice.habit
    rows = [
        (
            *(schedule.ids[jack], schedule.springs[jack], f"{ratios[jack]:z.3f}"),
            *(habit.springs[jack], f"{habit.ratios[jack]:z.3f}", "wrong" if habit.wrong[jack] else ""),
        )
        for jack in range(len(schedule))
    ]
    write_table(HABIT, rows, path)
