"""Response of slab, bays and air to harmonic forces by the full system at every frequency, without any modes.

It is the independent yardstick of the modal method. Amplitudes are complex, e^{iωt}; stiffness has loss factors η. With
u the slab's unknowns, p the air's pressure, b the bays' middles; R the jacks' mean displacement, S the bays' shapes,
B = ∫ p w dA, C = ∫ S p dA, k the rates, l the stiffness of a continuous layer:

    [K(1+iη) + Rᵀk(1+iη)R + lB − ω²M] u + B p − [Rᵀk(1+iη)S + lCᵀ] b = f
    B u − Cᵀ b − [(h/ρc²)/(1+iη) B − h/(ρω²) A] p = 0                                   (fem.cavity)
    [k_b(1+2iζ) − ω²m_b + Sᵀk(1+iη)S + l∫SSᵀ] b − [Sᵀk(1+iη)R + lC] u − C p = f_b

which is complex symmetric. p is counted in units of the air's stiffness, so that all entries are of one kind.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.linalg import splu

from fem.area_rule import AreaRule
from fem.cavity import Cavity
from fem.errors import ModelError
from fem.ordering import elimination_order
from fem.plate import mass
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from fem.structural_floor import FloorBays

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
Ints = NDArray[np.int64]

_PIVOTS = (1e-6, 0.1)
"""A pivot is exchanged for another when it is smaller than this part of the largest in its column. Exchanges fill the
factors, so the second value is for systems only that the first does not solve."""
_REFINEMENTS = 2
_TRUSTED = 1e-6
"""The last correction must be below this part of the solution."""


@dataclass(frozen=True, eq=False)
class DirectResponse:
    """Complex amplitudes at f frequencies for p load columns, for e^{iωt}, downward positive.

    slab: (f, r, p) displacement in the rows asked for, or all unknowns, m. bays: (f, b, p) of the bays' middles, m.
    force: (f, p) into the structural floor through springs, layer and air, N.
    """

    frequencies: Floats
    slab: Complexes
    bays: Complexes
    force: Complexes


def direct_response(
    model: SprungPlate,
    rates: Floats,
    loads: Floats,
    frequencies: Floats,
    *,
    spring_loss: float,
    slab_loss: float,
    bays: FloorBays | None = None,
    cavity: Cavity | None = None,
    layer: complex = 0.0,
    bay_loads: Floats | None = None,
    rows: sparse.csr_array | None = None,
) -> DirectResponse:
    """Solve for loads (unknowns, p), N, at frequencies (f,), Hz.

    rates: (n,) of the springs, N/m; zeros leave the slab to the layer. layer: its complex stiffness, N/m3, as
    stiffness · (1 + i loss factor). bay_loads: (b, p) on the bays' coordinates, N. rows: (r, unknowns) of the
    displacements wanted. Raises ModelError where the system is singular: a frequency of 0 with air below the slab, or a
    resonance without any loss.
    """
    bays = FloorBays.none() if bays is None else bays
    if cavity is not None and not np.min(frequencies) > 0:
        raise ModelError("air below the slab responds to frequencies above 0 Hz only")
    n, b = model.space.unknowns, len(bays)
    system = _System.of(model, rates, bays, cavity)
    right = np.zeros((system.size, loads.shape[1]), dtype=complex)
    right[:n] = loads
    if bay_loads is not None:
        right[system.size - b :] = bay_loads
    slab, middles, force = [], [], []
    for omega in 2 * np.pi * np.asarray(frequencies, dtype=float):
        moved = system.solve(omega, 1 + 1j * spring_loss, 1 + 1j * slab_loss, layer, right)
        slab.append(moved[:n] if rows is None else rows @ moved[:n])
        middles.append(moved[system.size - b :])
        force.append(system.force_rows(1 + 1j * spring_loss, layer) @ moved)
    return DirectResponse(np.asarray(frequencies, dtype=float), np.array(slab), np.array(middles), np.array(force))


@dataclass(frozen=True, eq=False)
class _System:
    """Parts of the matrix, each real or complex for unit factors, on one pattern in the order of elimination.

    order: (size,) of elimination. pattern: of all parts. parts: each (nnz,). springs, layer, pressure: (size,) rows of
    the force into the floor. air_factor: 1 + iη of the air.
    """

    order: Ints
    pattern: sparse.csc_array
    parts: dict[str, Complexes]
    springs: Floats
    layer: Floats
    pressure: Floats
    air_factor: complex

    @property
    def size(self) -> int:
        """Number of unknowns u, p and b."""
        return len(self.order)

    @classmethod
    def of(cls, model: SprungPlate, rates: Floats, bays: FloorBays, cavity: Cavity | None) -> _System:
        n, b = model.space.unknowns, len(bays)
        size = n * (1 if cavity is None else 2) + b
        low = size - b
        floor = _Floor.of(model.space, bays)
        unit = mass(model.space, 1.0) if cavity is None else cavity.unit_mass
        relative = _embedded((len(rates), size), (model.jacks.rows, 0, 0), (-bays.shapes(model.jack_xy), 0, low))
        bay_stiffness = np.diag(bays.stiffnesses * (1 + 2j * bays.damping))
        cross = -floor.plan.T
        bed = ((unit, 0, 0), (cross, 0, low), (cross.T, low, 0), (floor.overlap, low, low))
        parts = {
            "slab": _embedded((size, size), (model.stiffness, 0, 0)),
            "springs": relative.T @ sparse.diags_array(rates) @ relative,
            "layer": _embedded((size, size), *bed),
            "mass": _embedded((size, size), (model.mass, 0, 0), (np.diag(bays.masses), low, low)),
            "bays": _embedded((size, size), (bay_stiffness, low, low)),
        }
        heave = np.asarray(unit @ model.space.rigid_motions()[:, 0])
        pressure = np.zeros(size)
        if cavity is not None:
            parts |= _air_parts(cavity, cross, size)
            pressure[n:low] = cavity.stiffness * heave
        order = _order(model, size, b)
        pattern, values = _on_one_pattern(parts, order)
        layer = np.concatenate([heave, np.zeros(low - n), -floor.area])
        loss = 0.0 if cavity is None else cavity.loss
        return cls(order, pattern, values, np.asarray(rates @ relative), layer, pressure, 1 + 1j * loss)

    def force_rows(self, springs: complex, layer: complex) -> Complexes:
        """(size,) from the solution to the force into the floor."""
        return np.asarray(springs * self.springs + layer * self.layer + self.pressure)

    def solve(self, omega: float, springs: complex, slab: complex, layer: complex, right: Complexes) -> Complexes:
        """(size, p) at ω, rad/s, for right sides (size, p)."""
        factors = {"slab": slab, "springs": springs, "layer": layer, "mass": -(omega**2), "bays": 1.0}
        if "inertance" in self.parts:
            factors |= {"coupling": 1.0, "storage": -1 / self.air_factor, "inertance": omega**-2}
        data = np.zeros(self.pattern.nnz, dtype=complex)
        for name, values in self.parts.items():
            data += factors[name] * values
        pattern = self.pattern
        matrix = sparse.csc_array((data, pattern.indices, pattern.indptr), shape=pattern.shape)
        return _solution(matrix, right, self.order, omega)


@dataclass(frozen=True, eq=False)
class _Floor:
    """plan: (b, unknowns) ∫ S w dA. overlap: (b, b) ∫ S S dA. area: (b,) ∫ S dA."""

    plan: Floats
    overlap: Floats
    area: Floats

    @classmethod
    def of(cls, space: PlateSpace, bays: FloorBays) -> _Floor:
        rule = AreaRule.of(space)
        shapes = bays.shapes(rule.xy)
        return cls(rule.products(shapes), shapes.T @ (rule.weights[:, None] * shapes), shapes.T @ rule.weights)


def _air_parts(cavity: Cavity, cross: Floats, size: int) -> dict[str, sparse.csr_array]:
    """What the pressures add, in units of the air's stiffness; cross: (unknowns, b) of the bays."""
    n, scale = len(cross), cavity.stiffness
    low = size - cross.shape[1]
    squeeze, bay = scale * cavity.unit_mass, scale * cross
    flow = scale**2 * cavity.gap / cavity.density * cavity.gradient
    return {
        "coupling": _embedded((size, size), (squeeze, 0, n), (squeeze, n, 0), (bay, n, low), (bay.T, low, n)),
        "storage": _embedded((size, size), (squeeze, n, n)),
        "inertance": _embedded((size, size), (flow, n, n)),
    }


def _solution(matrix: sparse.csc_array, right: Complexes, order: Ints, omega: float) -> Complexes:
    """Solve, refine and check the last correction."""
    wanted = right[order]
    for pivot in _PIVOTS:
        try:
            factors = splu(matrix, permc_spec="NATURAL", diag_pivot_thresh=pivot, options={"SymmetricMode": True})
        except RuntimeError:  # exactly singular
            continue
        found: Complexes = factors.solve(wanted)
        for _ in range(_REFINEMENTS):
            correction = factors.solve(np.asarray(wanted - matrix @ found))
            found = found + correction
        if np.abs(correction).max() <= _TRUSTED * np.abs(found).max():
            solution = np.empty_like(found)
            solution[order] = found
            return solution
    raise ModelError(f"no response at {omega / (2 * np.pi):.4g} Hz can be found: a resonance without loss")


def _order(model: SprungPlate, size: int, bays: int) -> Ints:
    """(size,) order of elimination: the slab's, each pressure after its displacement, then the bays."""
    base = elimination_order(model.space, model.jacks)
    fields = (size - bays) // len(base)
    return np.concatenate([(base[:, None] + len(base) * np.arange(fields)).ravel(), np.arange(size - bays, size)])


def _embedded(shape: tuple[int, int], *blocks: tuple[Any, int, int]) -> sparse.csr_array:
    """Matrix of `shape` from blocks, sparse or not, each with the row and column of its first entry."""
    parts = [(sparse.coo_array(block), row, column) for block, row, column in blocks]
    data = np.concatenate([block.data for block, _, _ in parts])
    rows = np.concatenate([block.row.astype(np.int64) + row for block, row, _ in parts])
    columns = np.concatenate([block.col.astype(np.int64) + column for block, _, column in parts])
    return sparse.csr_array(sparse.coo_array((data, (rows, columns)), shape=shape))


def _on_one_pattern(parts: dict[str, sparse.csr_array], order: Ints) -> tuple[sparse.csc_array, dict[str, Complexes]]:
    """The sum's pattern, in the order of elimination, and the entries of every part on it."""
    size = len(order)
    rank = np.empty(size, dtype=np.int64)
    rank[order] = np.arange(size)
    entries = {name: part.tocoo() for name, part in parts.items()}
    keys = {name: rank[part.col] * size + rank[part.row] for name, part in entries.items()}
    every = np.unique(np.concatenate(list(keys.values())))
    values = {}
    for name, part in entries.items():
        data = np.zeros(len(every), dtype=complex)
        data[np.searchsorted(every, keys[name])] = part.data
        values[name] = data
    column, row = np.divmod(every, size)
    starts = np.searchsorted(column, np.arange(size + 1)).astype(np.int32)
    ones = np.ones(len(every))
    return sparse.csc_array((ones, row.astype(np.int32), starts), shape=(size, size)), values
