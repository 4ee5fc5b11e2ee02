"""Setting out jacks over a plan: the layout with the fewest jacks of several tries.

The rules, for the centres of jacks (defaults 1400, 900, 250, 450 mm):

1. Any two jacks stand at least `least_spacing` apart.
2. Reach: no point of the slab is further than greatest_spacing/√2 from a jack, in a straight line; in an area of
   `closer` no further than its spacing/√2.
3. Each jack stands at least `least_edge` from outline and openings, and not inside a zone without jacks.
4. Overhang: no point of the outline, or of an opening longer than `least_spacing` in some direction, is further than
   `greatest_overhang` from the ties. A tie is the straight line between two jacks at most `greatest_spacing` apart
   that leaves the slab nowhere; smaller openings count as slab here. Around a corner, up to where the edge is
   next to such a jack, √2·greatest_overhang is allowed, at a corner sharper than 90° as much as a jack at
   greatest_overhang from both edges leaves, greatest_overhang/sin(half the angle); at a re-entrant corner
   √2·greatest_overhang too.
5. On each jack line neighbouring jacks are at most its spacing apart, and the first and last at most half of that
   from its ends, or greatest_overhang where it ends at an edge if that is more.

1 and 3 are always kept. What of the others a plan does not allow is said as a problem with the place and figures.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import Polygon

from preprocess.case import SetOutRules
from preprocess.errors import Problem
from preprocess.setout.closer import closed_up, closer_motions
from preprocess.setout.ground import Floats, Ground
from preprocess.setout.measure import Closer, kept
from preprocess.setout.names import named, straight_lines
from preprocess.setout.remarks import layout_notes, unkept
from preprocess.setout.rules import rule_problems
from preprocess.setout.shared_lines import edges_of, line_normals, slanted_lines
from preprocess.setout.symmetry import SQUARE
from preprocess.setout.tidy import tidied
from preprocess.setout.trial import Trial
from preprocess.setout.tries import Try, all_tries, ground_in, rounded


@dataclass(frozen=True)
class JackLayout:
    """Where the jacks stand. xy: (n, 2) m, in whole millimetres. angle: of the rows from x, degrees.

    rows, columns: indices of the jacks on one straight line, along and across the rows, from the south and west;
    after the columns also the lines of three or more jacks parallel to an edge or a jack line that goes with neither.
    notes: what governs. problems: rules that the plan does not let the layout keep, empty if all are kept.
    """

    ids: tuple[str, ...]
    xy: Floats
    angle: float
    rows: tuple[tuple[int, ...], ...]
    columns: tuple[tuple[int, ...], ...]
    notes: tuple[str, ...]
    problems: tuple[Problem, ...]

    def __len__(self) -> int:
        return len(self.ids)


def set_out(plan: Polygon, rules: SetOutRules, closer: Closer = (), best: Try | None = None) -> JackLayout:
    """The layout of jacks over a plan, m, with holes.

    closer: areas in which jacks stand closer, each with its greatest spacing, m, at least the least spacing.
    best: `best_try(plan, rules)`, if it is at hand; areas that change from call to call leave it as it is.
    rules are sound (`preprocess.setout.rules.rule_problems`); where they leave no place for a jack there is none, and
    the problems say so.
    """
    if Ground(plan, rules).permitted.is_empty:
        return JackLayout((), np.empty((0, 2)), 0.0, (), (), (), tuple(rule_problems(plan, rules)))
    best = best or best_try(plan, rules)
    frame, ground = best.frame, ground_in(plan, rules, best.frame)
    xy, added = _tidied(plan, rules, ground, best), 0
    if closer:
        areas = [(frame.polygon_into(area), spacing) for area, spacing in closer]
        alike = closer_motions(best.symmetry, areas)
        moved = closed_up(ground, alike, Trial(frame.into(xy), best.start.rows, best.start.columns), areas)
        added = len(moved) - len(xy)
        xy = rounded(frame.out(moved))
    return _layout(plan, rules, closer, best, xy=xy, added=added)


def best_try(plan: Polygon, rules: SetOutRules) -> Try:
    """The best of all tries over a plan that has room for jacks, before it is tidied; the first of equals."""
    return min(all_tries(plan, rules), key=lambda tried: tried.rank)


def _tidied(plan: Polygon, rules: SetOutRules, ground: Ground, best: Try) -> Floats:
    """The jacks of a try put on shared lines, unless a rule is kept less well once they are rounded."""
    moved = tidied(ground, best.symmetry, best.mended.xy)
    if np.array_equal(moved, best.mended.xy):
        return best.xy
    xy = rounded(best.frame.out(moved))
    return xy if kept(plan, rules, xy).as_good_as(best.kept) else best.xy


def _layout(plan: Polygon, rules: SetOutRules, closer: Closer, best: Try, *, xy: Floats, added: int) -> JackLayout:
    """The layout with names, lines and notes."""
    turned = best.frame.into(xy)
    south = 1.0 if np.cos(np.radians(best.frame.angle)) > 0.5 else -1.0
    along, across = turned[:, 0], turned[:, 1]
    steep = abs(best.frame.angle) > 45
    if steep:  # rows run more north than east: letters from the west, numbers from the south
        across = across * (-1.0 if best.frame.angle > 0 else 1.0)
        along = along * (1.0 if best.frame.angle > 0 else -1.0)
        heights = best.start.rows * (-1.0 if best.frame.angle > 0 else 1.0)
    else:
        across, along, heights = across * south, along * south, best.start.rows * south
    order, ids = named(across, along, heights)
    measured = kept(plan, rules, xy[order], closer)
    problems = unkept(measured, closer)
    return JackLayout(
        ids=ids,
        xy=xy[order],
        angle=best.frame.angle,
        rows=straight_lines(across[order], along[order]),
        columns=(*straight_lines(along[order], across[order]), *_slanted_lines(plan, rules, best, xy=xy[order])),
        notes=layout_notes(
            Ground(plan, rules), measured, best.mended, xy=xy[order], symmetries=_symmetries(best, turned), closed=added
        ),
        problems=problems,
    )


def _slanted_lines(plan: Polygon, rules: SetOutRules, best: Try, *, xy: Floats) -> tuple[tuple[int, ...], ...]:
    """Three or more jacks on a line parallel to a straight edge or a jack line, neither row nor column."""
    ground = ground_in(plan, rules, best.frame)
    normals = line_normals(edges_of(ground), ground.rules)
    return slanted_lines(normals, best.frame.into(xy), 2 * rules.greatest_spacing)


def _symmetries(best: Try, xy: Floats) -> tuple[str, ...]:
    """Names of the symmetries of the plan that the jacks at xy, in the frame, keep."""
    names = ("none", "mirror across the rows' middle", "mirror along the rows", "half-turn")
    held = best.symmetry.kept_by(xy)
    found = []
    for motion, keeps in zip(best.symmetry.motions[1:], held[1:], strict=True):
        which = next(index for index, matrix in enumerate(SQUARE) if np.array_equal(matrix, motion.matrix))
        name = names[which] if which < len(names) else "diagonal mirror" if which < 6 else "quarter-turn"
        if keeps and name not in found:
            found.append(name)
    return tuple(found)
