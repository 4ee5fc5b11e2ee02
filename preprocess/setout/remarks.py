"""What is said about a finished layout: what governs, and what the plan did not allow."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely import Polygon

from preprocess.errors import Problem
from preprocess.setout.ground import TOLERANCE, Floats, Ground
from preprocess.setout.measure import Closer, Figure, Kept
from preprocess.setout.repair import Mended
from preprocess.wording import count, point, quoted

FILE = "case.toml"


def layout_notes(
    ground: Ground, measured: Kept, whole: Mended, *, xy: Floats, symmetries: Sequence[str], closed: int
) -> tuple[str, ...]:
    """What governs the layout at xy (n, 2), in plain words.

    symmetries: names of the symmetries of the plan that the layout keeps. closed: jacks added where they stand
    closer.
    """
    rules = ground.rules
    inset = np.asarray(shapely.distance(ground.outer.boundary, shapely.points(xy)))
    near = inset <= rules.greatest_overhang + TOLERANCE
    square = ground.plan.area / rules.greatest_spacing**2
    notes = [
        f"{count(len(xy), 'jack')}: {int(near.sum())} along edges and corners, {int((~near).sum())} between them; "
        f"area / (greatest spacing)² is {square:.1f}",
        f"furthest point of the slab from a jack: {_against(measured.reach)}",
        f"greatest overhang: {_against(measured.overhang)}",
        *([f"least distance between jacks: {_against(measured.least_spacing, least=True)}"] if len(xy) > 1 else []),
        f"least distance of a jack from an edge: {_against(measured.least_edge, least=True)}",
    ]
    if whole.added_reach:
        added = count(whole.added_reach, "jack")
        notes.append(f"{added} added where the slab was further than {_mm(ground.reach)} from a jack")
    if whole.added_edge:
        notes.append(f"{count(whole.added_edge, 'jack')} added along edges between rows")
    if whole.removed:
        notes.append(f"{count(whole.removed, 'jack')} left out that nothing needs")
    notes += [f"symmetry kept: {name}" for name in symmetries]
    for line in measured.lines:
        gap, end = line.gap, line.end
        notes.append(f"jack line {quoted(line.name)}: greatest gap {_against(gap)}; from its end {_against(end)}")
    for figure in measured.closer:
        notes.append(f"where jacks stand closer, furthest point from a jack: {_against(figure)}")
    if closed:
        notes.append(f"{count(abs(closed), 'jack')} {'more' if closed > 0 else 'fewer'} where jacks stand closer")
    notes += [_tip_note(ground, tip) for tip in ground.sharp_tips]
    return tuple(notes)


def unkept(measured: Kept, closer: Closer) -> tuple[Problem, ...]:
    """The rules that the layout does not keep, each with its worst place."""
    table = [
        ("setout.greatest_spacing_mm", "slab", measured.reach, "from the nearest jack"),
        ("setout.greatest_overhang_mm", "edge", measured.overhang, "beyond the jacks along it"),
    ]
    table += [
        (f"closer area {number + 1}", "slab", figure, "from the nearest jack")
        for number, figure in enumerate(measured.closer)
    ]
    for line in measured.lines:
        table.append((f"setout jack line {quoted(line.name)}", "line", line.gap, "between neighbouring jacks"))
        table.append((f"setout jack line {quoted(line.name)}", "line end", line.end, "from the first jack"))
    allowed = "at most {}; other rules or the plan leave no room for a jack there"
    return tuple(
        Problem(
            FILE, where, f"{what} at {point(*figure.at)} {_mm(figure.value)} {how}", allowed.format(_mm(figure.limit))
        )
        for where, what, figure, how in table
        if figure.excess > TOLERANCE
    )


def _tip_note(ground: Ground, tip: Polygon) -> str:
    spot = tip.representative_point()
    return (
        f"tip of the sharp corner near {point(spot.x, spot.y)}: {10_000 * tip.area:.0f} cm² further than "
        f"{_mm(ground.reach)} from any place where a jack may stand"
    )


def _against(figure: Figure, least: bool = False) -> str:
    limit = "at least" if least else "at most"
    return f"{_mm(figure.value)} at {point(*figure.at)}, {limit} {_mm(figure.limit)}"


def _mm(length: float) -> str:
    return f"{1000 * length:.0f} mm"
