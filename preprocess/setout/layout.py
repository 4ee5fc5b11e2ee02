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

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.spatial import cKDTree
from shapely import Polygon

from preprocess.case import SetOutRules
from preprocess.errors import Problem
from preprocess.setout.chains import edge_runs
from preprocess.setout.closer import closed_up, closer_motions
from preprocess.setout.ground import Floats, Ground
from preprocess.setout.measure import Closer, Kept, kept
from preprocess.setout.names import named, straight_lines
from preprocess.setout.remarks import layout_notes, unkept
from preprocess.setout.repair import Mended, mended
from preprocess.setout.symmetry import SQUARE, Frame, motions, row_frame
from preprocess.setout.trial import Symmetry, Trial, trial

ROUNDING: Final = 0.001
"""Jacks are given in whole millimetres, m."""


EVERY_EDGE: Final = 4.0
LONG_EDGES: Final = 1.5
"""What a line of jacks along an edge is worth, in jacks for each jack along it."""

LARGE: Final = 600.0
"""Area above which fewer insets are tried, m2."""

IRREGULAR: Final = 1.12
"""How many more jacks straight rows and columns may take than a layout without."""


@dataclass(frozen=True)
class JackLayout:
    """Where the jacks stand. xy: (n, 2) m, in whole millimetres. angle: of the rows from x, degrees.

    rows, columns: indices of the jacks on one straight line, along and across the rows, from the south and west.
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


@dataclass(frozen=True)
class _Try:
    """A finished try in the axes of the plan, with what it keeps."""

    frame: Frame
    start: Trial
    mended: Mended
    symmetry: Symmetry
    xy: Floats
    kept: Kept

    @property
    def regular(self) -> bool:
        """Whether straight rows and columns alone keep every rule, so that nothing better is looked for."""
        untouched = len(self.xy) == len(self.start.xy) and not self.mended.removed
        return untouched and self.kept.all_kept and self.start.on_lines

    @property
    def rank(self) -> tuple[float, float, float]:
        """Rules first, then the fewest jacks, with a bonus for straight rows, then evenness: the least is best."""
        figures = [self.kept.reach, self.kept.overhang, *(f for line in self.kept.lines for f in (line.gap, line.end))]
        excess = 0.0 if self.kept.all_kept else sum(max(figure.excess, 0.0) for figure in figures)
        nearest = np.asarray(cKDTree(self.xy).query(self.xy, k=2)[0])[:, 1]
        number = len(self.xy) * (1.0 if self.regular else IRREGULAR)
        return round(excess, 3), number, float(np.std(nearest))


def set_out(plan: Polygon, rules: SetOutRules, closer: Closer = ()) -> JackLayout:
    """The layout of jacks over a plan, m, with holes.

    closer: areas in which jacks stand closer, each with its greatest spacing, m, at least the least spacing.
    rules are sound (`preprocess.setout.rules.rule_problems`).
    """
    tries = list(_tries(plan, rules))
    best = min(enumerate(tries), key=lambda pair: (*pair[1].rank, pair[0]))[1]
    xy, added = best.xy, 0
    if closer:
        frame, ground = best.frame, _ground(plan, rules, best.frame)
        areas = [(frame.polygon_into(area), spacing) for area, spacing in closer]
        alike = closer_motions(best.symmetry, areas)
        moved = closed_up(ground, alike, Trial(frame.into(xy), best.start.rows, best.start.columns), areas)
        added = len(moved) - len(xy)
        xy = _rounded(frame.out(moved))
    return _layout(plan, rules, closer, best, xy=xy, added=added)


def _tries(plan: Polygon, rules: SetOutRules) -> Iterator[_Try]:
    """Tries with rows along either main direction, and insets of the jacks along awkward edges.

    On square plans, first with a line along nearly every edge; where that costs much, with lines along long ones only.
    """
    main = row_frame(plan, rules)
    shares = np.array([0.99, 0.5, 0.02] if plan.area < LARGE else [0.99, 0.5])
    insets = rules.least_edge + (rules.greatest_overhang - rules.least_edge) * shares
    across = Frame(main.angle + 90 if main.angle <= 0 else main.angle - 90)
    seen: list[Floats] = []
    regular = False
    for frame, worth in ((main, EVERY_EDGE), (main, LONG_EDGES), (across, EVERY_EDGE), (across, LONG_EDGES)):
        ground = _ground(plan, rules, frame)
        symmetry = Symmetry(motions(ground.plan, ground.rules))
        walked = any(run.walked for runs in edge_runs(ground, float(insets[0])) for run in runs)
        if (walked and worth == LONG_EDGES) or (regular and frame is across):
            continue
        for inset in insets if walked else insets[:1]:
            start = trial(ground, symmetry, float(inset), worth)
            placed = frame.out(start.xy)
            if any(other.shape == placed.shape and np.allclose(other, placed) for other in seen):
                continue
            seen.append(placed)
            whole = mended(ground, symmetry, start)
            xy = _rounded(frame.out(whole.xy))
            found = _Try(frame, start, whole, symmetry, xy, kept(plan, rules, xy))
            yield found
            regular |= found.regular


def _ground(plan: Polygon, rules: SetOutRules, frame: Frame) -> Ground:
    """Plan and rules in a frame; rules a millimetre narrower where rounding to millimetres turns coordinates."""
    turned = frame.rules_into(rules)
    if frame.angle % 90:
        room = min(ROUNDING, (rules.greatest_overhang - rules.least_edge) / 2)
        turned = SetOutRules(
            turned.greatest_spacing - 1.5 * ROUNDING,
            turned.least_spacing + 1.5 * ROUNDING,
            turned.least_edge + room,
            turned.greatest_overhang - room,
            turned.lines,
            turned.zones,
        )
    return Ground(frame.polygon_into(plan), turned)


def _rounded(xy: Floats) -> Floats:
    return np.asarray(np.round(np.round(xy, 7) / ROUNDING) * ROUNDING).round(3) + 0.0


def _layout(plan: Polygon, rules: SetOutRules, closer: Closer, best: _Try, *, xy: Floats, added: int) -> JackLayout:
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
        columns=straight_lines(along[order], across[order]),
        notes=layout_notes(
            Ground(plan, rules), measured, best.mended, xy=xy[order], symmetries=_symmetries(best, turned), closed=added
        ),
        problems=problems,
    )


def _symmetries(best: _Try, xy: Floats) -> tuple[str, ...]:
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
