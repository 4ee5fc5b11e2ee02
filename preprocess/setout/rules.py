"""Rules for setting out that contradict each other or the plan, found before anything is set out."""

from __future__ import annotations

from typing import Final

import numpy as np
import shapely
from shapely import LineString, Polygon

from preprocess.case import JackLine, SetOutRules
from preprocess.errors import Problem
from preprocess.setout.ground import Ground
from preprocess.setout.remarks import FILE
from preprocess.wording import point, quoted

TOLERANCE: Final = 1e-6
"""How far, m, a line may leave the slab: it forgives rounding."""


def rule_problems(plan: Polygon, rules: SetOutRules, housing: float = 0.0) -> list[Problem]:
    """What keeps jacks from being set out over a plan, m, by these rules. housing: diameter of a jack's housing, m."""
    found = _number_problems(rules, housing)
    if found:
        return found
    return _plan_problems(plan, rules) + [
        problem for number, line in enumerate(rules.lines) for problem in _line_problems(plan, rules, line, number)
    ]


def _number_problems(rules: SetOutRules, housing: float) -> list[Problem]:
    """Lengths that contradict each other."""
    lengths = {
        "greatest_spacing": rules.greatest_spacing,
        "least_spacing": rules.least_spacing,
        "least_edge": rules.least_edge,
        "greatest_overhang": rules.greatest_overhang,
    }
    found = [
        Problem(FILE, f"setout.{name}_mm", _mm(length), "a length above 0")
        for name, length in lengths.items()
        if not (np.isfinite(length) and length > 0)
    ]
    if found:
        return found
    reach = rules.greatest_spacing / float(np.sqrt(2))
    if rules.least_spacing > reach:
        allowed = f"at most {1000 * reach:.0f}, greatest_spacing_mm/√2, or no jack could be added where one is missing"
        found.append(Problem(FILE, "setout.least_spacing_mm", _mm(rules.least_spacing), allowed))
    if rules.least_edge > rules.greatest_overhang:
        allowed = f"at most greatest_overhang_mm, {_mm(rules.greatest_overhang)}"
        found.append(Problem(FILE, "setout.least_edge_mm", _mm(rules.least_edge), allowed))
    if rules.least_edge < housing / 2 - TOLERANCE:
        allowed = f"at least {1000 * housing / 2:g}, half of jacks.footprint_mm, so that housings stay on the slab"
        found.append(Problem(FILE, "setout.least_edge_mm", _mm(rules.least_edge), allowed))
    if rules.least_spacing < housing - TOLERANCE:
        allowed = f"at least {1000 * housing:g}, jacks.footprint_mm, so that housings do not overlap"
        found.append(Problem(FILE, "setout.least_spacing_mm", _mm(rules.least_spacing), allowed))
    return found


def _plan_problems(plan: Polygon, rules: SetOutRules) -> list[Problem]:
    """A plan, or a part of it, on which no jack may stand near enough."""
    bare = Ground(plan, _without_zones(rules))
    if bare.permitted.is_empty:
        narrow = f"nowhere {_mm(2 * rules.least_edge)} mm wide"
        return [Problem(FILE, "slab.outline_mm", narrow, "room for one row at least_edge_mm from both edges")]
    ground = Ground(plan, rules)
    if ground.permitted.is_empty:
        names = ", ".join(quoted(zone.name) for zone in rules.zones)
        return [Problem(FILE, "no_jack_zones", names, "zones that leave room for jacks on the slab")]
    found = []
    for piece in ground.beyond_reach:
        if piece in ground.sharp_tips:
            continue
        spot = piece.representative_point()
        zones = [zone.name for zone in rules.zones if zone.area.distance(piece) <= ground.reach]
        cause = f"zone {quoted(zones[0])} takes the room" if zones else "the slab is too narrow there for least_edge_mm"
        value = f"no place for a jack within {1000 * ground.reach:.0f} mm of the slab near {point(spot.x, spot.y)}"
        allowed = f"places within greatest_spacing_mm/√2 of every part: {cause}; change one of them"
        found.append(Problem(FILE, "no_jack_zones" if zones else "slab.outline_mm", value, allowed))
    return found


def _line_problems(plan: Polygon, rules: SetOutRules, line: JackLine, number: int) -> list[Problem]:
    """A jack line off the slab, too close-set, or with a stretch on which no jack may stand."""
    where = f"setout jack line {number + 1}, {quoted(line.name)}"
    path = LineString(line.path)
    if path.length < TOLERANCE:
        return [Problem(FILE, where, "points on one spot", "a line of some length")]
    if line.spacing < rules.least_spacing:
        allowed = f"a spacing of at least least_spacing_mm, {_mm(rules.least_spacing)}"
        return [Problem(FILE, where, f"spacing {_mm(line.spacing)}", allowed)]
    off = path.difference(plan.buffer(TOLERANCE, join_style="mitre"))
    if not off.is_empty:
        spot = off.representative_point()
        return [Problem(FILE, where, f"off the slab near {point(spot.x, spot.y)}", "a line wholly on the slab")]
    return _blocked_line(plan, rules, line, where)


def _blocked_line(plan: Polygon, rules: SetOutRules, line: JackLine, where: str) -> list[Problem]:
    """The first stretch of a line without room for a jack that is longer than its rules allow."""
    path = LineString(line.path)
    ground = Ground(plan, rules)
    steps = np.linspace(0, path.length, max(int(path.length / 0.005), 2) + 1)
    spots = shapely.get_coordinates(shapely.line_interpolate_point(path, steps))
    free = ground.allows(spots)
    if not free.any():
        spot = path.interpolate(0.5, normalized=True)
        value = f"no place for a jack on it, such as at {point(spot.x, spot.y)}"
        allowed = f"a line at least least_edge_mm, {_mm(rules.least_edge)}, from edges and outside zones without jacks"
        return [Problem(FILE, where, value, allowed)]
    at = steps[free]
    gaps = np.diff(at)
    worst = int(np.argmax(gaps)) if len(gaps) else 0
    if len(gaps) and gaps[worst] > line.spacing + 0.005:
        spot = path.interpolate((at[worst] + at[worst + 1]) / 2)
        value = f"no place for a jack over {1000 * gaps[worst]:.0f} mm near {point(spot.x, spot.y)}"
        allowed = f"at most its spacing, {_mm(line.spacing)} mm, in a zone or too near to an edge"
        return [Problem(FILE, where, value, allowed)]
    found = []
    for end, missing in ((line.path[0], at[0]), (line.path[-1], path.length - at[-1])):
        at_edge = plan.boundary.distance(shapely.Point(end)) <= 0.01
        limit = max(line.spacing / 2, rules.greatest_overhang if at_edge else 0.0)
        if missing > limit + 0.005:
            value = f"no place for a jack within {1000 * missing:.0f} mm of its end {point(*end)}"
            found.append(Problem(FILE, where, value, f"a jack at most {_mm(limit)} mm from the end"))
    return found


def _without_zones(rules: SetOutRules) -> SetOutRules:
    return SetOutRules(
        rules.greatest_spacing, rules.least_spacing, rules.least_edge, rules.greatest_overhang, rules.lines, ()
    )


def _mm(length: float) -> str:
    return f"{1000 * length:g}"
