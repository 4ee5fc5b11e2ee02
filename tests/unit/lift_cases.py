"""Small slabs on the structural floor, and an equilibrium by a general minimiser, which the tests of the lift share."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import minimize
from shapely import box

from fem.lift import SOLID_STIFFNESS, Lifter, LiftModel, LiftPath, Turn
from fem.mesh import Mesh
from fem.plate import Plate, mass, pressure_load, stiffness
from fem.sampling import Footprints, Sampler
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from preprocess.contact import ContactCells, contact_cells

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
PRESSURE = 3065.0
"""Of 125 mm of concrete, Pa."""
CONCRETE = Plate(thickness=0.125, modulus=29e9, poissons_ratio=0.2, surface_density=312.5)
DISC = 0.15
SHEET = 1e10
GRID = [(0.4, 0.4), (1.5, 0.3), (2.6, 0.4), (0.4, 2.0), (1.4, 2.1), (2.6, 2.0)]
"""Six jacks on 3 × 2.4 m, not quite in rows."""


def criss_cross(a: float, b: float, nx: int, ny: int) -> Mesh:
    """Rectangles on [0, a] × [0, b], each cut in four through its middle: as symmetric as the rectangle."""
    x, y = np.meshgrid(np.linspace(0, a, nx + 1), np.linspace(0, b, ny + 1), indexing="ij")
    number = np.arange(x.size).reshape(x.shape)
    corner = [part.ravel() for part in (number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:])]
    vertices = np.column_stack([x.ravel(), y.ravel()])
    middle = x.size + np.arange(nx * ny)
    sides = zip(corner, [*corner[1:], corner[0]], strict=True)
    triangles = np.vstack([np.column_stack([start, end, middle]) for start, end in sides])
    return Mesh.from_arrays(np.vstack([vertices, np.mean([vertices[c] for c in corner], axis=0)]), triangles)


@dataclass(frozen=True, eq=False)
class SlabOnFloor:
    """A rectangle of even weight, with its jacks and with the cells that touch the structural floor."""

    model: SprungPlate
    sampler: Sampler
    load: Floats
    weight: float
    cells: ContactCells
    footprints: Footprints

    @classmethod
    def on(
        cls, mesh: Mesh, jack_xy: ArrayLike, cell: float = 0.6, *, plate: Plate = CONCRETE, disc: float = DISC
    ) -> SlabOnFloor:
        """cell: edge length of the contact cells, m."""
        xy = np.asarray(jack_xy, dtype=float)
        space = PlateSpace(mesh)
        sampler = Sampler(space)
        K, M = stiffness(space, plate), mass(space, plate.surface_density)
        a, b = mesh.vertices.max(axis=0)
        cells = contact_cells(box(0, 0, a, b), xy, cell)
        return cls(
            SprungPlate(space, plate, K, M, xy, sampler.discs(xy, disc)),
            sampler,
            pressure_load(space, PRESSURE),
            PRESSURE * float(a * b),
            cells,
            sampler.polygons(list(cells.polygons)),
        )

    def springs(self, deflection: float = 0.010) -> Floats:
        """(n,) equal rates, N/m, that let the floating slab settle by `deflection` m in the mean."""
        count = len(self.model.jack_xy)
        return np.full(count, self.weight / count / deflection)

    def lift_model(
        self,
        rates: Floats,
        *,
        solids: ArrayLike = 1.0,
        slack: ArrayLike = 0.0,
        gap: ArrayLike = 0.0,
        bond: float = 0.0,
        sheet: float = SHEET,
    ) -> LiftModel:
        """solids, slack: m. gap: m below each cell. bond: Pa. sheet: N/m3."""
        area = self.cells.area
        return LiftModel.from_model(
            self.model,
            self.load,
            self.footprints,
            rates,
            weight=self.weight,
            solids=np.broadcast_to(np.asarray(solids, dtype=float), rates.shape),
            slack=np.broadcast_to(np.asarray(slack, dtype=float), rates.shape),
            gap=np.broadcast_to(np.asarray(gap, dtype=float), area.shape),
            sheet=sheet * area,
            bond=bond * area,
        )


def rounds(jacks: int, change: float, passes: int = 1, order: Iterable[int] | None = None) -> list[list[Turn]]:
    """Passes in which every jack is turned once by `change` m, in the order given."""
    turns = [(jack, change) for jack in (range(jacks) if order is None else order)]
    return [list(turns) for _ in range(passes)]


def lift(model: LiftModel, passes: Iterable[Sequence[Turn]]) -> Iterator[LiftPath]:
    """The state at rest, then the states of each pass."""
    lifter = Lifter(model)
    yield lifter.rest()
    for turns in passes:
        yield lifter.states(turns)


@dataclass(frozen=True, eq=False)
class Equilibrium:
    """displacement: (unknowns,). jack_load: (n,), contact: (m,), N."""

    displacement: Floats
    jack_load: Floats
    contact: Floats


def least_energy(slab: SlabOnFloor, lift: LiftModel, advance: Floats, bonded: Flags) -> Equilibrium:
    """The state of least potential energy of all displacements u of the mesh, found by a general minimiser.

    ½ uᵀ K u − f u + Σ ½ k max(e, 0)² + Σ ½ κs max(e − solid, 0)² + Σ ½ κ max(w − gap, 0)², the last without max where
    the bond holds; e = w + a − slack. No flexibility, condensing or active set enters: energy, gradient and second
    derivative go to scipy's trust region with exact subproblems (Moré and Sorensen, SIAM J. Sci. Stat. Comput. 4,
    1983). The solution is exact once the last step starts on the right branch of every max.
    """
    K = slab.model.stiffness.toarray()
    R, P = slab.model.jacks.rows.toarray(), slab.footprints.rows.toarray()
    rows = np.vstack([R, R, P])
    rates = np.concatenate([lift.rates, np.full(len(R), SOLID_STIFFNESS), lift.sheet])
    screw = advance - lift.slack
    start = np.concatenate([screw, screw - lift.solids, -lift.gap])
    two_sided = np.concatenate([np.zeros(2 * len(R), dtype=bool), bonded])

    def pushing(u: Floats) -> Floats:
        travel = rows @ u + start
        return np.where(two_sided, travel, np.maximum(travel, 0.0))

    def energy(u: Floats) -> float:
        return float(u @ K @ u / 2 - slab.load @ u + rates @ pushing(u) ** 2 / 2)

    def slope(u: Floats) -> Floats:
        return np.asarray(K @ u - slab.load + rows.T @ (rates * pushing(u)))

    def curvature(u: Floats) -> Floats:
        return np.asarray(K + rows.T @ ((rates * (two_sided | (pushing(u) > 0)))[:, None] * rows))

    u = np.zeros(len(K))
    found = minimize(energy, u, jac=slope, hess=curvature, method="trust-exact", options={"gtol": 1e-5, "maxiter": 500})
    u = found.x - np.linalg.lstsq(curvature(found.x), slope(found.x))[0]  # it may rock, on two supports
    force = rates * pushing(u)
    n = len(R)
    return Equilibrium(u, force[:n] + force[n : 2 * n], force[2 * n :])


def end_of(paths: Iterable[LiftPath]) -> LiftPath:
    """The last state of the last of some passes."""
    *_, last = paths
    return last.at(slice(len(last) - 1, None))


def write_hall(folder: Path, columns: int, rows: int) -> Path:
    """The case of an L-shaped hall, `columns` × `rows` jacks 1.25 m apart but for a corner of two by two."""
    folder.mkdir(parents=True, exist_ok=True)
    x, y = np.meshgrid(0.4 + 1.25 * np.arange(columns), 0.4 + 1.25 * np.arange(rows))
    a, b = 1250 * (columns - 1) + 800, 1250 * (rows - 1) + 800
    places = np.column_stack([x.ravel(), y.ravel()]) * 1e3
    cut_x, cut_y = a - 2525, b - 2525
    places = places[~((places[:, 0] > cut_x) & (places[:, 1] > cut_y))]
    lines = [f"J{i},{px:.0f},{py:.0f},S" for i, (px, py) in enumerate(places)]
    (folder / "jacks.csv").write_text("id,x_mm,y_mm,spring\n" + "\n".join(lines))
    (folder / "springs.toml").write_text(
        '[[spring]]\ncode = "S"\nrate_N_mm = 480\nrated_load_kN = 8\nsolid_deflection_mm = 60\n'
    )
    (folder / "case.toml").write_text(
        '[project]\ntitle = "Hall"\n[slab]\n'
        f"outline_mm = [[0, 0], [{a}, 0], [{a}, {cut_y}], [{cut_x}, {cut_y}], [{cut_x}, {b}], [0, {b}]]\n"
        "thickness_mm = 125\n[lift]\nage_days = 4\n"
    )
    return folder
