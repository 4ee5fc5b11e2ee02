"""One try at a layout: lines, jacks along awkward edges, then straight rows; kept symmetric."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from preprocess.setout.axes import ON_ROW, Axis
from preprocess.setout.chains import PARALLEL, line_jacks, spaced, walked_jacks
from preprocess.setout.division import STEP
from preprocess.setout.ground import Bools, Floats, Ground
from preprocess.setout.lines import line_places
from preprocess.setout.rows import row_jacks
from preprocess.setout.symmetry import Motion


@dataclass(frozen=True)
class Symmetry:
    """The motions of a square that the layout keeps, that of rest first."""

    motions: tuple[Motion, ...]

    def has(self, *rows: tuple[int, int]) -> bool:
        """Whether the motion with this matrix is among them."""
        return any(np.array_equal(motion.matrix, np.array(rows)) for motion in self.motions)

    @property
    def centre(self) -> Floats:
        """The point that every motion leaves where it is, m."""
        return self.motions[0].centre

    @cached_property
    def east_west(self) -> bool:
        """Mirror across a column."""
        return self.has((-1, 0), (0, 1))

    @cached_property
    def north_south(self) -> bool:
        """Mirror across a row."""
        return self.has((1, 0), (0, -1))

    @cached_property
    def half_turn(self) -> bool:
        """Turn by 180°."""
        return self.has((-1, 0), (0, -1))

    @cached_property
    def diagonal(self) -> Motion | None:
        """A motion that makes columns of rows, if there is one."""
        swaps = [motion for motion in self.motions if motion.matrix[0, 0] == 0]
        return swaps[0] if swaps else None

    def images(self, point: Floats) -> Floats:
        """(k, 2) different places to which the motions take a point, itself first."""
        moved = np.array([motion(point[None])[0] for motion in self.motions])
        return spaced(moved, 0.001)

    def orbit(self, xy: Floats, jack: int) -> NDArray[np.int_]:
        """Indices of the jacks to which the motions take one of them."""
        images = self.images(xy[jack])
        distance = np.linalg.norm(xy[:, None] - images[None], axis=2)
        nearest = np.argmin(distance, axis=0)
        near = distance[nearest, np.arange(len(images))] < 2 * STEP
        return np.unique(np.append(nearest[near], jack))

    def kept_by(self, xy: Floats) -> Bools:
        """(motions,) whether each takes every jack to a jack."""
        tree = cKDTree(xy)
        return np.array([np.max(tree.query(motion(xy))[0]) < STEP for motion in self.motions])


@dataclass(frozen=True)
class Trial:
    """xy: (n, 2) jacks in the frame, m. rows, columns: the coordinates of the common lines, m."""

    xy: Floats
    rows: Floats
    columns: Floats

    @property
    def on_lines(self) -> bool:
        """Whether every jack stands where a row crosses a column."""
        off = [
            np.abs(self.xy[:, axis][:, None] - values[None]).min(axis=1)
            for axis, values in ((0, self.columns), (1, self.rows))
            if len(values)
        ]
        return len(off) == 2 and bool(np.max(off) < ON_ROW)


def common_lines(ground: Ground, symmetry: Symmetry, worth: float) -> tuple[Floats, Floats]:
    """The coordinates of rows and of columns, m. worth: of an edge that has a line along it (`line_places`)."""
    middle = symmetry.centre
    turned = symmetry.half_turn
    rows = line_places(ground, Axis(1, float(middle[1]) if symmetry.north_south or turned else None), worth)
    if symmetry.diagonal is not None:
        on_axis = np.stack([np.full(len(rows), middle[0]), rows], axis=1)
        return rows, np.sort(symmetry.diagonal(on_axis)[:, 0])
    return rows, line_places(ground, Axis(0, float(middle[0]) if symmetry.east_west or turned else None), worth)


def trial(ground: Ground, symmetry: Symmetry, inset: float, rows: Floats, columns: Floats) -> Trial:
    """Jacks on common lines, with those along awkward edges at an inset, m.

    The rules 1 and 3 hold; others may not yet."""
    middle = symmetry.centre
    turned = symmetry.half_turn
    fixed = _fixed(ground, inset, rows, columns)
    found = [fixed]
    for height in _own_rows(rows, symmetry):
        central = abs(height - middle[1]) < ON_ROW and turned
        mirror = float(middle[0]) if symmetry.east_west or central else None
        jacks = row_jacks(ground, float(height), columns=columns, fixed=fixed, mirror=mirror)
        found.append(jacks)
        if not central and (symmetry.north_south or turned) and abs(height - middle[1]) >= ON_ROW:
            across = (1, -1) if symmetry.north_south else (-1, -1)
            found.append((jacks - middle) * across + middle)
    xy = spaced_trial(np.concatenate(found), ground)
    return Trial(xy if len(xy) else _anywhere(ground), rows, columns)


def _anywhere(ground: Ground) -> Floats:
    """(1, 2) a place where a jack may stand, for a plan that rows miss; (0, 2) if there is none."""
    pieces = sorted(shapely.get_parts(ground.permitted), key=lambda piece: float(piece.area))
    return shapely.get_coordinates(pieces[-1].representative_point()) if pieces else np.empty((0, 2))


def spaced_trial(xy: Floats, ground: Ground) -> Floats:
    """The jacks that keep the least spacing from those before them and stand where they may."""
    return spaced(xy[ground.allows(xy)], ground.rules.least_spacing)


def _own_rows(rows: Floats, symmetry: Symmetry) -> Floats:
    """The rows that are not mirror images of others."""
    if symmetry.north_south or symmetry.half_turn:
        return np.asarray(rows[rows <= symmetry.centre[1] + ON_ROW])
    return rows


def _fixed(ground: Ground, inset: float, rows: Floats, columns: Floats) -> Floats:
    """(n, 2) jacks that rows have to keep clear of: on slanted jack lines, along awkward edges and steps."""
    slanted = [line for line in ground.rules.lines if np.ptp(line.path, axis=0).min() > ON_ROW]
    found = [np.empty((0, 2)), *(line_jacks(ground, line) for line in slanted)]
    found.append(walked_jacks(ground, inset, rows, columns))
    found += _short_rows(ground, rows, columns, np.concatenate(found))
    return spaced_trial(np.concatenate(found), ground)


def _short_rows(ground: Ground, rows: Floats, columns: Floats, fixed: Floats) -> Sequence[Floats]:
    """Jacks along edges parallel to the rows that have no row along them."""
    found = []
    rules = ground.rules
    for west, east in ground.edges:
        steps = east - west
        if abs(steps[1]) > np.sin(np.radians(PARALLEL)) * np.linalg.norm(steps):
            continue
        side = 1 if steps[0] > 0 else -1
        at = float(west[1] + east[1]) / 2
        inset = (rows - at) * side
        if np.any((inset >= rules.least_edge - 1e-6) & (inset <= rules.greatest_overhang + 1e-6)):
            continue
        choices = at + side * np.linspace(rules.least_edge, rules.greatest_overhang, 5)
        clear = [np.abs(rows - choice).min() if len(rows) else 0.0 for choice in choices]
        height = round(float(choices[int(np.argmax(clear))]) / STEP) * STEP
        low, high = sorted((float(west[0]), float(east[0])))
        jacks = row_jacks(ground, height, columns=columns, fixed=fixed, mirror=None)
        near = (jacks[:, 0] >= low - rules.greatest_overhang) & (jacks[:, 0] <= high + rules.greatest_overhang)
        found.append(jacks[near])
    return found
