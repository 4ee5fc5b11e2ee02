"""The two layers of fabric of a case: what is laid out, what is not, and what is told of it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from jackfield.fabric import fabric_layers
from preprocess.case import Case, Mat, Reinforcement
from preprocess.fabrics import FABRICS
from preprocess.reader import read_case

STEEL = Reinforcement(FABRICS["A252"], FABRICS["A193"], 0.025, 0.030, "x", "x", 500e6, 0.012)


def bars(diameter: float) -> Mat:
    return Mat("bars", (diameter, diameter), (0.15, 0.15))


@pytest.fixture
def case(small_case: Path) -> Case:
    """9 × 6 m, 125 mm of C32/40."""
    return replace(read_case(small_case), reinforcement=STEEL)


def test_both_layers(case: Case) -> None:
    """Laps of φ 8 and φ 7 are 51.3 φ by EN 1992-1-1 (Eq. 8.3 and 8.10, α6 = 1.5, by hand), rounded up to 25 mm; the
    net areas are the plan less a cover of 25 and 30 mm all round."""
    found = fabric_layers(case, None)
    assert [(layer.face, layer.mat, layer.made_up) for layer in found.layers] == [
        ("bottom", "A252", False),
        ("top", "A193", False),
    ]
    assert [layer.laps[0] for layer in found.layers] == pytest.approx([0.425, 0.375], rel=1e-12)
    assert [layer.net_area for layer in found.layers] == pytest.approx([8.95 * 5.95, 8.94 * 5.94], rel=1e-12)
    assert any("On the day of lifting bond is weaker" in remark for remark in found.remarks)


def test_bars_are_shown_as_sheets_and_said_so(case: Case) -> None:
    found = fabric_layers(replace(case, reinforcement=replace(STEEL, bottom=bars(0.010))), None)
    assert [layer.made_up for layer in found.layers] == [True, False]
    assert sum("as if made up into sheets" in remark for remark in found.remarks) == 1


def test_a_short_lap_of_the_case_is_told(case: Case) -> None:
    found = fabric_layers(replace(case, ordering=replace(case.ordering, fabric_lap=0.4)), None)
    assert [layer.laps for layer in found.layers] == [(0.4, 0.4)] * 2
    assert sum("is less than the 411 mm" in remark for remark in found.remarks) == 2


@pytest.mark.parametrize(
    ("steel", "words"),
    [
        (replace(STEEL, top=None), "no fabric was chosen"),
        (replace(STEEL, bottom=bars(0.020)), "more than a third of the shorter side of 4800 × 2400 mm"),
    ],
)
def test_what_cannot_be_laid_out_is_told(case: Case, steel: Reinforcement, words: str) -> None:
    found = fabric_layers(replace(case, reinforcement=steel), None)
    assert found.layers == ()
    assert any(words in remark for remark in found.remarks)


def test_without_reinforcement_there_is_nothing(case: Case) -> None:
    found = fabric_layers(replace(case, reinforcement=None), None)
    assert (found.layers, found.remarks) == ((), ())
