"""Invented set-outs, choices and revisions of the small floor, as the papers of single jobs see them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, box
from shapely.affinity import translate

from postprocess.jobs.views import BuyingRow, ChoiceView, Habit, ItemChange, RevisionView, SetOutView, Swap
from postprocess.view import PlanView

Floats = NDArray[np.float64]

COILS = {"A7": ("A7",), "A7+B2": ("A7", "B2")}
CAUTIONS = ("Local codes rule over this sheet.", "Nobody goes under a slab that is not packed.")


def setout_of(view: PlanView) -> SetOutView:
    """Three rows along x and four along y of the twelve jacks, a zone, a jack line and an added jack."""
    rows = tuple(tuple(range(4 * row, 4 * row + 4)) for row in range(3))
    columns = tuple((column, column + 4, column + 8) for column in range(4))
    zones = (("Stair landing", box(4.6, 1.2, 6.4, 2.0)),)
    lines = (("Partition wall", np.array([[0.3, 1.2], [2.0, 1.2]])),)
    notes = ("Greatest spacing 1600 mm asked for.", "The length of the south edge governs.")
    return SetOutView((*rows, *columns), zones, lines, notes, (5,))


def choice_of(view: PlanView) -> ChoiceView:
    """The springs of the schedule; the habit would pick six others, of which four are wrong, two either side."""
    schedule = view.schedule
    ratios = np.full(len(schedule), 0.9)
    ratios[[0, 3, 5, 10]] = [1.2, 0.7, 1.0501, 0.7499]
    low, high = schedule.band
    wrong = (ratios < low) | (ratios > high)
    habit = Habit(tuple("A8" if out else "A7" for out in wrong), ratios, wrong, 6)
    return ChoiceView(
        coils=tuple(COILS[code] for code in schedule.springs),
        buying=(BuyingRow("A7", 280e3, 7e3, 12, 2), BuyingRow("B2", 80e3, 2e3, 3, 1)),
        pair_reasons={0: "8.2 kN in service: A7, 7.0 kN rated, would be at 1.17", 4: "by the rack", 8: "by the rack"},
        shortfalls=("J12: 9.9 kN; a spring of 400 N/mm rated at 10.5 kN would do.",),
        heave_frequency=3.42,
        target_frequency=3.5,
        solid_reserve=0.01,
        most_types=4,
        habit=habit,
    )


def revision_of(view: PlanView, jacks: tuple[int, ...] = (2, 7, 8), *, least: bool = True) -> RevisionView:
    """Springs swapped at these jacks; a rack moved, another came, one went, one is heavier. Jack 7 is new."""
    schedule = view.schedule
    after = schedule.loads["service"]
    before = np.where(np.arange(len(schedule)) == 7, np.nan, 0.9 * after)
    old = list(schedule.springs)
    swaps = []
    for jack in jacks:
        new = schedule.springs[jack]
        out = "" if jack == 7 else next(code for code in COILS if code != new)
        old[jack] = out
        loads = float(before[jack]), float(before[jack] * 1.1), float(after[jack])
        ratio = float(schedule.load_ratio("service")[jack])
        swaps.append(Swap(jack, out, new, COILS.get(out, ()), COILS[new], *loads, ratio))
    feet = MultiPolygon([box(1, 3, 1.1, 3.1), box(1.6, 3, 1.7, 3.1), box(1, 3.5, 1.1, 3.6), box(1.6, 3.5, 1.7, 3.6)])
    moved = translate(feet, 3.2, -2.2)
    bench, store, desk = box(0.3, 0.9, 1.5, 1.6), box(4.4, 2.7, 5.2, 3.3), box(2.6, 0.2, 3.4, 0.9)
    items = (
        ItemChange("Rack", "moved", feet, moved, "moved by 3.88 m, 840 kg"),
        ItemChange("Bench", "removed", bench, None, "gone, 300 kg"),
        ItemChange("Store", "added", None, store, "new, 450 kg"),
        ItemChange("Desk", "changed", desk, desk, "120 kg before, 260 kg now"),
    )
    return RevisionView(
        *("A", "B", tuple(swaps), items, ("thickness: 125 mm before, 130 mm now",), least, len(jacks) - 1),
        *(("J12 stays over its band: 1.09.",), tuple(old), before, 1.1 * before, ("1 jack short of travel: J12",)),
    )
