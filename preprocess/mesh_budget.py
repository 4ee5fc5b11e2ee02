"""Whether a case asks for more triangles or contact cells than can be solved, told before anything is meshed."""

from __future__ import annotations

from collections.abc import Mapping
from math import ceil, exp, log, sqrt
from typing import Any, Final

from pydantic import TypeAdapter
from shapely import Polygon

from preprocess.errors import Problem
from preprocess.schema import CASE_FILE, LatticeMm, MeshSizeMm
from preprocess.validation import table_of, usable
from preprocess.wording import count

MOST_TRIANGLES: Final = 150_000
"""About twice what a slab of 100 × 100 m has by default; far more would run out of memory or patience."""

DEFAULT_SIZE: Final = 0.60
"""Edge length, m, where the case gives none; never above that of `preprocess.meshing`."""

PER_SQUARE: Final = 2.3
"""Triangles on an area of one edge length squared; 4/√3 = 2.31 if all are equilateral."""

PER_JACK: Final = 18
"""Triangles around a jack for each e-fold from the edge length there to the general one, and as many again.

The mesh grows in proportion to the distance from the jack, so their number grows with the logarithm only.
Counted on meshes of square slabs: 22 triangles a jack at 600 to 100 mm, 88 at 600 to 10 mm.
"""

MOST_CELLS: Final = 5000
"""Contact cells below a slab: what each does to each other is kept, so memory grows with the square of their number."""

_LATTICE = TypeAdapter[float](LatticeMm)
_SIZE = TypeAdapter[float | None](MeshSizeMm | None)


def estimated_triangles(area: float, size: float, jacks: int = 0, jack_size: float | None = None) -> float:
    """About how many triangles a mesh of edge length `size` (m) on `area` (m²) has.

    jack_size: edge length in m at each of the jacks, None if the mesh is not graded to them on request.
    """
    plain = PER_SQUARE * area / size**2
    if jack_size is None or jack_size >= size:
        return plain
    return plain + PER_JACK * jacks * (1 + log(size / jack_size))


def mesh_problems(plan: Polygon | None, jacks: int, data: Mapping[str, Any]) -> list[Problem]:
    """A slab too large for its edge length, or too many jacks for theirs; none if there is no plan."""
    table = table_of(data, "mesh")
    given, jack_size = usable(_SIZE, table.get("size_mm")), usable(_SIZE, table.get("jack_size_mm"))
    if plan is None or (given is None and "size_mm" in table):
        return []
    size = DEFAULT_SIZE if given is None else given / 1000
    plain = estimated_triangles(plan.area, size)
    if plain > MOST_TRIANGLES:
        return [_too_large(plan.area, plain, given)]
    if jack_size is None or estimated_triangles(plan.area, size, jacks, jack_size / 1000) <= MOST_TRIANGLES:
        return []
    around = estimated_triangles(plan.area, size, jacks, jack_size / 1000) - plain
    return [_too_fine_at_jacks(MOST_TRIANGLES - plain, around, jacks, jack_size, size)]


def lattice_problems(plan: Polygon | None, data: Mapping[str, Any]) -> list[Problem]:
    """Contact cells too small for their slab; none if there is no plan or the program chooses their size."""
    given = usable(_LATTICE, table_of(data, "lift").get("lattice_mm"))
    if plan is None or given is None or plan.area <= MOST_CELLS * (given / 1000) ** 2:
        return []
    cells = _rough(plan.area / (given / 1000) ** 2)
    least = _rounded_up(sqrt(plan.area / MOST_CELLS))
    allowed = f"at most {MOST_CELLS:,} contact cells: lift.lattice_mm at least {least}"
    return [Problem(CASE_FILE, "lift.lattice_mm", f"{given:g} on {plan.area:,.6g} m2, about {cells} cells", allowed)]


def _too_large(area: float, triangles: float, given: float | None) -> Problem:
    least = _rounded_up(sqrt(PER_SQUARE * area / MOST_TRIANGLES))
    where = "slab.outline_mm" if given is None else "mesh.size_mm"
    value = f"{area:,.6g} m2" if given is None else f"{given:g} on {area:,.6g} m2"
    allowed = f"at most {MOST_TRIANGLES:,} triangles: mesh.size_mm at least {least}, or the slab in parts"
    return Problem(CASE_FILE, where, f"{value}, about {_rough(triangles)} triangles", allowed)


def _too_fine_at_jacks(left: float, around: float, jacks: int, jack_size: float, size: float) -> Problem:
    """left: triangles that the slab itself leaves for the jacks."""
    least = _rounded_up(size * min(1.0, exp(1 - left / (PER_JACK * jacks))))
    value = f"{jack_size:g}, about {_rough(around)} triangles around {count(jacks, 'jack')}"
    allowed = f"at most {MOST_TRIANGLES:,} triangles in all: mesh.jack_size_mm at least {least}, or none given"
    return Problem(CASE_FILE, "mesh.jack_size_mm", value, allowed)


def _rounded_up(size: float) -> int:
    """A length in m as the next 10 mm."""
    return 10 * ceil(100 * size - 1e-9)


def _rough(triangles: float) -> str:
    """To three digits."""
    return f"{float(f'{triangles:.2e}'):,.0f}"
