"""How many sheets a set of pieces is cut from: guillotine cuts, the largest pieces first, offcuts used again."""

from __future__ import annotations

from collections.abc import Sequence

Size = tuple[float, float]

EXACT = 1e-6
"""Lengths that differ by less, m, are alike."""


def sheets_needed(pieces: Sequence[Size], sheet: Size, *, turnable: bool) -> int:
    """Number of sheets for pieces no larger than one, each cut straight through from edge to edge (first fit).

    turnable: whether a piece may be cut the other way round, which suits fabric with the same wires both ways.
    """
    count, offcuts = 0, list[Size]()
    for piece in sorted(pieces, key=lambda size: (-size[0] * size[1], -max(size), size)):
        if not _taken(offcuts, piece, turnable=turnable):
            count += 1
            offcuts += _split(sheet, piece)
            offcuts.sort(key=lambda size: (size[0] * size[1], size))
    return count


def _taken(offcuts: list[Size], piece: Size, *, turnable: bool) -> bool:
    """Take the piece from the smallest offcut that holds it, if there is one; what is left of it stays."""
    ways = (piece, piece[::-1]) if turnable else (piece,)
    for place, offcut in enumerate(offcuts):
        for way in ways:
            if way[0] <= offcut[0] + EXACT and way[1] <= offcut[1] + EXACT:
                del offcuts[place]
                offcuts += _split(offcut, way)
                offcuts.sort(key=lambda size: (size[0] * size[1], size))
                return True
    return False


def _split(whole: Size, piece: Size) -> list[Size]:
    """What is left once a piece is cut from a corner: two offcuts, the larger as large as it can be."""
    right, above = whole[0] - piece[0], whole[1] - piece[1]
    if right * whole[1] >= above * whole[0]:
        left = [(right, whole[1]), (piece[0], above)]
    else:
        left = [(right, piece[1]), (whole[0], above)]
    return [size for size in left if min(size) > EXACT]
