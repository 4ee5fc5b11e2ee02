"""Sheets from which pieces are cut, against what a person finds with a pencil."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from postprocess.fabric.cutting import sheets_needed
from postprocess.fabric.runs import clashes, even_rows, joints, run, runs, staggered

SHEET = (4.8, 2.4)


@pytest.mark.parametrize(
    ("pieces", "count"),
    [
        ([], 0),
        ([SHEET] * 3, 3),
        ([(2.4, 2.4)] * 4, 2),
        ([(4.8, 0.8)] * 3, 1),
        ([(4.8, 0.9)] * 3, 2),
        ([(3.0, 2.4), (1.8, 1.2), (1.8, 1.2)], 1),
    ],
)
def test_by_hand(pieces: list[tuple[float, float]], count: int) -> None:
    assert sheets_needed(pieces, SHEET, turnable=False) == count


def test_turning_only_where_wires_are_alike() -> None:
    """A piece of 2.4 × 1.8 m fits beside one of 3.0 × 2.4 m only if it is turned."""
    pieces = [(3.0, 2.4), (2.4, 1.8)]
    assert sheets_needed(pieces, SHEET, turnable=True) == 1
    assert sheets_needed(pieces, SHEET, turnable=False) == 2


def test_cuts_run_from_edge_to_edge() -> None:
    """Four pieces of 3 × 2 m lie round a hole of 1 m in 5 × 5 m, but no straight cut parts them: the known pinwheel."""
    assert sheets_needed([(3.0, 2.0), (2.0, 3.0)] * 2, (5.0, 5.0), turnable=True) == 2


@pytest.mark.parametrize("seed", range(5))
def test_never_less_than_the_area_nor_more_than_one_each(seed: int) -> None:
    rng = np.random.default_rng(seed)
    pieces = [(float(x), float(y)) for x, y in rng.uniform(0.5, 1, (20, 2)) * SHEET]
    count = sheets_needed(pieces, SHEET, turnable=bool(seed % 2))
    assert sum(x * y for x, y in pieces) / (4.8 * 2.4) <= count <= 20


@pytest.mark.parametrize("length", [0.6, 4.8, 4.81, 9.0, 9.2, 13.55, 40.0])
def test_runs_cover_their_length_with_laps(length: float) -> None:
    """Rounding of sums of a few lengths."""
    for way in runs(length, 4.8, 0.4):
        assert way[0][0] == 0
        assert way[-1][1] == pytest.approx(length, abs=1e-9)
        assert all(end - start <= 4.8 + 1e-9 for start, end in way)
        assert all(high - low >= 0.4 - 1e-9 for low, high in joints(way, 0.0))
        assert len(way) == 1 or min(end - start for start, end in way) >= 0.8 - 1e-9


def test_a_last_sliver_is_laid_farther_over_its_neighbour() -> None:
    """4.9 m from sheets of 4.8 m with laps of 0.4 m leave 0.5 m: the last piece is two laps long."""
    assert run(4.9, 4.8, 0.4, 4.8) == ((0.0, 4.8), (pytest.approx(4.1), 4.9))


def test_rows_are_shifted() -> None:
    """No joint of a row lies on one of the row before."""
    first = staggered(14.0, 4.8, 0.4, origin=0.0, others=[], turn=0)
    second = staggered(14.0, 4.8, 0.4, origin=0.0, others=joints(first, 0.0), turn=1)
    assert clashes(joints(first, 0.0), joints(first, 0.0)) == len(first) - 1
    assert clashes(joints(second, 0.0), joints(first, 0.0)) == 0


def test_even_rows_share_what_is_left() -> None:
    """10 m with sheets of 2.4 m and laps of 0.4 m: five rows, laps of (5 × 2.4 − 10)/4 = 0.5 m."""
    rows = even_rows(1.0, 11.0, 2.4, 0.4)
    assert (len(rows), rows[0][0], rows[-1][1]) == (5, 1.0, pytest.approx(11.0))
    assert [low[1] - high[0] for low, high in pairwise(rows)] == pytest.approx([0.5] * 4)
