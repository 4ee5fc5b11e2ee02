"""Straight lines that several jacks share: rows, columns and lines parallel to straight edges or to jack lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from preprocess.case import SetOutRules
from preprocess.plan import RE_ENTRANT_TURN
from preprocess.setout.ground import Bools, Floats, Ground

SHARED: Final = 3
"""A line is shared by at least so many jacks."""

SAME_PLACE: Final = 0.001
"""Jacks whose distances across a line follow each other this closely, m, stand on it."""

PARALLEL: Final = 1e-4
"""Sine of the angle between directions that count as one."""

AXES: Final = np.eye(2)[::-1]
"""Normals of rows and of columns."""


@dataclass(frozen=True)
class Edges:
    """The edges of `Ground.outer` by their ends, (n, 2, 2) m. normals: (n, 2) into the slab, of length 1.

    straight: (n,) those along which three jacks have room. curved: (n,) the chords of curves.
    """

    ends: Floats
    normals: Floats
    straight: Bools
    curved: Bools

    def inset(self, edge: int, points: Floats) -> Floats:
        """(n,) distances of (n, 2) points from the line of an edge, positive towards the slab, m."""
        return np.asarray((points - self.ends[edge, 0]) @ self.normals[edge])

    def beside(self, edge: int, points: Floats, distance: float) -> Bools:
        """(n,) whether points lie next to an edge and no further from it than a distance, m."""
        start, end = self.ends[edge]
        along = (points - start) @ (end - start) / np.linalg.norm(end - start)
        between = (along >= 0) & (along <= np.linalg.norm(end - start))
        return np.asarray(between & (np.abs(self.inset(edge, points)) <= distance))


@dataclass(frozen=True)
class SharedLine:
    """The points p with normal·p = at, m. jacks: (k,) indices of those on it, in order, at (k, 2) places, m.

    slanted: whether it is neither row nor column.
    """

    normal: Floats
    at: float
    jacks: NDArray[np.intp]
    places: Floats
    slanted: bool

    def off(self, points: Floats) -> Floats:
        """(n,) distances of (n, 2) points across the line, with sign, m."""
        return np.asarray(points @ self.normal - self.at)

    def clear_places(self, point: Floats, others: Floats, apart: float) -> list[Floats]:
        """The point of the line nearest to a point, or where others (n, 2) are nearer than `apart`, m, those beside.

        These are the places on either side at that distance from the nearest of them.
        """
        foot = point - self.off(point) * self.normal
        distance = np.linalg.norm(others - foot, axis=1)
        if not len(others) or distance.min() >= apart:
            return [foot]
        other = others[np.argmin(distance)]
        off = float(self.off(other))
        middle = other - off * self.normal
        along = np.array([self.normal[1], -self.normal[0]]) * np.sqrt(max(apart**2 - off**2, 0.0))
        return [middle + along, middle - along]


@dataclass(frozen=True)
class SharedLines:
    """The lines of a layout, to be asked for those near a point."""

    lines: tuple[SharedLine, ...]

    @cached_property
    def _normals(self) -> Floats:
        return np.array([line.normal for line in self.lines]).reshape(-1, 2)

    @cached_property
    def _at(self) -> Floats:
        return np.array([line.at for line in self.lines])

    def between(self, point: Floats, least: float, most: float) -> list[SharedLine]:
        """The lines further than `least` from a point (2,) and no further than `most`, m."""
        off = np.abs(self._normals @ point - self._at)
        return [self.lines[number] for number in np.flatnonzero((off > least) & (off <= most))]

    def through(self, point: Floats) -> list[SharedLine]:
        """The lines that pass through a point (2,)."""
        return self.between(point, -1.0, SAME_PLACE)


def edges_of(ground: Ground) -> Edges:
    """The edges, by whether they are straight for long enough or pieces of a curve."""
    ends, normals, straight, curved = [], [], [], []
    for ring in (ground.outer.exterior, *ground.outer.interiors):
        corners = shapely.get_coordinates(ring)[:, :2]
        steps = np.diff(corners, axis=0)
        length = np.linalg.norm(steps, axis=1)
        angle = np.arctan2(steps[:, 1], steps[:, 0])
        turn = np.abs((np.roll(angle, -1) - angle + np.pi) % (2 * np.pi) - np.pi)  # at the end of each edge
        bent = (turn < RE_ENTRANT_TURN) | (np.roll(turn, 1) < RE_ENTRANT_TURN)
        long = length >= 2 * ground.rules.least_spacing
        ends.append(np.stack([corners[:-1], corners[1:]], axis=1))
        normals.append(np.stack([-steps[:, 1], steps[:, 0]], axis=1) / np.maximum(length, 1e-9)[:, None])
        straight.append(long)
        curved.append(bent & ~long)
    return Edges(np.concatenate(ends), np.concatenate(normals), np.concatenate(straight), np.concatenate(curved))


def line_normals(edges: Edges, rules: SetOutRules) -> Floats:
    """(k, 2) normals of the directions in which lines are looked for: rows, columns, straight edges, jack lines."""
    found = list(AXES)
    steps = np.concatenate([np.empty((0, 2)), *(np.diff(line.path, axis=0) for line in rules.lines)])
    steps = steps[np.linalg.norm(steps, axis=1) > SAME_PLACE]
    jack_lines = np.stack([-steps[:, 1], steps[:, 0]], axis=1) / np.linalg.norm(steps, axis=1)[:, None]
    for normal in (*edges.normals[edges.straight], *jack_lines):
        if all(abs(_cross(normal, other)) > PARALLEL for other in found):
            found.append(normal)
    return np.array(found)


def shared_lines(normals: Floats, xy: Floats, most: float, same: float = SAME_PLACE) -> SharedLines:
    """The lines on which three or more jacks stand; of those that are neither row nor column only such on which no
    more than half of the jacks stand where a row crosses a column, since a square grid has slanted lines too.

    most: how far neighbours on a line that is neither row nor column are apart at most, m; it ends where they are
    further apart. same: jacks whose distances across a line follow each other this closely, m, stand on it.
    """
    found = []
    crossed = np.zeros(len(xy), dtype=np.intp)
    for number, normal in enumerate(normals):
        slanted = number >= len(AXES)
        off = xy @ normal
        for members in _groups(off, same):
            for stretch in _stretches(normal, xy, members, most if slanted else np.inf):
                if not slanted:
                    crossed[stretch] += 1
                elif 2 * np.count_nonzero(crossed[stretch] == len(AXES)) > len(stretch):
                    continue
                middle = float(np.sort(off[stretch])[len(stretch) // 2])
                found.append(SharedLine(normal, middle, stretch, xy[stretch], slanted))
    return SharedLines(tuple(found))


def slanted_lines(normals: Floats, xy: Floats, most: float) -> tuple[tuple[int, ...], ...]:
    """Indices of the jacks, in whole millimetres, on each shared line that is neither row nor column, along it."""
    lines = shared_lines(normals, xy, most, 2 * SAME_PLACE)
    return tuple(tuple(int(jack) for jack in line.jacks) for line in lines.lines if line.slanted)


def crossing(first: SharedLine, second: SharedLine) -> Floats | None:
    """(2,) the point on both lines, m; None if they are nearly parallel."""
    if abs(_cross(first.normal, second.normal)) < 0.2:
        return None
    return np.asarray(np.linalg.solve(np.stack([first.normal, second.normal]), [first.at, second.at]))


def _groups(off: Floats, same: float) -> Iterator[NDArray[np.intp]]:
    """The jacks, three or more, whose distances across lines follow each other closely."""
    order = np.argsort(off, kind="stable")
    firsts = np.concatenate([[0], np.flatnonzero(np.diff(off[order]) > same) + 1, [len(order)]])
    for group in np.flatnonzero(np.diff(firsts) >= SHARED):
        yield order[firsts[group] : firsts[group + 1]]


def _stretches(normal: Floats, xy: Floats, members: NDArray[np.intp], most: float) -> Iterator[NDArray[np.intp]]:
    """The jacks of a line, in order along it, parted where neighbours are too far apart; only parts that are shared."""
    along = xy[members] @ np.array([normal[1], -normal[0]])
    order = np.argsort(along, kind="stable")
    for part in np.split(members[order], np.flatnonzero(np.diff(along[order]) > most) + 1):
        if len(part) >= SHARED:
            yield part


def _cross(first: Floats, second: Floats) -> float:
    return float(first[0] * second[1] - first[1] * second[0])
