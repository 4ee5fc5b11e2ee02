"""What the turns that bring a floor level have to keep to."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from jackfield.level_surveys import Surveyed, rate_tolerance
from jackfield.levelling import LevelDesk
from postprocess.level.problem import LevelProblem, LoadLimits, MomentLimits, Surface
from postprocess.strength.places import Places

Floats = NDArray[np.float64]


def level_problem(desk: LevelDesk, found: Surveyed) -> LevelProblem:
    """What the turns have to keep to."""
    case, response = desk.case, found.response
    jacks, rules = case.jacks, case.level
    surveyed_in, level_in = desk.states.index(rules.surveyed_in), desk.states.index(rules.level_in)
    advance = found.advance + found.slab.advance
    low, high = (ratio * jacks.rated_loads for ratio in case.target.load_ratio)
    solid = response.rates * (jacks.solid_deflections - case.target.solid_reserve)
    loads = [LoadLimits(rules.surveyed_in, response.loads(advance, surveyed_in), 0 * solid, solid)]
    if rules.surveyed_in != "service":
        service = response.loads(advance, desk.states.index("service"))
        loads.append(LoadLimits("service", service, low, np.minimum(high, solid)))
    change = _judged(desk.places, response.moment_change)
    moments = _judged(desk.places, response.moments[:, :, [surveyed_in]])[:, :, 0] + change @ found.slab.advance
    limit = desk.concrete.lifting_moment(case.slab.thickness)
    return LevelProblem(
        names=tuple(f"jack {name}" for name in jacks.ids),
        jacks=surface(desk, found, surveyed_in, level_in, at_jacks=True),
        samples=surface(desk, found, surveyed_in, level_in, at_jacks=False),
        straightedges=desk.straightedges,
        loads=tuple(loads),
        load_change=response.load_change,
        moments=(MomentLimits(rules.surveyed_in, moments, limit),),
        moment_change=change,
        step=desk.rules.pitch / 4,
        most=int(4 * rules.most_turns),
        overall=rules.overall,
        straightedge=rules.straightedge,
    )


def surface(desk: LevelDesk, found: Surveyed, surveyed_in: int, level_in: int, *, at_jacks: bool) -> Surface:
    """The slab as the survey shows it, settled from one load state to another, at the jacks or under straightedges."""
    response, count = found.response, len(desk.points)
    deflection = response.deflection if at_jacks else response.point_deflection[count:]
    rise = response.rise if at_jacks else response.point_rise[count:]
    xy = desk.case.jacks.xy if at_jacks else desk.straightedges.xy
    expected = response.heights(found.advance, surveyed_in)[0 if at_jacks else 1]
    heights = found.slab.heights(xy, rise, expected if at_jacks else expected[count:])
    settling = response.deflection[:, level_in] - response.deflection[:, surveyed_in]
    by_rate = response.rate_derivative(settling)[0 if at_jacks else 1]
    of_rates = (by_rate if at_jacks else by_rate[count:]) @ _rate_root(desk, found)
    doubt = np.hstack([found.slab.doubt(xy, rise), of_rates])
    return Surface(heights - (deflection[:, level_in] - deflection[:, surveyed_in]), rise, doubt)


def _rate_root(desk: LevelDesk, found: Surveyed) -> Floats:
    """(n, n) such that its product with its transpose is the covariance of the rates."""
    if found.calibration is None:
        return np.diag(rate_tolerance(desk.case) / 2 * desk.case.jacks.rates)
    values, vectors = np.linalg.eigh(found.calibration.covariance)
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)))


def _judged(places: Places, triples: Floats) -> Floats:
    """(r, 3, s) moments that crack the slab, of triples (p, 3, s) at `Places.points`: at points as they are, at strips
    and across corners the mean alone, as Mx."""
    judged = places.judge(triples)
    whole = places.cracking.copy()
    whole[judged.strips.start :] = False
    rows = [judged.for_x[whole]]
    for mean in (judged.for_x[judged.strips, 0], judged.for_y[judged.strips, 1], judged.across):
        row = np.zeros((len(mean), 3, triples.shape[2]))
        row[:, 0] = mean
        rows.append(row)
    return np.concatenate(rows)

