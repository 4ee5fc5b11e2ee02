"""The tables of `case.toml` on what moves the floor: structural floor, air, drops, people, machines, edges.

`preprocess.dynamics_si` turns them into `preprocess.dynamics.Dynamics`; what no single key shows stands in
`preprocess.dynamics_problems` and `preprocess.dynamics_places`.
"""

from __future__ import annotations

from typing import Annotated, Final, Literal, TypeAlias

from pydantic import Field, TypeAdapter

from preprocess.entries import (
    FactorTriple,
    FootprintMm,
    Name,
    Point,
    Rectangle,
    band_within,
    number,
    one_of,
    positive,
    whole_number,
)
from preprocess.table import Table

EDGES: Final = ("sealed", "open", "vents")
ACTIVITIES: Final = ("jumping", "rhythmic")

DEFAULT_STIFFNESS_N_MM: Final = 1500.0
"""Of what a weight falls on, where nothing is said of it: an assumption, no source."""

DEFAULT_RESTITUTION: Final = 0.2
"""An assumption, no source."""

NAMED: Final = ("bays", "vents", "coverings", "impacts", "groups", "machines", "response_points", "edge_strips")
"""Lists of tables in which each name stands once."""

Edge: TypeAlias = Annotated[Literal["sealed", "open", "vents"], one_of(EDGES, "edge")]
Percent: TypeAlias = Annotated[float, number(0.05, 50, "%")]
"""Nothing swings for ever: without damping a steady force at a natural frequency has no answer."""
Path: TypeAlias = Annotated[list[Point], Field(min_length=2)]
ContactMs: TypeAlias = Annotated[float, number(1, 200, "ms")]
StiffnessNMm: TypeAlias = Annotated[float, number(10, 1_000_000, "N/mm")]
Restitution: TypeAlias = Annotated[float, number(0.05, 1)]
DropKg: TypeAlias = Annotated[float, number(0.5, 5000, "kg")]
HeightMm: TypeAlias = Annotated[float, number(1, 20_000, "mm")]

CONTACT_MS = TypeAdapter[float](ContactMs)
HEIGHT_MM = TypeAdapter[float](HeightMm)
STIFFNESS_N_MM = TypeAdapter[float](StiffnessNMm)
RESTITUTION = TypeAdapter[float](Restitution)
DROP_KG = TypeAdapter[float](DropKg)


class BayTable(Table):
    """Exactly one of modal_mass_kg and mass_kg_m2."""

    name: Name
    corners_mm: Rectangle
    frequency_hz: Annotated[float, number(1, 100, "Hz")]
    modal_mass_kg: Annotated[float, number(1, 100_000_000, "kg")] | None = None
    mass_kg_m2: Annotated[float, number(1, 10_000, "kg/m2")] | None = None
    damping_percent: Percent = 3
    """Concrete floor with what stands on it: common practice, no source."""


class AirTable(Table):
    edge: Edge
    gap_mm: Annotated[float, number(5, 1000, "mm")]
    exponent: Annotated[float, number(1, 1.4)] = 1.4
    """Adiabatic: the ratio of the specific heats of air."""
    loss_factor: Annotated[float, number(0.001, 1)] = 0.05
    """Friction in a thin gap and at its edges, no fibre in it: an assumption, no source."""


class VentTable(Table):
    name: Name
    path_mm: Path
    width_mm: Annotated[float, number(1, 1000, "mm")] | None = None
    depth_mm: Annotated[float, number(1, 2000, "mm")] | None = None


class DampingTable(Table):
    springs_percent: Percent = 1
    slab_percent: Percent = 2
    """Steel springs and reinforced concrete: assumptions, no source."""


class CoveringTable(Table):
    name: Name
    stiffness_N_mm: StiffnessNMm
    restitution: Restitution = DEFAULT_RESTITUTION


class ImpactTable(Table):
    """A covering by its name, or contact_ms with restitution, or neither."""

    name: Name
    mass_kg: DropKg
    height_mm: HeightMm
    place_mm: Point
    footprint_mm: FootprintMm = 200
    """An assumption, no source."""
    covering: Name | None = None
    contact_ms: ContactMs | None = None
    restitution: Restitution | None = None
    drops_a_day: Annotated[int, whole_number(1, 100_000)] | None = None


class GroupTable(Table):
    """Exactly one of activity and factors."""

    name: Name
    people: Annotated[int, whole_number(1, 10_000)]
    person_kg: Annotated[float, number(10, 300, "kg")] = 75
    """An assumption, no source."""
    outline_mm: list[Point] | None = None
    frequency_hz: Annotated[tuple[float, float], band_within(0.5, 4, "Hz")]
    activity: Annotated[Literal["jumping", "rhythmic"], one_of(ACTIVITIES, "activity")] | None = None
    factors: FactorTriple | None = None


class MachineTable(Table):
    """Either unbalance_kg_mm, or rotor_kg and grade_mm_s."""

    name: Name
    place_mm: Point
    speed_rpm: Annotated[tuple[float, float], band_within(10, 12_000, "rpm")]
    unbalance_kg_mm: Annotated[float, positive(1_000_000, "kg·mm")] | None = None
    rotor_kg: Annotated[float, positive(1_000_000, "kg")] | None = None
    grade_mm_s: Annotated[float, positive(4000, "mm/s")] | None = None
    """ISO 21940-11: permissible residual unbalance over rotor mass, times angular speed; grades end at G 4000."""


class ResponsePointTable(Table):
    name: Name
    place_mm: Point


class RubberTable(Table):
    frequency_hz: Annotated[float, number(1, 100, "Hz")] = 12
    loss_factor: Annotated[float, number(0.005, 1)] = 0.2
    """Both: assumptions, no source."""


class SidewaysTable(Table):
    lateral_share: Annotated[float, positive(10)] = 1.0
    equipment_height_mm: Annotated[float, number(0, 10_000, "mm")] = 800
    """Both: assumptions, no source."""


class EdgeStripTable(Table):
    name: Name
    path_mm: Path
    rate_N_mm_m: Annotated[float, positive(1_000_000, "N/mm a metre")]
    shear_share: Annotated[float, number(0, 1)] = 0.3
    """An assumption, no source."""


class VibrationTable(Table):
    acceleration_m_s2: Annotated[float, positive(100, "m/s2")] | None = None
    dose_m_s175: Annotated[float, positive(100, "m/s1.75")] | None = None
