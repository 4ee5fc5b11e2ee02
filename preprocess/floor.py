"""From a case to a model that the mechanics can solve: mesh, jacks, load patterns and mass."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy import sparse
from shapely import MultiPolygon, Polygon

from fem import plate as plates
from fem.bending import cap_moves
from fem.concentrated import ConcentratedForces
from fem.gravity import GRAVITY
from fem.mesh import Mesh
from fem.plate import Plate
from fem.sampling import Footprints, Sampler
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from preprocess.case import Case
from preprocess.loads import PATTERNS, AppliedLoad, applied_loads, state_factors
from preprocess.meshing import Sizes, mesh_plan
from preprocess.plan import re_entrant_corners

Floats = NDArray[np.float64]

CAP_RADIUS = 1.2
"""Widest cap of a concentrated force, m: twice the default edge length, which can follow it."""


@dataclass(frozen=True, eq=False)
class Floor:
    """A case on a mesh.

    loads: every applied load. patterns: (unknowns, 5) load vectors in the order of `preprocess.loads.PATTERNS`.
    resultants: (3, 5) force in N and moments in N·m of each pattern, from plan geometry alone. feet: the pads of
    equipment on feet. foot_forces: (f,) in N.
    """

    case: Case
    sampler: Sampler
    model: SprungPlate
    loads: tuple[AppliedLoad, ...]
    patterns: Floats
    resultants: Floats
    feet: Footprints
    foot_forces: Floats
    concentrated: ConcentratedForces

    def state_loads(self) -> Floats:
        """(unknowns, 3) load vectors of bare, service and full."""
        return self.patterns @ self.state_matrix()

    def state_matrix(self) -> Floats:
        """(5, 3) multipliers of the patterns in bare, service and full."""
        return np.column_stack(list(state_factors(self.case).values()))

    def magnitudes(self, jack_loads: Floats, equipment: Floats) -> Floats:
        """(jacks + feet, s) concentrated forces, N downward, of s load columns.

        jack_loads: (n, s) in N. equipment: (s,) share of the equipment's weight in each column.
        """
        return np.vstack([-jack_loads, np.outer(self.foot_forces, equipment)])

    def footprint_rows(self) -> sparse.csr_array:
        """(jacks + feet, unknowns) rows of the areas on which the concentrated forces act."""
        return sparse.csr_array(sparse.vstack([self.model.jacks.rows, self.feet.rows]))

    @cached_property
    def cap_moves(self) -> sparse.csr_array:
        """(jacks + feet, unknowns) as `fem.bending.cap_moves`."""
        return cap_moves(self.sampler, self.concentrated, self.footprint_rows())

    def refined(self) -> Floor:
        """The same case with every triangle cut into four."""
        return floor_on(self.case, self.model.space.mesh.refined())

    def __repr__(self) -> str:
        return f"Floor {self.case.name}\n{self.model!r}\n  loads      {len(self.loads)}"


def default_sizes(case: Case) -> Sizes:
    """Edge lengths of the mesh that the settings of a case ask for."""
    forces = _concentrated(case, _feet(applied_loads(case))[0])
    corners = len(re_entrant_corners(case.slab.plan))
    return Sizes.for_case(case.mesh, forces, len(case.jacks), corners)


def build_floor(case: Case) -> Floor:
    """The case on the mesh that its settings ask for."""
    return floor_on(case, mesh_plan(case.slab.plan, default_sizes(case)))


def floor_on(case: Case, mesh: Mesh) -> Floor:
    """The case on a given mesh of its plan."""
    slab, jacks = case.slab, case.jacks
    space = PlateSpace(mesh)
    sampler = Sampler(space)
    plate = Plate(slab.thickness, slab.modulus, slab.poissons_ratio, slab.thickness * slab.density)
    loads = applied_loads(case)
    patterns = np.zeros((space.unknowns, len(PATTERNS)))
    resultants = np.zeros((3, len(PATTERNS)))
    mass = sparse.csr_array((space.unknowns, space.unknowns))
    for load in loads:
        column = PATTERNS.index(load.pattern)
        resultants[:, column] += load.resultant
        if not isinstance(load.shape, MultiPolygon):
            vector, load_mass = _spread(load, slab.plan, sampler)
            patterns[:, column] += vector
            mass = mass + load_mass
    pads, foot_forces = _feet(loads)
    feet = sampler.polygons(list(pads))
    patterns[:, PATTERNS.index("equipment")] += feet.rows.T @ foot_forces
    mass = mass + feet.rows.T @ sparse.diags_array(foot_forces / GRAVITY) @ feet.rows  # lumped: a pad moves as one
    model = SprungPlate(
        space=space,
        plate=plate,
        stiffness=plates.stiffness(space, plate),
        mass=mass,
        jack_xy=jacks.xy,
        jacks=sampler.discs(jacks.xy, jacks.footprint),
    )
    return Floor(
        case=case,
        sampler=sampler,
        model=model,
        loads=loads,
        patterns=patterns,
        resultants=resultants,
        feet=feet,
        foot_forces=foot_forces,
        concentrated=_concentrated(case, pads),
    )


def _spread(load: AppliedLoad, plan: Polygon, sampler: Sampler) -> tuple[Floats, sparse.csr_array]:
    """Load vector (unknowns,) in N and mass matrix of a load on an area or a line."""
    space, shape = sampler.space, load.shape
    kilograms = load.force / GRAVITY if load.has_mass else 0.0
    if shape is plan:
        return plates.pressure_load(space, load.force / plan.area), plates.mass(space, kilograms / plan.area)
    footprint = (
        sampler.polygons([shape]) if isinstance(shape, Polygon) else sampler.lines([shapely.get_coordinates(shape)])
    )
    return footprint.rows.T @ np.array([load.force]), footprint.mass(np.array([kilograms]))


def _feet(loads: tuple[AppliedLoad, ...]) -> tuple[NDArray[np.object_], Floats]:
    """The pads of all equipment on feet (f,) and the force on each, N."""
    pads: list[Polygon] = []
    forces: list[float] = []
    for load in loads:
        if isinstance(load.shape, MultiPolygon):
            pads += load.shape.geoms
            forces += [load.force / len(load.shape.geoms)] * len(load.shape.geoms)
    return np.array(pads, dtype=object), np.array(forces)


def _concentrated(case: Case, pads: NDArray[np.object_]) -> ConcentratedForces:
    """Jacks, then feet. A square of side a has the second moment of a disc of radius a/√3: a²/6 = c²/2."""
    jacks = case.jacks
    feet = shapely.get_coordinates(shapely.centroid(pads))
    xy = np.vstack([jacks.xy, feet])
    radius = np.concatenate([np.full(len(jacks), jacks.footprint / 2), np.sqrt(shapely.area(pads) / 3)])
    clearance = shapely.distance(shapely.points(xy), case.slab.plan.boundary)
    return ConcentratedForces(xy, radius, np.minimum(clearance * (1 - 1e-9), CAP_RADIUS))
