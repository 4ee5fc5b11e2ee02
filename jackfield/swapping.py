"""The springs to swap: what sheets, lists and records say of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from jackfield import CAUTIONS
from jackfield.choosing import Chosen
from postprocess.jobs.crew_sheet import crew_figure, crew_sheets
from postprocess.jobs.swap_figure import swap_figure
from postprocess.jobs.swap_figure import swap_sheets as count_swap_sheets
from postprocess.jobs.swap_lists import write_load_changes, write_swap_coils, write_swaps
from postprocess.jobs.views import ItemChange, RevisionView, Swap
from postprocess.schedule import JackSchedule
from postprocess.spring_choice.problem import SERVICE
from postprocess.spring_choice.verdict import Choice
from postprocess.view import PlanView
from preprocess.case import Spring
from preprocess.wording import count

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Changes:
    """What differs between two revisions. items: on the slab. other: in words."""

    items: tuple[ItemChange, ...]
    other: tuple[str, ...]


def kept_view(chosen: Chosen, kept: Sequence[Spring], revision: str) -> RevisionView:
    """The swaps within one revision, whose earlier loads are not known."""
    return revision_view(chosen, kept, ("as installed", revision), Changes((), ()), np.full(len(kept), np.nan))


def revision_view(
    chosen: Chosen,
    kept: Sequence[Spring],
    revisions: tuple[str, str],
    changes: Changes,
    loads_before: Floats,
) -> RevisionView:
    """The swaps from the springs that stand, (n,), to those chosen.

    revisions: names of the old and the new one. changes: of loads and all else between them. loads_before: (n,)
    service loads of the old layout, N, NaN if unknown.
    """
    assert chosen.swaps is not None  # `chosen` comes from `keep_springs`
    unswapped = chosen.swaps.before.load[:, SERVICE]
    after, springs = chosen.choice, chosen.springs
    swaps = tuple(
        Swap(
            jack=int(jack),
            out=kept[jack].code,
            into=springs[jack].code,
            out_coils=kept[jack].parts,
            in_coils=springs[jack].parts,
            load_before=float(loads_before[jack]),
            load_unswapped=float(unswapped[jack]),
            load_after=float(after.load[jack, SERVICE]),
            ratio_after=float(after.load_ratio[jack]),
        )
        for jack in chosen.swaps.jacks
    )
    return RevisionView(
        old_revision=revisions[0],
        new_revision=revisions[1],
        swaps=swaps,
        items=changes.items,
        other=changes.other,
        least=chosen.swaps.proven,
        at_least=chosen.swaps.at_least,
        problems=chosen.shortfalls,
        old_springs=tuple(spring.code for spring in kept),
        loads_before=loads_before,
        loads_unswapped=unswapped,
        standing=tuple(_missed(chosen, chosen.swaps.before)),
    )


def _missed(chosen: Chosen, before: Choice) -> Iterator[str]:
    """What the standing springs miss, a sentence each."""
    ids, problem = chosen.desk.floor.case.jacks.ids, chosen.problem
    low, high = problem.band
    for good, what in (
        (before.in_band, f"outside the band {low:g} to {high:g}"),
        (before.has_travel, "short of travel in the full state"),
        (before.pushes, "would have to pull"),
    ):
        out = [ids[jack] for jack in np.flatnonzero(~good)]
        if out:
            yield f"{count(len(out), 'jack')} {what}: {', '.join(out)}"
    if not before.frequency_met:
        yield f"heave frequency {before.heave_frequency:.2f} Hz, above {problem.frequency_limit:.2f} Hz"


def swap_sheets(plan: PlanView, changes: RevisionView) -> Mapping[str, Callable[[], Figure]]:
    """The drawing of what changes and the sheets for the crew, by the names of their files."""
    drawings: dict[str, Callable[[], Figure]] = {
        _numbered("swaps", sheet): partial(swap_figure, plan, changes, sheet)
        for sheet in range(count_swap_sheets(changes))
    }
    crew: dict[str, Callable[[], Figure]] = {
        _numbered("crew-sheet", sheet): partial(crew_figure, plan, changes, CAUTIONS, sheet)
        for sheet in range(crew_sheets(changes) if changes.swaps else 0)
    }
    return drawings | crew


def _numbered(name: str, sheet: int) -> str:
    return name + (f"-{sheet + 1}" if sheet else "")


def write_swap_lists(schedule: JackSchedule, changes: RevisionView, folder: Path) -> None:
    """Write swaps.csv, swap-coils.csv and load-changes.csv."""
    write_swap_coils(changes, folder / "swap-coils.csv")
    write_swaps(schedule, changes, folder / "swaps.csv")
    write_load_changes(schedule, changes, folder / "load-changes.csv")


def swap_json(schedule: JackSchedule, changes: RevisionView) -> dict[str, Any]:
    """The swaps in the units of case files; a load that is not known is null."""
    return {
        "proven_least": changes.least,
        "standing_springs_miss": list(changes.standing),
        "remaining": list(changes.problems),
        "swaps": [
            {
                "jack": schedule.ids[swap.jack],
                "out": swap.out,
                "in": swap.into,
                "load_before_kN": _kilonewtons(swap.load_before),
                "load_with_old_spring_kN": _kilonewtons(swap.load_unswapped),
                "load_after_kN": _kilonewtons(swap.load_after),
                "load_ratio_after": swap.ratio_after,
            }
            for swap in changes.swaps
        ],
    }


def _kilonewtons(force: float) -> float | None:
    return None if np.isnan(force) else force / 1e3
