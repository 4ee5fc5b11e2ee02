"""Whether one more jack beside a jack that carries too much would bring both into their band."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RBFInterpolator

from postprocess.spring_choice.problem import SERVICE, ChoiceProblem
from postprocess.spring_choice.trial import Trial

Floats = NDArray[np.float64]

NEAREST, FURTHEST = 0.9, 1.4
"""Least distance of a further jack from all others and greatest from the jack that it relieves, m: common practice,
no source."""


@dataclass(frozen=True, eq=False)
class Points:
    """c places where a further jack could stand, on the floor with its reference springs.

    xy: (c, 2) m. coupling: (c, n) deflection there under a unit load at each jack, m/N. own: (c,) under a unit load
    there. deflection: (c, p) under each load pattern, m. estimated: drawn from the jacks instead of computed.
    """

    xy: Floats
    coupling: Floats
    own: Floats
    deflection: Floats
    estimated: bool = False


@dataclass(frozen=True)
class ExtraJack:
    """A further jack. xy: where, m. new_spring, spring: types under it and under the jack that it relieves.

    new_ratio, ratio: their service load ratios. relief: share of the relieved jack's load that it sheds. works: whether
    both are in the band; other jacks may still ask for other springs. estimated: from jacks nearby, to be confirmed.
    """

    xy: tuple[float, float]
    new_spring: int
    spring: int
    new_ratio: float
    ratio: float
    relief: float
    works: bool
    estimated: bool


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
        estimated=points.estimated,
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


def estimated_points(problem: ChoiceProblem, xy: Floats, jack: int) -> Points:
    """Places around a jack at allowed distances, their flexibility drawn from the jacks (n, 2) by thin-plate splines.

    Such a spline is the shape of a plate pushed at the jacks only; what the plate yields by itself under a load at a
    place is taken as it is at the jack. Only places among jacks are offered: nothing here knows the edge of the slab.
    """
    angle, reach = np.meshgrid(np.arange(16) * np.pi / 8, np.linspace(NEAREST, FURTHEST, 5) * (1 + 1e-9))
    around = xy[jack] + np.column_stack([(reach * np.cos(angle)).ravel(), (reach * np.sin(angle)).ravel()])
    distance = np.linalg.norm(around[:, None] - xy, axis=2)
    amid = [_amid(place, xy, near) for place, near in zip(around, distance, strict=True)]
    places = around[(distance.min(axis=1) >= NEAREST) & np.array(amid)]
    others = np.delete(np.arange(len(xy)), jack)
    if not len(places) or len(xy) < 8:
        return Points(np.zeros((0, 2)), np.zeros((0, len(xy))), np.zeros(0), np.zeros((0, len(problem.factors))), True)
    F = problem.floor.flexibility
    weights = RBFInterpolator(xy, np.eye(len(xy)))(places)
    without = RBFInterpolator(xy[others], np.eye(len(others)))(xy[[jack]])[0]
    local = F[jack, jack] - without @ F[np.ix_(others, others)] @ without
    coupling = weights @ F
    own = np.sum(coupling * weights, axis=1) + max(local, 0.0)
    return Points(places, coupling, own, weights @ problem.floor.deflection, True)


def _amid(place: Floats, xy: Floats, distance: Floats) -> bool:
    """Whether jacks within twice the greatest distance stand on all sides: no half of the directions is empty."""
    near = xy[distance < 1.5 * FURTHEST] - place
    bearing = np.sort(np.arctan2(near[:, 1], near[:, 0]))
    if len(bearing) < 3:
        return False
    return bool(np.diff(np.append(bearing, bearing[0] + 2 * np.pi)).max() < 0.75 * np.pi)
