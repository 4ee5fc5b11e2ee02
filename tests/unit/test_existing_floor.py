"""Loads on the existing floor against sums by hand, statics and full solutions without a spring."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from fem.lift import LiftPath
from fem.statics import solve_states
from jackfield.existing_floor import existing_floor
from jackfield.influence import SPACING, influences, middles
from postprocess.existing_floor import (
    OUTSIDE,
    WHOLE,
    Bays,
    ExistingFloor,
    FloorCase,
    bay_table,
    envelope_case,
    existing_floor_json,
    jack_table,
)
from postprocess.lift.course import Course
from postprocess.lift.record import PassRecord
from tests.cases.booth import PIANO, WEIGHT
from tests.unit.list_cases import Listed

AREA = 4.6 * 3.5


@pytest.fixture
def booth(listed_booth: Listed) -> Listed:
    return listed_booth


@pytest.fixture
def floor(listed_booth: Listed) -> ExistingFloor:
    return listed_booth.lists.existing


def of(floor: ExistingFloor, key: str) -> FloorCase:
    [found] = [case for case in floor.cases if case.key == key]
    return found


def test_a_jack_on_the_border_belongs_to_the_bay_named_first(floor: ExistingFloor) -> None:
    """Columns at 400, 1666, 2932 and 4198 mm, rows at 400, 1750 and 3100 mm; bays part at 1666 mm, the east one ends
    at 1800 mm."""
    assert floor.bays == ("=1+1", "East & <b>", OUTSIDE)
    assert floor.bay_of.tolist() == [0, 0, 1, 1, 0, 0, 1, 1, 0, 0, 2, 2]


def test_without_bays_there_is_the_whole_floor() -> None:
    bays = Bays.of(np.zeros((3, 2)), [])
    assert (bays.names, bays.bay_of.tolist()) == ((WHOLE,), [0, 0, 0])


def test_totals_of_bays_by_hand() -> None:
    """Loads 1, 2, 4 in one situation and 8, 0, 1 in the other: bays of jacks 1 and 2, and of jack 3."""
    bays = Bays.of(np.array([[0.0, 0], [1, 0], [2, 0]]), [("a", (-1, -1), (1, 1)), ("b", (1, -1), (3, 1))])
    case = envelope_case("x", "", np.array([[1.0, 8], [2, 0], [4, 1]]), bays)
    assert case.loads.tolist() == [8, 2, 4]
    assert case.totals.tolist() == [8, 4]
    assert case.whole == 9


@pytest.mark.parametrize(("state", "weight"), [("bare", WEIGHT), ("full", WEIGHT + PIANO + 3000 * AREA)])
def test_bays_add_up_to_all_that_stands_on_the_floor(floor: ExistingFloor, state: str, weight: float) -> None:
    """Weights by hand; 1e-9 is the program's limit for equilibrium."""
    case = of(floor, state)
    assert case.totals.sum() == pytest.approx(weight, rel=1e-9)
    assert case.whole == pytest.approx(weight, rel=1e-9)
    assert case.totals[2] == pytest.approx(case.loads[10] + case.loads[11], rel=1e-12)


def test_worst_parts_against_single_patches(booth: Listed, floor: ExistingFloor) -> None:
    """The imposed load on one square of 100 mm at a time, solved forwards; only what presses is added up.

    0.5 % of the load is what the state is made for: load on the border of a positive part presses next to nothing, so
    the squares that cross it miss little."""
    solution, pressure = booth.solution, booth.case.imposed.pressure
    x, y = (0.05 + 0.1 * np.arange(count) for count in (46, 35))
    centres = np.column_stack([each.ravel() for each in np.meshgrid(x, y)])
    patches = solution.floor.sampler.pads(centres, 0.1).rows.toarray().T * pressure * 0.1**2
    model, rates = solution.floor.model, booth.case.jacks.rates
    results = solve_states(model, patches, rates, 0 * rates, solution.factor, refined=False)
    each = np.array([result.jack_load for result in results])
    assert each.sum() == pytest.approx(pressure * AREA, rel=1e-9)
    relieving = np.maximum(-each, 0).sum(axis=0)
    full, worst = of(floor, "full"), of(floor, "full_worst_parts")
    assert worst.loads == pytest.approx(full.loads + relieving, rel=0.005)
    assert worst.loads - full.loads == pytest.approx(relieving, rel=0.05, abs=5e-4 * full.loads.max())
    by_bay = np.array([each[:, floor.bay_of == bay].sum(axis=1) for bay in range(3)])
    gain = np.maximum(-by_bay, 0).sum(axis=1)
    assert worst.totals == pytest.approx(full.totals + gain, rel=0.005)
    assert worst.totals - full.totals == pytest.approx(gain, rel=0.05, abs=5e-4 * full.loads.max())
    assert worst.envelope


def test_worst_parts_are_no_less_than_full(floor: ExistingFloor) -> None:
    """Exactly, and for some jacks more by per cents; a single force presses on all jacks with all it weighs, so the
    whole floor gets no more. 1e-9: rounding of the sum of the influences, which is 1."""
    full, worst = of(floor, "full"), of(floor, "full_worst_parts")
    assert (worst.loads >= full.loads).all()
    assert (worst.totals >= full.totals).all()
    assert (worst.loads / full.loads).max() > 1.02
    assert worst.whole == pytest.approx(full.whole, rel=1e-9)
    assert (worst.totals <= [worst.loads[floor.bay_of == bay].sum() for bay in range(3)]).all()
    assert "left out" not in worst.words
    assert "equipment and line loads everywhere" in worst.words


def test_influences_settle(booth: Listed) -> None:
    """Half and a quarter of the spacing: the load of no jack and of no bay changes by more than 0.5 %, the accuracy
    that the state is made for, and each halving changes less than the one before."""
    bays = Bays.of(booth.case.jacks.xy, [(bay.name, bay.low, bay.high) for bay in booth.case.dynamics.bays])
    pressure, full = booth.case.imposed.pressure, of(booth.lists.existing, "full")
    coarse, used, fine, finest = (influences(booth.solution, bays, spacing) for spacing in (0.4, SPACING, 0.1, 0.05))
    assert pressure * np.abs(used.jacks - finest.jacks) == pytest.approx(0, abs=0.005 * full.loads.min())
    assert pressure * np.abs(used.bays - finest.bays) == pytest.approx(0, abs=0.005 * full.totals.min())
    steps = [np.abs(a.jacks - b.jacks).sum() for a, b in pairwise((coarse, used, fine, finest))]
    assert steps[0] > steps[1] > steps[2]


@pytest.mark.parametrize("cuts", [1, 2, 5])
def test_middles_of_a_cut_triangle(cuts: int) -> None:
    """As many as the square of the cuts; even weights integrate 1, x and y over the triangle: 1/2, 1/6, 1/6."""
    points = middles(cuts)
    assert len(points) == cuts**2
    assert (points.sum(axis=1) < 1).all()
    assert points.mean(axis=0) == pytest.approx([1 / 3, 1 / 3], rel=1e-12)
    assert len(np.unique(points.round(9), axis=0)) == cuts**2


@pytest.mark.parametrize("state", ["service", "full"])
def test_springs_removed_against_full_solutions(booth: Listed, floor: ExistingFloor, state: str) -> None:
    """Every spring in turn left out of the whole model, factorised anew. 1e-7 of the greatest load: the flexibilities
    come from one pass of the factor, and a spring of rate 0 is taken as 1e-9 of its rate."""
    solution = booth.solution
    model, jacks = solution.floor.model, booth.case.jacks
    column = list(solution.states).index(state)
    loads = []
    for jack in range(len(jacks)):
        rates = np.where(np.arange(len(jacks)) == jack, 1e-9 * jacks.rates, jacks.rates)
        [found] = solve_states(model, solution.floor.state_loads()[:, [column]], rates, jacks.advance)
        loads.append(np.delete(found.jack_load, jack))
        loads[-1] = np.insert(loads[-1], jack, 0.0)
    expected = np.array(loads).T
    case = of(floor, f"spring_removed_{state}")
    exact = 1e-7 * expected.max()
    assert case.loads == pytest.approx(expected.max(axis=1), abs=exact)
    by_bay = [expected[floor.bay_of == bay].sum(axis=0).max() for bay in range(3)]
    assert case.totals == pytest.approx(by_bay, abs=exact)
    assert case.envelope
    assert (case.loads > of(floor, state).loads).any()


def test_lift_peak_by_hand(booth: Listed) -> None:
    """Two passes of two turns with made-up loads: the greatest of each jack, and of each bay at one moment."""
    rest, first, second = np.zeros((1, 12)), np.zeros((2, 12)), np.zeros((2, 12))
    first[0, 0], first[1, 1], second[0, 2], second[1, [2, 3]] = 5e3, 7e3, 9e3, 4e3
    records = tuple(a_pass(number, loads) for number, loads in enumerate((rest, first, second)))
    case = of(existing_floor(booth.solution, Course(records, None)), "lift_peak")
    assert case.loads.tolist() == [5e3, 7e3, 9e3, 4e3, *[0.0] * 8]
    assert case.totals.tolist() == [7e3, 9e3, 0]
    assert case.whole == 9e3
    assert "still lies on the floor" in case.words


def a_pass(number: int, loads: np.ndarray) -> PassRecord:
    """Loads (T, n) alone are looked at."""
    turns = len(loads)
    empty = np.zeros((turns, 12))
    path = LiftPath(np.zeros(turns, dtype=np.int64), empty, empty, empty, loads, empty, empty > 0, empty > 0)
    return PassRecord(number, (), path, np.zeros(turns), np.zeros(turns, dtype=np.int64))


def test_factors_stand_beside_the_loads(floor: ExistingFloor) -> None:
    assert all("factor 1.0" in case.words for case in floor.cases)
    assert "0 of 3 kPa" in of(floor, "service").words
    text = " ".join(floor.assumptions)
    for words in ("factors of 1.0", "linear", "dynamic effects", "the existing floor itself", "The lift is not in it"):
        assert words in text


def test_tables_and_json_say_the_same(floor: ExistingFloor) -> None:
    """To the last bit."""
    found = existing_floor_json(floor)
    jacks, bays = jack_table(floor), bay_table(floor)
    keys = [column.key for column in jacks.columns]
    for row, jack in zip(jacks.rows, found["jacks"], strict=True):
        assert row[keys.index("bay")] == jack["bay"]
        assert {key: row[keys.index(f"load_{key}_kN")] for key in jack["load_kN"]} == jack["load_kN"]
    totals = [
        total for state in found["states"] for total in (*state["bay_total_kN"].values(), state["whole_floor_kN"])
    ]
    assert [row[3] for row in bays.rows] == totals


def test_springs_left_out_of_a_large_floor_are_told(booth: Listed, monkeypatch: pytest.MonkeyPatch) -> None:
    """Four of twelve springs are taken out: their envelope is no greater than that of all."""
    monkeypatch.setattr("jackfield.existing_floor.MOST_REMOVED", 4)
    found = existing_floor(booth.solution, None)
    assert any("4 of 12 in turn" in sentence for sentence in found.assumptions)
    some, every = of(found, "spring_removed_full").loads, of(booth.lists.existing, "spring_removed_full").loads
    assert (some <= every * (1 + 1e-12)).all()
    assert (some < every).any()
