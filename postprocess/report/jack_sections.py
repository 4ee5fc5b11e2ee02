"""Jacks and springs: catalogue, plan with the figures of each jack, the governing jack by hand, the habit of areas."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from math import pi, sqrt

import numpy as np
from numpy.typing import NDArray

from postprocess.drawing import STATE_WORDS
from postprocess.existing_floor import TITLES, FloorCase
from postprocess.report.figures import signed
from postprocess.report.governing import GoverningJack
from postprocess.report.jack_plan import JackPlan, PaperColumn, Quantity, StateWords
from postprocess.report.model import Block, Column, Paragraph, Section, Table, Working
from postprocess.schedule import STATES, JackSchedule
from postprocess.view import PlanView

Floats = NDArray[np.float64]

SHOWN = 10
"""Jacks at which the tributary habit misleads most that are listed."""
NO_LIMIT = (float("nan"), float("nan"))
ALL = "all"


def jack_section(
    view: PlanView,
    found: GoverningJack,
    existing: Sequence[FloorCase],
    *,
    heave: float,
    moving_mass: float,
    solid_reserve: float,
) -> Section:
    """heave: frequency of the heave mode, Hz. moving_mass: of slab, finishes, equipment and line loads, kg."""
    schedule = view.schedule
    return Section(
        "Jacks and springs",
        (
            _catalogue(schedule),
            jack_plan(view, found, existing, solid_reserve),
            *_by_hand(schedule, found, solid_reserve),
            *_heave(schedule, heave, moving_mass),
            *_tributary(schedule),
        ),
    )


def _catalogue(schedule: JackSchedule) -> Table:
    """The springs in use."""
    counts = Counter(schedule.springs)
    rows = []
    for code in sorted(counts):
        i = schedule.springs.index(code)
        rate, rated = schedule.rates[i], schedule.rated_loads[i]
        rows.append(
            (
                *(code, str(counts[code]), f"{rate / 1e3:.1f}", f"{rated / 1e3:.2f}"),
                *(f"{rated / rate * 1e3:.1f}", f"{schedule.solid_deflections[i] * 1e3:.1f}"),
            )
        )
    columns = (
        *(Column("Spring"), Column("Jacks", "right"), Column("Rate, N/mm", "right")),
        *(Column("Rated load, kN", "right"), Column("Rated deflection, mm", "right")),
        Column("Solid at, mm", "right"),
    )
    return Table(
        "Springs in use, from the catalogue of the case; rated deflection = rated load / rate", columns, tuple(rows)
    )


def jack_plan(
    view: PlanView, found: GoverningJack, existing: Sequence[FloorCase], solid_reserve: float = 0.0
) -> JackPlan:
    """Every jack with its figures in each state. existing: loads on the existing floor, in the order of the jacks."""
    schedule = view.schedule
    others = [case for case in existing if case.key not in schedule.loads]
    full = {name: STATE_WORDS.get(name, name) for name in schedule.loads} | {case.key: case.words for case in others}
    states = {key: StateWords(TITLES.get(key, key), words) for key, words in full.items()}
    return JackPlan(
        plan=view.plan,
        items=view.items,
        ids=schedule.ids,
        xy=schedule.xy,
        springs=schedule.springs,
        footprint=view.footprint,
        status=tuple(schedule.status),  # type: ignore[arg-type]
        states=states,
        quantities=tuple(_quantities(schedule, others, solid_reserve)),
        governing=found.jack,
        paper=tuple(_on_paper(states)),
    )


def _on_paper(states: Mapping[str, StateWords]) -> Iterator[PaperColumn]:
    """The figures of each jack that fit one table."""
    yield from (PaperColumn(f"Load {words.short}, kN", "load", key) for key, words in states.items())
    yield PaperColumn("Service / rated", "band-ratio", ALL)
    yield PaperColumn("Deflection, service, mm", "deflection", "service")
    yield PaperColumn("Travel left, full, mm", "travel-left", "full")
    yield PaperColumn("Service / tributary", "over-tributary", ALL)


def _quantities(schedule: JackSchedule, others: Sequence[FloorCase], solid_reserve: float) -> Iterator[Quantity]:
    loads = dict(schedule.loads) | {case.key: case.loads for case in others}
    unknown = {case.key: np.full(len(schedule), np.nan) for case in others}

    def linear(values: dict[str, Floats]) -> dict[str, Floats]:
        return {name: 1e3 * each for name, each in values.items()} | unknown

    yield Quantity("load", "Load", "kN", 2, {name: load / 1e3 for name, load in loads.items()}, NO_LIMIT)
    yield Quantity(
        "load-ratio",
        "Load over rated load",
        "",
        3,
        {name: load / schedule.rated_loads for name, load in loads.items()},
        NO_LIMIT,
    )
    yield Quantity(
        "band-ratio",
        "Service load over rated load, against the band",
        "",
        3,
        {ALL: schedule.load_ratio("service")},
        schedule.band,
    )
    yield Quantity("deflection", "Deflection of the slab", "mm", 2, linear(dict(schedule.deflections)), NO_LIMIT)
    squeezed = {name: schedule.compression(name) for name in schedule.loads}
    yield Quantity("compression", "Compression of the spring", "mm", 2, linear(squeezed), NO_LIMIT)
    left = {name: schedule.solid_reserve(name) for name in schedule.loads}
    yield Quantity("travel-left", "Travel left to solid", "mm", 2, linear(left), (1e3 * solid_reserve, float("nan")))
    yield Quantity(
        "tributary", "Service load by tributary area", "kN", 2, {ALL: schedule.tributary_loads / 1e3}, NO_LIMIT
    )
    yield Quantity(
        "over-tributary", "Computed over tributary load, service", "", 3, {ALL: schedule.tributary_ratio}, NO_LIMIT
    )


def _by_hand(schedule: JackSchedule, found: GoverningJack, solid_reserve: float) -> Iterator[Block]:
    """Load, ratio and travel of the governing jack."""
    j = found.jack
    rate, advance, rated = schedule.rates[j] / 1e6, schedule.advance[j] * 1e3, schedule.rated_loads[j] / 1e3
    solid = schedule.solid_deflections[j] * 1e3
    yield Paragraph(
        f"The governing jack, {schedule.ids[j]}, by hand. Its spring is linear: load = rate × (deflection of the slab "
        f"+ screw advance over the other jacks). Nearest to its limit: {found.limit}."
    )
    for state in STATES:
        w, load = schedule.deflections[state][j] * 1e3, schedule.loads[state][j] / 1e3
        formula = f"F = k (w + a) = {rate:g} × ({w:.3f} + {advance:g})"
        yield Working(f"Load, {state}", formula, f"{load:.3f} kN", "spring catalogue, kN/mm and mm")
    low, high = schedule.band
    ratio = schedule.load_ratio("service")[j]
    yield Working(
        "Load ratio, service",
        f"r = F/F_rated = {schedule.loads['service'][j] / 1e3:.3f}/{rated:g}",
        f"{ratio:.4f} (band {low:g} to {high:g})",
        "target.load_ratio of the case",
    )
    squeezed = schedule.compression("full")[j] * 1e3
    yield Working(
        "Travel left to solid, full",
        f"s = s_solid − (w + a) = {solid:g} − {squeezed:.3f}",
        f"{solid - squeezed:.3f} mm (at least {solid_reserve * 1e3:g})",
        "spring catalogue",
    )


def rigid_heave(schedule: JackSchedule, moving_mass: float) -> float:
    """Heave frequency of a rigid slab on all springs, Hz: √(Σk/m)/2π."""
    return sqrt(float(schedule.rates.sum()) / moving_mass) / (2 * pi)


def _heave(schedule: JackSchedule, heave: float, moving_mass: float) -> Iterator[Block]:
    total, estimate = float(schedule.rates.sum()), rigid_heave(schedule, moving_mass)
    yield Working("All springs together", "Σk, over all jacks", f"{total / 1e3:.1f} N/mm", "spring catalogue")
    yield Working(
        "Heave of a rigid slab",
        f"f = √(Σk/m)/2π = √({total:.6g}/{moving_mass:.6g})/2π",
        f"{estimate:.3f} Hz",
        "any handbook of mechanics; m without imposed load",
    )
    yield Paragraph(
        f"The model, in which the slab bends, finds {heave:.3f} Hz for the mode with the largest share of the mass in "
        f"heave: {signed(100 * (heave / estimate - 1), 1)} % from the rigid slab."
    )


def _tributary(schedule: JackSchedule) -> Iterator[Block]:
    """Where the habit of tributary areas and the computed loads part."""
    ratio = schedule.tributary_ratio
    shown = np.argsort(-np.abs(np.log(np.maximum(ratio, 1e-9))), kind="stable")[:SHOWN]
    yield Paragraph(
        "By the habit of tributary areas each part of a load goes to the nearest jack. The slab is stiff against its "
        f"springs and spreads loads: computed over tributary load runs from {ratio.min():.2f} to {ratio.max():.2f}. "
        "The computed load decides."
    )
    rows = tuple(
        (
            *(schedule.ids[j], f"{schedule.loads['service'][j] / 1e3:.2f}"),
            *(f"{schedule.tributary_loads[j] / 1e3:.2f}", f"{ratio[j]:.2f}"),
        )
        for j in shown
    )
    columns = (
        *(Column("Jack"), Column("Computed, kN", "right"), Column("Tributary, kN", "right")),
        Column("Computed / tributary", "right"),
    )
    yield Table("Jacks at which tributary and computed service loads part most", columns, rows)
