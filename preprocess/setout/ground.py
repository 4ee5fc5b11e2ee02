"""The slab as setting-out sees it: where jacks may stand, which openings count as edges, its edges by direction."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from preprocess.case import SetOutRules

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

TOLERANCE: Final = 0.0015
"""How far, m, a figure may pass its rule: jacks are given in whole millimetres, each coordinate up to 0.5 mm off."""

LARGEST_TIP: Final = 0.25
"""Area of a sharp tip that may be beyond reach, m2."""

ARC_CHORDS: Final = 32
"""Chords for a quarter of a circle: they lie within 0.1 mm of the arc at the insets in use."""


@dataclass(frozen=True)
class Ground:
    """plan: the slab, m, in the frame of its rows. rules: in the same frame."""

    plan: Polygon
    rules: SetOutRules

    @property
    def reach(self) -> float:
        """The greatest distance of the slab from a jack, m: that of a square grid at the greatest spacing."""
        return self.rules.greatest_spacing / float(np.sqrt(2))

    @cached_property
    def outer(self) -> Polygon:
        """The plan without the openings that are passed between jacks."""
        return without_small_openings(self.plan, self.rules.least_spacing)

    @cached_property
    def small_openings(self) -> tuple[Polygon, ...]:
        """Openings that are passed between jacks, such as columns."""
        kept = {ring.wkb for ring in self.outer.interiors}
        return tuple(Polygon(ring) for ring in orient(self.plan).interiors if ring.wkb not in kept)

    @cached_property
    def permitted(self) -> BaseGeometry:
        """Where the centre of a jack may lie."""
        region = permitted(self.plan, self.rules)
        shapely.prepare(region)
        return region

    @cached_property
    def _forgiving(self) -> BaseGeometry:
        region = self.permitted.buffer(1e-6)
        shapely.prepare(region)
        return region

    @cached_property
    def beyond_reach(self) -> tuple[Polygon, ...]:
        """Parts of the slab that no permitted jack can be near enough to; specks below a square centimetre left out."""
        rest = self.plan.difference(self.permitted.buffer(self.reach + 1e-4, quad_segs=ARC_CHORDS))
        return tuple(piece for piece in shapely.get_parts(rest) if isinstance(piece, Polygon) and piece.area > 1e-4)

    @cached_property
    def sharp_tips(self) -> tuple[Polygon, ...]:
        """Those of them that are no more than the tip of a sharp outer corner."""
        corners = shapely.multipoints(np.asarray(self.outer.exterior.coords)[:, :2])
        return tuple(
            piece for piece in self.beyond_reach if piece.area <= LARGEST_TIP and piece.distance(corners) < 1e-6
        )

    @cached_property
    def reachable(self) -> BaseGeometry:
        """The slab without the sharp tips that are beyond reach of any permitted jack."""
        rest: BaseGeometry = self.plan
        for tip in self.sharp_tips:
            rest = rest.difference(tip.buffer(1e-4))
        return rest

    @cached_property
    def edges(self) -> Floats:
        """(n, 2, 2) ends of the edges of `outer`, the slab to the left."""
        found = []
        for ring in (self.outer.exterior, *self.outer.interiors):
            corners = np.asarray(ring.coords)[:, :2]
            found.append(np.stack([corners[:-1], corners[1:]], axis=1))
        return np.concatenate(found)

    def allows(self, points: Floats) -> Bools:
        """(n,) whether jacks may stand at (n, 2) points, a micrometre forgiven."""
        return np.asarray(shapely.intersects_xy(self._forgiving, points), dtype=bool).reshape(len(points))


def on_jack_lines(ground: Ground, xy: Floats) -> Bools:
    """(n,) whether each jack stands on a jack line."""
    on = np.zeros(len(xy), dtype=bool)
    for line in ground.rules.lines:
        on |= np.asarray(shapely.dwithin(shapely.LineString(line.path), shapely.points(xy), 0.005), dtype=bool)
    return on


def permitted(plan: Polygon, rules: SetOutRules) -> BaseGeometry:
    """Where the centre of a jack may lie: clear of edges, openings and zones. Empty if nowhere."""
    region: BaseGeometry = plan.buffer(-rules.least_edge + 1e-9, quad_segs=ARC_CHORDS)
    for zone in rules.zones:
        region = region.difference(zone.area)
    return region


def without_small_openings(plan: Polygon, least_spacing: float) -> Polygon:
    """The plan, outline anticlockwise, with only the openings longer than the least spacing in some direction."""
    oriented = orient(plan)
    large = [ring for ring in oriented.interiors if _extent(Polygon(ring)) > least_spacing]
    return Polygon(oriented.exterior, large)


def _extent(hole: Polygon) -> float:
    """Length of the longer side of the smallest rectangle round an opening, m."""
    box = hole.minimum_rotated_rectangle
    corners = np.asarray(shapely.get_coordinates(box))
    return float(np.linalg.norm(np.diff(corners, axis=0), axis=1).max())
