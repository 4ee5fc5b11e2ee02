"""Whether one more jack beside a jack that carries too much would bring both into their band."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from postprocess.spring_choice.problem import SERVICE
from postprocess.spring_choice.trial import Trial

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Points:
    """c places where a further jack could stand, on the floor with its reference springs.

    xy: (c, 2) m. coupling: (c, n) deflection there under a unit load at each jack, m/N. own: (c,) under a unit load
    there. deflection: (c, p) under each load pattern, m.
    """

    xy: Floats
    coupling: Floats
    own: Floats
    deflection: Floats


@dataclass(frozen=True)
class ExtraJack:
    """A further jack. xy: where, m. new_spring, spring: types under it and under the jack that it relieves.

    new_ratio, ratio: their service load ratios. relief: share of the relieved jack's load that it sheds. works: whether
    both are in the band; other jacks may still ask for other springs.
    """

    xy: tuple[float, float]
    new_spring: int
    spring: int
    new_ratio: float
    ratio: float
    relief: float
    works: bool


def best_extra_jack(trial: Trial, jack: int, points: Points) -> ExtraJack | None:
    """The place and the springs that leave the worse of the two jacks closest to its rated load; None without places.

    A spring k at a place c and one changed by Δ at jack j, one after the other (Sherman and Morrison 1950).
    """
    if not len(points.own):
        return None
    types = trial.goal.problem.types
    C_cj, C_cc, w_c = _on_present_springs(trial, jack, points)
    k = types.rates[None, :]
    ease = 1 + k * C_cc[:, None]
    u = w_c[:, None] / ease
    v = trial.compression[SERVICE, jack] - C_cj[:, None] * k * u
    C_jj = trial.flexibility[jack, jack] - C_cj[:, None] ** 2 * k / ease
    change = types.rates - trial.rates[jack]
    v_new = v[..., None] / (1 + change * C_jj[..., None])
    u_new = u[..., None] - (C_cj[:, None] / ease)[..., None] * change * v_new
    ratio, new_ratio = v_new / types.rated_deflections, u_new / types.rated_deflections[:, None]
    worse = np.maximum(np.abs(ratio - 1), np.abs(new_ratio - 1))
    low, high = trial.goal.problem.band
    works = (np.minimum(ratio, new_ratio) >= low) & (np.maximum(ratio, new_ratio) <= high)
    place, new, old = np.unravel_index(int(np.argmin(np.where(works, worse, worse + 1e3))), worse.shape)
    before = trial.rates[jack] * trial.compression[SERVICE, jack]
    return ExtraJack(
        xy=(float(points.xy[place, 0]), float(points.xy[place, 1])),
        new_spring=int(new),
        spring=int(old),
        new_ratio=float(new_ratio[place, new, old]),
        ratio=float(ratio[place, new, old]),
        relief=float(1 - types.rates[old] * v_new[place, new, old] / before),
        works=bool(works[place, new, old]),
    )


def _on_present_springs(trial: Trial, jack: int, points: Points) -> tuple[Floats, Floats, Floats]:
    """C_cj, C_cc and the service deflection, each (c,), with the trial's springs in place."""
    problem = trial.goal.problem
    k0, F_c = problem.floor.reference_rates, points.coupling
    coupling = F_c - (F_c * (trial.rates - k0)) @ trial.flexibility
    own = points.own - np.sum(F_c * (trial.rates - k0) * coupling, axis=1)
    v = trial.compression[SERVICE]
    w = points.deflection @ problem.factors[:, SERVICE] - F_c @ (trial.rates * v - k0 * (v - problem.advance))
    return coupling[:, jack], own, w
