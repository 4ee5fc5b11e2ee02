"""Plan and loads: what presses on the slab and where, and its sum by hand against the reactions of the jacks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from shapely import Polygon

from fem.gravity import GRAVITY
from postprocess.report.figures import powers
from postprocess.report.model import Block, Column, Paragraph, Section, Table, Working
from postprocess.schedule import JackSchedule

GRAVITY_SOURCE = "g = 9.80665 m/s², ISO 80000-3"


@dataclass(frozen=True)
class LoadEntry:
    """One load. name: as the case has it. pattern: what kind. words: how it comes about, with units.

    force: downward, N. centre: of the force, m. factors: load state -> part of it that counts.
    """

    name: str
    pattern: str
    words: str
    force: float
    centre: tuple[float, float]
    factors: Mapping[str, float]


@dataclass(frozen=True)
class SlabFacts:
    """The concrete plate, SI units."""

    plan: Polygon
    thickness: float
    density: float

    @property
    def mass(self) -> float:
        """kg."""
        return float(self.plan.area) * self.thickness * self.density


@dataclass(frozen=True)
class StateSum:
    """A load state added up by hand. force: N. centre: of the loads, m. reaction, reaction_centre: of the jacks."""

    state: str
    force: float
    centre: tuple[float, float]
    reaction: float
    reaction_centre: tuple[float, float]


def state_sums(loads: Sequence[LoadEntry], schedule: JackSchedule) -> tuple[StateSum, ...]:
    """Every state of the schedule: loads with their factors, and what the jacks carry."""
    found = []
    for state, carried in schedule.loads.items():
        forces = np.array([load.force * load.factors[state] for load in loads])
        total, reaction = float(forces.sum()), float(carried.sum())
        centre = forces @ np.array([load.centre for load in loads]) / total
        supported = carried @ schedule.xy / reaction
        found.append(
            StateSum(
                *(state, total, (float(centre[0]), float(centre[1]))),
                *(reaction, (float(supported[0]), float(supported[1]))),
            )
        )
    return tuple(found)


def load_section(slab: SlabFacts, loads: Sequence[LoadEntry], schedule: JackSchedule) -> Section:
    """Geometry, the table of loads, and the hand sum of every state."""
    return Section(
        "Plan and loads",
        (
            *_geometry(slab),
            _load_table(loads),
            Paragraph(
                "Added up by hand, each load with the factor of its state, and beside it what the jacks carry in the "
                "solution. Force and centre must agree: the jacks are the only support."
            ),
            *(_sum_working(state, loads) for state in schedule.loads),
            _sum_table(state_sums(loads, schedule)),
        ),
    )


def _geometry(slab: SlabFacts) -> tuple[Block, ...]:
    plan = slab.plan
    outline = Polygon(plan.exterior).area
    openings = sum(Polygon(ring).area for ring in plan.interiors)
    mass = slab.mass
    parts = f"{plan.area:.3f} × {slab.thickness:g} × {slab.density:g}"
    count = len(plan.interiors)
    return (
        Working(
            "Area of the slab",
            f"A = outline − {count} opening{'s' * (count != 1)} = {outline:.3f} − {openings:.3f}",
            f"{plan.area:.3f} m²",
            "plan of the case",
        ),
        Working(
            "Perimeter",
            f"outline + openings = {plan.exterior.length:.3f} + {sum(ring.length for ring in plan.interiors):.3f}",
            f"{plan.length:.3f} m",
            "plan of the case",
        ),
        Working(
            "Concrete", f"V = A h = {plan.area:.3f} × {slab.thickness:g}", f"{plan.area * slab.thickness:.3f} m³", ""
        ),
        Working("Mass of the slab", f"m = A h ρ = {parts}", f"{mass:.0f} kg", ""),
        Working("Self-weight", f"G = m g = {mass:.1f} × {GRAVITY}", f"{mass * GRAVITY / 1e3:.2f} kN", GRAVITY_SOURCE),
    )


def _load_table(loads: Sequence[LoadEntry]) -> Table:
    states = tuple(loads[0].factors)
    rows = tuple(
        (
            *(load.name, load.pattern, load.words, f"{load.force / 1e3:.3f}"),
            *(f"{load.centre[0]:.3f}", f"{load.centre[1]:.3f}"),
            *(f"{load.factors[state]:g}" for state in states),
        )
        for load in loads
    )
    columns = (
        *(Column("Load"), Column("Kind"), Column("From"), Column("Force, kN", "right")),
        *(Column("Centre x, m", "right"), Column("Centre y, m", "right")),
        *(Column(f"Factor, {state}", "right") for state in states),
    )
    return Table("Loads, downward; the factor says how much of each counts in a state", columns, rows)


def _sum_working(state: str, loads: Sequence[LoadEntry]) -> Working:
    """The sum of one state, loads of one kind taken together."""
    parts: dict[tuple[str, float], float] = {}
    for load in loads:
        key = load.pattern, load.factors[state]
        parts[key] = parts.get(key, 0.0) + load.force
    counted = [(pattern, factor, force) for (pattern, factor), force in parts.items() if factor]
    letters = " + ".join(("" if factor == 1 else f"{factor:g} ") + pattern for pattern, factor, _ in counted)
    figures = " + ".join(
        f"{force / 1e3:.2f}" if factor == 1 else f"{factor:g} × {force / 1e3:.2f}" for _, factor, force in counted
    )
    total = sum(factor * force for _, factor, force in counted)
    return Working(f"Load, {state}", f"W = {letters} = {figures}", f"{total / 1e3:.2f} kN", "sum by hand")


def _sum_table(sums: Sequence[StateSum]) -> Table:
    columns = (
        *(Column("State"), Column("Loads, kN", "right"), Column("Jacks, kN", "right"), Column("Difference", "right")),
        *(Column("Centre of loads, m", "right"), Column("Centre of reactions, m", "right")),
    )
    rows = tuple(
        (
            *(each.state, f"{each.force / 1e3:.3f}", f"{each.reaction / 1e3:.3f}"),
            powers(abs(each.reaction / each.force - 1)),
            *(f"{x:.4f}, {y:.4f}" for x, y in (each.centre, each.reaction_centre)),
        )
        for each in sums
    )
    return Table("Loads added up by hand against the reactions of all jacks", columns, rows)
