"""Strokes that meet end to end, or nearly, joined to loops."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from preprocess.cad.drawn import Source
from preprocess.cad.notes import Notes
from preprocess.cad.strokes import SAME, Stroke
from preprocess.wording import listed, point

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Chain:
    """Strokes joined end to end. points: (n, 2) mm. joints: gap in mm, place and the two handles of each joint."""

    points: Floats
    closed: bool
    curved: bool
    source: Source
    joints: tuple[tuple[float, Floats, tuple[str, str]], ...]


def join(strokes: Sequence[Stroke], closing: float) -> list[Chain]:
    """Every stroke in one chain, in the order of their first strokes; nearest ends meet first, none over `closing`."""
    partner = _partners(strokes, closing)
    chains = [
        Chain(stroke.points, True, stroke.curved, stroke.source, ()) if stroke.closed else None for stroke in strokes
    ]
    seen = {index for index, stroke in enumerate(strokes) if stroke.closed}
    for index in range(len(strokes)):
        if index not in seen:
            ends = _walk(_first_end(2 * index, partner), partner)
            seen |= {end // 2 for end in ends}
            chains[index] = _chain([strokes[end // 2] for end in ends], [end % 2 for end in ends], ends, partner)
    return [chain for chain in chains if chain is not None]


def forks(strokes: Sequence[Stroke], notes: Notes) -> bool:
    """Whether three ends or more meet at one spot; `notes` name the strokes."""
    open_ones = [stroke for stroke in strokes if not stroke.closed]
    if len(open_ones) < 2:
        return False
    tips = _tips(open_ones)
    near = [list(group) for group in np.asarray(cKDTree(tips).query_ball_point(tips, SAME), dtype=object)]
    crowded = dict.fromkeys(tuple(sorted(group)) for group in near if len(group) > 2)
    for group in crowded:
        handles = tuple(dict.fromkeys(open_ones[end // 2].source.handles[0] for end in group))
        where = Source(open_ones[group[0] // 2].source.layer, handles, open_ones[group[0] // 2].source.block)
        spot = point(*(tips[group[0]] / 1000))
        allowed = "two ends at each corner; delete what does not belong to the loop"
        notes.problem(where, f"{len(group)} ends at {spot}", allowed)
    return bool(crowded)


def say_open(chain: Chain, closing: float, notes: Notes) -> None:
    """Says by how much a chain fails to be a loop, and where its ends are."""
    start, end = chain.points[0], chain.points[-1]
    gap = float(np.linalg.norm(end - start))
    value = f"a loop open by {gap:.6g} mm between {point(*(start / 1000))} and {point(*(end / 1000))}"
    handles = chain.source.handles
    if len(handles) > 1:
        value += f" (ends of handles {listed((handles[0], handles[-1]))})"
    notes.problem(
        chain.source,
        value,
        f"a closed loop; close it, or set closing_mm (--closing), now {closing:g}, to the gap at least",
    )


def say_joints(chain: Chain, notes: Notes) -> None:
    """Says which gaps of a loop were closed."""
    for gap, place, handles in chain.joints:
        if gap > SAME:
            between = f" between handles {handles[0]} and {handles[1]}" if handles[0] != handles[1] else ""
            notes.remark(chain.source, f"closed over a gap of {gap:.3g} mm{between} at {point(*(place / 1000))}")


def _tips(strokes: Sequence[Stroke]) -> Floats:
    """(2 n, 2) both ends of each stroke."""
    return np.concatenate([stroke.points[[0, -1]] for stroke in strokes])


def _partners(strokes: Sequence[Stroke], closing: float) -> dict[int, int]:
    """Which end meets which: end 2 i is where stroke i starts, 2 i + 1 where it ends."""
    if not strokes:
        return {}
    tips = _tips(strokes)
    pairs = cKDTree(tips).query_pairs(max(closing, SAME), output_type="ndarray")
    distance = np.linalg.norm(tips[pairs[:, 0]] - tips[pairs[:, 1]], axis=1)
    partner: dict[int, int] = {}
    for row in np.lexsort((pairs[:, 1], pairs[:, 0], np.round(distance / SAME))):
        first, second = int(pairs[row, 0]), int(pairs[row, 1])
        stroke = strokes[first // 2]
        own = first // 2 == second // 2 and (len(stroke.points) < 3 or stroke.length < 4 * closing)
        if not (own or strokes[first // 2].closed or strokes[second // 2].closed or {first, second} & partner.keys()):
            partner[first], partner[second] = second, first
    return partner


def _first_end(start: int, partner: dict[int, int]) -> int:
    """The end at which the chain of `start` begins; `start` itself if the chain is a loop."""
    end = start
    while end in partner:
        end = partner[end] ^ 1
        if end == start:
            break
    return end


def _walk(start: int, partner: dict[int, int]) -> list[int]:
    """The ends at which the strokes of a chain are entered, in order."""
    ends = [start]
    while (following := partner.get(ends[-1] ^ 1)) is not None and following != start:
        ends.append(following)
    return ends


def _chain(strokes: Sequence[Stroke], reverse: Sequence[int], ends: Sequence[int], partner: dict[int, int]) -> Chain:
    parts = [stroke.points[::-1] if turned else stroke.points for stroke, turned in zip(strokes, reverse, strict=True)]
    closed = partner.get(ends[0]) == ends[-1] ^ 1
    following = [*range(1, len(parts)), *([0] if closed else [])]
    joints = tuple(
        (
            float(np.linalg.norm(parts[after][0] - parts[before][-1])),
            parts[before][-1],
            (strokes[before].source.handles[0], strokes[after].source.handles[0]),
        )
        for before, after in enumerate(following)
    )
    kept = [part[1:] if index and joints[index - 1][0] <= SAME else part for index, part in enumerate(parts)]
    points = np.concatenate(kept)
    if closed and joints[-1][0] <= SAME:
        points = points[:-1]
    handles = tuple(dict.fromkeys(handle for stroke in strokes for handle in stroke.source.handles))
    source = Source(strokes[0].source.layer, handles, strokes[0].source.block)
    return Chain(points, closed, any(stroke.curved for stroke in strokes), source, joints)
