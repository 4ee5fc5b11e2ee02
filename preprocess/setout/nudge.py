"""Moving jacks a little where every rule stays as well kept as before, measured only where the move matters."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from preprocess.setout.ground import TOLERANCE, Floats, Ground
from preprocess.setout.measure import farthest
from preprocess.setout.overhang import EdgePoints, edge_points, overhangs, overhangs_after
from preprocess.setout.trial import Symmetry

ROUGH: Final = 0.0015
"""By how much rounding to millimetres may bring two jacks together, m."""


@dataclass(frozen=True)
class Standing:
    """Jacks at (n, 2) xy, m, and the overhang that they leave at the points of the edges, m."""

    xy: Floats
    over: Floats


@dataclass(frozen=True)
class Nudge:
    """Moves jacks in symmetric groups over a ground. furthest: the reach of the layout to begin with, m."""

    ground: Ground
    symmetry: Symmetry
    edge: EdgePoints
    furthest: float

    @property
    def apart(self) -> float:
        """The distance, m, at which two jacks keep the least spacing when they are rounded."""
        return self.ground.rules.least_spacing + ROUGH

    @cached_property
    def _radius(self) -> float:
        return 1.02 * max(self.ground.reach, self.furthest)

    def moved(self, now: Standing, jack: int, place: Floats) -> Standing | None:
        """The jacks with one, and its images, moved to a place (2,); None where a rule would be kept less well."""
        group, places = self._images(now.xy, jack, place)
        if not len(group) or not self.ground.allows(places).all():
            return None
        xy = now.xy.copy()
        xy[group] = places
        if not self._spaced(now.xy, xy, group):
            return None
        if not all(self._reached(now.xy, xy, old) for old in now.xy[group]):
            return None
        changed = np.concatenate([now.xy[group], places])
        over = overhangs_after(self.ground, self.edge, now.over, xy, changed)
        kept = np.all((over <= self.edge.limit + TOLERANCE / 2) | (over <= now.over + 1e-6))
        return Standing(xy, over) if kept else None

    def _images(self, xy: Floats, jack: int, place: Floats) -> tuple[NDArray[np.intp], Floats]:
        """(k,) the jacks of a group and (k, 2) where they go; none if the place is off an axis that the jack is on."""
        tree, targets = cKDTree(xy), dict[int, Floats]()
        for motion in self.symmetry.motions:
            index = int(tree.query(motion(xy[jack][None])[0])[1])
            target = motion(place[None])[0]
            if np.linalg.norm(targets.setdefault(index, target) - target) > 1e-6:
                return np.empty(0, dtype=np.intp), np.empty((0, 2))
        return np.array(list(targets), dtype=np.intp), np.array(list(targets.values()))

    def _spaced(self, before: Floats, after: Floats, group: NDArray[np.intp]) -> bool:
        """Whether the jacks of a group keep the least spacing, rounding apart, or what they kept before."""
        was = np.asarray(cKDTree(before).query(before[group], k=2)[0])[:, 1]
        now = np.asarray(cKDTree(after).query(after[group], k=2)[0])[:, 1]
        return bool(np.all(now >= np.minimum(self.apart, was) - 1e-9))

    def _reached(self, before: Floats, after: Floats, old: Floats) -> bool:
        """Whether the slab that the jack at `old` may have been nearest to is as well within reach as before."""
        around = self.ground.reachable.intersection(shapely.Point(old).buffer(self._radius))
        close = np.linalg.norm(before - old, axis=1) <= 3 * self._radius
        far = farthest(around, after[close], self.ground.reach)
        if far.excess <= TOLERANCE / 2:
            return True
        return far.value <= farthest(around, before[close], self.ground.reach).value + 1e-6


def nudge_from(ground: Ground, symmetry: Symmetry, xy: Floats) -> tuple[Nudge, Standing]:
    """What moves the jacks of a layout, with the symmetry that it has, and how they stand to begin with."""
    motions = tuple(motion for motion, kept in zip(symmetry.motions, symmetry.kept_by(xy), strict=True) if kept)
    edge = edge_points(ground)
    furthest = farthest(ground.reachable, xy, ground.reach).value
    return Nudge(ground, Symmetry(motions), edge, furthest), Standing(xy, overhangs(ground, xy, edge.at))
