"""The tries at a layout of which the best is taken, and what makes one better than another."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import Final

import numpy as np
from scipy.spatial import cKDTree
from shapely import Polygon

from preprocess.case import SetOutRules
from preprocess.setout.chains import edge_runs
from preprocess.setout.ground import Floats, Ground
from preprocess.setout.measure import Kept, kept
from preprocess.setout.repair import Mended, mended
from preprocess.setout.symmetry import Frame, motions, row_frame
from preprocess.setout.trial import Symmetry, Trial, common_lines, trial

ROUNDING: Final = 0.001
"""Jacks are given in whole millimetres, m."""

EVERY_EDGE: Final = 4.0
LONG_EDGES: Final = 1.5
FEW_EDGES: Final = 0.7
"""What a line of jacks along an edge is worth, in jacks for each jack along it."""

LARGE: Final = 600.0
"""Area above which fewer insets are tried, m2."""

IRREGULAR: Final = 1.12
"""How many more jacks straight rows and columns may take than a layout without."""


@dataclass(frozen=True)
class Try:
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
        nearest = np.asarray(cKDTree(self.xy).query(self.xy, k=2)[0])[:, 1] if len(self.xy) > 1 else np.zeros(1)
        number = len(self.xy) * (1.0 if self.regular else IRREGULAR)
        return round(excess, 3), number, float(np.std(nearest))


def all_tries(plan: Polygon, rules: SetOutRules) -> Iterator[Try]:
    """Tries with rows along either main direction, and insets of the jacks along awkward edges.

    On square plans, first with a line along nearly every edge, then along long ones and along the longest ones only,
    and the other edges mended; those take fewer jacks where lines along the edges of an opening come close together.
    """
    main = row_frame(plan, rules)
    shares = np.array([0.99, 0.5, 0.02] if plan.area < LARGE else [0.99, 0.5])
    overhang = _furthest_row(rules)
    insets = rules.least_edge + (overhang - rules.least_edge) * shares
    across = Frame(main.angle + 90 if main.angle <= 0 else main.angle - 90)
    seen: list[Floats] = []
    regular = False
    for frame in (main, across):
        ground = ground_in(plan, rules, frame)
        symmetry = Symmetry(motions(ground.plan, ground.rules))
        walked = any(run.walked for runs in edge_runs(ground, float(insets[0])) for run in runs)
        if regular and frame is across:
            return
        worths = (EVERY_EDGE,) if walked else (EVERY_EDGE, LONG_EDGES, FEW_EDGES)
        for worth, inset in product(worths, insets if walked else insets[:1]):
            rows, columns = common_lines(ground, symmetry, worth)
            start = trial(ground, symmetry, float(inset), rows, columns)
            placed = frame.out(start.xy)
            if any(other.shape == placed.shape and np.allclose(other, placed) for other in seen):
                continue
            seen.append(placed)
            whole = mended(ground, symmetry, start)
            xy = rounded(frame.out(whole.xy))
            found = Try(frame, start, whole, symmetry, xy, kept(plan, rules, xy))
            yield found
            regular |= found.regular


def ground_in(plan: Polygon, rules: SetOutRules, frame: Frame) -> Ground:
    """Plan and rules in a frame; rules a millimetre narrower where rounding to millimetres turns coordinates."""
    overhang = _furthest_row(rules)
    slack = 1.5 * ROUNDING if frame.angle % 90 else 0.0
    room = min(ROUNDING, (overhang - rules.least_edge) / 2) if frame.angle % 90 else 0.0
    turned = replace(
        frame.rules_into(rules),
        greatest_spacing=rules.greatest_spacing - slack,
        least_spacing=rules.least_spacing + slack,
        least_edge=rules.least_edge + room,
        greatest_overhang=overhang - room,
    )
    return Ground(frame.polygon_into(plan), turned)


def _furthest_row(rules: SetOutRules) -> float:
    """How far a row may be from an edge, m: the overhang, or half the greatest spacing if that is less.

    Reach asks for the latter in a corner, and between two jacks along an edge.
    """
    return min(rules.greatest_overhang, max(rules.greatest_spacing / 2, rules.least_edge))


def rounded(xy: Floats) -> Floats:
    """Jacks in whole millimetres."""
    return np.asarray(np.round(np.round(xy, 7) / ROUNDING) * ROUNDING).round(3) + 0.0
