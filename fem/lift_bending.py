"""Bending moments at fixed places in every state of a lift."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from fem.lift import LiftModel, LiftPath
from fem.moment_operator import MomentOperator
from fem.plate import Plate
from fem.solver import Factor

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LiftBending:
    """model: the slab that is lifted, of `plate`. operator: of the p places, for forces of which the first n are jacks.

    move_fields: (unknowns, n) displacement by a unit load at each jack, on its area less on its cap, m/N.
    """

    model: LiftModel
    plate: Plate
    operator: MomentOperator
    move_fields: Floats

    @classmethod
    def of(
        cls, model: LiftModel, plate: Plate, operator: MomentOperator, moves: sparse.csr_array, factor: Factor
    ) -> LiftBending:
        """moves: (forces, unknowns) from `fem.bending.cap_moves`. factor: of the slab on the model's reference rates.

        Neither resultant nor moments of what is moved reach the springs, so that springs that are off do not matter.
        """
        jacks = sparse.csr_array(moves[: model.jacks])
        return cls(model, plate, operator, factor.solve_once(jacks.T.toarray()))

    def moments(self, path: LiftPath) -> Floats:
        """(p, 3, T) Mx, My, Mxy in the T states of a path, N·m/m, sagging positive."""
        loads = path.jack_load.T
        others = int(self.operator.peaks.shape[1]) - len(loads)
        magnitudes = np.vstack([-loads, np.zeros((others, loads.shape[1]))])
        return self.operator.moments(self.plate, self.model.fields(path) + self.move_fields @ loads, magnitudes)
