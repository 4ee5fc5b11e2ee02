"""Lines on one layer, in mm, before they are joined: lines drawn twice, on each other, or crossing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import LineString
from shapely.geometry.base import BaseGeometry

from preprocess.cad.drawn import Source
from preprocess.cad.notes import Notes
from preprocess.wording import count, point

Floats = NDArray[np.float64]

SAME: Final = 0.01
"""Distance in mm within which points are the same: drawings of a few hundred metres keep far more digits."""

_PAIRS_NAMED = 20


@dataclass(frozen=True, eq=False)
class Stroke:
    """(n, 2) points, mm, of one entity; of a closed one the last joins the first. curved: chords of arcs or curves."""

    points: Floats
    closed: bool
    curved: bool
    source: Source

    @property
    def line(self) -> LineString:
        """Its points in order, back to the first if it is closed."""
        return LineString(np.concatenate([self.points, self.points[:1]]) if self.closed else self.points)

    @property
    def length(self) -> float:
        """mm."""
        return float(self.line.length)


def once(strokes: Sequence[Stroke], notes: Notes) -> list[Stroke]:
    """The strokes without those that repeat an earlier one, which `notes` name, and without mere points."""
    owners: dict[tuple[tuple[float, float], ...], Stroke] = {}
    kept = []
    for stroke in strokes:
        if stroke.length < SAME:
            notes.remark(stroke.source, "has no length, left out")
            continue
        owner = owners.setdefault(_signature(stroke), stroke)
        if owner is stroke:
            kept.append(stroke)
        else:
            value = f"a line drawn twice, as {_handle(owner)} already"
            notes.problem(stroke.source, value, "each line once; delete one")
    return kept


def clashes(strokes: Sequence[Stroke], notes: Notes) -> bool:
    """Whether strokes cross or lie on each other; `notes` name the pairs.

    Closed ones may touch, as feet or racks side by side do; that loops keep apart is judged once they are read.
    """
    if len(strokes) < 2:
        return False
    lines = np.asarray([stroke.line for stroke in strokes])
    closed = np.array([stroke.closed for stroke in strokes])
    first, second = shapely.STRtree(lines).query(lines, predicate="intersects")
    looked_at = (first < second) & ~(closed[first] & closed[second])
    first, second = first[looked_at], second[looked_at]
    shared = shapely.intersection(lines[first], lines[second])
    suspect = (shapely.length(shared) > SAME) | shapely.crosses(lines[first], lines[second])
    found = 0
    for pair in np.lexsort((second, first)):
        if not suspect[pair] or _only_ends(shared[pair], lines[first[pair]], lines[second[pair]]):
            continue
        found += 1
        if found <= _PAIRS_NAMED:
            _say_clash(shared[pair], strokes[first[pair]], strokes[second[pair]], notes)
    if found > _PAIRS_NAMED:
        notes.problem(strokes[0].source, count(found - _PAIRS_NAMED, "more pair"), "lines that do not cross or overlap")
    return found > 0


def _say_clash(shared: BaseGeometry, first: Stroke, second: Stroke, notes: Notes) -> None:
    """How two lines get in each other's way, and what to do."""
    spot = shared.representative_point()
    where = point(spot.x / 1000, spot.y / 1000)
    if shared.length > SAME:
        value = f"a line that lies for {shared.length:.6g} mm near {where} on that of {_handle(first)}"
        notes.problem(second.source, value, "lines that do not lie on each other; shorten one")
    else:
        value = f"a line that crosses at {where} that of {_handle(first)}"
        notes.problem(second.source, value, "lines that meet end to end; trim or separate them")


def _only_ends(shared: BaseGeometry, first: LineString, second: LineString) -> bool:
    """Whether all that two lines share lies at ends of both, but for rounding."""
    if shared.length > SAME:
        return False
    ends = [LineString(line.coords).boundary for line in (first, second)]
    if any(end.is_empty for end in ends):
        return False
    return all(part.distance(end) < SAME for part in shapely.get_parts(shared) for end in ends)


def _signature(stroke: Stroke) -> tuple[tuple[float, float], ...]:
    """The same for strokes of the same points, whichever way and, if closed, from wherever they are drawn."""
    rounded = np.round(stroke.points / SAME).astype(np.float64) + 0.0
    points = [(float(x), float(y)) for x, y in rounded]
    if stroke.closed:
        start = points.index(min(points))
        points = points[start:] + points[:start]
        backward = points[:1] + points[:0:-1]
    else:
        backward = points[::-1]
    return (*min(points, backward), (float(stroke.closed), 0.0))


def _handle(stroke: Stroke) -> str:
    return f"handle {stroke.source.handles[0]}"
