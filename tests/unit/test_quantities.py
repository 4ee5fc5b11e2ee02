"""Quantities against sums by hand."""

from __future__ import annotations

import pytest
from shapely import box

from postprocess.quantities import (
    Quantities,
    SlabRules,
    Trimmers,
    jack_quantities,
    quantities_json,
    quantity_table,
    slab_quantities,
    trimmer_length,
    trimmer_quantities,
)
from preprocess.reinforcement import FACES
from tests.unit.job_cases import BuyingRow

PLAN = box(0, 0, 9, 6) - box(2, 2, 3, 4)


@pytest.fixture(scope="module")
def slab() -> Quantities:
    rules = SlabRules(plan=PLAN, thickness=0.125, density=2500, waste=0.05, turn_up=0.175, lap=0.1)
    return Quantities(tuple(slab_quantities(rules)))


@pytest.mark.parametrize(
    ("name", "amount"),
    [
        ("plan area", 52),
        ("perimeter strip, outline", 30),
        ("perimeter strip, opening 1", 6),
        ("perimeter strip, all", 36),
        ("sheet below the slab", (52 + 36 * 0.175) * 1.1),
        ("concrete, net", 6.5),
        ("concrete, to order", 6.825),
        ("mass of the slab", 16250),
    ],
)
def test_slab_by_hand(slab: Quantities, name: str, amount: float) -> None:
    """9 × 6 m less 1 × 2 m, 125 mm thick; rounding of sums of a few lengths."""
    assert slab.amount(name) == pytest.approx(amount, rel=1e-12)


def test_every_amount_says_how_it_is_counted(slab: Quantities) -> None:
    assert all(item.basis and item.unit for item in slab.items)
    assert "common practice, no source" in next(i.basis for i in slab.items if i.name == "concrete, to order")


def test_trimmers_by_hand() -> None:
    """Five bars of 12 mm, 12/4 × 435/3.175 = 411 mm to anchor: 850 mm long, 0.888 kg/m (BS 4449, from memory, three
    digits)."""
    found = list(trimmer_quantities(Trimmers(2, {"bottom": 5, "top": 0}, 0.012, 435e6, dict.fromkeys(FACES, 3.175e6))))
    assert [item.amount for item in found if item.unit == "pieces"] == [5, 0]
    assert found[1].amount == pytest.approx(5 * 0.85 * 0.888, rel=1e-3)
    assert "850 mm long" in found[0].basis


def test_one_rule_for_the_length_of_trimmers() -> None:
    """Twice 12/4 × 435/3.0 = 435 mm are 870, cut to 900 mm; bars that need 900 mm are no longer. Rounding."""
    assert trimmer_length(0.012, 435e6, 3.0e6) == pytest.approx(0.900, rel=1e-12)
    assert trimmer_length(0.012, 450e6, 3.0e6) == pytest.approx(0.900, rel=1e-12)
    assert trimmer_length(0.012, 451e6, 3.0e6) == pytest.approx(0.950, rel=1e-12)


def test_jacks_and_coils() -> None:
    rows = (BuyingRow("A7", 280e3, 7e3, 12, 2), BuyingRow("B2", 80e3, 2e3, 3, 1))
    items = Quantities(tuple(jack_quantities(15, 0.15, rows)))
    assert [items.amount(name) for name in ("jacks", "housings", "coil A7", "coil B2")] == [15, 15, 14, 4]


def test_table_and_json_say_the_same(slab: Quantities) -> None:
    assert [tuple(item.values()) for item in quantities_json(slab)] == list(quantity_table(slab).rows)
