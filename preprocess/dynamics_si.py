"""From the tables of what moves the floor to `Dynamics` in SI, with what the program assumes put into words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import pi, sqrt

from fem.jumping import RHYTHMIC_FACTORS, jumping_factors
from preprocess.case import Spring
from preprocess.dynamics import (
    Air,
    Bay,
    Covering,
    Damping,
    Dynamics,
    Group,
    Impact,
    Limits,
    Machine,
    Point,
    Rubber,
    Sideways,
    Strip,
    Vent,
)
from preprocess.dynamics_tables import (
    DEFAULT_RESTITUTION,
    DEFAULT_STIFFNESS_N_MM,
    AirTable,
    BayTable,
    CoveringTable,
    GroupTable,
    ImpactTable,
    MachineTable,
    VentTable,
)
from preprocess.lengths import area_within, metres
from preprocess.schema import CaseFile
from preprocess.wording import quoted


def to_dynamics(file: CaseFile, springs: Sequence[Spring]) -> Dynamics:
    """All that moves the floor, from tables that have passed all checks. springs: those under the jacks."""
    coverings = {table.name: table for table in file.coverings}
    return Dynamics(
        bays=tuple(_bay(table) for table in file.bays),
        air=None if file.air is None else _air(file.air, file.vents, file.slab.thickness_mm),
        damping=Damping(file.damping.springs_percent / 100, file.damping.slab_percent / 100),
        impacts=tuple(_impact(table, coverings) for table in file.impacts),
        groups=tuple(_group(table) for table in file.groups),
        machines=tuple(_machine(table) for table in file.machines),
        points=tuple(Point(table.name, _place(table.place_mm)) for table in file.response_points),
        rubber=Rubber(file.rubber.frequency_hz, file.rubber.loss_factor, bool(_rubber_assumed(file))),
        sideways=_sideways(file, springs),
        limits=Limits(file.vibration.acceleration_m_s2, file.vibration.dose_m_s175),
        assumed=_assumed(file),
    )


def contact_stiffness(mass: float, restitution: float, contact: float) -> float:
    """Stiffness in N/m under a weight of `mass` kg whose first touch lasts `contact` s.

    The force of a half-sine of that length with the impulse m v (1 + e) peaks at π m v (1 + e)/(2τ); that of a mass m
    on a spring k that meets it at v peaks at v √(k m).
    """
    return mass * (pi * (1 + restitution) / (2 * contact)) ** 2


def contact_time(mass: float, restitution: float, stiffness: float) -> float:
    """How long the first touch of a weight of `mass` kg lasts, s: the inverse of `contact_stiffness`."""
    return pi * (1 + restitution) / 2 * sqrt(mass / stiffness)


def _place(point_mm: tuple[float, float]) -> tuple[float, float]:
    return point_mm[0] / 1000, point_mm[1] / 1000


def _bay(table: BayTable) -> Bay:
    low, high = (_place(corner) for corner in table.corners_mm)
    mass = table.modal_mass_kg
    if mass is None:
        assert table.mass_kg_m2 is not None  # one of the two is given: `dynamics_problems`
        mass = table.mass_kg_m2 * (high[0] - low[0]) * (high[1] - low[1]) / 4  # ∬ m″ sin² sin²
    return Bay(table.name, low, high, table.frequency_hz, mass, table.damping_percent / 100)


def _air(table: AirTable, vents: Sequence[VentTable], thickness_mm: float) -> Air:
    made = tuple(
        Vent(
            name=vent.name,
            path=metres(vent.path_mm),
            width=None if vent.width_mm is None else vent.width_mm / 1000,
            depth=(thickness_mm if vent.depth_mm is None else vent.depth_mm) / 1000,
        )
        for vent in vents
    )
    return Air(table.edge, table.gap_mm / 1000, table.exponent, table.loss_factor, made)


def _impact(table: ImpactTable, coverings: Mapping[str, CoveringTable]) -> Impact:
    covering, assumed = _covering(table, coverings)
    if "footprint_mm" not in table.model_fields_set:
        assumed = (*assumed, f"footprint of {table.footprint_mm:g} mm")
    return Impact(
        name=table.name,
        mass=table.mass_kg,
        height=table.height_mm / 1000,
        place=_place(table.place_mm),
        footprint=table.footprint_mm / 1000,
        covering=covering,
        drops_a_day=table.drops_a_day,
        assumed=assumed,
    )


def _covering(table: ImpactTable, coverings: Mapping[str, CoveringTable]) -> tuple[Covering, tuple[str, ...]]:
    """What the weight falls on, and what of it is assumed."""
    if table.covering is not None:
        named = coverings[table.covering]
        given = "restitution" in named.model_fields_set
        assumed = () if given else (f"restitution {named.restitution:g} of {quoted(named.name)}",)
        return Covering(1000 * named.stiffness_N_mm, named.restitution), assumed
    restitution = DEFAULT_RESTITUTION if table.restitution is None else table.restitution
    if table.contact_ms is None:
        assumed = (f"covering of {DEFAULT_STIFFNESS_N_MM:g} N/mm and restitution {restitution:g}",)
        return Covering(1000 * DEFAULT_STIFFNESS_N_MM, restitution), assumed
    assumed = () if table.restitution is not None else (f"restitution {restitution:g}",)
    stiffness = contact_stiffness(table.mass_kg, restitution, table.contact_ms / 1000)
    return Covering(stiffness, restitution), assumed


def _group(table: GroupTable) -> Group:
    people = "1 person" if table.people == 1 else f"{table.people} people"
    if table.factors is not None:
        factors, basis = table.factors, "factors given in the case"
    elif table.activity == "jumping":
        factors, basis = jumping_factors(table.people), f"group jumping of {people}, SCI P354, from memory"
    else:
        factors, basis = RHYTHMIC_FACTORS, "rhythmic activity, AISC Design Guide 11, from memory"
    area = area_within(table.outline_mm)
    return Group(table.name, table.people, table.person_kg, area, table.frequency_hz, factors, basis)


def _machine(table: MachineTable) -> Machine:
    slowest, fastest = (speed / 60 for speed in table.speed_rpm)
    if table.unbalance_kg_mm is not None:
        unbalance = table.unbalance_kg_mm / 1000
    else:
        assert table.rotor_kg is not None
        assert table.grade_mm_s is not None  # both or unbalance_kg_mm: `dynamics_problems`
        unbalance = table.rotor_kg * table.grade_mm_s / 1000 / (2 * pi * fastest)  # ISO 21940-11: e ω = grade
    return Machine(table.name, _place(table.place_mm), (slowest, fastest), unbalance)


def _sideways(file: CaseFile, springs: Sequence[Spring]) -> Sideways:
    table = file.sideways
    assumed = []
    unknown = any(spring.lateral_rate is None for spring in springs)
    if unknown and "lateral_share" not in table.model_fields_set:
        whose = "springs without lateral rate or geometry"
        assumed.append(f"lateral rate of {table.lateral_share:g} times the vertical rate for {whose}")
    if file.equipment and "equipment_height_mm" not in table.model_fields_set:
        assumed.append(f"centre of mass of the equipment {table.equipment_height_mm:g} mm over the slab's top")
    shares = {strip.shear_share for strip in file.edge_strips if "shear_share" not in strip.model_fields_set}
    assumed += [f"edge strips {share:g} as stiff in shear as pressed together" for share in shares]
    strips = tuple(
        Strip(strip.name, metres(strip.path_mm), 1000 * strip.rate_N_mm_m, strip.shear_share)
        for strip in file.edge_strips
    )
    return Sideways(table.lateral_share, table.equipment_height_mm / 1000, strips, tuple(assumed))


def _rubber_assumed(file: CaseFile) -> list[str]:
    """What is assumed of the rubber layer that springs are compared with."""
    given = file.rubber.model_fields_set
    words = {
        "frequency_hz": f"a frequency of {file.rubber.frequency_hz:g} Hz",
        "loss_factor": f"a loss factor of {file.rubber.loss_factor:g}",
    }
    return [text for key, text in words.items() if key not in given]


def _assumed(file: CaseFile) -> tuple[str, ...]:
    """All assumptions but those that stand with an impact or with sideways springing."""
    found = []
    damping = {"springs_percent": "in the springs", "slab_percent": "in the bending slab"}
    for key, where in damping.items():
        if key not in file.damping.model_fields_set:
            found.append(f"damping of {getattr(file.damping, key):g} % of critical {where}")
    if any("damping_percent" not in bay.model_fields_set for bay in file.bays):
        default = BayTable.model_fields["damping_percent"].default
        found.append(f"damping of {default:g} % of critical in bays where none is given")
    if file.air is not None and "exponent" not in file.air.model_fields_set:
        found.append(f"air that keeps its heat, exponent {file.air.exponent:g}")
    if file.air is not None and "loss_factor" not in file.air.model_fields_set:
        found.append(f"a loss factor of the air of {file.air.loss_factor:g}")
    if any("person_kg" not in group.model_fields_set for group in file.groups):
        found.append(f"{GroupTable.model_fields['person_kg'].default:g} kg a person where none is given")
    if rubber := _rubber_assumed(file):
        found.append(f"a rubber layer with {' and '.join(rubber)} to compare with")
    return tuple(found)
