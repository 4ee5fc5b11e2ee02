"""The frame in which rows run, and the motions that leave a plan and its rules as they are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from scipy.spatial import cKDTree
from shapely import Polygon

from preprocess.case import JackLine, NoJackZone, SetOutRules
from preprocess.setout.ground import Floats

SAME: Final = 0.002
"""Points this near, m, count as one when symmetry is looked for."""

SAME_DIRECTION: Final = 0.5
"""Edges within this angle, degrees, count as parallel."""


@dataclass(frozen=True)
class Motion:
    """Takes a point p to centre + matrix·(p − centre)."""

    matrix: Floats
    centre: Floats

    def __call__(self, points: Floats) -> Floats:
        """(n, 2) points moved."""
        return np.asarray((points - self.centre) @ self.matrix.T + self.centre)


@dataclass(frozen=True)
class Frame:
    """Axes turned by an angle in degrees from those of the plan, about its origin."""

    angle: float

    @property
    def _turn(self) -> Floats:
        if self.angle % 90 == 0:
            quarter = round(self.angle / 90) % 4
            cosine, sine = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter]
        else:
            cosine, sine = np.cos(np.radians(self.angle)), np.sin(np.radians(self.angle))
        return np.array([[cosine, -sine], [sine, cosine]], dtype=float)

    def into(self, points: Floats) -> Floats:
        """(n, 2) points of the plan in the frame."""
        return np.asarray(points @ self._turn)

    def out(self, points: Floats) -> Floats:
        """(n, 2) points of the frame in the plan."""
        return np.asarray(points @ self._turn.T)

    def polygon_into(self, polygon: Polygon) -> Polygon:
        """A polygon of the plan in the frame."""
        moved = shapely.transform(polygon, self.into)
        assert isinstance(moved, Polygon)
        return moved

    def rules_into(self, rules: SetOutRules) -> SetOutRules:
        """Rules whose lines and zones are in the frame."""
        return SetOutRules(
            rules.greatest_spacing,
            rules.least_spacing,
            rules.least_edge,
            rules.greatest_overhang,
            tuple(JackLine(line.name, self.into(line.path), line.spacing) for line in rules.lines),
            tuple(NoJackZone(zone.name, self.polygon_into(zone.area)) for zone in rules.zones),
        )


SQUARE: Final = tuple(
    np.array(rows, dtype=float)
    for rows in (
        ((1, 0), (0, 1)),
        ((-1, 0), (0, 1)),
        ((1, 0), (0, -1)),
        ((-1, 0), (0, -1)),
        ((0, 1), (1, 0)),
        ((0, -1), (-1, 0)),
        ((0, -1), (1, 0)),
        ((0, 1), (-1, 0)),
    )
)
"""The eight motions of a square: none, the two mirrors, the half-turn, the diagonal mirrors, the quarter-turns."""


def row_frame(plan: Polygon, rules: SetOutRules) -> Frame:
    """The frame along most of the plan's edges, or along an axis of symmetry that these do not go with."""
    edges = np.diff(shapely.get_coordinates(plan.exterior)[:, :2], axis=0)
    length = np.linalg.norm(edges, axis=1)
    angle = np.degrees(np.arctan2(edges[:, 1], edges[:, 0])) % 90
    apart = np.abs((angle[:, None] - angle[None, :] + 45) % 90 - 45)
    along = (apart <= SAME_DIRECTION) @ length
    folded = (angle + 45) % 90 - 45
    most = along >= along.max() - 1e-6
    longest = np.where(most, length, 0.0)
    chosen = min(np.flatnonzero(longest >= longest.max() - 1e-6), key=lambda index: (abs(folded[index]), folded[index]))
    main = float(folded[chosen])
    axes = _mirror_angles(plan, rules)
    loose = along.max() < 0.3 * length.sum()
    if len(axes) and (loose or np.abs((axes - main + 22.5) % 45 - 22.5).min() > SAME_DIRECTION):
        axes = (axes + 45) % 90 - 45
        main = float(min(axes, key=lambda axis: (round(abs(axis), 3), axis)))
    return Frame(0.0 if abs(main) < 0.02 else main)


def motions(plan: Polygon, rules: SetOutRules) -> tuple[Motion, ...]:
    """The motions of a square, about the plan's centre and along its axes, that leave plan, lines and zones alike.

    The first is the one that moves nothing.
    """
    centre = shapely.get_coordinates(plan.centroid)[0]
    found = (Motion(matrix, centre) for matrix in SQUARE)
    marks = _marks(plan, rules)
    return tuple(motion for motion in found if keeps(motion, marks))


def _mirror_angles(plan: Polygon, rules: SetOutRules) -> Floats:
    """(n,) directions, degrees, of the axes about which plan and rules are their own mirror image."""
    centre = shapely.get_coordinates(plan.centroid)[0]
    corners = shapely.get_coordinates(plan.exterior)[:, :2]
    offsets = np.concatenate([corners[:-1], (corners[:-1] + corners[1:]) / 2]) - centre
    offsets = offsets[np.linalg.norm(offsets, axis=1) > SAME]
    angles = np.unique(np.round(np.arctan2(offsets[:, 1], offsets[:, 0]) % np.pi, 6))
    marks = _marks(plan, rules)
    kept = []
    for angle in angles:
        cosine, sine = np.cos(2 * angle), np.sin(2 * angle)
        if keeps(Motion(np.array([[cosine, sine], [sine, -cosine]]), centre), marks):
            kept.append(np.degrees(angle))
    return np.array(kept)


def _marks(plan: Polygon, rules: SetOutRules) -> list[Floats]:
    """Point sets that a symmetry has to keep, one for each kind of thing: corners and middles of edges."""
    rings: dict[str, list[Floats]] = {"plan": [_with_middles(ring) for ring in (plan.exterior, *plan.interiors)]}
    for zone in rules.zones:
        rings.setdefault("zone", []).append(_with_middles(zone.area.exterior))
    for line in rules.lines:
        middles = (line.path[:-1] + line.path[1:]) / 2
        rings.setdefault(f"line {line.spacing:.4f}", []).append(np.concatenate([line.path, middles]))
    return [np.concatenate(points) for points in rings.values()]


def _with_middles(ring: shapely.LinearRing) -> Floats:
    corners = shapely.get_coordinates(ring)[:, :2]
    return np.concatenate([corners[:-1], (corners[:-1] + corners[1:]) / 2])


def keeps(motion: Motion, marks: list[Floats]) -> bool:
    """Whether a motion takes every point of each set to a point of the same set."""
    for points in marks:
        distance, _ = cKDTree(points).query(motion(points))
        if np.max(distance) > SAME:
            return False
    return True
