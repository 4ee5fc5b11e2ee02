"""The thin cavity of air between a slab and the structural floor.

The pressure p of air of height h obeys, below a slab that sinks by w over a floor that sinks by s,

    (h/ρc²) p̈ − (h/ρ) ∇²p = ẅ − s̈,        ∂p/∂n = −a p along the perimeter (a = 0 sealed),

and acts upward on the slab and downward on the floor (F. Fahy, Sound and Structural Vibration, 1985, chapter 6, from
memory, for a cavity driven by its wall; the mean over the height is taken here). In modes ψ of −∇²ψ = κ²ψ,
∫ ψ² dA = 1, each of them is a spring `stiffness` between w_k − s_k, w_k = ∫ ψ_k w dA, and a mass stiffness/ω_k²,
ω_k = c κ_k, that hangs on it. The field is the quintic one of the plate, on the same mesh.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse.linalg import LinearOperator, eigsh

from fem.errors import ModelError
from fem.gradient import gradient_products
from fem.open_edges import edge_terms
from fem.openings import Opening, edge_pieces, even_openings
from fem.ordering import elimination_order
from fem.plate import mass
from fem.sampling import Sampler
from fem.solver import Factor
from fem.space import PlateSpace

__all__ = ["DENSITY", "PRESSURE", "Cavity", "CavityModes", "Opening", "even_openings"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PRESSURE = 101325.0
"""Standard atmosphere at sea level, Pa (ISO 2533:1975, table 1)."""
DENSITY = 1.204
"""Of dry air at 20 °C and that pressure, kg/m3: p/(R T) with R = 287.05 J/(kg K) (ISO 2533:1975) and T = 293.15 K."""
_SHIFT = 1e-2
"""The matrix is factorised at −κ² of this part of (π / longest side)², so that a sealed cavity can be, too."""
_CORRECTIONS = 4


@dataclass(frozen=True, eq=False)
class Cavity:
    """Air of height `gap`, m, below the whole slab; the slab is one connected piece.

    exponent: of its change of state, 1.4 adiabatic to 1.0 isothermal. loss: loss factor η of its stiffness.
    inner: (unknowns, unknowns) ∫ ∇p · ∇q dA. edges: what openings add, None where all is sealed.
    unit_mass: (unknowns, unknowns) ∫ p q dA. order: of elimination.
    """

    space: PlateSpace
    gap: float
    exponent: float
    loss: float
    inner: sparse.csr_array
    edges: sparse.csr_array | None
    unit_mass: sparse.csr_array
    order: Ints

    @classmethod
    def of(cls, sampler: Sampler, gap: float, exponent: float, loss: float, openings: Sequence[Opening]) -> Cavity:
        """The cavity below the slab of `sampler`; sealed where no opening is.

        Raises ModelError for a gap that is not positive and for openings that are not on the slab's edges.
        """
        if not gap > 0:
            raise ModelError(f"the air below the slab has a height of {gap} m; more than 0 wanted")
        space = sampler.space
        order = elimination_order(space, sampler.points(np.zeros((0, 2))))
        sealed = cls(space, gap, exponent, loss, gradient_products(space), None, mass(space, 1.0), order)
        return sealed.with_openings(openings)

    def with_openings(self, openings: Sequence[Opening]) -> Cavity:
        """The same air with other openings; only their edges are assembled anew."""
        pieces = edge_pieces(self.space.mesh, openings)
        edges = edge_terms(self.space, pieces) if np.any(pieces.admittance > 0) else None
        return replace(self, edges=edges)

    @property
    def stiffness(self) -> float:
        """γ p0 / h of the enclosed air, N/m3."""
        return self.exponent * PRESSURE / self.gap

    @property
    def density(self) -> float:
        """ρ, kg/m3."""
        return DENSITY

    @property
    def sound_speed(self) -> float:
        """c = √(γ p0 / ρ), m/s."""
        return float(np.sqrt(self.exponent * PRESSURE / DENSITY))

    @cached_property
    def gradient(self) -> sparse.csr_array:
        """(unknowns, unknowns) ∫ ∇p · ∇q dA and the openings: positive definite, but for a constant when sealed."""
        return self.inner if self.edges is None else sparse.csr_array(self.inner + self.edges)

    @cached_property
    def shift(self) -> float:
        """What is added to κ² before factorising, 1/m2."""
        return float(_SHIFT * (np.pi / np.ptp(self.space.mesh.vertices, axis=0).max()) ** 2)

    @cached_property
    def factor(self) -> Factor:
        """Of gradient + shift · unit_mass."""
        matrix = sparse.csr_array(self.gradient + self.shift * self.unit_mass)
        return Factor(matrix, self.order, lambda x: np.asarray(matrix @ x))

    def modes(self, count: int) -> CavityModes:
        """The lowest `count` modes, at least one, by Lanczos iteration (ARPACK)."""
        B, size = self.unit_mass, self.space.unknowns
        count = min(count, size - 2)
        inverse = LinearOperator(B.shape, matvec=self.factor.solve_once, dtype=np.float64)
        start = B @ np.sin(1.0 + np.arange(size))  # any fixed vector, so that runs repeat to the digit
        squares, shapes = eigsh(self.gradient, k=count, M=B, sigma=-self.shift, OPinv=inverse, v0=start)
        order = np.argsort(squares)
        squares, shapes = squares[order], shapes[:, order]
        if self.edges is None:
            squares[0] = 0.0
            shapes[:, 0] = self.space.rigid_motions()[:, 0]
        shapes = shapes / np.sqrt(np.sum(shapes * (B @ shapes), axis=0))
        return CavityModes(self, self.sound_speed * np.sqrt(np.maximum(squares, 0.0)) / (2 * np.pi), shapes)

    def modes_below(self, frequency: float, most: int) -> CavityModes:
        """All modes up to `frequency` Hz, and at least the first, but no more than the lowest `most`.

        Their number is first taken from Weyl's law, area κ²/4π + perimeter κ/4π (R. Courant and D. Hilbert, Methods of
        Mathematical Physics I, 1953, chapter VI.4, from memory), which is an estimate only.
        """
        mesh, limit = self.space.mesh, min(most, self.space.unknowns - 2)
        kappa = 2 * np.pi * frequency / self.sound_speed
        perimeter = mesh.edge_lengths[mesh.boundary_edges].sum()
        count = 8 + int((mesh.areas.sum() * kappa + perimeter) * kappa / (4 * np.pi))
        modes = self.modes(min(count, limit))
        while modes.frequencies[-1] <= frequency and count < limit:
            count = min(count + count // 2, limit)
            modes = self.modes(count)
        return modes.lowest(max(1, int(np.searchsorted(modes.frequencies, frequency, side="right"))))

    def __repr__(self) -> str:
        kind = "sealed" if self.edges is None else "with openings"
        return f"Cavity, {kind}\n  gap        {self.gap * 1e3:.0f} mm\n  unknowns   {self.space.unknowns}"


@dataclass(frozen=True, eq=False)
class CavityModes:
    """c modes of a cavity, ascending, over a slab that stands still.

    frequencies: (c,) Hz, exactly 0 for the constant pressure of a sealed cavity. shapes: (unknowns, c), 1/m, with
    ∫ ψ² dA = 1.
    """

    cavity: Cavity
    frequencies: Floats
    shapes: Floats

    @property
    def stiffness(self) -> float:
        """γ p0 / h, N/m3: every mode's spring."""
        return self.cavity.stiffness

    @cached_property
    def coupling(self) -> Floats:
        """(c, unknowns) with ∫ ψ_k w dA = coupling @ w, for w in m: m2."""
        return np.asarray((self.cavity.unit_mass @ self.shapes).T)

    @property
    def masses(self) -> Floats:
        """(c,) stiffness/ω² of what hangs on each spring, kg/m2 · m2; inf at ω = 0."""
        with np.errstate(divide="ignore"):
            return np.asarray(self.stiffness / (2 * np.pi * self.frequencies) ** 2)

    def lowest(self, count: int) -> CavityModes:
        """The first `count` of these modes."""
        return replace(self, frequencies=self.frequencies[:count], shapes=self.shapes[:, :count])

    def residual_mass(self, products: Floats) -> Floats:
        """(m, m) mass of air, positive semidefinite, that the modes left out add to any motions of slab over floor.

        products: (unknowns, m) ∫ p w dA with the field's unknowns, for w in m per unit of the coordinate; the mass is
        in kg then. Below their frequencies ω_k these modes are incompressible: Σ ρ/(h κ_k²) w_k w_kᵀ, which is
        ρ/h · wᵀ A⁻¹ w without the kept modes. What is still missing is of the order (ω/ω_k)² of it.
        """
        A = self.cavity.gradient

        def without_kept(p: Floats) -> Floats:
            return np.asarray(p - self.shapes @ (self.coupling @ p))

        right = products - self.coupling.T @ (self.shapes.T @ products)
        pressure = np.zeros_like(right)
        for _ in range(_CORRECTIONS):  # each takes off the shift's share of what is left
            pressure = without_kept(pressure + self.cavity.factor.solve_once(right - A @ pressure))
        total = self.cavity.density / self.cavity.gap * (pressure.T @ right)
        return np.asarray(0.5 * (total + total.T))
