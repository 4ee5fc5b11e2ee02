"""Deflection and jack loads of the elastic slab on its springs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fem.solver import Factor
from fem.sprung_plate import SprungPlate

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class StaticResult:
    """One load state.

    displacement: (unknowns,) the deflected slab, m downward. jack_deflection: (n,) mean deflection over each
    footprint, m. jack_load: (n,) in N, positive in compression = rate × (deflection + advance).
    """

    displacement: Floats
    jack_deflection: Floats
    jack_load: Floats


def solve_states(
    model: SprungPlate,
    loads: Floats,
    rates: Floats,
    advance: Floats,
    factor: Factor | None = None,
    *,
    refined: bool = True,
) -> tuple[StaticResult, ...]:
    """One result for each column of `loads` (unknowns, s).

    rates: (n,) in N/m. advance: (n,) screw advance of each jack over that of the others, m.
    factor: `model.factor(rates)`, if it is at hand. refined: without, one pass of the factor, which is three times
    faster and loses 1e-10 of the solution at 8 000 unknowns and 1e-7 at 120 000; equilibrium suffers with it.
    """
    factor = factor or model.factor(rates)
    R = model.jacks.rows
    right = loads - (R.T @ (rates * advance))[:, None]
    u = factor.solve(right) if refined else factor.solve_once(right)
    deflection = R @ u
    jack_load = rates[:, None] * (deflection + advance[:, None])
    return tuple(StaticResult(u[:, s], deflection[:, s], jack_load[:, s]) for s in range(loads.shape[1]))


def equilibrium_error(resultant: Floats, jack_xy: Floats, jack_load: Floats) -> float:
    """Imbalance of jack loads and applied load: the worst of force and both moments, relative.

    resultant: (3,) force in N and its moments ∫q x, ∫q y in N·m, from the geometry of the loads, not from the
    mesh. Moments are taken about the middle of the jacks and compared with force × radius of the jacks.
    """
    force = float(resultant[0])
    middle = jack_xy.mean(axis=0)
    arm = jack_xy - middle
    radius = float(np.sqrt(np.mean(np.sum(arm**2, axis=1))))
    imbalance = np.array([jack_load.sum() - force, *(arm.T @ jack_load - (resultant[1:] - force * middle)) / radius])
    return float(np.abs(imbalance).max() / max(abs(force), np.finfo(float).tiny))
