"""From a case to a model that the mechanics can solve: mesh, jacks, load patterns and mass."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from shapely import MultiPolygon, Polygon

from fem import plate as plates
from fem.mesh import Mesh
from fem.plate import Plate
from fem.sampling import Footprints, Sampler
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from preprocess.case import GRAVITY, Case
from preprocess.loads import PATTERNS, AppliedLoad, applied_loads, state_factors
from preprocess.meshing import Sizes, mesh_plan

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Floor:
    """A case on a mesh.

    loads: every applied load. patterns: (unknowns, 5) load vectors in the order of `preprocess.loads.PATTERNS`.
    resultants: (3, 5) force in N and moments in N·m of each pattern, from plan geometry alone.
    """

    case: Case
    sampler: Sampler
    model: SprungPlate
    loads: tuple[AppliedLoad, ...]
    patterns: Floats
    resultants: Floats

    def state_loads(self) -> Floats:
        """(unknowns, 3) load vectors of bare, service and full."""
        return self.patterns @ self.state_matrix()

    def state_matrix(self) -> Floats:
        """(5, 3) multipliers of the patterns in bare, service and full."""
        return np.column_stack(list(state_factors(self.case).values()))

    def refined(self) -> Floor:
        """The same case with every triangle cut into four."""
        return floor_on(self.case, self.model.space.mesh.refined())

    def __repr__(self) -> str:
        return f"Floor {self.case.name}\n{self.model!r}\n  loads      {len(self.loads)}"


def build_floor(case: Case) -> Floor:
    """The case on the mesh that its settings ask for."""
    jacks = case.jacks.xy
    return floor_on(case, mesh_plan(case.slab.plan, Sizes.for_case(case.mesh, len(jacks)), jacks))


def floor_on(case: Case, mesh: Mesh) -> Floor:
    """The case on a given mesh of its plan."""
    slab = case.slab
    space = PlateSpace(mesh)
    sampler = Sampler(space)
    plate = Plate(slab.thickness, slab.modulus, slab.poissons_ratio, slab.thickness * slab.density)
    loads = applied_loads(case)
    patterns = np.zeros((space.unknowns, len(PATTERNS)))
    resultants = np.zeros((3, len(PATTERNS)))
    mass = sparse.csr_array((space.unknowns, space.unknowns))
    for load in loads:
        column = PATTERNS.index(load.pattern)
        vector, load_mass = _on_mesh(load, case, sampler)
        patterns[:, column] += vector
        resultants[:, column] += load.resultant
        mass = mass + load_mass
    model = SprungPlate(
        space=space,
        plate=plate,
        stiffness=plates.stiffness(space, plate),
        mass=mass,
        jack_xy=case.jacks.xy,
        jacks=sampler.discs(case.jacks.xy, case.jacks.footprint),
    )
    return Floor(case, sampler, model, loads, patterns, resultants)


def _on_mesh(load: AppliedLoad, case: Case, sampler: Sampler) -> tuple[Floats, sparse.csr_array]:
    """Load vector (unknowns,) in N and mass matrix of one load."""
    space, shape = sampler.space, load.shape
    kilograms = load.force / GRAVITY if load.has_mass else 0.0
    if shape is case.slab.plan:
        return (
            plates.pressure_load(space, load.force / shape.area),
            plates.mass(space, kilograms / shape.area),
        )
    if isinstance(shape, MultiPolygon):  # equipment on feet: lumped, each pad moves as one
        feet = sampler.polygons(list(shape.geoms))
        share = 1 / len(shape.geoms)
        rows = feet.rows
        return rows.T @ np.full(feet.count, load.force * share), sparse.csr_array(kilograms * share * (rows.T @ rows))
    spread: Footprints = (
        sampler.polygons([shape]) if isinstance(shape, Polygon) else sampler.lines([np.asarray(shape.coords)])
    )
    return spread.rows.T @ np.array([load.force]), spread.mass(np.array([kilograms]))
