"""What the strength part found, complete for tables, papers and pictures. SI units, moments sagging positive."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from fem.mesh import Mesh
from postprocess.checks import Check
from postprocess.strength.age import YoungConcrete
from postprocess.strength.layers import Face, Layers
from postprocess.strength.materials import Materials
from postprocess.strength.perimeter import Perimeter

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class PunchingPlace:
    """A jack, which pushes up, or a foot of equipment, which presses down.

    name: "jack C4" or "Rack 1, foot 2". force: greatest design force, N ≥ 0. stress: vEd on the control perimeter;
    strength: vRd,c; face_stress: vEd around the loaded area; face_limit: vRd,max. All in Pa.
    """

    name: str
    kind: Literal["jack", "foot"]
    xy: tuple[float, float]
    force: float
    perimeter: Perimeter
    stress: float
    strength: float
    face_stress: float
    face_limit: float

    @property
    def use(self) -> float:
        """The larger of both stresses over its limit; 1 is full use, inf where openings leave no perimeter."""
        return max(self.stress / self.strength, self.face_stress / self.face_limit)


@dataclass(frozen=True, eq=False)
class CornerVerdict:
    """A re-entrant corner: a place where cracks start.

    xy: m. across: direction of the trimmers, across the corner's bisector, rad from the x axis. strip: width of
    averaging along the bisector where cracks are judged, zone: the same for resistance, m. moments: load state -> mean
    moment across the bisector over the strip, N·m/m. cracking_use: load state -> its size over the cracking moment
    (lower characteristic strength, at the age of the state); above 1 a crack is to be expected. design_sagging ≥ 0,
    design_hogging ≤ 0: of the strength combinations, over the zone, N·m/m. trimmers: face -> number of diagonal bars
    near it, spread over the zone.
    """

    xy: tuple[float, float]
    across: float
    strip: float
    zone: float
    moments: Mapping[str, float]
    cracking_use: Mapping[str, float]
    design_sagging: float
    design_hogging: float
    trimmers: Mapping[Face, int]


@dataclass(frozen=True, eq=False)
class LayerVerdict:
    """One mat. use: (2,) greatest bending use of its wires along x and along y. where: the places in words.
    share_used: (2,) part of the slab's area where more than half of their resistance is used. fails_without: names of
    all checks that would not be met with this mat left out.
    """

    face: Face
    fabric: str
    use: Floats
    where: tuple[str, str]
    share_used: Floats
    fails_without: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class StateCracking:
    """Where a load state comes nearest to cracking the slab: moment over limit, the cracking moment with the lower
    characteristic tensile strength (of 28 days; bare: of the day of lifting, if there is one), N·m/m.
    """

    state: str
    moment: float
    limit: float
    where: str
    xy: tuple[float, float]


@dataclass(frozen=True, eq=False)
class LiftVerdict:
    """The day of lifting. moment: the greatest moment of the bare slab then, N·m/m ≥ 0. limit: the cracking moment at
    that age. earliest_age: first whole day on which the lift passes, None if it never does.
    """

    concrete: YoungConcrete
    moment: float
    limit: float
    earliest_age: int | None


@dataclass(frozen=True, eq=False)
class Strength:
    """The slab's strength. v vertices of `mesh`, which depends on the plan alone; columns in the order of
    `layers.FACES`: bottom x, bottom y, top x, top y.

    strip: width of averaging at jacks, feet and re-entrant corners, m. demand: (v, 4) greatest design moment of all
    combinations, N·m/m ≥ 0; beside jacks, feet and corners the strip means stand. combination: (v, 4) number of the
    governing one in `combinations`. resistance: (4,) MRd, N·m/m. crack_width: (v, 4) in the service state, m, as if
    the slab had cracked everywhere. cracking: bare, service, full. patterns: areas of imposed load by their names in
    `combinations`. remarks: what a reader has to know, in words. trimmer_diameter: m. chosen: whether the program
    chose a fabric.
    """

    layers: Layers
    materials: Materials
    strip: float
    mesh: Mesh
    combinations: tuple[str, ...]
    demand: Floats
    combination: NDArray[np.int64]
    resistance: Floats
    crack_width: Floats
    punching: tuple[PunchingPlace, ...]
    corners: tuple[CornerVerdict, ...]
    trimmer_diameter: float
    layer_verdicts: tuple[LayerVerdict, LayerVerdict]
    cracking: tuple[StateCracking, ...]
    lift: LiftVerdict | None
    patterns: Mapping[str, BaseGeometry]
    remarks: tuple[str, ...]
    checks: tuple[Check, ...]
    chosen: bool

    @property
    def use(self) -> Floats:
        """(v, 4) demand over resistance; 1 is full use."""
        return np.asarray(self.demand / self.resistance)
