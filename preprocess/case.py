"""A case as the rest of the program sees it: checked, complete and in SI units (m, kg, N, Pa, s).

Plan axes x, y; loads positive downward. The reader (`preprocess.reader`) makes these objects;
nothing here reads files or checks values.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from math import pi
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from fem.helical_spring import Coil
from preprocess.concrete import Concrete
from preprocess.dynamics import Dynamics
from preprocess.inputs import Inputs
from preprocess.interpolation import interpolated

LoadState = Literal["bare", "service", "full"]


@dataclass(frozen=True)
class Project:
    """What the papers call the job. date: of the input as its author gives it, None where that is left to the files."""

    title: str
    reference: str
    revision: str
    date: dt.date | None


@dataclass(frozen=True)
class Slab:
    """The concrete plate: plan in m with its openings as holes, thickness m, density kg/m3, modulus Pa."""

    plan: Polygon
    thickness: float
    density: float
    concrete: Concrete
    modulus: float
    poissons_ratio: float

    @property
    def mass(self) -> float:
        """Mass of the slab without finishes, kg."""
        return float(self.plan.area) * self.thickness * self.density


@dataclass(frozen=True)
class Spring:
    """A catalogue entry: rate in N/m, rated load in N, deflection at which it is solid in m.

    parts: the codes of the coils that stand under the jack: one, or outer and inner of a nested pair.
    coil: the geometry, of a single spring that the catalogue gives by its geometry. lateral_rate: N/m sideways between
    parallel seats, as the catalogue has it or from the geometry; None where it is not known.
    """

    code: str
    rate: float
    rated_load: float
    solid_deflection: float
    parts: tuple[str, ...]
    coil: Coil | None = None
    lateral_rate: float | None = None

    @property
    def rated_deflection(self) -> float:
        """Deflection under the rated load, m."""
        return self.rated_load / self.rate


@dataclass(frozen=True)
class Jacks:
    """The jacks in the order of the jack list.

    xy: (n, 2) centres, m. advance: (n,) screw advance over that of the others, m.
    footprint: diameter of the housing, m.
    """

    ids: tuple[str, ...]
    xy: NDArray[np.float64]
    springs: tuple[Spring, ...]
    advance: NDArray[np.float64]
    footprint: float

    def __len__(self) -> int:
        return len(self.ids)

    @property
    def rates(self) -> NDArray[np.float64]:
        """(n,) spring rates, N/m."""
        return np.array([spring.rate for spring in self.springs])

    @property
    def rated_loads(self) -> NDArray[np.float64]:
        """(n,) rated loads, N."""
        return np.array([spring.rated_load for spring in self.springs])

    @property
    def solid_deflections(self) -> NDArray[np.float64]:
        """(n,) deflections at which the springs are solid, m."""
        return np.array([spring.solid_deflection for spring in self.springs])


@dataclass(frozen=True)
class Finish:
    """A permanent pressure in Pa over `area` (the whole slab when None)."""

    name: str
    pressure: float
    area: Polygon | None


@dataclass(frozen=True)
class Equipment:
    """A machine or rack of `mass` kg, on square feet of side `foot` m at `feet` (n, 2), or spread over `area`.

    Exactly one of `feet` and `area` is given.
    """

    name: str
    mass: float
    feet: NDArray[np.float64] | None
    foot: float
    area: Polygon | None


@dataclass(frozen=True)
class LineLoad:
    """A permanent load in N/m along `path` (n, 2), such as a parapet or a partition."""

    name: str
    load: float
    path: NDArray[np.float64]


@dataclass(frozen=True)
class Imposed:
    """The imposed load in Pa on the whole slab and its sustained share, which counts in the service state."""

    pressure: float
    service_fraction: float


@dataclass(frozen=True)
class Target:
    """natural_frequency: upper limit of the heave mode in service, Hz, or None. load_ratio: allowed service band.

    solid_reserve: least travel left before a spring is solid in the full state, m.
    """

    natural_frequency: float | None
    load_ratio: tuple[float, float]
    solid_reserve: float


@dataclass(frozen=True, eq=False)
class FloorHeights:
    """Spot heights of the structural floor: xy (q, 2) m, height (q,) m above any datum, positive upward.

    underside: "follows" where the slab was cast on that floor and lies on it everywhere, so that only the springs stand
    lower or higher; "plane" where the slab's underside is plane and it lies on the highest places only.
    """

    xy: NDArray[np.float64]
    height: NDArray[np.float64]
    underside: Literal["follows", "plane"]

    def at(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """(p,) heights, m, at (p, 2) points: linear between the spots, beyond them that of the nearest place within."""
        return interpolated(self.xy, self.height, points)


@dataclass(frozen=True)
class Lift:
    """How the floor is to be lifted, at an age of the concrete in days.

    pitch: screw advance a turn, m. passes: None where `air_gap` is given, the wanted height of the slab above where it
    lay, m; exactly one of them is given. order: one of `schema.LIFT_ORDERS`. slack: screw travel lost before a spring
    touches, m. bond: tensile strength of the sheet between slab and floor, Pa. sheet_stiffness: of sheet and structural
    floor, N/m3. lattice: edge length of the contact cells, m, None leaves it to the program. floor: None where the
    structural floor is taken for plane.
    """

    pitch: float
    turns_per_pass: float
    passes: int | None
    air_gap: float | None
    order: str
    age_days: float
    slack: float
    bond: float
    sheet_stiffness: float
    lattice: float | None
    floor: FloorHeights | None


@dataclass(frozen=True)
class LevelRules:
    """When the floor is level, and what is known of a survey.

    overall: greatest departure from level either way, m. straightedge: greatest gap under a straightedge of
    `straightedge_length`, m both. survey_deviation: standard deviation of one height, m. surveyed_in, level_in: the
    load state on the day of the survey and that in which the floor is to be level. most_turns: of a jack either way.
    age_days: of the concrete at levelling, None for that of the lift.
    """

    overall: float
    straightedge: float
    straightedge_length: float
    survey_deviation: float
    surveyed_in: LoadState
    level_in: LoadState
    most_turns: float
    age_days: float | None


@dataclass(frozen=True)
class Mat:
    """Welded fabric or bars: diameter and pitch, m, of the wires along x and of those along y."""

    name: str
    diameter: tuple[float, float]
    pitch: tuple[float, float]

    @property
    def depth(self) -> float:
        """Wires along x and along y one above the other, m."""
        return sum(self.diameter)

    @property
    def volume(self) -> float:
        """Steel without laps, m³ on a square metre of slab."""
        return sum(pi / 4 * d**2 / pitch for d, pitch in zip(self.diameter, self.pitch, strict=True))


@dataclass(frozen=True)
class Reinforcement:
    """The two layers of steel. bottom, top: None where the program is to choose.

    bottom_cover, top_cover: from the face to the outer wires, m. bottom_outer, top_outer: the wires nearest the face,
    those along x or along y. fyk: characteristic yield strength, Pa. trimmer_diameter: of the diagonal bars at
    re-entrant corners, m.
    """

    bottom: Mat | None
    top: Mat | None
    bottom_cover: float
    top_cover: float
    bottom_outer: Literal["x", "y"]
    top_outer: Literal["x", "y"]
    fyk: float
    trimmer_diameter: float


@dataclass(frozen=True)
class Factors:
    """changes: the values that replace those which the standards recommend, by name, in SI.

    equipment: whether machines and racks come and go ("variable") or stay for good ("permanent").
    """

    changes: Mapping[str, float]
    equipment: Literal["variable", "permanent"]


@dataclass(frozen=True)
class Ordering:
    """How quantities are counted for buying.

    fabric_sheet: sides of a sheet of fabric, m. fabric_lap: of its wires, m, None where it follows from EN 1992-1-1.
    concrete_waste: share of the net volume. sheet_turn_up: of the sheet below the slab at edges and openings, m.
    sheet_lap: share of that sheet's area.
    """

    fabric_sheet: tuple[float, float]
    fabric_lap: float | None
    concrete_waste: float
    sheet_turn_up: float
    sheet_lap: float


@dataclass(frozen=True)
class JackLine:
    """A line on the slab that must have jacks, such as below a wall: along `path` (n, 2), m, at most `spacing` m."""

    name: str
    path: NDArray[np.float64]
    spacing: float


@dataclass(frozen=True)
class NoJackZone:
    """An area without jacks: no centre of a jack lies in it. It may reach beyond the slab."""

    name: str
    area: Polygon


@dataclass(frozen=True)
class SetOutRules:
    """Where jacks may stand, m.

    greatest_spacing: of neighbours along edges and in rows. least_spacing: between the centres of any two jacks.
    least_edge: from the centre of a jack to an edge. greatest_overhang: of the slab beyond the outermost jacks.
    """

    greatest_spacing: float
    least_spacing: float
    least_edge: float
    greatest_overhang: float
    lines: tuple[JackLine, ...]
    zones: tuple[NoJackZone, ...]


@dataclass(frozen=True)
class ChoiceRules:
    """How springs are chosen. most_types: different catalogue entries at most, None for any number.

    spares: share of each kind of coil that is bought beyond what stands under jacks.
    """

    most_types: int | None
    spares: float


@dataclass(frozen=True)
class Doubt:
    """What is uncertain, all as shares of the nominal value but for thickness.

    rate_tolerance: of a single spring, batch and part together: two standard deviations. batch_share: share of its
    variance that all springs of one kind have in common. thickness_deviation: standard deviation of the slab's
    thickness, m; thickness_correlation: the distance over which it varies, m. mass_deviation: standard deviation
    of the mass of each piece of equipment.
    """

    samples: int
    seed: int
    rate_tolerance: float
    batch_share: float
    thickness_deviation: float
    thickness_correlation: float
    mass_deviation: float


@dataclass(frozen=True)
class MeshSettings:
    """Edge lengths in m; None leaves the choice to `preprocess.meshing`. jack_size grades the mesh to the jacks."""

    size: float | None
    corner_size: float | None
    jack_size: float | None


@dataclass(frozen=True)
class Case:
    """Everything that a case folder says, ready for use.

    inputs: the files that it was read from, as they were then. remarks: what was closed, merged or left out on reading
    a drawing.
    """

    name: str
    folder: Path
    inputs: Inputs
    project: Project
    slab: Slab
    jacks: Jacks
    catalogue: Mapping[str, Spring]
    finishes: tuple[Finish, ...]
    equipment: tuple[Equipment, ...]
    line_loads: tuple[LineLoad, ...]
    imposed: Imposed
    target: Target
    lift: Lift | None
    level: LevelRules
    mesh: MeshSettings
    reinforcement: Reinforcement | None
    factors: Factors
    ordering: Ordering
    setout: SetOutRules
    choice: ChoiceRules
    doubt: Doubt | None
    dynamics: Dynamics
    remarks: tuple[str, ...] = ()

    @property
    def files(self) -> tuple[str, ...]:
        """Names of the files that it was read from, `case.toml` first."""
        return tuple(file.name for file in self.inputs.files)
