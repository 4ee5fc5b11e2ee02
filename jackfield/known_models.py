"""Small meshes and floors for the answers that are known in closed form."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from fem.mesh import Mesh
from fem.plate import Plate, mass, stiffness
from fem.sampling import Sampler
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate

Floats = NDArray[np.float64]

CONCRETE = 33.3e9
"""Modulus, Pa."""
STIFF = 1e6 * CONCRETE
"""Of a slab that bends by less than 1e-4 of its motion, Pa."""


def grid_mesh(x: Sequence[float] | Floats, y: Sequence[float] | Floats) -> Mesh:
    """Rectangles between lines x and y, m, each cut in two in alternating directions."""
    columns, rows = len(x), len(y)
    corner = np.arange(columns * rows).reshape(columns, rows)
    p, q, r, s = (each.ravel() for each in (corner[:-1, :-1], corner[1:, :-1], corner[1:, 1:], corner[:-1, 1:]))
    even = (np.add.outer(np.arange(columns - 1), np.arange(rows - 1)) % 2 == 0).ravel()
    rising = [np.column_stack(each)[even] for each in ((p, q, r), (p, r, s))]
    falling = [np.column_stack(each)[~even] for each in ((p, q, s), (q, r, s))]
    vertices = np.column_stack([each.ravel() for each in np.meshgrid(x, y, indexing="ij")])
    return Mesh.from_arrays(vertices, np.vstack(rising + falling))


def sprung(space: PlateSpace, plate: Plate, xy: Floats, diameter: float) -> SprungPlate:
    """A plate on jacks at `xy` (n, 2), m, with housings of `diameter`, m."""
    discs = Sampler(space).discs(xy, diameter)
    return SprungPlate(space, plate, stiffness(space, plate), mass(space, plate.surface_density), xy, discs)


def floor_on_jacks(x: Floats, y: Floats, sides: tuple[float, float], modulus: float) -> SprungPlate:
    """A slab of 125 mm with these sides, m, on jacks at the crossings of x and y, m. modulus: Pa."""
    space = PlateSpace(grid_mesh(np.linspace(0, sides[0], 4), np.linspace(0, sides[1], 4)))
    xy = np.column_stack([each.ravel() for each in np.meshgrid(x, y, indexing="ij")])
    return sprung(space, Plate(0.125, modulus, 0.2, 312.5), xy, 0.15)
