"""Meshes and plates that several verifications share."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from fem.mesh import Mesh
from fem.plate import Plate, mass, stiffness
from fem.sampling import Sampler
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate

Floats = NDArray[np.float64]


@pytest.fixture
def rectangle_mesh() -> Callable[..., Mesh]:
    """rectangle_mesh(a, b, nx, ny): right triangles on [0, a] × [0, b] in alternating directions."""

    def build(a: float, b: float, nx: int, ny: int) -> Mesh:
        x, y = np.meshgrid(np.linspace(0, a, nx + 1), np.linspace(0, b, ny + 1), indexing="ij")
        number = np.arange((nx + 1) * (ny + 1)).reshape(nx + 1, ny + 1)
        corners = (number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:])
        p, q, r, s = (corner.ravel() for corner in corners)
        even = (np.add.outer(np.arange(nx), np.arange(ny)) % 2 == 0).ravel()
        rising = [np.column_stack(t)[even] for t in ((p, q, r), (p, r, s))]
        falling = [np.column_stack(t)[~even] for t in ((p, q, s), (q, r, s))]
        return Mesh.from_arrays(np.column_stack([x.ravel(), y.ravel()]), np.vstack(rising + falling))

    return build


@pytest.fixture
def unit_plate() -> Callable[[float], Plate]:
    """unit_plate(nu): rigidity 1 N·m and surface density 1 kg/m2, so that ω is the tables' λ for side 1 m."""

    def build(nu: float) -> Plate:
        return Plate(thickness=0.01, modulus=12 * (1 - nu**2) / 0.01**3, poissons_ratio=nu, surface_density=1.0)

    return build


@pytest.fixture
def sprung_plate() -> Callable[..., SprungPlate]:
    """sprung_plate(mesh, plate, jack_xy, footprint): the plate with its own mass on disc footprints."""

    def build(mesh: Mesh, plate: Plate, jack_xy: Floats, footprint: float = 0.15) -> SprungPlate:
        space = PlateSpace(mesh)
        return SprungPlate(
            space=space,
            plate=plate,
            stiffness=stiffness(space, plate),
            mass=mass(space, plate.surface_density),
            jack_xy=jack_xy,
            jacks=Sampler(space).discs(jack_xy, footprint),
        )

    return build


@pytest.fixture
def concrete_plate() -> Plate:
    """125 mm of concrete: 33.3 GPa, ν 0.2, 2500 kg/m3."""
    return Plate(thickness=0.125, modulus=33.3e9, poissons_ratio=0.2, surface_density=312.5)
