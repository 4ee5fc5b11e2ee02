"""Doubt and failure of a solved floor: Monte Carlo on the condensed floor, and each spring out of service in turn."""

from __future__ import annotations

from collections.abc import Iterator
from math import sqrt

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.linalg import block_diag
from shapely import MultiPolygon, Polygon

from fem.gravity import GRAVITY
from fem.load_scatter import LoadScatter
from fem.outage import chosen_jacks
from fem.random_field import RandomField
from fem.rate_scatter import Coils
from fem.reduced_modes import ReducedModes
from fem.scatter import SOURCES, FloorScatter, Varied
from fem.varied_thickness import reduced_thickness, thickness_forces
from jackfield.failure import with_unit_fields
from jackfield.pipeline import Solution
from postprocess.doubt.failures import Failures
from postprocess.doubt.result import Assumptions, FloorDoubt
from postprocess.doubt.statistics import FrequencyScatter, JackScatter, Probability, additivity, leaving, sources
from postprocess.doubt.words import left_out
from preprocess.case import Case, Doubt
from preprocess.floor import Floor
from preprocess.loads import AppliedLoad

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STATE = "service"
"""The load state of the samples."""
SOURCE_WORDS = {
    "batch": "spring rates, common to a batch",
    "single": "spring rates, spring by spring",
    "thickness": "thickness of the slab",
    "masses": "mass of the equipment",
}
WORK = 2e10
"""Samples × jacks² at most: about half a minute of matrix products. A larger floor gets fewer samples."""
ENTRIES = 300_000
"""Samples × jacks that are computed at a time."""
MOST_JACKS = 2500
"""Jacks beyond which there is no doubt and failure: every jack takes a solution of the whole floor."""
MOST_FAILURES = 1500
"""Springs that are taken out in turn; of a larger floor half of them are the most loaded, half the nearest to edges."""


def why_without(case: Case) -> str | None:
    """Why doubt and failure of a case are not computed, in words; None where they are."""
    if case.doubt is None:
        return "doubt and failure: case.toml has no [doubt]"
    if len(case.jacks) > MOST_JACKS:
        return f"doubt and failure: got {len(case.jacks)} jacks; at most {MOST_JACKS} are computed"
    return None


def case_doubt(solution: Solution) -> FloorDoubt | None:
    """Doubt and failure as the case asks for them; None where `why_without` gives a reason."""
    case = solution.floor.case
    return None if case.doubt is None or why_without(case) else floor_doubt(solution, case.doubt)


def floor_doubt(solution: Solution, settings: Doubt) -> FloorDoubt:
    """Scatter of jack loads and heave frequency in service, and every spring out of service in turn."""
    field = _thickness_field(solution.floor, settings)
    items = [load for load in solution.floor.loads if load.pattern == "equipment"]
    columns, combined = _load_columns(solution, settings, field, items)
    jacks = solution.floor.case.jacks
    clearance = solution.floor.sampler.clearance(jacks.xy)
    chosen = chosen_jacks(solution.states[STATE].jack_load, clearance, MOST_FAILURES)
    flexibility, deflection, failures = with_unit_fields(solution, columns, combined, chosen)
    model = _scatter(solution, settings, field, items, flexibility=flexibility, deflection=deflection)
    return _gather(solution, settings, field, model, failures)


def _thickness_field(floor: Floor, settings: Doubt) -> RandomField:
    mesh = floor.model.space.mesh
    return RandomField.squared_exponential(mesh.corners.mean(axis=1), mesh.areas, settings.thickness_correlation)


def _load_columns(
    solution: Solution, settings: Doubt, field: RandomField, items: list[AppliedLoad]
) -> tuple[sparse.csr_array, Floats]:
    """Loads as columns (unknowns, t + e): of thickness in each triangle and of each piece of equipment; and (t + e,
    q + e) how much of them one standard deviation of each shape of the thickness and of each piece is."""
    floor = solution.floor
    thickness = thickness_forces(
        floor.model.space,
        floor.model.plate,
        solution.states[STATE].displacement,
        floor.case.slab.density * GRAVITY,
    )
    weights = [sparse.csr_array(rows.T @ forces[:, None]) for rows, forces, _ in _equipment(floor, items)]
    pieces = settings.mass_deviation * np.eye(len(items))
    return (
        sparse.csr_array(sparse.hstack([thickness, *weights])),
        block_diag(settings.thickness_deviation * field.shapes, pieces),
    )


def _equipment(
    floor: Floor, items: list[AppliedLoad]
) -> Iterator[tuple[sparse.csr_array, Floats, sparse.csr_array | None]]:
    """Rows of the footprints of each piece, the force on each, N, and its mass matrix; None where feet are lumped."""
    foot = 0
    for item in items:
        if isinstance(item.shape, MultiPolygon):
            feet = slice(foot, foot + len(item.shape.geoms))
            foot = feet.stop
            yield sparse.csr_array(floor.feet.rows[feet]), floor.foot_forces[feet], None
        else:
            assert isinstance(item.shape, Polygon)  # equipment stands on feet or on an area
            area = floor.sampler.polygons([item.shape])
            yield area.rows, np.array([item.force]), area.mass(np.array([item.force / GRAVITY]))


def _scatter(
    solution: Solution,
    settings: Doubt,
    field: RandomField,
    items: list[AppliedLoad],
    *,
    flexibility: Floats,
    deflection: Floats,
) -> FloorScatter:
    floor, jacks = solution.floor, solution.floor.case.jacks
    modes = ReducedModes.from_model(floor.model, jacks.rates, factor=solution.factor)
    shapes = field.shapes.shape[1]
    stiffness, mass = reduced_thickness(
        floor.model.space,
        floor.model.plate,
        floor.case.slab.density,
        modes.shapes,
        settings.thickness_deviation * field.shapes,
    )
    size = len(modes.squares)
    added = np.zeros((len(items), size, size))
    for number, (rows, forces, matrix) in enumerate(_equipment(floor, items)):
        M = rows.T @ sparse.diags_array(forces / GRAVITY) @ rows if matrix is None else matrix
        added[number] = settings.mass_deviation * (modes.shapes.T @ (M @ modes.shapes))
    deviation = settings.rate_tolerance / 2
    return FloorScatter(
        loads=LoadScatter(jacks.rates, flexibility, solution.states[STATE].jack_deflection, jacks.advance),
        modes=modes,
        coils=coils_under(floor.case),
        batch_deviation=deviation * sqrt(settings.batch_share),
        single_deviation=deviation * sqrt(1 - settings.batch_share),
        thickness=Varied(deflection[:, :shapes], stiffness, mass),
        masses=Varied(deflection[:, shapes:], np.zeros_like(added), added),
        least_mass=-1 / settings.mass_deviation if settings.mass_deviation else -np.inf,
    )


def coils_under(case: Case) -> Coils:
    """Every coil under the jacks: the parts of nested pairs are coils of their own kinds."""
    codes = [(jack, code) for jack, spring in enumerate(case.jacks.springs) for code in spring.parts]
    kinds = {code: number for number, code in enumerate(dict.fromkeys(code for _, code in codes))}
    return Coils(
        jacks=len(case.jacks),
        jack=np.array([jack for jack, _ in codes]),
        kind=np.array([kinds[code] for _, code in codes]),
        rate=np.array([case.catalogue[code].rate for _, code in codes]),
    )


def _gather(
    solution: Solution, settings: Doubt, field: RandomField, model: FloorScatter, failures: Failures
) -> FloorDoubt:
    case = solution.floor.case
    jacks, band = case.jacks, case.target.load_ratio
    samples = max(min(settings.samples, int(WORK / len(jacks) ** 2)), 100)
    answers = model.sample(settings.seed, samples, max(ENTRIES // len(jacks), 64))
    loads, heave = answers.pop("all")
    under, over = leaving(loads, jacks.rated_loads, band)
    return FloorDoubt(
        assumptions=_assumptions(settings, samples, field.kept),
        ids=jacks.ids,
        xy=jacks.xy,
        springs=tuple(spring.code for spring in jacks.springs),
        rated_loads=jacks.rated_loads,
        band=band,
        loads=solution.states[STATE].jack_load,
        jacks=JackScatter.of(loads, jacks.rated_loads, band),
        any_leaves=Probability(int((under | over).any(axis=1).sum()), samples),
        frequency=FrequencyScatter(solution.heave_frequency, heave, case.target.natural_frequency),
        sources=sources({SOURCE_WORDS[name]: answers[name] for name in SOURCES}, jacks.rated_loads),
        additivity=additivity([single for single, _ in answers.values()], loads),
        failures=failures,
        left_out=left_out(_assumptions(settings, samples, field.kept), settings.samples, failures),
    )


def _assumptions(settings: Doubt, samples: int, kept: float) -> Assumptions:
    return Assumptions(
        samples=samples,
        seed=settings.seed,
        rate_tolerance=settings.rate_tolerance,
        batch_share=settings.batch_share,
        thickness_deviation=settings.thickness_deviation,
        thickness_correlation=settings.thickness_correlation,
        mass_deviation=settings.mass_deviation,
        thickness_kept=kept,
    )
