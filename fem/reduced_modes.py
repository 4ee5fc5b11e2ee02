"""Natural frequencies for other springs and masses from the lowest modes of a reference floor (Rayleigh–Ritz).

With reference rates k0 and modes Φ of unit modal mass, the floor on springs k has the reduced stiffness
    diag(ω0²) + (RΦ)ᵀ (k − k0) (RΦ)
and the reduced mass 1, to which changes of stiffness and mass elsewhere are added. Frequencies are upper bounds, and
exact for k = k0; modes left out enter with the square of the change.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem.modes import ModalResult, solve_modes
from fem.solver import Factor
from fem.sprung_plate import SprungPlate

Floats = NDArray[np.float64]

BASIS = 16
"""Modes in the basis: springs that differ by ±30 % from the reference then change the heave frequency as the full
model has it to within 0.1 %."""


@dataclass(frozen=True, eq=False)
class ReducedModes:
    """m modes of a floor on n springs.

    reference_rates: (n,) k0, N/m. squares: (m,) ω0², 1/s². shapes: (unknowns, m) Φ, 1/√kg. jack_shapes: (n, m) RΦ.
    momentum: (m,) Φᵀ M r of vertical motion r, √kg.
    """

    reference_rates: Floats
    squares: Floats
    shapes: Floats
    jack_shapes: Floats
    momentum: Floats

    @classmethod
    def from_model(
        cls, model: SprungPlate, reference_rates: Floats, count: int = BASIS, factor: Factor | None = None
    ) -> ReducedModes:
        """The lowest `count` modes of the model on reference springs (n,), N/m.

        factor: `model.factor(reference_rates)`, if it is at hand.
        """
        return cls.of(model, reference_rates, solve_modes(model, reference_rates, count, factor))

    @classmethod
    def of(cls, model: SprungPlate, reference_rates: Floats, modes: ModalResult) -> ReducedModes:
        """From modes of the model on the reference springs that have been solved for."""
        heave = model.space.rigid_motions()[:, 0]
        return cls(
            reference_rates=reference_rates,
            squares=(2 * np.pi * modes.frequencies) ** 2,
            shapes=modes.shapes,
            jack_shapes=np.asarray(model.jacks.rows @ modes.shapes),
            momentum=np.asarray(modes.shapes.T @ (model.mass @ heave)),
        )

    def stiffness(self, rates: Floats) -> Floats:
        """(..., m, m) reduced stiffness on springs of `rates` (..., n), N/m; 1/s²."""
        change = (rates - self.reference_rates)[..., None] * self.jack_shapes
        return np.asarray(np.diag(self.squares) + self.jack_shapes.T @ change)

    def heave_frequency(
        self,
        rates: Floats,
        stiffness_change: Floats | None = None,
        mass_change: Floats | None = None,
        momentum_change: Floats | None = None,
    ) -> Floats:
        """(...,) frequency, Hz, of the mode with the largest share of the mass in heave.

        rates: (..., n), N/m. stiffness_change, mass_change: (..., m, m) Φᵀ ΔK Φ and Φᵀ ΔM Φ. momentum_change:
        (..., m) Φᵀ ΔM r, without which shares are those of the reference mass.
        Raises numpy.linalg.LinAlgError where the changed mass is not positive.
        """
        stiffness = self.stiffness(rates)
        momentum = self.momentum if momentum_change is None else self.momentum + momentum_change
        if stiffness_change is not None:
            stiffness = stiffness + stiffness_change
        if mass_change is not None:
            lower = np.linalg.cholesky(np.eye(len(self.squares)) + mass_change)
            half = np.linalg.solve(lower, stiffness)
            stiffness = np.linalg.solve(lower, np.swapaxes(half, -1, -2))
            momentum = np.linalg.solve(lower, np.broadcast_to(momentum, lower.shape[:-1])[..., None])[..., 0]
        squares, vectors = np.linalg.eigh(stiffness)
        share = np.squeeze(momentum[..., None, :] @ vectors, axis=-2) ** 2
        heave = np.argmax(share, axis=-1)[..., None]
        square = np.take_along_axis(squares, heave, axis=-1)[..., 0]
        return np.asarray(np.sqrt(np.maximum(square, 0.0)) / (2 * np.pi))
