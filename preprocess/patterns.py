"""Unfavourable patterns of the imposed load: parts of the slab that are loaded while the rest is not.

Loads superpose, so a pattern also gives its complement, which is therefore not listed; nor are all and none. EN 1990
and EN 1992-1-1, 5.1.3 (1)P ask for the critical load arrangements (from memory); on springs those are not only bays.

A beam on an elastic bed, D w″″ + k″ w = q sin αx, bends with M = q α²/(α⁴ + ℓ⁻⁴), ℓ = (D/k″)^¼: dM/dα = 0 at α = 1/ℓ,
so the half-wave π/α that it answers most strongly, with qℓ²/2, is πℓ, longer than a bay. Of loads that are either
there or not, the worst at one place follows the sign of its influence line, e^(−s)(cos s − sin s) with
s = |x|/(ℓ√2) (Hetényi, Beams on Elastic Foundation, 1946, from memory): loaded over πℓ/√2, then free over twice as
much. That reaches 0.33 qℓ² of at most 0.34 qℓ², an even alternation of πℓ only 0.30 qℓ².

Wood–Armer moments ask for more: Mx + |Mxy| under such a wave turned by θ from x is proportional to
cos²θ + ν sin²θ + (1 − ν)|sin θ cos θ|, which is greatest at θ = 22.5°, 1.17 times its value at 0° for ν = 0.2.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.spatial import KDTree
from shapely import LineString, MultiPolygon, Polygon
from shapely.affinity import rotate
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from preprocess.plan import MIN_GAP, RE_ENTRANT_TURN

Floats = NDArray[np.float64]

LEAST_PIECE: Final = 1e-6
"""Pieces of a pattern below this area are rounding, m2."""
SAME: Final = 1e-6
"""Two patterns that differ by less than this part of the slab are one."""
MOST_SIDES: Final = 12
"""Only so many sides of the outline, the longest, get a strip: there are never more than 3 + 12 + 24 patterns."""
STRIP_TURNS: Final = (0.0, 22.5, -22.5, 90.0, 112.5, 67.5)
"""Directions from the main one, degrees: straight, and those that Wood–Armer moments ask for."""
POSITIONS: Final = 4
"""Places of each set of strips, evenly along its period (half of it where the complement is the other half)."""
WIDE: Final = 3.5
"""A plan this many strips long or more gets gaps of two strips; on a smaller one strips and gaps are equal, which
reaches more places with as many patterns (found by trial on the influence surfaces of four slabs)."""


@dataclass(frozen=True)
class Pattern:
    """shape: the loaded part of the slab, in m. name: in plain words; directions are from the x axis."""

    name: str
    shape: Polygon | MultiPolygon


def imposed_patterns(plan: Polygon, jack_xy: Floats, sprung_length: float) -> tuple[Pattern, ...]:
    """At most 39 patterns, none of them empty, all, or equal to another or to its complement.

    Bays and strips follow the longest straight edge of the outline. jack_xy: (n, 2) in any order, m, n ≥ 2.
    sprung_length: ℓ = (D/k″)^¼, plate rigidity over rate of the springs for each m2, m.
    """
    spacing = jack_spacing(jack_xy)
    turn = main_direction(plan)
    shapely.prepare(plan)
    kept: list[Pattern] = []
    for found in (
        *_bays(plan, jack_xy, spacing, turn),
        *_side_strips(plan, spacing),
        *_strips(plan, sprung_length, turn),
    ):
        if not _known(found.shape, kept, plan):
            kept.append(found)
    return tuple(kept)


def jack_spacing(jack_xy: Floats) -> float:
    """Median distance from a jack to its nearest neighbour, m."""
    distance, _ = KDTree(jack_xy).query(jack_xy, k=[2])  # the nearest other one
    return float(np.median(distance))


def main_direction(plan: Polygon) -> float:
    """Direction of the longest edge of the outline, degrees in (−45, 45]: the one nearest to x or y if several are."""
    step = np.diff(shapely.get_coordinates(plan.exterior.simplify(MIN_GAP)), axis=0)
    length = np.hypot(*step.T)
    angle = np.degrees(np.arctan2(step[:, 1], step[:, 0]))
    folded = 45 - np.mod(45 - angle, 90)
    longest = folded[length > length.max() - MIN_GAP]
    return float(longest[np.lexsort((-longest, np.round(np.abs(longest), 6)))[0]])


def _bays(plan: Polygon, jack_xy: Floats, spacing: float, turn: float) -> Iterator[Pattern]:
    bands = []
    for axis, angle in enumerate((turn, turn + 90)):
        low, high = _extent(plan, angle)
        limits = _bay_limits(_along(jack_xy, angle), low, high, spacing)
        limits[[0, -1]] = low - spacing, high + spacing  # clear of the outline
        bands.append(_bands(limits[:-1:2], limits[1::2], plan, angle))
        yield Pattern(f"alternate bays along {_direction(angle, axis)}, odd", _polygonal(plan, bands[axis]))
    yield Pattern("bays as a checkerboard", _polygonal(plan, bands[0].symmetric_difference(bands[1])))


def _bay_limits(position: Floats, low: float, high: float, spacing: float) -> Floats:
    """Ascending limits of the bays from `low` to `high`: on the rows of jacks if there are rows, else even.

    The slab beyond the last row belongs to the last bay; a row much nearer to the last limit than a spacing (staggered
    jacks) is passed over; a wide gap is shared evenly.
    """
    rows = _rows(position, spacing)
    if rows is None:
        return np.linspace(low, high, max(round((high - low) / spacing), 1) + 1)
    limits = [low]
    for row in (*rows[rows < high - 0.6 * spacing], high):
        if row - limits[-1] >= 0.6 * spacing or row == high:
            parts = max(round((row - limits[-1]) / spacing), 1)
            limits += list(np.linspace(limits[-1], row, parts + 1)[1:])
    return np.array(limits)


def _rows(position: Floats, spacing: float) -> Floats | None:
    """Ascending middles of the rows that jacks at `position` (n,) form, None if a quarter of them are in no row."""
    ordered = np.sort(position)
    groups = np.split(ordered, np.flatnonzero(np.diff(ordered) > 0.1 * spacing) + 1)
    rows = [group for group in groups if len(group) >= 3 and np.ptp(group) <= 0.2 * spacing]
    if sum(len(row) for row in rows) < 0.75 * len(position):
        return None
    return np.array([(row[0] + row[-1]) / 2 for row in rows])


def _side_strips(plan: Polygon, spacing: float) -> Iterator[Pattern]:
    """A strip one spacing wide along each side of the outline that is half a spacing long or more."""
    sides = sorted((s for s in _sides(plan) if s.length >= spacing / 2), key=lambda s: -round(s.length, 6))
    for side in sides[:MOST_SIDES]:
        strip = _polygonal(plan, side.buffer(spacing, cap_style="flat"))
        near = [part for part in shapely.get_parts(strip) if part.distance(side) < MIN_GAP]  # not beyond a notch
        (x0, y0), (x1, y1) = shapely.get_coordinates(side)[[0, -1]]
        name = f"the strip along the edge from ({x0:.2f}, {y0:.2f}) to ({x1:.2f}, {y1:.2f}) m"
        if side.is_closed:
            name = "the strip along the whole outline"
        yield Pattern(name, _gathered(near))


def _sides(plan: Polygon) -> list[LineString]:
    """Chains of edges of the outline that turn by less than RE_ENTRANT_TURN from one to the next, anticlockwise."""
    corners = shapely.get_coordinates(orient(plan).exterior)[:-1]
    before, after = corners - np.roll(corners, 1, axis=0), np.roll(corners, -1, axis=0) - corners
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.abs(np.arctan2(cross, np.sum(before * after, axis=1)))
    breaks = np.flatnonzero(turn >= RE_ENTRANT_TURN)
    if not len(breaks):
        breaks = np.array([0])
    ends = np.append(breaks[1:], breaks[0] + len(corners))
    return [LineString(corners[np.arange(i, j + 1) % len(corners)]) for i, j in zip(breaks, ends, strict=True)]


def _strips(plan: Polygon, sprung_length: float, turn: float) -> Iterator[Pattern]:
    """Strips of πℓ/√2, or half of a smaller plan, about its middle, in every direction and position."""
    for relative in STRIP_TURNS:
        angle = turn + relative
        low, high = _extent(plan, angle)
        width = min(np.pi * sprung_length / np.sqrt(2), (high - low) / 2)
        wide = high - low >= WIDE * width
        period = width * (3 if wide else 2)
        for position in range(POSITIONS):
            shift = position / POSITIONS * (period if wide else width)
            first = (low + high) / 2 + shift - period * np.ceil((high - low) / period + 1)
            starts = first + period * np.arange(2 * np.ceil((high - low) / period) + 3)
            reached = starts[(starts < high) & (starts + width > low)]
            shape = _polygonal(plan, _bands(reached, reached + width, plan, angle))
            name = f"strips of {width:.2f} m along {_direction(angle)}, position {position + 1} of {POSITIONS}"
            yield Pattern(name, shape)


def _direction(angle: float, axis: int | None = None) -> str:
    """x, y or the angle from the x axis."""
    if abs(angle) < 0.005:
        return "x"
    if abs(angle - 90) < 0.005:
        return "y"
    return f"{angle:.1f}°" if axis is None else f"{angle:.1f}° from x"


def _along(xy: Floats, angle: float) -> Floats:
    """(n,) positions of points (n, 2) along a direction in degrees."""
    if angle in {0.0, 90.0}:  # exact, so that limits run on the rows to the last digit
        return np.asarray(xy[:, 0 if angle == 0.0 else 1])
    return np.asarray(xy @ [np.cos(np.radians(angle)), np.sin(np.radians(angle))])


def _extent(plan: Polygon, angle: float) -> tuple[float, float]:
    position = _along(shapely.get_coordinates(plan.exterior), angle)
    return float(position.min()), float(position.max())


def _bands(starts: Floats, ends: Floats, plan: Polygon, angle: float) -> MultiPolygon:
    """Bands that reach across the plan, from `starts` to `ends` (b,) along a direction in degrees."""
    low, high = _extent(plan, angle + 90)
    bands = [shapely.box(start, low - 1, end, high + 1) for start, end in zip(starts, ends, strict=True)]
    return rotate(MultiPolygon(bands), angle, origin=(0, 0))


def _polygonal(plan: Polygon, shape: BaseGeometry) -> Polygon | MultiPolygon:
    return _gathered(list(shapely.get_parts(plan.intersection(shape))))


def _gathered(parts: list[BaseGeometry]) -> Polygon | MultiPolygon:
    """The polygons among the parts of a shape, without lines, points and what is as thin."""
    whole = [part for part in parts if isinstance(part, Polygon) and part.area > LEAST_PIECE]
    return whole[0] if len(whole) == 1 else MultiPolygon(whole)


def _known(shape: Polygon | MultiPolygon, kept: list[Pattern], plan: Polygon) -> bool:
    """Whether the shape is empty, all, or equal to one of `kept` or to its complement."""
    small = SAME * plan.area
    if not small < shape.area < plan.area - small:
        return True
    return any(
        min(abs(shape.area - other.shape.area), abs(shape.area + other.shape.area - plan.area)) <= small
        and not small < shape.symmetric_difference(other.shape).area < plan.area - small
        for other in kept
    )
