"""What the jacks press on the existing floor below: at each jack and as totals by bay, in every state."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from postprocess.list_table import Cell, Column, ListTable

Floats = NDArray[np.float64]

WHOLE: Final = "whole floor"
OUTSIDE: Final = "outside the bays"
TITLES: Final = {
    "bare": "bare",
    "service": "service",
    "full": "full",
    "full_worst_parts": "full, worst parts",
    "lift_peak": "lift peak",
    "spring_removed_service": "spring removed, service",
    "spring_removed_full": "spring removed, full",
}
"""What the states are called in headings."""


@dataclass(frozen=True, eq=False)
class FloorCase:
    """One state of loading of the existing floor, for n jacks and b bays, N, characteristic values without factors.

    key: one of `TITLES`. words: what acts, and with which
    factors. loads: (n,) at each jack; of an envelope the greatest at that jack. totals: (b,) of the jacks in each bay;
    of an envelope the greatest at any one moment, which is less than the sum of `loads`. envelope: whether `loads` and
    `totals` are greatest values of several situations. whole: the total of all jacks, likewise.
    """

    key: str
    words: str
    loads: Floats
    totals: Floats
    whole: float
    envelope: bool


@dataclass(frozen=True, eq=False)
class ExistingFloor:
    """ids, xy: of the n jacks, xy (n, 2) in m. bays: (b,) names; bay_of: (n,) index of the bay of each jack.

    Without bays in the case there is one, the whole floor; jacks outside all bays make one more. footprint: diameter
    of the housing through which a jack presses, m. assumptions: in sentences.
    """

    ids: tuple[str, ...]
    xy: Floats
    footprint: float
    bays: tuple[str, ...]
    bay_of: NDArray[np.int64]
    cases: tuple[FloorCase, ...]
    assumptions: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Bays:
    """names: (b,) of the bays that papers show. bay_of: (n,) number of the bay of each jack."""

    names: tuple[str, ...]
    bay_of: NDArray[np.int64]

    @classmethod
    def of(cls, xy: Floats, bays: Sequence[tuple[str, tuple[float, float], tuple[float, float]]]) -> Bays:
        """The bay in which each jack of `xy` (n, 2) has its centre. bays: name, low and high corner, m.

        A centre on the border of two bays belongs to the one that is named first. Without bays there is one, the whole
        floor; jacks outside all of them make one more.
        """
        if not bays:
            return cls((WHOLE,), np.zeros(len(xy), dtype=np.int64))
        within = np.array([((xy >= np.array(low)) & (xy <= np.array(high))).all(axis=1) for _, low, high in bays])
        outside = ~within.any(axis=0)
        names = tuple(name for name, _, _ in bays)
        return cls(
            (*names, OUTSIDE) if outside.any() else names,
            np.where(outside, len(bays), within.argmax(axis=0)).astype(np.int64),
        )

    def totals(self, loads: Floats) -> Floats:
        """(b, …) sums of loads (n, …) by bay."""
        return np.array([loads[self.bay_of == bay].sum(axis=0) for bay in range(len(self.names))])


def state_case(key: str, words: str, loads: Floats, bays: Bays) -> FloorCase:
    """One state with loads (n,) in N."""
    return FloorCase(key, words, loads, bays.totals(loads), float(loads.sum()), envelope=False)


def envelope_case(key: str, words: str, loads: Floats, bays: Bays) -> FloorCase:
    """The greatest values of several situations with loads (n, s) in N; totals are of jacks at one time."""
    totals = bays.totals(loads).max(axis=1)
    return FloorCase(key, words, loads.max(axis=1), totals, float(loads.sum(axis=0).max()), envelope=True)


def existing_floor_json(floor: ExistingFloor) -> dict[str, Any]:
    """As results.json has it, in kN."""
    return {
        "footprint_mm": floor.footprint * 1e3,
        "bays": list(floor.bays),
        "states": [
            {
                "state": case.key,
                "words": case.words,
                "envelope": case.envelope,
                "bay_total_kN": dict(zip(floor.bays, (case.totals / 1e3).tolist(), strict=True)),
                "whole_floor_kN": case.whole / 1e3,
            }
            for case in floor.cases
        ],
        "jacks": [
            {
                "id": name,
                "bay": floor.bays[floor.bay_of[j]],
                "load_kN": {case.key: float(case.loads[j]) / 1e3 for case in floor.cases},
            }
            for j, name in enumerate(floor.ids)
        ],
        "assumptions": list(floor.assumptions),
    }


def jack_table(floor: ExistingFloor) -> ListTable:
    """A row for each jack: what it presses on the existing floor in every state."""
    columns = [
        Column("id", "Jack"),
        Column("x_mm", "x, mm", 1),
        Column("y_mm", "y, mm", 1),
        Column("bay", "Bay"),
        *(Column(f"load_{case.key}_kN", f"{TITLES[case.key].capitalize()}, kN", 3) for case in floor.cases),
        Column("words", "What it is"),
    ]
    words = f"greatest at this jack; characteristic, factor 1.0, on a circle of {floor.footprint * 1e3:g} mm"
    rows = [
        (
            name,
            *(float(place) * 1e3 for place in floor.xy[j]),
            floor.bays[floor.bay_of[j]],
            *(float(case.loads[j]) / 1e3 for case in floor.cases),
            words,
        )
        for j, name in enumerate(floor.ids)
    ]
    return ListTable("Existing floor jacks", "existing-floor-jacks.csv", tuple(columns), tuple(rows), ())


def bay_table(floor: ExistingFloor) -> ListTable:
    """A row for each state and bay, and for the whole floor: the total of its jacks, and with which factors."""
    columns = (
        Column("state", "State"),
        Column("bay", "Bay"),
        Column("jacks", "Jacks", 0),
        Column("total_kN", "Total at one moment, kN", 3),
        Column("greatest_jack_kN", "Greatest jack, kN", 3),
        Column("greatest_at", "At jack"),
        Column("words", "What acts, and with which factors"),
    )
    members = [np.flatnonzero(floor.bay_of == bay) for bay in range(len(floor.bays))]
    rows: list[tuple[Cell, ...]] = []
    for case in floor.cases:
        parts = list(zip(floor.bays, members, (case.totals / 1e3).tolist(), strict=True))
        if floor.bays != (WHOLE,):
            parts.append((WHOLE, np.arange(len(floor.ids)), case.whole / 1e3))
        for name, jacks, total in parts:
            if len(jacks):
                most = jacks[case.loads[jacks].argmax()]
                greatest = float(case.loads[most]) / 1e3
                rows.append((TITLES[case.key], name, len(jacks), total, greatest, floor.ids[most], case.words))
            else:
                rows.append((TITLES[case.key], name, 0, 0.0, None, "", case.words))
    return ListTable("Existing floor bays", "existing-floor-bays.csv", columns, tuple(rows), ())
