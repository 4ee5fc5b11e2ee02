"""Slab, structural floor and trapped air in one small system of modal coordinates (Ritz).

Coordinates q, all displacements: the slab's modes on its springs (unit modal mass), the middle of each bay of the
structural floor, and the outflow of each mode of the air cavity. A support between slab and structural floor, jacks or
a continuous layer, and the air feel the slab's motion less that of the bay below it. Losses are those of complex
stiffness, K (1 + iη), with η twice the ratio of critical damping (Cremer, Heckl and Petersson, Structure-Borne Sound,
3rd ed. 2005, on the complex modulus; from memory).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.linalg import block_diag

from fem.area_rule import AreaRule
from fem.cavity import CavityModes
from fem.modes import ModalResult
from fem.plate import mass as plate_mass
from fem.space import PlateSpace
from fem.sprung_plate import SprungPlate
from fem.structural_floor import FloorBays

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@dataclass(frozen=True)
class Losses:
    """Loss factors, twice the ratio of critical damping: of the support below the slab, of the slab, of the air."""

    support: float
    slab: float
    air: float = 0.0


@dataclass(frozen=True, eq=False)
class Support:
    """What carries the slab, in N coordinates. stiffness: (N, N) N/m. forces: (f, N) N/m, each downward on the floor.

    net: (N,) their sum over the whole support. loss: its loss factor.
    """

    stiffness: Floats
    forces: Floats
    net: Floats
    loss: float


@dataclass(frozen=True, eq=False)
class CoupledFloor:
    """N coordinates: m of the slab, b of bays, a of air, in that order.

    mass: (N, N) kg. stiffness: (N, N) complex, N/m. shapes: (unknowns, m) of the slab's modes. support: without loss.
    air: (N,) net force of the air on the structural floor, N/m, and air_mass: (N,) what its modes left out add to it
    for accelerations, kg; zeros where there is none.
    """

    mass: Floats
    stiffness: Complexes
    shapes: Floats
    bays: FloorBays
    support: Support
    air: Complexes
    air_mass: Floats

    @property
    def size(self) -> int:
        """N."""
        return int(self.mass.shape[0])

    @property
    def slab_count(self) -> int:
        """m."""
        return int(self.shapes.shape[1])

    def at_slab(self, rows: sparse.csr_array | Floats) -> Floats:
        """(p, N) displacement of footprints or points given by their rows (p, unknowns) of the slab's field."""
        values = rows @ self.shapes
        return np.hstack([values, np.zeros((len(values), self.size - self.slab_count))])

    def at_bays(self) -> Floats:
        """(b, N) displacement of the middle of each bay."""
        return np.eye(self.size)[self.slab_count : self.slab_count + len(self.bays)]

    def at_floor(self, xy: Floats) -> Floats:
        """(p, N) displacement of the structural floor at points (p, 2), m."""
        return np.asarray(self.bays.shapes(xy) @ self.at_bays())

    @property
    def into_structure(self) -> Complexes:
        """(N,) net force into the structural floor but that of air_mass, N/m downward, with losses."""
        return np.asarray((1 + 1j * self.support.loss) * self.support.net + self.air)

    def __repr__(self) -> str:
        air = self.size - self.slab_count - len(self.bays)
        return f"CoupledFloor\n  slab   {self.slab_count}\n  bays   {len(self.bays)}\n  air    {air}"


@dataclass(frozen=True, eq=False)
class SlabBasis:
    """The slab's modes on reference springs, and what couples to them, gathered once for any support below.

    squares: (m,) ω², 1/s². shapes: (unknowns, m) Φ, 1/√kg. jack_shapes: (n, m) RΦ. rates: (n,) N/m. unit_mass:
    (unknowns, unknowns) ∫ w w dA, m2.
    """

    squares: Floats
    shapes: Floats
    jack_shapes: Floats
    rates: Floats
    jack_xy: Floats
    space: PlateSpace
    unit_mass: sparse.csr_array

    @classmethod
    def of(cls, model: SprungPlate, rates: Floats, modes: ModalResult) -> SlabBasis:
        """From modes of the model on springs of `rates` (n,), N/m."""
        return cls(
            squares=(2 * np.pi * modes.frequencies) ** 2,
            shapes=modes.shapes,
            jack_shapes=model.jacks.rows @ modes.shapes,
            rates=rates,
            jack_xy=model.jack_xy,
            space=model.space,
            unit_mass=plate_mass(model.space, 1.0),
        )

    def lowest(self, count: int) -> SlabBasis:
        """The first `count` modes only."""
        return replace(
            self,
            squares=self.squares[:count],
            shapes=self.shapes[:, :count],
            jack_shapes=self.jack_shapes[:, :count],
        )

    @cached_property
    def even(self) -> Floats:
        """(unknowns,) ∫ w dA, m2: the load vector of a unit pressure."""
        return np.asarray(self.unit_mass @ self.space.rigid_motions()[:, 0])

    @cached_property
    def rule(self) -> AreaRule:
        """For the shapes of bays, which are no fields of the slab."""
        return AreaRule.of(self.space)

    def products(self, bays: FloorBays) -> Floats:
        """(unknowns, m + b) ∫ p (slab less bays) dA for a field p, for each coordinate of slab and bays."""
        slab = self.unit_mass @ self.shapes
        if not len(bays):
            return np.asarray(slab)
        return np.hstack([slab, -self.rule.products(bays.shapes(self.rule.xy)).T])

    def plate_stiffness(self) -> Floats:
        """(m, m) stiffness of the slab alone, without springs."""
        return np.diag(self.squares) - self.jack_shapes.T @ (self.rates[:, None] * self.jack_shapes)

    def on_springs(self, bays: FloorBays, losses: Losses, air: CavityModes | None = None) -> CoupledFloor:
        """The slab on its jacks over these bays and, if given, this air."""
        moves = np.hstack([self.jack_shapes, -bays.shapes(self.jack_xy)])
        forces = self.rates[:, None] * moves
        return self._coupled(bays, losses, moves.T @ forces, forces=forces, net=forces.sum(axis=0), air=air)

    def on_layer(self, bays: FloorBays, losses: Losses, rate: float) -> CoupledFloor:
        """The slab on a continuous layer of `rate` N/m3 instead of its jacks, without air; one net force."""
        m, b = len(self.squares), len(bays)
        products = self.products(bays)
        squeezed = np.zeros((m + b, m + b))
        squeezed[:m] = self.shapes.T @ products
        squeezed[m:, :m] = squeezed[:m, m:].T
        net = self.space.rigid_motions()[:, 0] @ products
        if b:
            shapes = bays.shapes(self.rule.xy)
            squeezed[m:, m:] = shapes.T @ (self.rule.weights[:, None] * shapes)
        return self._coupled(bays, losses, rate * squeezed, forces=rate * net[None], net=rate * net, air=None)

    def _coupled(
        self, bays: FloorBays, losses: Losses, springs: Floats, *, forces: Floats, net: Floats, air: CavityModes | None
    ) -> CoupledFloor:
        """springs: (m + b, m + b) stiffness of the support; forces and net: as those of `Support`, without air."""
        m, b = len(self.squares), len(bays)
        mass = block_diag(np.eye(m), np.diag(bays.masses))
        stiffness = block_diag(
            (1 + 1j * losses.slab) * self.plate_stiffness(), np.diag(bays.stiffnesses * (1 + 2j * bays.damping))
        )
        stiffness = stiffness + (1 + 1j * losses.support) * springs
        support = Support(springs, forces, net, losses.support)
        pressure, heavy = np.zeros(m + b, dtype=complex), np.zeros(m + b)
        if air is not None:
            mass, stiffness, pressure, heavy = self._with_air(bays, losses, mass, stiffness, air=air)
            more = len(mass) - m - b
            support = Support(
                block_diag(springs, np.zeros((more, more))),
                np.pad(forces, ((0, 0), (0, more))),
                np.pad(net, (0, more)),
                losses.support,
            )
        return CoupledFloor(mass, stiffness, self.shapes, bays, support, pressure, heavy)

    def _with_air(
        self, bays: FloorBays, losses: Losses, mass: Floats, stiffness: Complexes, *, air: CavityModes
    ) -> tuple[Floats, Complexes, Complexes, Floats]:
        """Mass, stiffness and both net forces of the air, with its coordinates added.

        Mode k of the cavity is a spring k_a between w_k = ∫ψ_k (w − Σ S_b q_b) dA and its outflow s_k, whose mass is
        k_a / ω_k²; a sealed cavity's even mode has ω = 0: nothing flows out.
        """
        products = self.products(bays)
        squeezed = air.shapes.T @ products  # (c, m + b)
        flows = np.isfinite(air.masses)
        outflow = -np.eye(len(flows))[:, flows]
        moves = np.hstack([squeezed, outflow])
        more = int(flows.sum())
        k = air.stiffness * (1 + 1j * losses.air)
        # modes of the air left out add mass to whatever squeezes it, and push on the floor as it is accelerated
        heavy = air.residual_mass(np.hstack([products, self.even[:, None]]))
        mass = block_diag(mass + heavy[:-1, :-1], np.diag(air.masses[flows]))
        stiffness = block_diag(stiffness, np.zeros((more, more))) + k * (moves.T @ moves)
        net = np.asarray(k * (self.even @ air.shapes @ moves), dtype=np.complex128)
        return mass, stiffness, net, np.pad(heavy[-1, :-1], (0, more))


def damping_ratios(floor: CoupledFloor, squares: Floats, shapes: Floats) -> Floats:
    """(N,) ratio of critical damping of real modes (N, N) of unit modal mass with ω² (N,).

    The loss of each part weighted with the energy that it stores: ζ = φᵀ Im(K) φ / (2 ω²) (Ungar and Kerwin, J. Acoust.
    Soc. Am. 34, 1962, 954-957).
    """
    return np.asarray(np.sum(shapes * (floor.stiffness.imag @ shapes), axis=0) / (2 * squares))


def parts_of(floor: CoupledFloor) -> Iterator[slice]:
    """The coordinates of slab, bays and air."""
    m, b = floor.slab_count, len(floor.bays)
    yield from (slice(0, m), slice(m, m + b), slice(m + b, floor.size))
