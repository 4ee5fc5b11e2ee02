"""A solved floor of 6 × 4 m with twelve jacks and a column opening, as the papers see it."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from shapely import LineString, MultiPolygon, Polygon, box

from fem.mesh import Mesh
from fem.modes import ModalResult, solve_modes
from fem.moments import moments
from fem.plate import Plate, mass, pressure_load, stiffness
from fem.sampling import Sampler
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from fem.statics import StaticResult, solve_states
from postprocess.fields import Fields, display_mesh
from postprocess.schedule import STATES, JackSchedule
from postprocess.view import FloorView, PlanItem
from tests.unit.list_cases import Listed, listed

Floats = NDArray[np.float64]

PRESSURES = (3065.0, 3900.0, 8400.0)
"""Load of the states bare, service and full, Pa."""


def solved_view(
    plan: Polygon, mesh: Mesh, jacks: Floats, items: tuple[PlanItem, ...] = (), corners: Floats | None = None
) -> FloorView:
    """Solve a slab of 125 mm under even loads on jacks of two rates, and gather what the papers need."""
    thickness, density, diameter = 0.125, 2500.0, 0.15
    space = PlateSpace(mesh)
    plate, sampler = Plate(thickness, 33.3e9, 0.2, thickness * density), Sampler(space)
    model = SprungPlate(
        space,
        plate,
        stiffness(space, plate),
        mass(space, plate.surface_density),
        jacks,
        sampler.discs(jacks, diameter),
    )
    nested = np.arange(len(jacks)) % 4 == 0
    rates = np.where(nested, 450e3, 280e3)
    loads = np.column_stack([pressure_load(space, pressure) for pressure in PRESSURES])
    states = dict(zip(STATES, solve_states(model, loads, rates, np.zeros(len(jacks))), strict=True))
    modes = solve_modes(model, rates, 8)
    schedule = JackSchedule(
        ids=tuple(f"J{number + 1:02d}" for number in range(len(jacks))),
        xy=jacks,
        springs=tuple("A7+B2" if pair else "A7" for pair in nested),
        rates=rates,
        rated_loads=np.where(nested, 9.0e3, 7.0e3),
        solid_deflections=np.full(len(jacks), 0.04),
        advance=np.zeros(len(jacks)),
        loads={name: state.jack_load for name, state in states.items()},
        deflections={name: state.jack_deflection for name, state in states.items()},
        tributary_loads=np.full(len(jacks), plan.area * PRESSURES[1] / len(jacks)),
        band=(0.75, 1.05),
    )
    return FloorView(
        title="Practice room over a workshop",
        reference="T-1",
        revision="B",
        plan=plan,
        thickness=thickness,
        footprint=diameter,
        re_entrant_corners=np.zeros((0, 2)) if corners is None else corners,
        items=items,
        schedule=schedule,
        fields=_fields(sampler, plate, states, modes),
        modes=modes,
    )


def _fields(sampler: Sampler, plate: Plate, states: dict[str, StaticResult], modes: ModalResult) -> Fields:
    mesh = display_mesh(sampler.space.mesh)
    points = sampler.points(mesh.vertices)
    shapes = points.rows @ modes.shapes
    peak = np.take_along_axis(shapes, np.abs(shapes).argmax(axis=0)[None], axis=0)
    return Fields(
        mesh,
        {name: points.rows @ state.displacement for name, state in states.items()},
        {name: moments(points, plate, state.displacement) for name, state in states.items()},
        shapes / peak,
    )


def rectangle_mesh(x: list[float], y: list[float], hole: tuple[int, int]) -> Mesh:
    """Rectangles between the lines x and y, each cut in two, without the one of column and row `hole`."""
    columns, rows = np.meshgrid(np.arange(len(x) - 1), np.arange(len(y) - 1))
    kept = (columns != hole[0]) | (rows != hole[1])
    corner = (rows * len(x) + columns)[kept]
    right, up, across = corner + 1, corner + len(x), corner + len(x) + 1
    vertices = np.column_stack([part.ravel() for part in np.meshgrid(x, y)])
    halves = [np.column_stack([corner, right, across]), np.column_stack([corner, across, up])]
    return Mesh.from_arrays(vertices, np.vstack(halves))


@pytest.fixture(scope="session")
def floor_view() -> FloorView:
    """The small floor, with one item of each kind on it."""
    opening = box(2.6, 1.8, 3.2, 2.3)
    mesh = rectangle_mesh([0.0, 0.9, 1.8, 2.6, 3.2, 4.1, 5.0, 6.0], [0.0, 0.9, 1.8, 2.3, 3.1, 4.0], (3, 2))
    x, y = np.meshgrid([0.6, 2.2, 3.8, 5.4], [0.5, 2.6, 3.5])
    items = (
        PlanItem("Rack", "equipment", "840 kg", MultiPolygon([box(1, 3, 1.1, 3.1), box(1.6, 3, 1.7, 3.1)])),
        PlanItem("Partition", "line load", "0.8 kN/m", LineString([(4.2, 0.0), (4.2, 1.5), (6.0, 1.5)])),
        PlanItem("Tiles $5", "finish", "0.50 kPa", box(4.5, 2, 6, 4)),
    )
    corners = np.asarray(opening.exterior.coords)[:-1]
    return solved_view(box(0, 0, 6, 4) - opening, mesh, np.column_stack([x.ravel(), y.ravel()]), items, corners)


@pytest.fixture(scope="session")
def listed_booth(tmp_path_factory: pytest.TempPathFactory) -> Listed:
    """The booth with bays, steel and doubt, solved, with its lists and results."""
    return listed(tmp_path_factory.mktemp("listed") / "booth")
