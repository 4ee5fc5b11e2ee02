"""How long the main job takes. Run by hand:  pytest tests/benchmarks --benchmark-only

Machines are shared and noisy: compare within one run, by the ratios that the table prints.
"""

from __future__ import annotations

import resource
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import skfem
from numpy.typing import NDArray
from pytest_benchmark.fixture import BenchmarkFixture
from scipy import sparse
from scipy.sparse.linalg import eigsh, spsolve
from shapely import box
from skfem.helpers import dd, ddot, eye, trace

from fem.concentrated import ConcentratedForces
from fem.condensed import CondensedFloor
from fem.modes import solve_modes
from fem.plate import Plate, mass, pressure_load, stiffness
from fem.sampling import Sampler
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from fem.statics import solve_states
from jackfield.pipeline import solve
from jackfield.strength import slab_strength
from preprocess.case import MeshSettings
from preprocess.floor import build_floor
from preprocess.meshing import Sizes, mesh_plan
from preprocess.reader import read_case

Floats = NDArray[np.float64]
PLATE = Plate(thickness=0.125, modulus=33.3e9, poissons_ratio=0.2, surface_density=312.5)
WEIGHTS_ROOM = Path(__file__).parents[2] / "cases" / "weights-room"


@pytest.mark.benchmark(group="U-shaped case")
def test_mesh_assembly_three_states_and_ten_modes(benchmark: BenchmarkFixture) -> None:
    case = read_case(WEIGHTS_ROOM)
    rates, advance = case.jacks.rates, case.jacks.advance

    def whole() -> int:
        floor = build_floor(case)
        factor = floor.model.factor(rates)
        solve_states(floor.model, floor.state_loads(), rates, advance, factor)
        solve_modes(floor.model, rates, 10, factor)
        return floor.model.space.unknowns

    benchmark.extra_info["unknowns"] = benchmark.pedantic(whole, rounds=7, warmup_rounds=1)


@pytest.mark.benchmark(group="U-shaped case, condensed")
def test_new_spring_set_on_the_condensed_floor(benchmark: BenchmarkFixture) -> None:
    floor = build_floor(read_case(WEIGHTS_ROOM))
    rates = floor.case.jacks.rates
    condensed = CondensedFloor.from_model(floor.model, floor.patterns, rates)
    random = np.random.default_rng(1)
    factors = floor.state_matrix()[:, 1]
    benchmark.extra_info["jacks"] = len(rates)
    benchmark(lambda: condensed.solve(rates * random.uniform(0.5, 2, len(rates)), factors))


@pytest.mark.benchmark(group="size")
@pytest.mark.parametrize("side", [10, 20, 40, 70, 100])
def test_square_slab(benchmark: BenchmarkFixture, side: int) -> None:
    """side × side m at the mesh that a slab of 6 000 jacks gets: mesh, assembly, three states."""
    count = round(side / 1.29)
    line = (np.arange(count) + 0.5) * side / count
    x, y = np.meshgrid(line, line)
    jacks = np.column_stack([x.ravel(), y.ravel()])
    nowhere = ConcentratedForces(np.zeros((0, 2)), np.zeros(0), np.zeros(0))
    sizes = Sizes.for_case(MeshSettings(None, None, None), nowhere, 6000, 0)
    rates = np.random.default_rng(0).uniform(2e5, 4e5, len(jacks))

    def whole() -> int:
        space = PlateSpace(mesh_plan(box(0, 0, side, side), sizes))
        model = sprung(space, jacks)
        load = pressure_load(space, 1.0)[:, None] * np.array([3065.0, 3500.0, 8065.0])
        solve_states(model, load, rates, np.zeros(len(jacks)))
        return space.unknowns

    benchmark.extra_info["unknowns"] = benchmark.pedantic(whole, rounds=1)
    benchmark.extra_info["jacks"] = len(jacks)
    benchmark.extra_info["peak_GiB"] = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20


@pytest.mark.benchmark(group="strength")
@pytest.mark.parametrize("name", ["weights-room", "thousand-jacks"])
def test_all_strength_checks(benchmark: BenchmarkFixture, name: str, tmp_path: Path) -> None:
    """Load columns, every check, the choice among all pairs of fabrics and the earliest day of the lift."""
    if name == "thousand-jacks":
        write_large_case(tmp_path / name)
    case = read_case(WEIGHTS_ROOM if name == "weights-room" else tmp_path / name)
    assert case.reinforcement
    free = replace(case, reinforcement=replace(case.reinforcement, bottom=None, top=None))
    solution = solve(build_floor(free))
    strength = benchmark.pedantic(slab_strength, args=(solution,), rounds=3)
    assert strength
    benchmark.extra_info["jacks"] = len(case.jacks)
    benchmark.extra_info["combinations"] = len(strength.combinations)
    benchmark.extra_info["unknowns"] = solution.floor.model.space.unknowns


def write_large_case(folder: Path) -> None:
    """A hall of 45 × 35 m with a light well, 1 000 jacks about 1.25 m apart and machines in rows."""
    folder.mkdir()
    x, y = np.meshgrid(0.5 + np.arange(36) * 44 / 35, 0.5 + np.arange(28) * 34 / 27)
    clear = (np.hypot(x - 22.5, y - 17.5) > 1.8).ravel()
    places = np.column_stack([x.ravel(), y.ravel()])[clear]
    rows = [f"J{i},{1e3 * a:.0f},{1e3 * b:.0f},S" for i, (a, b) in enumerate(places)]
    (folder / "jacks.csv").write_text("id,x_mm,y_mm,spring\n" + "\n".join(rows))
    (folder / "springs.toml").write_text(
        '[[spring]]\ncode = "S"\nrate_N_mm = 350\nrated_load_kN = 8\nsolid_deflection_mm = 60\n'
    )
    machines = [
        f'[[equipment]]\nname = "Machine {i}"\nmass_kg = 900\nfeet_mm = [[{a}, {b}], [{a + 1500}, {b}]]\n'
        for i, (a, b) in enumerate((a, b) for a in range(3500, 42000, 6000) for b in range(3000, 33000, 6500))
    ]
    (folder / "case.toml").write_text(
        '[project]\ntitle = "Hall"\n[slab]\noutline_mm = [[0, 0], [45000, 0], [45000, 35000], [0, 35000]]\n'
        "openings_mm = [[[21500, 16500], [23500, 16500], [23500, 18500], [21500, 18500]]]\nthickness_mm = 150\n"
        "[imposed]\npressure_kpa = 5\nservice_fraction = 0.1\n[lift]\nage_days = 4\n"
        '[reinforcement]\nbottom = "A393"\ntop = "A393"\nbottom_cover_mm = 25\ntop_cover_mm = 25\n'
        + "".join(machines)
    )


def sprung(space: PlateSpace, jacks: Floats) -> SprungPlate:
    K, M = stiffness(space, PLATE), mass(space, PLATE.surface_density)
    return SprungPlate(space, PLATE, K, M, jacks, Sampler(space).discs(jacks, 0.15))


@pytest.fixture
def comparison() -> tuple[PlateSpace, Floats, Floats]:
    """The mesh, jacks and rates of the U-shaped case."""
    case = read_case(WEIGHTS_ROOM)
    return build_floor(case).model.space, case.jacks.xy, case.jacks.rates


def ours(space: PlateSpace, jacks: Floats, rates: Floats) -> None:
    fresh = PlateSpace(space.mesh)
    model = sprung(fresh, jacks)
    factor = model.factor(rates)
    solve_states(model, pressure_load(fresh, 3000.0)[:, None], rates, np.zeros(len(jacks)), factor)
    solve_modes(model, rates, 10, factor)


def with_scikit_fem(space: PlateSpace, jacks: Floats, rates: Floats) -> None:
    mesh = skfem.MeshTri(space.mesh.vertices.T.copy(), space.mesh.triangles.T.copy())
    basis = skfem.Basis(mesh, skfem.ElementTriArgyris())
    D, nu = PLATE.rigidity, PLATE.poissons_ratio

    @skfem.BilinearForm
    def bending(u: Any, v: Any, _: Any) -> Any:
        H = dd(u)
        return D * ddot((1 - nu) * H + nu * eye(trace(H), 2), dd(v))

    @skfem.BilinearForm
    def inertia(u: Any, v: Any, _: Any) -> Any:
        return PLATE.surface_density * u * v

    @skfem.LinearForm
    def pressure(v: Any, _: Any) -> Any:
        return 3000.0 * v

    R = basis.probes(jacks.T)  # points, which is less work than discs
    K = (bending.assemble(basis) + R.T @ sparse.diags(rates) @ R).tocsc()
    M, f = inertia.assemble(basis), pressure.assemble(basis)
    spsolve(K, f)
    eigsh(K, k=10, M=M, sigma=0.0)


@pytest.mark.benchmark(group="assembly, solve and modes on one mesh")
@pytest.mark.parametrize("solver", [ours, with_scikit_fem], ids=["jackfield", "scikit-fem"])
def test_against_scikit_fem(
    benchmark: BenchmarkFixture,
    solver: Callable[[PlateSpace, Floats, Floats], None],
    comparison: tuple[PlateSpace, Floats, Floats],
) -> None:
    benchmark.pedantic(solver, args=comparison, rounds=3, warmup_rounds=1)
