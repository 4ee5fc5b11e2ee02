"""Natural frequencies and shapes of the floor on its springs, and how much mass moves rigidly in each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.linalg import LinearOperator, eigsh

from fem.solver import Factor
from fem.sprung_plate import SprungPlate

Floats = NDArray[np.float64]

PURE = 0.6
"""Share of the mass above which a mode is called by the name of one rigid motion."""
RIGID = 0.2
"""Sum of the shares in heave and rocking below which a mode is called bending."""


@dataclass(frozen=True, eq=False)
class ModalResult:
    """m modes in ascending order.

    frequencies: (m,) in Hz. shapes: (unknowns, m), unit modal mass, 1/√kg. heave, rock_x, rock_y: (m,) shares of
    the mass in vertical motion and in rotation about the axes through the centre of mass parallel to x and to y.
    rock: (m,) share in rotation about any axis; less than rock_x + rock_y where the plan is lopsided.
    """

    frequencies: Floats
    shapes: Floats
    heave: Floats
    rock_x: Floats
    rock_y: Floats
    rock: Floats

    @property
    def kinds(self) -> tuple[str, ...]:
        """Each mode's kind: heave, rocking about x, about y or about a slanted axis, bending, or mixed."""
        shares = zip(self.heave, self.rock_x, self.rock_y, self.rock, strict=True)
        return tuple(kind_of(*share) for share in shares)

    @property
    def heave_mode(self) -> int:
        """Index of the mode with the largest share of the mass in heave."""
        return int(np.argmax(self.heave))

    @property
    def heave_frequency(self) -> float:
        """Frequency of the mode with the largest share of the mass in heave, Hz."""
        return float(self.frequencies[self.heave_mode])


def kind_of(heave: float, rock_x: float, rock_y: float, rock: float) -> str:
    """What a mode with these shares of the mass is called."""
    for name, share in (("heave", heave), ("rocking about x", rock_x), ("rocking about y", rock_y)):
        if share >= PURE:
            return name
    if rock >= PURE:
        return "rocking about a slanted axis"
    return "bending" if heave + rock < RIGID else "mixed"


def solve_modes(model: SprungPlate, rates: Floats, count: int, factor: Factor | None = None) -> ModalResult:
    """The lowest `count` modes by Lanczos iteration about zero (ARPACK), springs of `rates` (n,) in N/m.

    factor: `model.factor(rates)`, if it is at hand.
    """
    factor = factor or model.factor(rates)
    M = model.mass
    inverse = LinearOperator(M.shape, matvec=factor.solve_once, dtype=np.float64)
    start = M @ np.sin(1.0 + np.arange(M.shape[0]))  # any fixed vector, so that runs repeat to the digit
    count = min(count, M.shape[0] - 2)
    squares, shapes = eigsh(factor.matrix, k=count, M=M, sigma=0.0, OPinv=inverse, v0=start)
    order = np.argsort(squares)
    shapes = shapes[:, order] / np.sqrt(np.sum(shapes[:, order] * (M @ shapes[:, order]), axis=0))
    motions = RigidMotions.of(model)
    return ModalResult(np.sqrt(squares[order]) / (2 * np.pi), shapes, *motions.shares(motions.momentum.T @ shapes))


@dataclass(frozen=True, eq=False)
class RigidMotions:
    """Heave, and rocking about the axes through the centre of mass parallel to x and to y.

    momentum: (unknowns, 3) M r of each motion r. inertia: (3, 3) rᵀ M r, kg and kg·m2.
    """

    momentum: Floats
    inertia: Floats

    @classmethod
    def of(cls, model: SprungPlate) -> RigidMotions:
        """Of the plate and what it carries."""
        rigid = model.space.rigid_motions()
        M_rigid = model.mass @ rigid
        centre = rigid.T[1:] @ M_rigid[:, 0] / (rigid[:, 0] @ M_rigid[:, 0])
        heave, x, y = rigid.T
        about = np.column_stack([heave, y - centre[1] * heave, x - centre[0] * heave])
        momentum = model.mass @ about
        return cls(momentum, about.T @ momentum)

    @property
    def mass(self) -> float:
        """What moves in heave, kg."""
        return float(self.inertia[0, 0])

    def shares(self, momentum: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Heave, rock_x, rock_y and rock, each (m,): (φᵀ M r)² / (rᵀ M r).

        momentum: (3, m) rᵀ M φ of modes of unit modal mass.
        """
        single = momentum**2 / np.diag(self.inertia)[:, None]
        rock = np.sum(momentum[1:] * np.linalg.solve(self.inertia[1:, 1:], momentum[1:]), axis=0)
        return single[0], single[1], single[2], np.asarray(rock)
