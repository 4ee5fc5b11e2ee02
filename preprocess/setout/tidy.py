"""Tidying a finished layout: jacks that stand a little off lines that others share are moved onto these.

People mark rows out with a line and a tape. Jacks along a straight edge at nearly one distance are put on one line
parallel to it, and jacks on no shared line onto one nearby, or where two cross. A jack never leaves a line that it
shares, those on jack lines and along curves stay, and no rule is kept less well than before.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from preprocess.setout.ground import Bools, Floats, Ground, on_jack_lines
from preprocess.setout.nudge import Nudge, Standing, nudge_from
from preprocess.setout.shared_lines import (
    AXES,
    SAME_PLACE,
    SHARED,
    Edges,
    SharedLine,
    SharedLines,
    crossing,
    edges_of,
    line_normals,
    shared_lines,
)
from preprocess.setout.trial import Symmetry

NEAR: Final = 0.21
"""Jacks this near to a line are moved onto it, m: as far as insets between 250 and 450 mm are apart, and a little."""

FURTHEST: Final = 0.3
"""How far a jack is moved at most in one step, m, across to the line and along it."""

ROUNDS: Final = 6
"""How often all jacks are looked at; the last of these mostly moves none."""

INSETS: Final = 2
"""How many distances from an edge are tried for a line along it."""


@dataclass(frozen=True)
class _Room:
    """What the passes need besides the jacks: lines' normals, edges, and the jacks that stay."""

    nudge: Nudge
    edges: Edges
    normals: Floats
    stays: Bools

    @property
    def along_edge(self) -> float:
        """A jack nearer than this to an edge, m, is one of those along it."""
        return self.nudge.ground.rules.greatest_overhang + NEAR

    def lines(self, xy: Floats) -> SharedLines:
        """The lines that jacks share."""
        return shared_lines(self.normals, xy, self.most)

    @property
    def most(self) -> float:
        """How far a jack may be from the next on a line along an edge, m."""
        return 2 * self.nudge.ground.rules.greatest_spacing


def tidied(ground: Ground, symmetry: Symmetry, xy: Floats) -> Floats:
    """(n, 2) the jacks of a layout, in the order of xy, with those moved onto shared lines that may be, in the frame.

    Square plans all of whose jacks stand on rows or columns are left as they are.
    """
    edges = edges_of(ground)
    normals = line_normals(edges, ground.rules)
    lines = shared_lines(normals, xy, 2 * ground.rules.greatest_spacing)
    if len(normals) == len(AXES) and all(lines.through(place) for place in xy):
        return xy
    nudge, now = nudge_from(ground, symmetry, xy)
    stays = on_jack_lines(ground, xy)
    for edge in np.flatnonzero(edges.curved):
        stays |= edges.beside(int(edge), xy, ground.rules.greatest_overhang + SAME_PLACE)
    room = _Room(nudge, edges, normals, stays)
    failed: set[bytes] = set()
    for _ in range(ROUNDS):
        after = now
        for edge in np.flatnonzero(edges.straight):
            after = _edge_aligned(room, after, int(edge))
        after = _snapped(room, after, failed)
        if after is now:
            break
        now = after
    return now.xy


def _edge_aligned(room: _Room, now: Standing, edge: int) -> Standing:
    """With three or more of the jacks along an edge on one line parallel to it, if none is there yet."""
    beside = np.flatnonzero(room.edges.beside(edge, now.xy, room.along_edge))
    if len(beside) < SHARED or _has_line(room, now, edge, beside):
        return now
    inset = room.edges.inset(edge, now.xy[beside])
    apart = np.abs(inset[:, None] - inset)
    near = (apart <= NEAR).sum(axis=1)
    order = np.lexsort((np.round(inset, 4), np.round(np.minimum(apart, NEAR).sum(axis=1), 4), -near))
    for chosen in order[:INSETS]:
        if near[chosen] < SHARED:
            break
        after = _gathered(room, now, edge, beside, float(inset[chosen]))
        if after is not None:
            return after
    return now


def _gathered(room: _Room, now: Standing, edge: int, beside: NDArray[np.intp], at: float) -> Standing | None:
    """With the jacks beside an edge put at one distance from it, m, as far as may be; None if fewer than three are."""
    normal = room.edges.normals[edge]
    line = SharedLine(normal, float(room.edges.ends[edge, 0] @ normal) + at, beside, now.xy[beside], slanted=True)
    off = np.abs(line.off(now.xy[beside]))
    for jack in beside[np.argsort(np.round(off, 6), kind="stable")]:
        place = now.xy[jack]
        if room.stays[jack] or not SAME_PLACE < abs(line.off(place)) <= NEAR:
            continue
        lines = SharedLines((*room.lines(now.xy).lines, line))
        for target in _targets(room, [line], now, lines, int(jack)):
            after = room.nudge.moved(now, int(jack), target)
            if after is not None:
                now = after
                break
    return now if _has_line(room, now, edge, beside) else None


def _has_line(room: _Room, now: Standing, edge: int, beside: NDArray[np.intp]) -> bool:
    """Whether three of the jacks beside an edge share a line parallel to it."""
    along = (line for line in room.lines(now.xy).lines if abs(line.normal @ room.edges.normals[edge]) > 1 - 1e-6)
    return any(np.isin(line.jacks, beside).sum() >= SHARED for line in along)


def _snapped(room: _Room, now: Standing, failed: set[bytes]) -> Standing:
    """With each jack moved that can be, first those on no line; the same if none.

    failed: moves that were tried in vain; those of this round are added.
    """
    lines = room.lines(now.xy)
    on_any = np.isin(np.arange(len(now.xy)), np.concatenate([np.empty(0), *(line.jacks for line in lines.lines)]))
    for jack in np.concatenate([np.flatnonzero(~room.stays & ~on_any), np.flatnonzero(~room.stays & on_any)]):
        place = now.xy[jack]
        near = lines.between(place, SAME_PLACE, NEAR)
        for target in _targets(room, near, now, lines, int(jack)):
            around = now.xy[np.linalg.norm(now.xy - place, axis=1) <= room.most]
            key = np.round(np.concatenate([target[None], around]), 4).tobytes()
            after = None if key in failed else room.nudge.moved(now, int(jack), target)
            if after is not None:
                now, lines = after, room.lines(after.xy)
                break
            failed.add(key)
    return now


def _targets(room: _Room, near: list[SharedLine], now: Standing, lines: SharedLines, jack: int) -> list[Floats]:
    """Places on nearby lines for a jack: those on most lines first, then the nearest. One on a line stays on it."""
    place = now.xy[jack]
    own = lines.through(place)
    if len(own) > 1 or not near:
        return []
    if own:
        found = [crossing(own[0], line) for line in near]
    else:
        found = [crossing(first, second) for number, first in enumerate(near) for second in near[:number]]
        others = np.delete(now.xy, jack, axis=0)
        found += [spot for line in near for spot in line.clear_places(place, others, room.nudge.apart)]
    ranked: list[tuple[int, float, int, Floats]] = []
    for target in found:
        if target is None or np.linalg.norm(target - place) > FURTHEST:
            continue
        met = [line for line in lines.through(target) if _joins(room, line, target)]
        if len(met) > len(own):
            ranked.append((-len(met), round(float(np.linalg.norm(target - place)), 6), len(ranked), target))
    return [entry[-1] for entry in sorted(ranked, key=lambda entry: entry[:3])]


def _joins(room: _Room, line: SharedLine, target: Floats) -> bool:
    """Whether a jack at a place on a line is near enough to the others on it to be found with them."""
    return not line.slanted or float(np.linalg.norm(line.places - target, axis=1).min()) <= room.most
