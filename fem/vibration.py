"""Modes of the coupled floor: real ones for time histories, complex ones for steady response.

Real modes with damping by energy leave out what damping couples; complex modes of the complex stiffness leave out
nothing, so response at a steady frequency holds for any damping.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eig, eigh, solve_triangular

from fem.coupled_floor import CoupledFloor, damping_ratios

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

_CHUNK = 512
OVERDAMPED = 0.999
"""Time histories take no mode for more damped than this."""


@dataclass(frozen=True, eq=False)
class RealModes:
    """N modes of unit modal mass, ascending. angular: (N,) ω, rad/s. ratios: (N,) ζ. shapes: (N, N) coordinates."""

    angular: Floats
    ratios: Floats
    shapes: Floats

    @property
    def frequencies(self) -> Floats:
        """(N,) without damping, Hz."""
        return np.asarray(self.angular / (2 * np.pi))

    def at(self, rows: Floats) -> Floats:
        """(p, N) values in each mode of quantities given by their rows (p, N) of coordinates."""
        return np.asarray(rows @ self.shapes)


def real_modes(floor: CoupledFloor) -> RealModes:
    """Modes without damping, and the ratio of critical damping of each by energy, below 1."""
    squares, shapes = eigh(floor.stiffness.real, floor.mass)
    squares = np.maximum(squares, np.finfo(float).tiny)
    ratios = np.minimum(damping_ratios(floor, squares, shapes), OVERDAMPED)
    return RealModes(np.sqrt(squares), ratios, shapes)


@dataclass(frozen=True, eq=False)
class ComplexModes:
    """squares: (N,) λ² of K ψ = λ² M ψ with complex K, rad²/s². shapes: (N, N) ψ in columns.

    inverse: (N, N) ψ⁻¹ M⁻¹, from forces on the coordinates to forces on the modes.
    """

    squares: Complexes
    shapes: Complexes
    inverse: Complexes

    @property
    def frequencies(self) -> Floats:
        """(N,) Hz."""
        return np.asarray(np.sqrt(self.squares).real / (2 * np.pi))

    @property
    def ratios(self) -> Floats:
        """(N,) ratio of critical damping, half the loss factor Im λ² / Re λ²."""
        return np.asarray(0.5 * self.squares.imag / self.squares.real)

    def transfer(self, outputs: Floats | Complexes, inputs: Floats, frequencies: Floats | Complexes) -> Complexes:
        """(f, o, p) quantity o over a steady unit force at p, for e^{iωt}, at frequencies (f,) in Hz, real or complex.

        outputs: (o, N) rows of coordinates. inputs: (p, N) rows of the places where the forces act.
        o ψ (λ² − ω²)⁻¹ ψ⁻¹ M⁻¹ p.
        """
        left, right = outputs @ self.shapes, inputs @ self.inverse.T
        weights = (left[:, None] * right[None]).reshape(-1, len(self.squares)).T
        whole = np.empty((len(frequencies), weights.shape[1]), dtype=complex)
        for first in range(0, len(frequencies), _CHUNK):
            omega = 2 * np.pi * frequencies[first : first + _CHUNK, None]
            whole[first : first + _CHUNK] = (1 / (self.squares - omega**2)) @ weights
        return whole.reshape(len(frequencies), len(left), len(right))


def complex_modes(floor: CoupledFloor) -> ComplexModes:
    """Eigenpairs of the complex stiffness, ascending in frequency: those of L⁻¹ K L⁻ᵀ with M = L Lᵀ."""
    lower = np.linalg.cholesky(floor.mass)
    half = solve_triangular(lower, floor.stiffness, lower=True)
    squares, vectors = eig(solve_triangular(lower, half.T, lower=True).T)
    order = np.argsort(squares.real)
    vectors = vectors[:, order]
    inverse = np.linalg.solve(vectors, solve_triangular(lower, np.eye(floor.size), lower=True))
    return ComplexModes(squares[order], solve_triangular(lower.T, vectors, lower=False), inverse)
