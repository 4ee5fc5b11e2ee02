"""What the turns that bring a floor level have to keep to."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from jackfield.level_surveys import Surveyed
from jackfield.levelling import LevelDesk
from postprocess.level.problem import LevelProblem, LoadLimits, MomentLimits, Surface
from postprocess.strength.effects import crack_triples
from postprocess.strength.places import Places

Floats = NDArray[np.float64]

RIDGE = 0.003
"""Keeps advances that would be needed small where they hardly move the slab."""


def level_problem(desk: LevelDesk, found: Surveyed) -> LevelProblem:
    """What the turns have to keep to."""
    case, response, rules = desk.case, found.response, desk.case.level
    surveyed_in, level_in = desk.states.index(rules.surveyed_in), desk.states.index(rules.level_in)
    change = _cracking(desk.places, response.moment_change)
    moments = _cracking(desk.places, response.moments[:, :, [surveyed_in]])[:, :, 0] + change @ found.pressing
    limit = desk.concrete.lifting_moment(case.slab.thickness)
    likely = _likely_advance(surface(desk, found, surveyed_in, level_in, at_jacks=True), rules.overall)
    return LevelProblem(
        names=tuple(f"jack {name}" for name in case.jacks.ids),
        jacks=surface(desk, found, surveyed_in, level_in, at_jacks=True, likely=likely),
        samples=surface(desk, found, surveyed_in, level_in, at_jacks=False, likely=likely),
        straightedges=desk.straightedges,
        loads=load_limits(desk, found),
        load_change=response.load_change,
        moments=(MomentLimits(rules.surveyed_in, moments, limit),),
        moment_change=change,
        step=desk.rules.pitch / 4,
        most=int(4 * rules.most_turns),
        overall=rules.overall,
        straightedge=rules.straightedge,
    )


def load_limits(desk: LevelDesk, found: Surveyed) -> tuple[LoadLimits, ...]:
    """What the springs have to carry: in the state of the survey first, then in service, in its band, and in full.

    With the rates that are believed in: a spring that is stiffer takes more load before it is solid.
    """
    case, response = desk.case, found.response
    jacks = case.jacks
    low, high = (ratio * jacks.rated_loads for ratio in case.target.load_ratio)
    solid = response.rates * (jacks.solid_deflections - case.target.solid_reserve)
    limits = {case.level.surveyed_in: (0 * solid, solid)}
    limits.setdefault("full", (np.full(len(jacks), -np.inf), solid))
    limits["service"] = (low, np.minimum(high, solid))
    return tuple(
        LoadLimits(state, response.loads(found.pressing, desk.states.index(state)), *within)
        for state, within in limits.items()
    )


def surface(
    desk: LevelDesk,
    found: Surveyed,
    surveyed_in: int,
    level_in: int,
    *,
    at_jacks: bool,
    likely: Floats | None = None,
) -> Surface:
    """The slab as the survey shows it, settled from one load state to another, at the jacks or under straightedges.

    likely: (n,) advances that will about be needed, m: what they do to the slab is in doubt as the rates are.
    """
    response, count = found.response, len(desk.points)
    deflection = response.deflection if at_jacks else response.point_deflection[count:]
    rise = response.rise if at_jacks else response.point_rise[count:]
    xy = desk.case.jacks.xy if at_jacks else desk.straightedges.xy
    expected = response.heights(found.advance, surveyed_in)[0 if at_jacks else 1]
    heights = found.slab.heights(xy, rise, expected if at_jacks else expected[count:])
    settling = response.deflection[:, level_in] - response.deflection[:, surveyed_in]
    if likely is not None:
        settling = settling + likely - response.rise @ likely  # by which springs will be shortened more
    by_rate = response.rate_derivative(settling)[0 if at_jacks else 1]
    of_rates = (by_rate if at_jacks else by_rate[count:]) @ _rate_root(desk, found)
    doubt = np.hstack([found.slab.doubt(xy, rise), of_rates])
    return Surface(heights - (deflection[:, level_in] - deflection[:, surveyed_in]), rise, doubt)


def _likely_advance(jacks: Surface, overall: float) -> Floats:
    """(n,) least advances that take off what a slab stands out of level by more than `overall`, m, by least squares."""
    off = jacks.heights - jacks.heights.mean()
    share = max(0.0, 1 - overall / float(np.abs(off).max()))
    rise = jacks.rise - jacks.rise.mean(axis=0)
    return np.asarray(-share * rise.T @ np.linalg.solve(rise @ rise.T + RIDGE * np.eye(len(off)), off))


def _rate_root(desk: LevelDesk, found: Surveyed) -> Floats:
    """(n, n) such that its product with its transpose is the covariance of the rates."""
    n = len(desk.case.jacks)
    values, vectors = np.linalg.eigh(found.belief.covariance[:n, :n])
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)))


def _cracking(places: Places, triples: Floats) -> Floats:
    """(r, 3, s) moments where cracks are judged, of triples (p, 3, s) at `Places.points`."""
    return crack_triples(places.judge(triples))[places.cracking]
